"""There is one start, with what would move it, and every answer says the same; no list denies another."""

from __future__ import annotations

import json
from dataclasses import replace
from datetime import date

import pytest
from drawn import situations
from hypothesis import given, settings
from hypothesis import strategies as st
from told import page_of, text_of

from readiness.advice.ground import Claim, likely_before, presumed, unit_begun
from readiness.advice.placing_crowd import ASSUMED, footings
from readiness.advice.placing_round import PlacingLooks, placing_round
from readiness.cli.main import main
from readiness.course.load import build_course
from readiness.days import day_number
from readiness.editing.compare import compare
from readiness.judging import judge
from readiness.judging.history import known_on
from readiness.record.load import build_record
from readiness.testing import record_of
from readiness.words.changes import comparison_reasons
from readiness.words.placing_round import next_look, round_sections, start_words

FIRST = day_number("2025-12-04")
FAR_ON = ["step-skip-keys", "hands-alternate-fours", "white-key-piece"]
"""Three things that stand on much, but not on what units 3 and 4 ask for of ear and voice."""


@pytest.fixture
def far_on(course):
    lesson = {"on": date(2025, 12, 4), "alone": FAR_ON, "not_shown": ["middle-of-keyboard"]}
    data = {"format": 1, "name": "Made up", "born": "2018-05-01", "lesson": [lesson]}
    return build_record("made-up", data, course)


def number(course, unit):
    return course.unit[unit].number


def number_in(course, skill):
    return number(course, course.skill[skill].unit)


def seat(course):
    return {skill.id: 0 for skill in course.skills if skill.always_look}


def test_it_is_not_clear_while_the_two_readings_differ_by_more_than_a_unit(course, far_on):
    """Whatever is shown from here on: where it says that it is clear, both readings start there."""
    for shows in (lambda unit: unit < 9, lambda unit: unit < 5, lambda unit: True):
        helps = seat(course)
        now = placing_round(course, far_on, FIRST, helps)
        assert number(course, now.start) > number(course, now.result.start_unit) + 1
        assert now.stop != "settled"
        while now.next is not None:
            for skill in now.next.skills:
                helps[skill] = 0 if shows(number(course, course.skill[skill].unit)) else 4
            now = placing_round(course, far_on, FIRST, helps)
        apart = abs(number(course, now.start) - number(course, now.result.start_unit))
        assert (now.stop == "settled") <= (apart <= 1)


def start_by_the_rule(graph, there, limit, aside):
    """Return the number of the unit in which R10 starts somebody with ``there``, read from the file."""
    units, skills = list(graph["unit"]), graph["skill"]
    at = {skill: units.index(table["unit"]) for skill, table in skills.items()}
    missing = set()
    for unit in range(1, len(units)):
        named = {below for skill, table in skills.items() if at[skill] == unit and skill not in aside
                 for below in table["stands_on"] if at[below] < unit and below not in aside}  # fmt: skip
        missing |= {below for below in named - there if not skills[below].get("always_look")}
        if len(missing) > limit:
            return unit - 1
    return len(units) - 1


@given(situations(), st.integers(0, 3), st.integers(0, 40))
@settings(max_examples=15)
def test_each_imagined_student_starts_where_the_rule_says(situation, limit, aside):
    """With all that is under what they have; nothing implies a skill that must be seen (rule R10)."""
    course = build_course(dict(situation.graph), dict(situation.pacing))
    plan, skills = course.plan, situation.graph["skill"]
    left_out = {skill for number, skill in enumerate(skills) if number == aside}
    now = footings(course, plan.set_of(left_out), limit)
    having = {plan.ids[i]: who for i, who in now.crowd.having.items()}
    assert set(having) == {s for s, table in skills.items() if not table.get("always_look")} - left_out
    for skill, who in having.items():
        for below in skills[skill]["stands_on"]:
            if below in having and not skills[below].get("must_be_seen"):
                assert not who & ~having[below]
    for one in range(0, now.crowd.size, 1009):
        there = {skill for skill, who in having.items() if who >> one & 1}
        start = start_by_the_rule(situation.graph, there, limit, left_out)
        assert [unit for unit, some in enumerate(now.starts) if some >> one & 1] == [start]
        assert now.start_of(plan.set_of(there), limit) == start
    assert now.is_whole


