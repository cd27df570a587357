"""Who is ready, due or stuck, and how long units take, held against plainer ways of finding out."""

from __future__ import annotations

from dataclasses import replace
from datetime import date, timedelta
from statistics import median

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from told import text_of

from readiness.days import day_number, iso
from readiness.judging.engine import judge
from readiness.record.load import build_record
from readiness.record.model import Decision
from readiness.record.rhythm import NO_CALENDAR, Calendar
from readiness.school.counts import time, where
from readiness.school.questions import QUESTIONS, ask, ask_outside, reply_to_dict
from readiness.school.students import Judged, due, judge_all, look, lowest_weak, ready, ready_since, stuck
from readiness.words.layout import lay_out
from readiness.words.school import reply_words, row_words

FIRST = date(2025, 9, 2)


def unplanned(student: str) -> Calendar:
    return NO_CALENDAR


def day_by_day(course, record, on):
    """Return since when a student has been ready by asking on every day."""
    begun = max(start.on for start in record.unit_starts if start.on <= on)
    since = on
    while since > begun and judge(course, record, since - 1).is_ready:
        since -= 1
    return since


unit_one = st.lists(
    st.tuples(st.integers(0, 40), st.sampled_from(["alone", "cue", "model"]), st.integers(0, 3)),
    min_size=2,
    max_size=8,
)


