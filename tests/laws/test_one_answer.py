"""Two answers about one student and one day never contradict: what is asked, and the days and names said."""

from __future__ import annotations

import re
from dataclasses import replace
from datetime import date
from itertools import islice, pairwise
from typing import Any

from drawn import questions, situations
from hypothesis import given, settings
from hypothesis import strategies as st
from laws.test_plan_is_the_best_there_is import Judge
from laws.test_recheck_accepts_answers_and_rejects_changed_ones import ready_ones
from told import text_of

from readiness.advice.after_break import after_break, closed_lately, pain_noted
from readiness.advice.as_json import plan_to_dict
from readiness.advice.handover import hand_over
from readiness.advice.lesson import SHOWN, plan_lesson
from readiness.advice.letter import moved
from readiness.advice.plan import lesson_for_new, lessons_to_come, season_ahead
from readiness.advice.sheet import check_sheet
from readiness.advice.skill_traits import resting_skills
from readiness.judging.answer import GAP_STATES
from readiness.judging.engine import judge
from readiness.record.rhythm import Event
from readiness.school.students import Judged, look
from readiness.testing import Asked, Situation, ask
from readiness.testing.situation import ask_on
from readiness.words.ahead import when_sections
from readiness.words.grammar import date_words
from readiness.words.lesson import plan_sections
from readiness.words.letters import letter
from readiness.words.phrases import Phrases
from readiness.words.why import why_sections


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


@given(questions(most_units=3, most_skills=12))
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


@given(questions(most_units=3, most_skills=12))
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


@given(questions(most_units=3, most_skills=12))
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


@given(questions(most_units=3, most_skills=12))
def test_nothing_weak_lies_under_the_one_thing_of_a_gap(asked: Asked) -> None:
    answer, judge = asked.answer, Judge(asked)
    one = answer.one_thing
    if one is not None and answer.placing is None and judge.state(one) in GAP_STATES:
        assert not judge.weak_under(one)


big_days = st.lists(st.tuples(st.integers(0, 40), st.sampled_from([0, 0, 10, 30])), max_size=2)


@given((situations(most_units=3, most_skills=12) | ready_ones()).map(ask), big_days)
@settings(max_examples=200)
def test_nobody_is_told_of_a_move_in_a_lesson_in_which_there_is_none(
    asked: Asked, ahead: list[tuple[int, int]]
) -> None:
    """A ready verdict that ends before it, or a big day close by (common practice, no source)."""
    course, record, on = asked.course, asked.record, asked.answer.on
    days = tuple(Event("A day", on + after, on + after + long, long > 0) for after, long in ahead)
    calendar = replace(asked.calendar, events=days)
    answer = judge(course, record, on, calendar)
    lesson = answer.next_lesson
    stands = lesson is not None and judge(course, record, lesson, calendar).is_ready
    if answer.is_ready and lesson is not None:
        assert answer.lapses or stands
        assert not answer.lapses or not judge(course, record, answer.holds_until + 1, calendar).is_ready
    if moved(course, record, answer) is not None:
        return  # by the teacher's own decision
    waits = answer.lapses or answer.stays or season_ahead(record, answer) is not None
    if answer.is_ready and answer.next_unit is not None and waits:
        p = Phrases(answer, course, record)
        assert f"decide {answer.student} move" not in text_of(why_sections, p)
        dates = " ".join(text_of(when_sections, (), p).split())
        assert "nothing stands in the way" not in dates
        assert "so decide today or look again first" in dates or not answer.lapses or answer.stays
        is_told = answer.is_day_known and not (answer.lapses or answer.stays)
        after = lesson_for_new(course, record, answer) if is_told else None
        if after is not None:
            is_over = not all(judge(course, record, day, calendar).is_ready for day in range(on, after + 1))
            assert ("so decide today or look again first" in dates) == is_over, after
            why = " ".join(text_of(why_sections, p).split())
            assert ("so decide today or look again first" in why) == is_over
        for reader in ("student", "family"):
            told = " ".join(letter(reader, answer, course, record).lines).lower()
            assert "we begin something new" not in told
            assert "can go on to" not in told
            assert "can move on" not in told
            is_gentle = bool(pain_noted(record, on) or closed_lately(course, record, on))
            is_child = reader == "student" and not p.is_grown
            is_kept = reader == "family" and "permission" in told
            if not (answer.lapses or answer.stays or is_kept or (is_child and is_gentle)):
                assert ("you have all you need for" if is_child else "all it builds on is in place") in told
                assert "we begin it later, after" in told


