"""Why a verdict changed: every cause is one, the days are right, and nothing is guessed."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace
from datetime import date
from itertools import combinations

import pytest
from by_hand import small
from drawn import situations
from hypothesis import example, given, settings
from hypothesis import strategies as st
from told import text_of

from readiness.advice import timeline
from readiness.advice.as_json import changed_to_dict
from readiness.advice.changes import CAUSES, ChangeQuestion, Fact, Undoing, facts_of, why_changed
from readiness.advice.timeline import Edit, fitting, turns
from readiness.course.load import build_course
from readiness.days import day_number, iso
from readiness.judging import judge
from readiness.record.load import build_record, load_record
from readiness.record.model import Hold, Lesson, Showing
from readiness.testing import Situation, record_of
from readiness.words.changes import changed_sections


def asked(records, course, student, since, on, edits=()):
    return ChangeQuestion(records[student], day_number(since), day_number(on), course, edits)


def by_id(found):
    return {one.id: one for one in found.causes}


def test_a_hold_alone(course, records):
    found = why_changed(asked(records, course, "linnea", "2025-11-20", "2025-12-04"))
    assert (found.earlier.verdict, found.later.verdict) == ("ready", "paused")
    assert found.restoring == (("hold",),)
    assert [iso(turn.day) for turn in found.turns] == ["2025-11-27"]
    assert [(one.kind, iso(one.day), one.line) for one in found.causes[0].facts] == [
        ("hold-opened", "2025-11-27", 41)
    ]


def test_windows_and_a_break_would_each_have_been_enough(course, records):
    found = why_changed(asked(records, course, "noemi", "2025-09-16", "2025-12-02"))
    assert found.restoring == (("window", "break"),)
    assert not any(cause.alone for cause in found.causes)
    # 28 days after 16 September: the band's four weeks without a lesson
    assert [iso(turn.day) for turn in found.turns] == ["2025-10-14"]
    due = {fact.skill: iso(fact.day) for fact in by_id(found)["window"].facts}
    assert due["loose-shoulders"] == "2025-10-22"  # 16 September + 35 days, and the day after
    assert due["c-piece-separate"] == "2025-11-26"


@given(situations(), st.integers(1, 60))
def test_new_notes_tell_every_other_state_of_what_the_answer_names(situation: Situation, back: int) -> None:
    """Also of what it says to start with and of what is unfinished from earlier units."""
    course, on = situation.course, situation.on.toordinal()
    record = record_of(situation, course)
    found = why_changed(ChangeQuestion(record, on - back, on, course))
    told = {fact.skill for cause in found.causes if cause.id == "notes" for fact in cause.facts}
    old = replace(record, lessons=tuple(one for one in record.lessons if one.on <= on - back))
    was, now = judge(course, old, on).standings, found.later
    named = {now.one_thing, *(one.skill for one in now.brought_along)} - {None}
    if not record.settled and any(one.id == "notes" for one in found.causes):
        assert {one for one in named if was[one].state != now.standings[one].state} <= told


def test_new_notes(course, records):
    found = why_changed(asked(records, course, "temwa", "2025-12-02", "2025-12-09"))
    assert found.restoring == (("notes",),)
    kinds = {fact.kind for fact in found.causes[0].facts}
    assert kinds == {"lesson", "state"}


def test_a_changed_number_and_who_changed_it(course, records):
    """One day more for movements asks Temwa, ready on 9 December, for another look."""
    band = course.band["4-5"]
    stricter = replace(band, numbers={**band.numbers, "days_needed.motor": 4})
    key = ("4-5", "days_needed.motor")
    origin = replace(course.provenance[key], changed=True, changed_by="OB")
    edited = replace(
        course,
        bands=tuple(stricter if one is band else one for one in course.bands),
        provenance={**course.provenance, key: origin},
    )
    edit = Edit(day_number("2025-12-10"), "OB", "a day more", edited)
    found = why_changed(asked(records, course, "temwa", "2025-12-09", "2025-12-11", (edit,)))
    assert found.restoring == (("numbers",),)
    assert [iso(turn.day) for turn in found.turns] == ["2025-12-10"]
    number = next(fact for fact in found.causes[0].facts if fact.kind == "number")
    assert (number.rule, number.before, number.after, number.by) == ("days_needed.motor", 3, 4, "OB")


def test_an_edited_link(course, records):
    """A link from a skill of the next unit to one that was never shown blocks."""
    skill = course.skill["arm-weight-drop"]
    linked = replace(skill, stands_on=(*skill.stands_on, "sings-up-down"))
    edited = replace(course, skills=tuple(linked if one is skill else one for one in course.skills))
    edit = Edit(None, "", "", edited)
    found = why_changed(asked(records, course, "temwa", "2025-12-01", "2025-12-02", (edit,)))
    assert "graph" in {cause for one in found.restoring for cause in one}
    facts = by_id(found)["graph"].facts
    assert ("link-new", "arm-weight-drop", "sings-up-down") in [(f.kind, f.skill, f.after) for f in facts]


def test_a_birthday(course, records):
    """Temwa, had she been born on 5 December 2019, turns six, and other numbers hold."""
    record = replace(records["temwa"], born=day_number("2019-12-05"))
    found = why_changed(ChangeQuestion(record, day_number("2025-12-02"), day_number("2025-12-06"), course))
    assert found.restoring == (("band",),)
    kinds = {fact.kind for fact in found.causes[0].facts}
    assert {"birthday", "number"} <= kinds
    assert [iso(f.day) for f in found.causes[0].facts if f.kind == "birthday"] == ["2025-12-05"]


def test_nothing_changed(course, records):
    found = why_changed(asked(records, course, "bogdan", "2025-12-05", "2025-12-06"))
    assert (found.asked, found.restoring, found.turns) == ("nothing", (), ())


PAIN = {"asks_pain": True, "always_look": True}
SINCE, ON = date(2024, 1, 15), date(2024, 1, 30)
BETWEEN = small(
    {
        "one": {
            "stop": PAIN, "base": {"fade": "slow"},
            "early": {"optional_in": ["from-6"]}, "late": {"optional_in": ["from-5"]},
            "far": {"since": date(2024, 1, 16), "retired": ON}, "near": {"retired": SINCE},
            "old": {"since": SINCE}, "then": {"since": ON, "retired": date(2024, 1, 31)},
        },
        "two": {"top": {"stands_on": ["base"]}},
        "three": {"end": {"stands_on": ["top"]}},
    },
    {},
    ON,
    bands={5: {}, 6: {"spread_days": 7, "lesson_minutes": 45}},
)  # fmt: skip
FILE = """\
format = 1
name = "Nia"
born = "2018-01-20"
unit_start = [
  { unit = "one", on = 2024-01-02 },
  { unit = "two", on = 2024-01-23 },
  { unit = "two", on = 2024-01-16 },
  { unit = "one", on = 2024-01-17 },
  { unit = "three", on = 2024-01-31 },
]
set_aside = [
  { skill = "early", on = 2024-01-15, agreed_with = "family" },
  { skill = "late", on = 2024-01-30, agreed_with = "Olu" },
  { skill = "end", on = 2024-01-31, agreed_with = "family" },
]
[[settled]]
through = "one"
on = 2024-01-15
[[settled]]
through = "two"
on = 2024-01-30
[[settled]]
through = "three"
on = 2024-01-31
[[lesson]]
on = 2024-01-15
alone = ["base"]
[[lesson]]
on = 2024-01-16
model = ["base"]
by = "Olu"
[[lesson]]
on = 2024-01-23
not_tried = ["base"]
[[lesson]]
on = 2024-01-30
model = ["base"]
[[lesson]]
on = 2024-01-31
alone = ["base"]
[[hold]]
opened = 2024-01-10
words = "Sore."
part = "hand"
closed = 2024-01-20
closed_by = "A parent"
closed_words = "Fine again."
[[hold]]
opened = 2024-01-16
words = "Sore."
part = "all"
closed = 2024-01-30
closed_by = "A parent"
closed_words = "Fine again."
[[hold]]
opened = 2024-01-30
words = "Hoarse."
part = "voice"
"""
FACTS = """\
notes: lesson day=2024-01-16 by=Olu line=28
notes: lesson day=2024-01-30 line=35
notes: settled day=2024-01-30 after=two line=19
notes: state skill=top day=2024-01-30 before=untried after=secure
unit: unit-start day=2024-01-23 before=one after=two line=6
set-aside: set-aside skill=late day=2024-01-30 by=Olu line=13
band: birthday day=2024-01-20 before=from-5 after=from-6
band: number before=6 after=7 rule=spread_days line=from-6
band: optional-now skill=early
band: asked-for-now skill=late
hold: hold-closed day=2024-01-20 before=hand by=A parent line=41
hold: hold-opened day=2024-01-30 after=voice line=55
dated: taught-from skill=far day=2024-01-16
dated: retired skill=far day=2024-01-30
dated: taught-from skill=then day=2024-01-30"""
"""What lies on the earlier day was so already, what lies on the later one is new, what comes after it is not
known. A lesson in which nothing was tried is no note; the hold of the 16th was closed again; the length of a
lesson is no number that a verdict rests on."""


def facts(question: ChangeQuestion) -> str:
    """Return every fact of every cause, a line each; lines of the course by the skill or the band there."""
    there: dict[object, str] = {("", one.place.line): one.id for one in question.after.skills}
    there |= {(rule, origin.place.line): band for (band, rule), origin in question.after.provenance.items()}
    undoing = Undoing(question, judge(question.before, question.record, question.since))
    return "\n".join(f"{cause}: {told(fact, there)}" for cause in CAUSES
                     for fact in facts_of(cause, undoing.facts_about(cause)))  # fmt: skip


def told(fact: Fact, there: Mapping[object, str]) -> str:
    named = {name: getattr(fact, name) for name in ("skill", "day", "before", "after", "rule", "by", "line")}
    named |= {"day": iso(fact.day), "line": fact.line or None}
    if fact.line and fact.kind.startswith(("skill", "link", "groups", "number")):
        named["line"] = there[fact.rule if fact.kind == "number" else "", fact.line]
    known = (f"{name}={value}" for name, value in named.items() if value not in (None, ""))
    return " ".join([fact.kind, *known])


def test_the_facts_between_two_days(tmp_path):
    course = build_course(dict(BETWEEN.graph), dict(BETWEEN.pacing))
    path = tmp_path / "nia.toml"
    path.write_text(FILE, encoding="utf-8")
    loaded = load_record(path, course)
    assert not loaded.problems
    assert facts(ChangeQuestion(loaded.record, SINCE.toordinal(), ON.toordinal(), course)) == FACTS


ONE_OF = {"at_least": 1, "of": ["base", "other"]}
BOTH_OF = {"at_least": 2, "of": ["base", "other"]}
BEFORE = small(
    {
        "one": {
            "stop": PAIN, "base": {}, "other": {}, "gone": {}, "plain": {}, "must": {"must_be_seen": True},
        },
        "two": {"top": {"stands_on": ["base", "plain"], "stands_on_some": [ONE_OF]}},
    },
    {},
    ON,
    bands={5: {}, 6: {}, 8: {}},
)  # fmt: skip
AFTER = small(
    {
        "one": {
            "stop": PAIN, "base": {"kind": "ear", "minutes": 5, "optional_in": ["from-5", "from-8"]},
            "other": {"fade": "slow"}, "fresh": {}, "plain": {}, "must": {},
        },
        "two": {"top": {"stands_on": ["plain", "other"], "stands_on_some": [BOTH_OF]}},
        "three": {},
    },
    {},
    ON,
    bands={
        5: {"carry_limit": 1}, 6: {"spread_days": 7, "carry_limit": 1, "lesson_minutes": 45},
        8: {"carry_limit": 0}, 9: {"carry_limit": 3},
    },
)  # fmt: skip
EDITS = """\
graph: edit day=2024-01-20
graph: edit by=Olu
graph: edit after=links
graph: skill-edited skill=base before=motor after=ear rule=kind line=base
graph: skill-edited skill=base after=from-5, from-8 rule=optional_in line=base
graph: skill-edited skill=other before=fast after=slow rule=fade line=other
graph: skill-new skill=fresh line=fresh
graph: skill-edited skill=must before=True after=False rule=must_be_seen line=must
graph: link-new skill=top after=other line=top
graph: link-gone skill=top before=base line=top
graph: groups-edited skill=top line=top
graph: skill-gone skill=gone
graph: units-edited
numbers: edit day=2024-01-20
numbers: edit by=Olu
numbers: edit after=links
numbers: number before=2 after=1 rule=carry_limit line=from-5
numbers: number before=6 after=7 rule=spread_days line=from-6
numbers: number before=2 after=1 rule=carry_limit line=from-6"""
"""The student turned six in between: the numbers of both ages count, those of eight and nine do not. The
minutes of a skill and of a lesson are no ground of a verdict. Of an edit of which nothing is known nothing
is said."""


def test_the_facts_of_an_edit():
    before, after = (build_course(dict(one.graph), dict(one.pacing)) for one in (BEFORE, AFTER))
    data = {"format": 1, "name": "Nia", "born": "2018-01-20", "unit_start": [{"unit": "one", "on": SINCE}]}
    edits = (
        Edit(day_number("2024-01-20"), "", "", before),
        Edit(None, "", "", after), Edit(None, "Olu", "", after), Edit(None, "", "links", after),
    )  # fmt: skip
    record = build_record("nia", data, before)
    question = ChangeQuestion(record, SINCE.toordinal(), ON.toordinal(), before, edits)
    found = facts(question).split("\n")
    assert [one for one in found if one.startswith(("graph", "numbers"))] == EDITS.split("\n")
    untouched = facts(replace(question, edits=edits[:1])).split("\n")
    assert not [one for one in untouched if one.startswith(("graph", "numbers"))]


def test_a_number_that_stands_in_no_file_has_no_line():
    before, after = (build_course(dict(one.graph), dict(one.pacing)) for one in (BEFORE, AFTER))
    data = {"format": 1, "name": "Nia", "born": "2018-01-20", "unit_start": [{"unit": "one", "on": SINCE}]}
    edit = Edit(None, "", "", replace(after, provenance={}))
    record = build_record("nia", data, before)
    question = ChangeQuestion(record, SINCE.toordinal(), ON.toordinal(), before, (edit,))
    found = [one for one in facts(question).split("\n") if ": number" in one]
    assert found == [
        "band: number before=6 after=7 rule=spread_days",
        "numbers: number before=2 after=1 rule=carry_limit",
        "numbers: number before=6 after=7 rule=spread_days",
        "numbers: number before=2 after=1 rule=carry_limit",
    ]


def test_the_latest_band_that_was_chosen_in_between_is_told():
    course = build_course(dict(BETWEEN.graph), dict(BETWEEN.pacing))
    days = (("from-5", 15), ("from-6", 30), ("from-5", 16), ("from-5", 31))
    choices = [{"band": band, "on": date(2024, 1, day), "reason": "Made up."} for band, day in days]
    data = {
        "format": 1, "name": "Nia", "born": "2010-01-20", "band_choice": choices,
        "unit_start": [{"unit": "one", "on": date(2024, 1, 2)}],
    }  # fmt: skip
    record = build_record("nia", data, course)
    question = ChangeQuestion(record, SINCE.toordinal(), ON.toordinal(), course)
    found = [one for one in facts(question).split("\n") if one.startswith("band: b")]
    line = next(one.line for one in record.band_choices if one.on == ON.toordinal())
    end = f" line={line}" if line else ""
    assert found == [f"band: band-choice day=2024-01-30 before=from-5 after=from-6{end}"]


def test_a_break_begins_and_ends():
    """Three weeks without a lesson are a break of this band (rule R7); the second lesson after it ends it."""
    course = build_course(dict(BETWEEN.graph), dict(BETWEEN.pacing))
    days = [date(2024, 1, 2), date(2024, 1, 9), date(2024, 1, 31), date(2024, 2, 7)]
    lessons = [{"on": day, "alone": ["stop"]} for day in days]
    data = {
        "format": 1, "name": "Nia", "born": "2015-01-20", "lesson": lessons,
        "unit_start": [{"unit": "one", "on": days[0]}],
    }  # fmt: skip
    record = build_record("nia", data, course)

    def between(since, on):
        question = ChangeQuestion(record, date(2024, *since).toordinal(), date(2024, *on).toordinal(), course)
        return [one for one in facts(question).split("\n") if one.startswith("break")]

    assert between((1, 9), (1, 29)) == []
    assert between((1, 9), (1, 30)) == ["break: break-begun day=2024-01-09 after=21"]
    assert between((1, 30), (1, 31)) == []
    assert between((1, 30), (2, 7)) == ["break: break-over day=2024-02-07 after=21"]


def made_up(situation: Situation, days: int) -> ChangeQuestion:
    course = build_course(dict(situation.graph), dict(situation.pacing))
    on = situation.on.toordinal()
    return ChangeQuestion(record_of(situation, course), on - days, on, course)


RESTED = small(
    {"one": {"stop": {"asks_pain": True, "always_look": True}}, "two": {"top": {"stands_on": ["stop"]}}},
    {
        "unit_start": [{"unit": "one", "on": date(2024, 1, 9)}],
        "lesson": [{"on": date(2024, 1, 9), "alone": ["stop"]}],
        "hold": [
            {
                "opened": date(2024, 1, 16), "words": "Sore.", "part": "hand",
                "closed": date(2024, 1, 17), "closed_by": "An adult", "closed_words": "Fine again.",
            }
        ],
    },
    date(2024, 1, 20),
)
"""Ready, then a hold, opened and closed: after it the student is looked at again, on two lesson days."""


@example(RESTED, 2)
@example(RESTED, 6)
@given(situations(), st.integers(1, 60))
@settings(max_examples=60)
def test_with_everything_undone_it_is_as_it_was(situation: Situation, days: int) -> None:
    question = made_up(situation, days)
    earlier = judge(question.before, question.record, question.since)
    undone = Undoing(question, earlier).answer(frozenset(CAUSES))
    assert undone.verdict == earlier.verdict
    states = [one.state for one in earlier.standings.values()]
    assert [one.state for one in undone.standings.values()] == states


@given(situations(), st.integers(1, 60))
@settings(max_examples=40)
def test_every_set_of_causes_restores_and_no_part_of_it_does(situation: Situation, days: int) -> None:
    question = made_up(situation, days)
    found = why_changed(question)
    if found.asked != "verdict":
        return
    assert found.restoring
    undoing = Undoing(question, found.earlier)
    happened = {*found.without_effect, *(one.id for one in (*found.beside, *found.causes))}

    def restores(causes, beside=frozenset()):
        return undoing.answer(frozenset(causes) | beside).verdict == found.earlier.verdict

    every = [part for size in range(len(happened) + 1) for part in combinations(sorted(happened), size)]
    hidden = frozenset() if any(map(restores, every)) else frozenset(CAUSES) - happened
    for causes in found.restoring:
        assert restores(causes, hidden)
        for size in range(len(causes)):
            for fewer in combinations(causes, size):
                assert (hidden and not fewer) or not restores(fewer, hidden)


def test_what_new_notes_hide_is_undone_with_them(course, records):
    """Without the notes since, windows would have ended; with them none did, and the notes are the cause."""
    bogdan, day = records["bogdan"], day_number("2025-12-02")
    every = tuple(Showing(skill, 0, 0) for skill in judge(course, bogdan, day).standings)
    since = tuple(Lesson(day + later, every) for later in (14, 28, 42))
    question = ChangeQuestion(replace(bogdan, lessons=(*bogdan.lessons, *since)), day, day + 42, course)
    found = why_changed(question)
    assert (found.earlier.verdict, found.later.verdict) == ("ready-taking-along", "ready")
    assert Undoing(question, found.earlier).answer(frozenset({"notes"})).verdict == "look-again"
    assert found.restoring == (("notes",),)


def in_the_way(answer):
    return answer.verdict, {(one.skill, one.group and one.group.of) for one in answer.blockers}


@given(situations(), st.integers(1, 60))
@settings(max_examples=40)
def test_what_is_called_without_effect_has_none(situation: Situation, days: int) -> None:
    """Taken back alone it leaves the verdict and what is in the way; what does not is said to matter."""
    question = made_up(situation, days)
    found = why_changed(question)
    undoing = Undoing(question, found.earlier)
    for cause in found.without_effect:
        assert in_the_way(undoing.answer(frozenset({cause}))) == in_the_way(found.later)
    for one in found.beside:
        assert in_the_way(one.answer) == in_the_way(undoing.answer(frozenset({one.id})))
        assert in_the_way(one.answer) != in_the_way(found.later)
    told = [*found.without_effect, *(one.id for one in found.beside), *(one.id for one in found.causes)]
    assert len(told) == len(set(told))


def test_notes_that_made_a_difference_are_not_called_without_effect(course, records):
    """A hold was closed and that changed the verdict; without the notes two lessons would come first (R7)."""
    bogdan, day = records["bogdan"], day_number("2025-12-05")
    every = tuple(Showing(skill, 4, 0) for skill in judge(course, bogdan, day).deciding)
    hold = Hold(day - 3, "sore", "hand", closed=day + 3, closed_by="OB", closed_words="well again")
    lessons = (*bogdan.lessons, Lesson(day + 7, every), Lesson(day + 14, every))
    question = ChangeQuestion(replace(bogdan, lessons=lessons, holds=(hold,)), day, day + 15, course)
    found = why_changed(question)
    assert (found.earlier.verdict, found.later.verdict) == ("paused", "not-yet")
    assert found.restoring == (("hold",),)
    (notes,) = found.beside
    assert (notes.id, notes.answer.verdict) == ("notes", "look-again")
    assert "notes" not in found.without_effect
    words = " ".join(text_of(changed_sections, found, course, bogdan, "not", full=True).split())
    assert "Made a difference too - Without the new notes: look again first." in words


@given(situations(), st.integers(1, 60))
@settings(max_examples=40)
def test_the_days_are_those_of_asking_every_day(situation: Situation, days: int) -> None:
    question = made_up(situation, days)
    found, last = turns(question.record, question.before, (), question.since, question.on)
    assert last == question.on
    verdict, expected = judge(question.before, question.record, question.since).verdict, []
    for day in range(question.since + 1, question.on + 1):
        now = judge(question.before, question.record, day).verdict
        if now != verdict:
            expected.append((day, now))
            verdict = now
    assert [(turn.day, turn.verdict) for turn in found] == expected


@pytest.mark.parametrize("student", ["temwa", "chikondi"])
def test_a_record_fits_a_course_without_some_of_its_skills(course, records, student):
    record = records[student]
    skills = tuple(one for one in course.skills if one.id != "wrist-lift")
    fit = fitting(record, replace(course, skills=skills))
    assert not [s for lesson in fit.lessons for s in lesson.showings if s.skill == "wrist-lift"]
    assert [one.on for one in fit.lessons] == [one.on for one in record.lessons]


def test_where_very_much_was_noted_only_the_latest_days_are_followed(course):
    on = day_number("2025-12-02")
    lessons = [{"on": date.fromordinal(on - 3 * n), "alone": ["wrist-lift"]} for n in range(150)]
    record = build_record("made-up", {"format": 1, "name": "M", "born": "2015-05", "lesson": lessons}, course)
    found = why_changed(ChangeQuestion(record, on - 440, on, course))
    assert found.followed_from == on - 3 * 99
    assert "days before" in text_of(changed_sections, found, course, record, "not", full=True)
    assert why_changed(ChangeQuestion(record, on - 30, on, course)).followed_from == on - 30


def test_where_too_many_days_are_to_be_asked_about_it_is_said_to_which_it_was(course, monkeypatch):
    on = day_number("2025-12-02")
    lessons = [{"on": date.fromordinal(on - 3 * n), "alone": ["wrist-lift"]} for n in range(20)]
    record = build_record("made-up", {"format": 1, "name": "M", "born": "2015-05", "lesson": lessons}, course)
    question = ChangeQuestion(record, on - 90, on, course)
    assert why_changed(question).followed_to == on
    monkeypatch.setattr(timeline, "_MOST_DAYS", 10)
    found = why_changed(question)
    assert question.since < found.followed_to < on
    assert "those after" in text_of(changed_sections, found, course, record, "not", full=True)
    assert changed_to_dict(found, "not")["turns_looked_for_to"] == iso(found.followed_to)