@given(situations())
@settings(max_examples=30)
def test_the_units_named_hold_most_of_the_belief_and_no_unit_more(situation):
    situation = situation.with_student(unit_start=[], hold=[])
    course = build_course(dict(situation.graph), dict(situation.pacing))
    record, on = record_of(situation, course), situation.on.toordinal()
    now = placing_round(course, record, on)
    known = PlacingLooks(course, record, known_on(course, record, on), frozenset(), ())
    units = [course.plan.unit_index[unit] for unit in now.fits]
    assert units == list(range(units[0], units[-1] + 1))
    assert known.best in units
    held = [known.chances[unit] for unit in units]
    assert sum(held) >= ASSUMED.likely
    ends = [held[0]] * (units[0] != known.best) + [held[-1]] * (units[-1] != known.best)
    assert not ends or min(sum(held) - end for end in ends) < ASSUMED.likely


@given(situations())
@settings(max_examples=30)
def test_what_a_start_asks_for_is_there_or_taken_as_there_or_a_patch(situation):
    """Each thing is one of these; nothing is likely that was asked for or is a matter of safety."""
    situation = situation.with_student(unit_start=[], hold=[])
    course, skills = build_course(dict(situation.graph), dict(situation.pacing)), situation.graph["skill"]
    record, on, plan = record_of(situation, course), situation.on.toordinal(), course.plan
    now = placing_round(course, record, on)
    known = PlacingLooks(course, record, known_on(course, record, on), frozenset(), ())
    wanted = {*plan.names(known.footings.asked_by[known.best])}
    assert now.start == plan.unit_ids[known.best]
    assert wanted - {*now.seen, *now.result.implied} == {*now.taken, *now.patches}
    before = number(course, now.start)
    assert set(now.implied) == {one for one in now.result.implied if number_in(course, one) < before}
    assert set(now.taken).isdisjoint(now.patches)
    assert not [one for one in (*now.seen, *now.taken, *now.patches) if skills[one].get("always_look")]
    assert not now.raises or known.best > plan.unit_index[now.result.start_unit]
    units = range(len(plan.unit_ids))
    likely = [{*plan.names(likely_before(course, record, known._states, unit))} for unit in units]
    assert likely[0] == set()
    every = {plan.ids[i] for i, who in known.footings.crowd.having.items() if known.belief.share(who) >= 0.5}
    every -= {*plan.names(known.asked), *(one for one in skills if skills[one].get("safety"))}
    something = known.asked & known.footings.asked_by[-1]
    for unit, found in enumerate(likely):
        assert found == {one for one in every if something and plan.unit[plan.index[one]] < unit}


def test_what_is_asked_next_brings_the_start_of_the_rule_further_than_any_other_look(course, far_on):
    """Checked by asking about every other look that is taken as there: none starts later."""
    helps = seat(course)
    now = placing_round(course, far_on, FIRST, helps)
    (named,) = now.raises

    def start_with(skill):
        return number(course, placing_round(course, far_on, FIRST, {**helps, skill: 0}).result.start_unit)

    others = [skill for skill in now.taken if course.skill[skill].strand == course.skill[named].strand]
    assert len(others) > 2
    assert start_with(named) == max(map(start_with, others))


@pytest.mark.parametrize("shown", [FAR_ON, FAR_ON[:2], FAR_ON[1:], FAR_ON[2:], ["step-skip-keys"]])
def test_of_looks_that_bring_it_as_far_the_one_comes_that_leaves_least_open(course, shown):
    """Furthest start, then least missing beyond what may come along, then most settled of what is taken."""
    lesson = {"on": date(2025, 12, 4), "alone": shown, "not_shown": ["middle-of-keyboard"]}
    data = {"format": 1, "name": "Made up", "born": "2018-05-01", "lesson": [lesson]}
    record, plan = build_record("made-up", data, course), course.plan
    now = placing_round(course, record, FIRST)
    known = PlacingLooks(course, record, known_on(course, record, FIRST), frozenset(), ())
    limit = course.band["6-7"].whole("carry_limit")
    have, taken = {*now.seen, *now.result.implied}, set(now.taken)
    asked_by = [{*plan.names(one)} for one in known.footings.asked_by]
    best = plan.unit_index[now.start]

    def brings(skill):
        under = {
            one for one in plan.names(plan.ancestors[plan.index[skill]]) if not course.skill[one].must_be_seen
        }
        settled = {skill, *under} - {"middle-of-keyboard"}
        open_ = [len(asked - have - settled) for asked in asked_by]
        start = next((unit - 1 for unit, missing in enumerate(open_) if missing > limit), len(open_) - 1)
        beyond = sum(max(0, missing - limit) for missing in open_[: best + 1])
        return start, -beyond, len(settled & taken), -plan.unit[plan.index[skill]], -plan.index[skill]

    assert now.raises == ((max(taken, key=brings),) if taken else ())


def told(course, record, now):
    words = page_of(
        round_sections, now, judge(course, record, FIRST), course, record, width=10_000, full=True
    )
    return {part.split("\n")[0]: part for part in words.split("\n\n")}


