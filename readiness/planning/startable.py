"""What can be begun next: the upper edge of what is there.

Knowledge space theory calls it the outer fringe of a state (Doignon and Falmagne 1985,
International Journal of Man-Machine Studies 23:175-196). Only footings are asked about here: no
unit, no day and no band. Whether a skill should be begun in a lesson is decided elsewhere.
"""

from __future__ import annotations

from collections.abc import Set as AbstractSet
from dataclasses import dataclass

from readiness.course.later import asked_from
from readiness.course.model import Course, Skill
from readiness.judging.answer import Answer
from readiness.planning.lesson_values import LessonPlan
from readiness.record.model import Record
from readiness.record.several import care_elsewhere, shared_skills

__all__ = ["AroundHere", "around_here", "outer_fringe"]


@dataclass(frozen=True, slots=True)
class AroundHere:
    """What lies around a student: not asked for at this age, never tried, startable.

    Attributes:
        optional: skills not asked for at this age, nearest unit first, each with the older band in
            which it comes back.
        untried: of this unit and what the next one asks for, what nothing is noted on; not_shown: what
            was asked and not shown.
        going_on, startable: what has all it builds on and is not there yet, begun or not, nearest unit
            first, as the plan has it; after_the_move: what waits for the move alone.
        at_most: so many new skills in one lesson.
        shared: what another course of the student has too, with its state.
        rests: the parts of the body on hold there, with the day; care: what is looked after there alone.
    """

    optional: tuple[tuple[str, str | None], ...]
    untried: tuple[str, ...]
    not_shown: tuple[str, ...]
    going_on: tuple[str, ...]
    startable: tuple[str, ...]
    after_the_move: tuple[str, ...]
    at_most: int
    shared: tuple[tuple[str, str], ...]
    rests: tuple[tuple[str, int], ...]
    care: tuple[str, ...]


def around_here(course: Course, record: Record, answer: Answer, plan: LessonPlan) -> AroundHere:
    """Return what lies around a student in a unit; ``plan`` is the next lesson."""
    course = course.on(answer.on)
    state = {skill.id: answer.standings[skill.id].state for skill in course.skills}
    asked = {*answer.deciding, *answer.rest, *(one for group in answer.groups for one in group.of)}
    here = [skill.id for skill in course.skills if skill.id in asked]
    here_number = course.unit[answer.unit].number if answer.unit else 1
    near = sorted(course.skills, key=lambda skill: abs(course.unit[skill.unit].number - here_number))
    return AroundHere(
        optional=tuple(
            (skill.id, asked_from(course, skill.id, answer.band))
            for skill in near
            if answer.band in skill.optional_in and skill.id not in course.gone
        ),
        untried=tuple(skill for skill in here if state[skill] == "untried"),
        not_shown=tuple(skill for skill in here if state[skill] == "not-shown"),
        going_on=tuple(skill for skill in plan.outer_edge if state[skill] != "untried"),
        startable=tuple(skill for skill in plan.outer_edge if state[skill] == "untried"),
        after_the_move=tuple(one.skill for one in plan.not_begun if one.why == "stay"),
        at_most=course.band[answer.band].whole("new_skills_per_lesson"),
        shared=tuple((skill, state[skill]) for skill in shared_skills(course)),
        rests=tuple((hold.part, hold.opened) for hold in record.resting(answer.on)),
        care=tuple(skill.id for skill in care_elsewhere(course)),
    )


def outer_fringe(course: Course, met: AbstractSet[str]) -> tuple[str, ...]:
    """Return the skills that are not met and have all their footings, in graph order.

    Args:
        course: what is taught.
        met: the ids of the skills that are secure or set aside.
    """
    return tuple(skill.id for skill in course.skills if skill.id not in met and _has_footing(skill, met))


def _has_footing(skill: Skill, met: AbstractSet[str]) -> bool:
    """Return whether all that a skill stands on is met, its groups included."""
    return met >= set(skill.stands_on) and all(
        len(met & set(group.of)) >= group.at_least for group in skill.stands_on_some
    )
