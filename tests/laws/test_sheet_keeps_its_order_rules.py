"""A check sheet keeps the order rules of the trade: common practice, no source."""

from __future__ import annotations

from collections.abc import Set as AbstractSet
from dataclasses import replace
from itertools import pairwise

from drawn import drawn_once, situations
from hypothesis import given, settings
from hypothesis import strategies as st
from laws.test_plan_is_the_best_there_is import Judge, began_late, with_rules

from readiness.advice.sheet import CheckSheet, check_sheet
from readiness.advice.skill_traits import is_hard, resting_skills
from readiness.judging.answer import GAP_STATES
from readiness.testing import Asked, ask

DECIDING = ("blocker", "group", "one-thing", "look-first", "beneath")
ENDS = ("sure-success", "always-look", "favourite")  # these have their places and part nothing
NO_ROOM = ("no-room", "easy-between")
CAN_WAIT = ("rest", "fading")


@st.composite
def sheets(draw: st.DrawFn) -> tuple[Asked, CheckSheet]:
    """Draw a question and its check sheet, with room for few items or many; some began further on."""
    situation, lessons = draw(situations()), draw(st.sampled_from([0, 0, 1, 3]))
    situation = began_late(situation, lessons) if lessons else situation
    asked = ask(with_rules(situation, check_items_max=draw(st.sampled_from([10, 8, 6, 5, 3]))))
    return asked, check_sheet(asked.course, asked.record, asked.answer)


SHEETS = drawn_once(sheets())
MANY = settings(max_examples=200)


def is_check(asked: Asked) -> bool:
    """Return whether it is a check in a unit, with no hold."""
    return asked.answer.verdict != "paused" and asked.answer.placing is None


@given(SHEETS)
def test_never_more_items_than_may_be_and_nothing_twice(made):
    _, sheet = made
    skills = [skill for item in sheet.items for skill in item.skills]
    assert len(sheet.items) <= sheet.most_items
    assert len(skills) == len(set(skills))
    assert not {one.skill for one in sheet.left_out} & set(skills)


@given(SHEETS)
def test_all_that_could_be_asked_is_on_the_sheet_or_left_out_with_a_reason(made):
    asked, sheet = made
    if not is_check(asked):
        return
    answer = asked.answer
    told = {skill for item in sheet.items for skill in item.skills} | {one.skill for one in sheet.left_out}
    members = [member for group in answer.groups for member in group.of]
    assert {*answer.deciding, *answer.rest, *members, *answer.look_first} <= told
    for one in sheet.left_out:
        state = answer.standings[one.skill].state
        assert (one.why == "set-aside") == (state == "set-aside")
        if one.why == "certain":
            assert state == "secure" or one.skill not in {*answer.deciding, *answer.rest}
        if one.why == "comes-with":
            assert state == "stale"
            assert any(one.by in item.skills for item in sheet.items)


@given(SHEETS)
def test_it_begins_with_a_sure_success_and_one_glance_and_ends_with_a_favourite(made):
    asked, sheet = made
    if not is_check(asked) or sheet.most_items < 5:
        return
    reasons = [item.why for item in sheet.items]
    always = [s.id for s in asked.course.skills if s.always_look and s.id in asked.answer.deciding]
    head = [why for why in reasons if why in ("sure-success", "always-look")]
    assert reasons[: len(head)] == head
    assert reasons[-1] == "favourite"
    assert reasons.count("favourite") == 1
    assert reasons.count("sure-success") <= 1
    glances = [item.skills for item in sheet.items if item.why == "always-look"]
    assert glances == ([tuple(always)] if always else [])
    due = any(asked.answer.standings[skill].state != "secure" for skill in always)
    if len(head) == 2:
        assert head[0] == ("always-look" if due else "sure-success")
    for item in sheet.items:
        if item.why in ("sure-success", "between", "favourite"):
            assert not item.hard
            assert all(asked.answer.standings[skill].state == "secure" for skill in item.skills)


@given(SHEETS)
def test_what_decides_stands_before_what_can_wait(made):
    asked, sheet = made
    if not is_check(asked):
        return
    reasons = [item.why for item in sheet.items]
    last = max((place for place, why in enumerate(reasons) if why in DECIDING), default=-1)
    assert all(why not in CAN_WAIT for why in reasons[: last + 1])


@given(SHEETS)
def test_never_two_hard_ones_in_a_row_while_something_easy_is_left(made):
    asked, sheet = made
    if not is_check(asked):
        return
    row = [item.hard for item in sheet.items]
    if any(one and two for one, two in pairwise(row)):
        assert easy_ones_left(asked, sheet) == []


def easy_ones_left(asked: Asked, sheet: CheckSheet) -> list[str]:
    """Return what is secure and easy and is not on the sheet."""
    on_it = {skill for item in sheet.items for skill in item.skills}
    return [
        skill.id
        for skill in asked.course.skills
        if asked.answer.standings[skill.id].state == "secure"
        and skill.kind != "habit"
        and not skill.always_look
        and asked.answer.band not in skill.optional_in
        and not is_hard(skill, asked.answer.standings[skill.id])
        and skill.id not in on_it
    ]