def test_no_skill_is_in_two_lists(course, far_on):
    now = placing_round(course, far_on, FIRST, seat(course))
    parts = told(course, far_on, now)
    lists = ("To strengthen", "Probably there", "Implied", "Seen here")
    names = {
        skill.id: [title for title, part in parts.items() if title.startswith(lists) and skill.name in part]
        for skill in course.skills
        if not any(skill.name in other.name for other in course.skills if other is not skill)
    }
    assert {skill: where for skill, where in names.items() if len(where) > 1} == {}


def test_one_start_how_early_and_how_late_it_may_be_and_what_to_ask(course, far_on):
    now = replace(placing_round(course, far_on, FIRST, seat(course)), next=None, stop="lesson-full")
    start = told(course, far_on, now)["Start here, for now"]
    assert start.split("\n")[1].startswith(f"  Unit {number(course, now.start)}, ")
    assert f" unit {number(course, now.fits[-1])}." in start.replace(" to ", " unit ")
    assert f"is enough for unit {number(course, now.result.start_unit)}; the rest is probably there" in start
    assert course.skill[now.raises[0]].name in start


@pytest.mark.parametrize("to", ["family", "school"])
def test_every_answer_says_the_same_start(course, records, capsys, monkeypatch, tmp_path, to):
    """The round, the story, the letters and the decision name one unit and the same latest one."""
    monkeypatch.chdir(tmp_path)
    now = placing_round(course, records["rafiq"], FIRST)
    here, late = number(course, now.start), number(course, now.fits[-1])
    asked = (["place", "rafiq"], ["why", "rafiq"], ["tell", "rafiq", to], ["sheet", "rafiq"], ["roster"])
    for words in asked:
        assert main([*words, "--on", "2025-12-04"]) in (0, 1)
        out = " ".join(capsys.readouterr().out.split()).lower()
        is_told = now.is_clear or words[0] != "tell"  # nobody is told a unit before it is clear
        if words == ["roster"]:
            early = number(course, now.fits[0])
            assert f"no starting unit yet; so far unit {here}, perhaps {early} to {late}" in out
            continue
        assert (f"unit {here}, {course.unit[now.start].name}".lower() in out) == is_told
        assert ("the first lessons will show" if "family" in words else f" to {late}.") in out or not is_told
        assert ("where to begin is not clear yet" in out) == (words[0] == "tell" and not now.is_clear)
    assert unit_begun(course, records["rafiq"], judge(course, records["rafiq"], FIRST)) == now.start


def test_the_page_and_the_data_of_a_sheet_say_it_too(course, records, capsys, monkeypatch, tmp_path):
    monkeypatch.chdir(tmp_path)
    now = placing_round(course, records["rafiq"], FIRST)
    assert main(["sheet", "rafiq", "--on", "2025-12-04", "--html", "sheet.html"]) == 0
    page = " ".join((tmp_path / "sheet.html").read_text(encoding="utf-8").split())
    assert start_words(now, course) in page
    capsys.readouterr()
    assert main(["sheet", "rafiq", "--on", "2025-12-04", "--json"]) == 0
    found = json.loads(capsys.readouterr().out)
    said = [found[key] for key in ("start", "as_early_as", "as_late_as", "clear_enough_to_tell")]
    assert said == [now.start, now.fits[0], now.fits[-1], now.is_clear]


def test_one_easy_look_is_told_to_nobody_and_enough_looks_are(course):
    """Until it is clear, give or take a unit, or two lessons are over; common practice, no source."""
    data = {"format": 1, "name": "Made up", "born": "2018-05-01"}
    one = {"on": date(2025, 12, 4), "alone": ["steady-beat-keys"]}
    record, helps = build_record("made-up", {**data, "lesson": [one]}, course), seat(course)
    now = placing_round(course, record, FIRST, helps)
    assert not now.is_clear
    assert start_words(now, course).endswith("Look at more before you tell anybody.")
    assert number(course, now.fits[-1]) - number(course, now.fits[0]) > 2
    while now.next is not None:
        assert now.is_clear <= (now.stop == "")
        helps |= {skill: 0 if number_in(course, skill) < 8 else 4 for skill in now.next.skills}
        now = placing_round(course, record, FIRST, helps)
    assert now.is_clear == (now.stop != "lesson-full")
    over = {**data, "lesson": [{**one, "on": date(2025, 12, day)} for day in (1, 2)]}
    later = placing_round(course, build_record("made-up", over, course), FIRST, seat(course))
    assert (later.stop, later.is_clear) == ("two-lessons", True)


