"""Two answers about one student and one day never contradict: what is asked, and the days and names said."""

from __future__ import annotations

from hypothesis import given
from laws.test_plan_is_the_best_there_is import Judge

from readiness.advice.after_break import after_break
from readiness.advice.as_json import plan_to_dict
from readiness.advice.handover import hand_over
from readiness.advice.lesson import plan_lesson
from readiness.advice.sheet import check_sheet
from readiness.advice.skill_traits import resting_skills
from readiness.judging.answer import GAP_STATES
from readiness.testing import Asked, ask, situations

questions = situations(most_units=3, most_skills=12).map(ask)


def asked_for(asked: Asked) -> dict[str, set[str]]:
    """Return what the sheet, the plan and the page for a substitute ask for, without the opening glance."""
    course, record, answer = asked.course, asked.record, asked.answer
    sheet, plan = check_sheet(course, record, answer), plan_lesson(course, record, answer)
    page = hand_over(course, record, answer)
    always = {skill.id for skill in course.skills if skill.always_look}
    return {
        "sheet": {skill for item in sheet.items for skill in item.skills} - always,
        "plan": {skill for block in plan.blocks for skill in block.skills} - always,
        "hand-over": {skill for block in page.blocks for skill in block.skills} - always,
    }


@given(questions)
def test_nothing_is_asked_before_what_it_builds_on_is_there(asked: Asked) -> None:
    """Practice above what is missing strengthens nothing: common practice, no source."""
    answer, judge = asked.answer, Judge(asked)
    if answer.placing is not None:
        return
    named = {answer.one_thing, *answer.look_first}
    for where, skills in asked_for(asked).items():
        for skill in skills:
            if judge.state(skill) == "untried" and skill not in named:
                assert not judge.lacks(skill), (where, skill)


@given(questions)
def test_what_is_looked_at_too_early_has_the_lowest_thing_under_it_on_sheet_and_plan(asked: Asked) -> None:
    answer, judge = asked.answer, Judge(asked)
    if answer.placing is not None or answer.verdict == "paused":
        return
    early = {s for s in (answer.one_thing, *answer.look_first) if s and judge.state(s) == "untried"}
    early = {skill for skill in early if judge.lacks(skill)}
    always = {skill.id for skill in asked.course.skills if skill.always_look}
    resting = resting_skills(asked.course, asked.record, answer.on)
    sheet = check_sheet(asked.course, asked.record, answer)
    brought = {one.skill for one in sheet.left_out if one.why == "comes-with"}
    found = asked_for(asked)
    for where in ("sheet", "plan"):
        if early & found[where]:
            lowest = judge.beneath() - always - resting - brought
            assert lowest & found[where] or not lowest, where


@given(questions)
def test_the_next_lesson_the_looks_and_the_one_thing_are_the_same_everywhere(asked: Asked) -> None:
    course, record, answer, said = asked.course, asked.record, asked.answer, asked.json
    plan = plan_lesson(course, record, answer)
    back = after_break(course, record, answer)
    listed = [skill for look in (*back.looks, *back.later) for skill in look.skills]
    told = plan_to_dict(plan, answer)
    assert plan.on == back.look_on == hand_over(course, record, answer).on == answer.next_lesson
    assert told["lesson_on"] == said["next_lesson"]
    assert told["looks"] == list(plan.looks) == listed
    assert told["look_first"] == list(answer.look_first)
    assert told["look_first"] == said.get("look_first", [])
    if answer.placing is None and answer.verdict != "paused" and answer.next_lesson is not None:
        resting = resting_skills(course, record, answer.on)
        assert set(answer.look_first) - resting <= set(listed)


@given(questions)
def test_nothing_weak_lies_under_the_one_thing_of_a_gap(asked: Asked) -> None:
    answer, judge = asked.answer, Judge(asked)
    one = answer.one_thing
    if one is not None and answer.placing is None and judge.state(one) in GAP_STATES:
        assert not judge.weak_under(one)