@MANY
@given(SHEETS)
def test_what_stands_between_was_in_the_last_lesson_only_where_nothing_else_is_easy(made):
    asked, sheet = made
    seen = {skill: one.last_seen for skill, one in asked.answer.standings.items()}
    last = asked.answer.last_lesson
    between = [item.skills[0] for item in sheet.items if item.why == "between"]
    if last is not None and any(seen[skill] == last for skill in between):
        left = [asked.course.skill[skill] for skill in easy_ones_left(asked, sheet)]
        assert all(seen[skill.id] == last or skill.counts_groups for skill in left)


@given(SHEETS)
def test_what_is_probably_there_is_no_harder_than_what_is(made):
    asked, sheet = made
    if not is_check(asked):
        return
    likely = Judge(asked).presumed()
    for item in sheet.items:
        for skill in item.skills if item.why != "always-look" else ():
            assert item.hard == is_hard_by_hand(asked, skill, likely), skill


def is_hard_by_hand(asked: Asked, skill: str, likely: AbstractSet[str]) -> bool:
    """Return whether a skill was tried and is not there, was never asked, or is a movement soon gone."""
    one, state = asked.course.skill[skill], asked.answer.standings[skill].state
    is_unknown = state in GAP_STATES or (state == "untried" and skill not in likely)
    return is_unknown or (one.kind == "motor" and one.fade == "fast")


def lowest_under(asked: Asked, sheet: CheckSheet, skill: str) -> set[str]:
    """Return what lies lowest under a skill that waits for it, and may be looked at by itself."""
    others = {s.id for s in asked.course.skills if s.always_look}
    others |= {one.skill for one in sheet.left_out if one.why == "comes-with"}
    others |= resting_skills(asked.course, asked.record, asked.answer.on)
    return Judge(asked).lowest_under([skill]) - others


@MANY
@given(SHEETS)
def test_what_decides_is_left_off_only_where_there_is_no_room_for_it_and_something_easy(made):
    """What waits for something under it has that on the sheet, or there is no room for that either."""
    asked, sheet = made
    if not is_check(asked):
        return
    items = [item for item in sheet.items if item.why in DECIDING]
    on_it, hard = {skill for item in items for skill in item.skills}, sum(item.hard for item in items)
    room = sheet.most_items - sum(item.why in ENDS for item in sheet.items)
    left, likely = {one.skill: one.why for one in sheet.left_out}, Judge(asked).presumed()
    for blocker in (one.skill for one in asked.answer.blockers if one.skill in left):
        lacks = left[blocker] == "footing"
        assert lacks or left[blocker] in (*NO_ROOM, "comes-with", "on-hold")
        for skill in lowest_under(asked, sheet, blocker) - on_it if lacks else {blocker}:
            if lacks or left[skill] in NO_ROOM:
                hard_then = hard + is_hard_by_hand(asked, skill, likely)
                assert max(len(items) + 1, 2 * hard_then - 1) > room, skill


@MANY
@given(SHEETS)
def test_what_the_notes_say_no_to_and_safety_come_before_what_decides_beside_them(made):
    """Of two hard things that decide the one that ``why`` names later is never on the sheet alone."""
    asked, sheet = made
    safe = {skill.id for skill in asked.course.skills if skill.safety}
    named = {asked.answer.one_thing, *asked.answer.look_first}
    first = sorted(
        (one for one in asked.answer.blockers if one.skill and one.skill not in named),
        key=lambda one: (one.state not in GAP_STATES, one.skill not in safe),
    )
    hard = {item.skills[0] for item in sheet.items if item.why == "blocker" and item.hard}
    left = {one.skill for one in sheet.left_out if one.why in NO_ROOM}
    at = next((place for place, one in enumerate(first) if one.skill in left), len(first))
    assert not is_check(asked) or not hard.intersection(one.skill for one in first[at:])


@given(SHEETS)
def test_the_room_that_is_said_to_lack_lacks(made):
    asked, sheet = made
    if not is_check(asked):
        return
    whys = {one.why for one in sheet.left_out}
    is_spaced = len(sheet.items) < sheet.most_items or any(item.why == "between" for item in sheet.items)
    assert "no-room" not in whys or not is_spaced
    assert "easy-between" not in whys or (is_spaced and any(item.hard for item in sheet.items))


@given(situations(), st.sampled_from(["hand", "voice", "all"]))
def test_under_a_hold_nothing_on_it_is_played(situation, part):
    hold = {"opened": situation.on, "words": "sore", "part": part}
    asked = ask(situation.with_student(hold=[hold]))
    sheet = check_sheet(asked.course, asked.record, asked.answer)
    assert all(item.why in ("care", "if-comfortable") and item.quiet for item in sheet.items)
    assert "C1" in sheet.cautions


@given(situations())
def test_a_placing_look_begins_with_the_glance_and_goes_from_easy_to_hard(situation):
    asked = ask(situation.with_student(unit_start=[], hold=[]))
    sheet = check_sheet(asked.course, asked.record, asked.answer)
    plan = asked.course.plan
    glance = [place for place, item in enumerate(sheet.items) if item.why == "always-look"]
    assert glance in ([], [0])
    probes = [item for item in sheet.items if item.why in ("patch", "stopped", "probe")]
    units = [plan.unit[plan.index[item.skills[0]]] for item in probes]
    assert units == sorted(units)
    assert sheet.items[-1].skills == ()


@given(SHEETS)
def test_the_same_question_gives_the_same_sheet(made):
    asked, sheet = made
    again = ask(replace(asked.situation))
    assert check_sheet(again.course, again.record, again.answer) == sheet