def test_what_an_edit_changes_for_a_start_is_the_start_that_why_gives(course, records):
    """With the later units in another order other things are asked for; both starts are the round's."""
    rafiq = records["rafiq"]
    other = replace(course, units=(*course.units[:3], *reversed(course.units[3:])))
    (change,) = compare(course, other, {"rafiq": (rafiq, rafiq)}, FIRST).changed
    then, now = (placing_round(one, rafiq, FIRST) for one in (course, other))
    assert then.start != now.start
    (told,) = [words for words in comparison_reasons(change, course) if words.startswith("start in ")]
    was, is_ = (course.unit[one.start] for one in (then, now))
    assert told == f"start in unit {is_.number}, {is_.name}, before in unit {was.number}, {was.name}"


def test_a_seat_that_was_left_out_is_said_to_be_unseen_first_of_all(course):
    data = {"format": 1, "name": "Made up", "born": "2018-05-01"}
    record = build_record("made-up", data, course)
    helps = {skill.id: 0 for skill in course.skills if skill.strand == "reading"}
    now = placing_round(course, record, FIRST, helps, seat(course))
    while now.next is not None:
        helps |= dict.fromkeys(now.next.skills, 0)
        now = placing_round(course, record, FIRST, helps, seat(course))
    assert set(now.seat_unseen) == set(seat(course))
    words = " ".join(text_of(next_look, now, course).split())
    assert 'Not looked at yet: "Feet supported", ' in words
    assert "Look there first of all next time." in words


def test_a_claim_is_held_against_the_entry_lists_of_the_rules(course, records, capsys, monkeypatch, tmp_path):
    """Each skill asked for is in one list; the lists follow the links as they are written (rules R7, R10)."""
    monkeypatch.chdir(tmp_path)
    assert main(["place", "rafiq", "--claimed", "9", "--on", "2025-12-04", "--json"]) == 0
    found = json.loads(capsys.readouterr().out)
    units = [unit.id for unit in course.units]
    asked = {
        below
        for number in range(1, 9)
        for skill in course.skills
        if skill.unit == units[number] and "8-10" not in skill.optional_in
        for below in skill.stands_on
        if number_in(course, below) <= number and "8-10" not in course.skill[below].optional_in
    }
    lists = [found[name] for name in ("shown", "implied", "missing", "not_asked")]
    assert sorted(skill for one in lists for skill in one) == sorted(asked)
    noted = records["rafiq"].lessons[0].showings
    cued = ("rounded-hand-keys", "holds-long-notes")
    missed = {one.skill for one in noted if one.help > 1 or one.skill in cued}
    assert set(found["missing"]) == missed & asked
    by_strand = [skill for lists in found["by_strand"].values() for one in lists.values() for skill in one]
    assert sorted(by_strand) == sorted(asked)
    assert main(["place", "rafiq", "--claimed", "nonsense"]) == 2


@pytest.mark.parametrize(
    "shown, missing, not_asked, holds",
    [
        (4, 3, 0, False), (4, 3, 9, False), (4, 2, 0, True), (4, 1, 1, True), (4, 2, 1, None),
        (0, 0, 3, None), (0, 0, 2, True), (0, 3, 0, False),
    ],
)  # fmt: skip
def test_a_claim_holds_when_no_more_can_be_missing_than_may_be(shown, missing, not_asked, holds):
    """Two may be missing: what was not asked for may be, so it says no only of what did not come (R10)."""
    names = {"shown": shown, "implied": 0, "missing": missing, "not_asked": not_asked}
    held = Claim("one", {name: tuple(map(str, range(some))) for name, some in names.items()}, 2, {})
    assert held.holds is holds


def test_what_is_likely_by_all_looks_is_looked_at_and_not_taught_anew(course):
    """Placed in unit 9 after a look in which all came: what was not asked of the units before is presumed."""
    data = {"format": 1, "name": "M", "born": "2017-05"}
    helps = seat(course)
    asked = placing_round(course, build_record("made-up", data, course), FIRST, helps)
    while asked.next is not None:
        for skill in asked.next.skills:
            helps[skill] = 0 if number(course, course.skill[skill].unit) < 9 else 4
        asked = placing_round(course, build_record("made-up", data, course), FIRST, helps)
    lesson = {"on": date(2025, 12, 4), "alone": [s for s in helps if helps[s] == 0]}
    lesson["not_shown"] = [s for s in helps if helps[s]]
    data |= {"lesson": [lesson], "unit_start": [{"unit": course.units[8].id, "on": date(2025, 12, 4)}]}
    record = build_record("made-up", data, course)
    likely = presumed(course, record, judge(course, record, FIRST))
    before = [s for s in course.skills if number(course, s.unit) < 9 and s.id not in helps]
    open_ = [s.id for s in before if not (s.safety or s.must_be_seen or s.always_look)]
    assert len(set(open_) & likely) >= 0.9 * len(open_)
    assert likely.isdisjoint(lesson["not_shown"])
