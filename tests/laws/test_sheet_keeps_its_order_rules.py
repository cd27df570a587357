"""A check sheet keeps the order rules of the trade: common practice, no source."""

from __future__ import annotations

from dataclasses import replace
from itertools import pairwise

from drawn import drawn_once, situations
from hypothesis import given
from hypothesis import strategies as st
from laws.test_plan_is_the_best_there_is import with_rules

from readiness.advice.sheet import CheckSheet, check_sheet
from readiness.advice.skill_traits import is_hard
from readiness.testing import Asked, ask

DECIDING = ("blocker", "group", "one-thing", "look-first")
CAN_WAIT = ("rest", "fading")


@st.composite
def sheets(draw: st.DrawFn) -> tuple[Asked, CheckSheet]:
    """Draw a question and its check sheet, with room for few items or many."""
    asked = ask(with_rules(draw(situations()), check_items_max=draw(st.sampled_from([10, 8, 5, 3]))))
    return asked, check_sheet(asked.course, asked.record, asked.answer)


SHEETS = drawn_once(sheets(), rounds=5)


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
    if not any(one and two for one, two in pairwise(row)):
        return
    on_it = {skill for item in sheet.items for skill in item.skills}
    left = [
        skill.id
        for skill in asked.course.skills
        if asked.answer.standings[skill.id].state == "secure"
        and skill.kind != "habit"
        and not skill.always_look
        and asked.answer.band not in skill.optional_in
        and not is_hard(skill, asked.answer.standings[skill.id])
        and skill.id not in on_it
    ]
    assert left == []


@given(SHEETS)
def test_what_decides_is_left_off_only_where_there_is_no_room(made):
    asked, sheet = made
    if not is_check(asked):
        return
    missing = [one.skill for one in sheet.left_out if one.why == "no-room"]
    if any(one.skill in missing for one in asked.answer.blockers):
        ends = ("sure-success", "always-look", "favourite")  # these have their places and part nothing
        hard = sum(item.hard for item in sheet.items)
        easy = sum(not item.hard for item in sheet.items if item.why not in ends)
        assert len(sheet.items) == sheet.most_items or hard + 1 >= easy


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
