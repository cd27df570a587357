"""Who noted it and which day of the week a child was born on change nothing.

Where one day of age decides it is said.
"""

from __future__ import annotations

import json
from dataclasses import replace
from typing import Any

import pytest
from drawn import situations
from hypothesis import given
from hypothesis import strategies as st

from readiness.advice.after_break import after_break
from readiness.advice.as_json import back_to_dict, birthday_to_dict
from readiness.advice.timeline import birthday_changes, one_day_of_age
from readiness.course.model import Course
from readiness.days import age_on, day_number, iso
from readiness.judging import Answer, judge
from readiness.testing import Asked, Situation, ask

TEACHERS = st.lists(st.sampled_from(["A.K.", "B.", "Ms C", "Ö"]), min_size=1, max_size=4)


def noted_by(situation: Situation, teachers: list[str]) -> Situation:
    """Return the situation with its lessons noted by these teachers in turn."""
    lessons = situation.student["lesson"]
    named = [{**lesson, "by": teachers[n % len(teachers)]} for n, lesson in enumerate(lessons)]
    return situation.with_student(lesson=named)


def said(asked: Asked) -> list[dict[str, Any]]:
    """Return what is answered, and what is advised after a break."""
    back = after_break(asked.course, asked.record, asked.answer)
    return [asked.json, back_to_dict(back, None, asked.answer)]


def states(answer: Answer) -> dict[str, str]:
    """Return the state of each skill."""
    return {skill: one.state for skill, one in answer.standings.items()}


@given(situations(), TEACHERS, TEACHERS)
def test_the_same_notes_by_another_teacher_give_the_same_bytes(
    situation: Situation, some: list[str], others: list[str]
) -> None:
    first, second = (ask(noted_by(situation, teachers)) for teachers in (some, others))
    assert json.dumps(said(first)) == json.dumps(said(second))


@given(situations(), st.integers(-6, 6).filter(bool))
def test_another_weekday_of_birth_gives_the_same_verdict(situation: Situation, days: int) -> None:
    """Born some days earlier or later, with the same age in every lesson noted and on the day asked about."""
    asked = ask(situation)
    born = asked.record.born
    ages = {*asked.record.seen.lesson_days, asked.answer.on, asked.answer.next_lesson or asked.answer.on}
    if any(age_on(born, day) != age_on(born + days, day) for day in ages):
        return
    other = judge(asked.course, replace(asked.record, born=born + days), asked.answer.on, asked.calendar)
    assert other.verdict == asked.answer.verdict
    assert other.blockers == asked.answer.blockers
    assert states(other) == states(asked.answer)


@given(situations(), st.sampled_from([-1, 0, 1]))
def test_where_one_day_of_age_decides_it_is_said(situation: Situation, beside: int) -> None:
    """Asked on a birthday that changes the band, and on the days beside it, which is where it can."""
    asked = ask(situation)
    course, record = asked.course, asked.record
    turning = birthday_changes(course, record, asked.answer.on, asked.calendar)
    day = asked.answer.on if turning is None else turning.day + beside
    answer = judge(course, record, day, asked.calendar)
    twins = [judge(course, replace(record, born=record.born + by), day, asked.calendar) for by in (-1, 1)]
    told = birthday_to_dict(
        birthday_changes(course, record, day, asked.calendar),
        one_day_of_age(course, record, answer),
        answer,
    )
    flips = [
        {"born_one_day": born, "band": one.band, "verdict": one.verdict}
        for born, one in zip(("earlier", "later"), twins, strict=True)
        if one.verdict != answer.verdict
    ]
    assert told["one_day_of_age"] == (flips[0] if flips else None)
    if turning is not None and beside == -1:
        assert told["birthday"]["on"] == iso(day + 1)
        older, younger = (
            judge(course, replace(record, born=record.born + by), day + 1, asked.calendar) for by in (0, 1)
        )
        assert told["birthday"]["one_day_decides"] == (older.verdict != younger.verdict)


@pytest.mark.parametrize(("day", "decides"), [(1, False), (2, True), (3, True), (4, False)])
def test_two_days_of_age_are_not_one(course: Course, records: Any, day: int, decides: bool) -> None:
    """On 2 December Temwa would go by other numbers where she turned 6 that day or turns 6 the next."""
    record = replace(records["temwa"], born=day_number(f"2019-12-0{day}"))
    answer = judge(course, record, day_number("2025-12-02"))
    assert (one_day_of_age(course, record, answer) is not None) == decides