@given(situations(most_units=3, most_skills=12).map(ask), big_days)
@settings(max_examples=200)
def test_every_text_has_one_earliest_day_of_a_move_and_it_is_not_before_a_big_day(
    asked: Asked, ahead: list[tuple[int, int]]
) -> None:
    """The day by the rules, or the first after it that is none of the two lessons before a big day.

    Where the plan of the next lesson leaves some of what it supposes for later, that day is told as well.
    """
    course, record, on = asked.course, asked.record, asked.answer.on
    days = tuple(Event("A day", on + after, on + after + long, long > 0) for after, long in ahead)
    answer = judge(course, record, on, replace(asked.calendar, events=days))
    if answer.is_ready or answer.stays or answer.is_unseen or answer.earliest is None:
        return
    lessons = [*islice(lessons_to_come(record, answer), 60)]
    kept = {one.on for one in answer.kept_back}

    def waits(day: int) -> bool:
        rest = lessons[lessons.index(day) :][:3]
        usual = answer.calendar.rhythm.weeks * 7 if answer.calendar.rhythm else 0
        big = [one for one in days if one.first == one.last or one.last - one.first > 19]
        near = any(one.first >= day and sum(other < one.first for other in rest) < 3 for one in big)
        return near or any(
            two - one > max(20, usual)
            and not any(away.is_stretch and one < away.last and away.first < two for away in days)
            for one, two in pairwise(rest)
        )

    within = [day for day in lessons[:52] if day >= answer.earliest and day not in kept]
    first = next((day for day in within if not waits(day)), None)
    assert answer.earliest_told == first
    if first is None:
        return  # not within 52 lessons (rules, section 4)
    p, told = Phrases(answer, course, record), date_words(first, on)
    school = look(course, [Judged(record, answer)])
    assert [row.move_on for row in school] == [first] * len(school)
    texts = {
        "when": text_of(when_sections, (), p),
        "why": text_of(why_sections, p),
        "family": " ".join(letter("family", answer, course, record).sentences),
    }
    later = plan_lesson(course, record, answer).later
    planned = date_words(later and later.move, on)
    plans = ", no move is in sight" if later and later.move is None else f" from {planned}"
    for name, words in texts.items():
        found = _MOVE.search(" ".join(words.split()))
        assert name != "when" or found
        if found is None:
            continue
        if name == "family" and later is not None:
            assert found[2].startswith(planned if later.move else "no move")
            continue
        assert found[2].startswith(told), name
        assert (", after" in found[2]) == (first != answer.earliest), name
        is_said = f"; by the plan{plans}" in " ".join(words.split())
        assert is_said == (name != "family" and later is not None), name
    if first != answer.earliest:
        assert "can move on" not in texts["family"]


def every_week(one: Situation) -> Situation:
    """Return a student with a lesson every week, of whom nothing is noted beyond the day asked about."""

    def known(kept: object) -> object:
        is_list = isinstance(kept, list)
        return [block for block in kept if is_noted(block)] if is_list else kept

    def is_noted(block: dict[str, Any]) -> bool:
        return block.get("opened", block.get("on", one.on)) <= one.on

    student = {key: known(kept) for key, kept in one.student.items()}
    return replace(one, student={**student, "rhythm": {"day": "mon", "weeks": 1}})


@given(situations(most_units=3, most_skills=12).map(every_week).map(ask), st.booleans())
@settings(max_examples=200)
def test_a_lesson_as_planned_keeps_the_earliest_day_or_the_plan_says_which_it_is_then(
    asked: Asked, is_all_shown: bool
) -> None:
    """Each thing of the plan is noted without help; ``is_all_shown``: and all that is asked for."""
    answer, course, record = asked.answer, asked.course, asked.record
    plan = plan_lesson(course, record, answer)
    told = " ".join(text_of(plan_sections, plan, Phrases(answer, course, record)).split())
    assert ("no move before" in told) == bool(plan.later and plan.later.move)
    why = " ".join(text_of(why_sections, Phrases(answer, course, record)).split())
    promise = re.search(r" come[s]?: ready .*? that day(; by the plan)?", why)
    assert promise is None or (not answer.stays and (promise[1] is not None) == bool(plan.later))
    if answer.is_ready or answer.stays or answer.earliest_told is None:
        assert plan.later is None
        return
    if answer.after_hold is not None:
        return  # then a lesson without playing does not count, whatever was shown (rule R7)
    seen = {skill for block in plan.blocks if block.part in SHOWN for skill in block.skills}
    then = judge(course, record, answer.next_lesson, asked.calendar)
    if is_all_shown:
        seen |= {*then.deciding, *then.rest, *(member for group in then.groups for member in group.of)}
    on = date.fromordinal(answer.next_lesson)
    lessons = [*asked.situation.student.get("lesson", ()), {"on": on, "alone": sorted(seen)}]
    after = ask_on(ask(asked.situation.with_student(lesson=lessons)), on)
    if after.next_lesson is None:
        return  # after a lesson before more than a year without any, no day is known (rule R8)
    if after.is_ready or is_all_shown or plan.later is None:
        waits = season_ahead(record, answer) is not None
        assert waits or (after.earliest_told is not None and after.earliest_told <= answer.earliest_told)
        assert plan.later is None or is_all_shown or waits
    else:
        assert after.earliest_told == plan.later.move


@given(situations(most_units=3, most_skills=12).map(ask))
def test_no_letter_names_a_day_that_slips_or_one_as_the_earliest_that_is_not(asked: Asked) -> None:
    """A day of a move slips from week to week where something that it needs was never seen."""
    answer, p = asked.answer, Phrases(asked.answer, asked.course, asked.record)
    told = " ".join(letter("family", answer, asked.course, asked.record).sentences)
    if found := _MOVE.search(told):
        needed = (one.skill for one in answer.blockers if one.skill)
        assert not any(answer.standings[skill].state == "untried" for skill in needed)
        by_plan = found[1].startswith("By the plan")
        assert by_plan == (p.planned_move is not None)
        assert by_plan or found[2].startswith(date_words(answer.earliest_told, answer.on))


_MOVE = re.compile(
    r"(At the earliest|earliest possible move is|earliest day to move on is"
    r"|By the plan we can go on to the next unit from) (.{40})"
)