@settings(max_examples=25, deadline=None)
@given(notes=unit_one, closed=st.integers(0, 30), asked=st.integers(0, 60), held=st.booleans())
def test_ready_since_is_what_asking_on_every_day_finds(taught, notes, closed, asked, held):
    """Lessons with everything of the first unit, some with more help, a hold, and days that pass."""
    skills = [skill.id for skill in taught.skills if skill.unit == taught.units[0].id]
    data = {
        "format": 1, "name": "Mia", "born": "2019-10-05",
        "unit_start": [{"unit": taught.units[0].id, "on": FIRST}],
        "settled": [{"through": taught.units[0].id, "on": FIRST}],
        "lesson": [
            {"on": FIRST + timedelta(days), given_help: skills[: len(skills) // (1 + part)]}
            for days, given_help, part in notes
        ],
    }  # fmt: skip
    if held:
        data["hold"] = [{"opened": FIRST, "words": "x", "closed": FIRST + timedelta(closed),
                         "closed_by": "Odalys", "closed_words": "fine"}]  # fmt: skip
    record = build_record("mia", data, taught)
    on = FIRST.toordinal() + asked
    answer = judge(taught, record, on)
    if answer.is_ready:
        assert iso(ready_since(taught, Judged(record, answer))) == iso(day_by_day(taught, record, on))


def test_bogdan_waits_since_the_day_he_became_ready(taught, demo):
    (one,) = ready(taught, demo("2025-12-05"))
    assert (one.student, one.verdict, iso(one.since)) == ("bogdan", "ready-taking-along", "2025-11-28")
    assert iso(one.next_lesson) == "2025-12-12"


def waiting(student, name, unit, since, *decisions):
    """Return a student of whom everything up to a unit is settled on a day, with decisions of later days."""
    return student(
        name, unit_start=[{"unit": unit, "on": FIRST}], settled=[{"through": unit, "on": since}],
        lesson=[{"on": FIRST + timedelta(7 * week)} for week in range(6)],
        decision=[{"on": day, "unit": unit, "computed": "ready", "decided": what} for day, what in decisions],
    )  # fmt: skip


def test_who_waits_longest_comes_first_and_the_last_unit_is_told_apart(taught, student):
    last, first = taught.units[-1].id, taught.units[0].id
    days = [FIRST + timedelta(days) for days in (20, 10, 15)]
    records = [
        waiting(student, "ada", first, days[0]),
        waiting(student, "bo", last, days[1]),
        waiting(student, "cy", first, days[2]),
    ]
    rows = ready(taught, judge_all(taught, records, (FIRST + timedelta(36)).toordinal(), unplanned))
    assert [(row.student, iso(row.since)) for row in rows] == [
        (name, day.isoformat()) for name, day in (("bo", days[1]), ("cy", days[2]), ("ada", days[0]))
    ]
    assert [row.next_unit for row in rows] == [None, taught.units[1].id, taught.units[1].id]


@pytest.mark.parametrize(
    "decisions, stay",
    [
        ([], None),
        ([(20, "stay")], 20),
        ([(19, "stay")], 19),
        ([(20, "stay"), (30, "stay")], 30),
        ([(25, "stay"), (30, "move")], None),
        ([(30, "move"), (30, "stay")], 30),
        ([(40, "stay")], None),
    ],
)
def test_a_decision_to_stay_is_said_while_it_is_in_force(taught, student, decisions, stay):
    made = [(FIRST + timedelta(days), what) for days, what in decisions]
    for unit, closed in ((taught.units[0].id, False), (taught.units[-1].id, True)):
        record = waiting(student, "ada", unit, FIRST + timedelta(20), *made)
        (row,) = ready(taught, judge_all(taught, [record], (FIRST + timedelta(36)).toordinal(), unplanned))
        assert row.stay_decided == (None if stay is None else FIRST.toordinal() + stay)
        moved = bool(made) and max(decisions, key=lambda one: one[0]) == (30, "move") and stay is None
        assert (row.closed is not None) == (closed and moved)


def test_a_look_names_the_items_and_the_day(taught, demo):
    rows = {row.student: row for row in look(taught, demo("2025-12-05"))}
    assert rows["temwa"].items == ("rounded-hand-keys", "wrist-lift")
    assert iso(rows["temwa"].next_lesson) == "2025-12-09"
    assert rows["noemi"].away == "first-lesson-back"


def test_who_stays_by_decision_has_no_day_of_a_move_on_the_list_of_looks(taught, demo, records):
    stay = Decision(day_number("2025-12-02"), "hand-shape-wrist", "look-again", "stay", "cold hands")
    record = replace(records["temwa"], decisions=(stay,))
    (row,) = look(taught, judge_all(taught, [record], day_number("2025-12-05"), unplanned))
    assert (row.move_on, row.stay_decided) == (None, stay.on)
    told = lay_out(row_words(row, taught, day_number("2025-12-05")).lines, 80)
    assert "Temwa. Note: You decided to stay, 2 December. Look at:" in " ".join(told.split())


def test_stuck_names_the_skill_the_days_and_where_to_begin(taught, demo):
    (row,) = stuck(taught, demo("2025-12-05"))
    assert (row.student, row.skill, row.days) == ("chikondi", "hands-alternate-fours", 7)
    assert (row.best_help, iso(row.since), row.lowest) == (1, "2025-10-07", "alternate-arms-steady")


def test_where_nothing_weak_lies_under_it_the_skill_itself_is_the_lowest(taught, demo):
    (answer,) = [one.answer for one in demo("2025-12-05") if one.answer.student == "chikondi"]
    assert lowest_weak(taught, answer, "alternate-arms-steady") == "alternate-arms-steady"


def test_where_to_begin_is_said_once(taught, demo):
    """The same skill is not named twice in one sentence."""
    judged = demo("2025-12-05")
    reply = ask(taught, judged, day_number("2025-12-05"), "stuck")
    itself = replace(reply, rows=tuple(replace(row, one_thing=row.skill) for row in reply.rows))
    assert "Begin with: another way in." in " ".join(text_of(reply_words, [itself], taught).split())
    assert "another way" not in text_of(reply_words, [reply], taught)


def test_paused_students_are_on_no_other_list(taught, demo):
    judged = demo("2025-12-05")
    on = {q: {row.student for row in ask(taught, judged, day_number("2025-12-05"), q).rows}
          for q in ("ready", "look", "stuck", "due", "paused")}  # fmt: skip
    assert on.pop("paused") == {"linnea"}
    assert all("linnea" not in names for names in on.values())


def test_nothing_about_the_cause_of_a_hold_is_said(taught, demo):
    judged = demo("2025-12-05")
    reply = ask(taught, judged, day_number("2025-12-05"), "paused")
    assert reply_to_dict(reply)["rows"] == [
        {
            "student": "linnea", "name": "Linnea", "since": "2025-11-27",
            "goes_on": False, "rests": [], "told": [],
        }
    ]  # fmt: skip


@pytest.mark.parametrize("days_after, is_due", [(None, True), (6, False), (7, True), (30, True)])
def test_a_check_is_due_but_not_within_the_gap_of_the_last(taught, student, days_after, is_due):
    """The gap of the band is 7 days (pacing.toml, check_gap_days: common practice, no source)."""
    weeks = [{"on": FIRST + timedelta(7 * week)} for week in range(6)]
    on = weeks[-1]["on"]
    decided = {"unit": "sitting-high-low", "computed": "not-yet", "decided": "stay"}
    blocks = {} if days_after is None else {"decision": [{**decided, "on": on - timedelta(days_after)}]}
    start = [{"unit": "sitting-high-low", "on": FIRST}]
    record = student("mia", unit_start=start, lesson=weeks, **blocks)
    found = due(taught, judge_all(taught, [record], on.toordinal(), unplanned))
    assert bool(found) == is_due
    if found:
        assert (found[0].by_lessons, found[0].by_shown, found[0].shown) == (True, False, 0)
        assert (found[0].lesson_days, found[0].usual) == (6, taught.unit["sitting-high-low"].lesson_weeks)


def test_a_check_is_due_when_all_but_what_may_come_along_was_shown(taught, student):
    skills = [s.id for s in taught.skills if s.unit == "sitting-high-low" and "6-7" not in s.optional_in]
    limit = taught.band["6-7"].whole("carry_limit")
    for left in (limit, limit + 1):
        lesson = [{"on": FIRST, "alone": skills[left:]}]
        record = student("mia", unit_start=[{"unit": "sitting-high-low", "on": FIRST}], lesson=lesson)
        found = due(taught, judge_all(taught, [record], FIRST.toordinal(), unplanned))
        assert [(row.by_shown, row.shown, row.asked) for row in found] == (
            [(True, len(skills) - left, len(skills))] if left == limit else []
        )


def test_where_counts_students_and_puts_most_first(taught, demo):
    (chikondi,) = [one for one in demo("2025-12-05") if one.record.id == "chikondi"]
    rows = where(taught, [chikondi] * 7 + list(demo("2025-12-05")))
    assert (rows[0].skill, rows[0].stuck, rows[0].with_help) == ("hands-alternate-fours", 8, 8)
    assert [row.stuck for row in rows] == sorted((row.stuck for row in rows), reverse=True)


def long_units(student, name, *lessons, born="2019-03-02"):
    """Return a student who had so many lessons in each of the first units, one a week."""
    day, starts, days = FIRST, [], []
    units = ("sitting-high-low", "black-key-groups", "hand-shape-wrist")
    for unit, count in zip(units, lessons, strict=False):
        starts.append({"unit": unit, "on": day})
        days += [day + timedelta(7 * week) for week in range(count)]
        day += timedelta(7 * max(count, 1))
    return student(name, unit_start=starts, lesson=[{"on": one} for one in days], born=born)


def test_how_long_a_unit_takes_is_counted_in_lesson_days_of_finished_units(taught, student):
    """The last unit of each is not finished; one without lessons here was taught elsewhere."""
    lengths = [4, 5, 7, 8, 9]
    records = [long_units(student, f"m{n}", n, 3) for n in lengths]
    records += [long_units(student, "young", 6, 3, born="2021-03-02"), long_units(student, "moved", 0, 3)]
    rows = {(row.unit, row.band): row for row in time(taught, records, day_number("2026-06-01"))}
    assert set(rows) == {("sitting-high-low", "6-7"), ("sitting-high-low", "4-5")}
    row = rows["sitting-high-low", "6-7"]
    assert (row.cases, row.middle, row.low, row.high) == (5, median(lengths), 5, 8)
    assert row.usual == taught.unit["sitting-high-low"].lesson_weeks
    (young,) = [one for one in rows.values() if one.band == "4-5"]
    assert (young.cases, young.middle, young.low, young.high) == (1, 6, 6, 6)


def test_how_long_units_take_says_for_which_age(taught, student):
    records = [long_units(student, "mia", 4, 3)]
    judged = judge_all(taught, records, day_number("2026-06-01"), unplanned)
    for answer in (ask, ask_outside):
        reply = answer(taught, judged * 5, day_number("2026-06-01"), "time")
        told = " ".join(text_of(reply_words, [reply], taught).split())
        assert "Unit 1, Sitting well, high and low. Age: 6-7. Middle, in lessons: 4." in told


def test_what_comes_after_the_day_asked_about_is_not_known_yet(taught, student):
    record = long_units(student, "mia", 4, 3)
    assert time(taught, [record], (FIRST + timedelta(27)).toordinal()) == ()
    assert len(time(taught, [record], (FIRST + timedelta(28)).toordinal())) == 1


@pytest.mark.parametrize("question", QUESTIONS)
def test_no_name_and_no_id_goes_outside(taught, demo, question):
    judged = demo("2025-12-05") * 3
    said = repr(reply_to_dict(ask_outside(taught, judged, day_number("2025-12-05"), question))).casefold()
    assert not any(one.record.id in said for one in judged)
