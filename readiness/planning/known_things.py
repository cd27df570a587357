"""What of a student's skills is sure, liked, due or always looked at: for sheets and lessons alike.

Each function picks skills from an answer by one plain idea and puts them in an order.
Nothing here decides how many of them are used.
"""

from __future__ import annotations

from collections.abc import Set as AbstractSet

from readiness.course.model import Course, Skill
from readiness.judging.answer import Answer
from readiness.planning.character import is_hard, left_out, may_be_done
from readiness.planning.lesson_ground import Ground
from readiness.record.model import Record

__all__ = [
    "care_first", "comfortable", "favourite", "favourites", "glance_skills", "is_open", "soonest", "sure",
    "teaching_order",
]  # fmt: skip


def teaching_order(course: Course, skill: str) -> tuple[int, int]:
    """Return a key for the order of teaching: by unit, then as in the file."""
    index = course.plan.index[skill]
    return course.plan.unit[index], index


def soonest(course: Course, answer: Answer, skill: str) -> tuple[int, int, int]:
    """Return a key that puts first what is due soonest, and of equals the latest taught."""
    until = answer.standings[skill].fresh_until
    unit, index = teaching_order(course, skill)
    return answer.on if until is None else until, -unit, -index


def is_open(answer: Answer, skill: str) -> bool:
    """Return whether a skill is not secure."""
    return answer.standings[skill].state != "secure"


def glance_skills(course: Course, answer: Answer) -> tuple[str, ...]:
    """Return the skills looked at in every check: those of the units so far, of all for a placing."""
    number = course.unit[answer.unit].number if answer.unit else len(course.units)
    return tuple(
        skill.id
        for skill in course.skills
        if skill.always_look and course.unit[skill.unit].number <= number and not left_out(skill, answer)
    )


def sure(course: Course, answer: Answer, resting: AbstractSet[str] = frozenset()) -> tuple[Skill, ...]:
    """Return what is secure, easy and shown in a moment: no habit, nothing looked at in any case.

    ``resting`` are the skills that wait, because a part of the body is on hold elsewhere.
    """
    return tuple(
        skill
        for skill in course.skills
        if answer.standings[skill.id].state == "secure"
        and skill.id not in resting
        and skill.kind != "habit"
        and not skill.always_look
        and not left_out(skill, answer)
        and not is_hard(skill, answer.standings[skill.id])
    )


def favourites(course: Course, answer: Answer, without: AbstractSet[str] = frozenset()) -> tuple[str, ...]:
    """Return the pieces that are sure, the latest taught first; ``without`` rest, or are not liked."""
    pieces = [skill.id for skill in sure(course, answer, without) if skill.piece]
    return tuple(sorted(pieces, key=lambda skill: teaching_order(course, skill), reverse=True))


def favourite(course: Course, answer: Answer, without: AbstractSet[str] = frozenset()) -> str | None:
    """Return the latest taught piece that is sure and not among some, None where there is none yet."""
    return next(iter(favourites(course, answer, without)), None)


def care_first(course: Course, answer: Answer) -> tuple[str, ...]:
    """Return the skills of telling that something hurts: asked after whatever part rests."""
    return tuple(skill.id for skill in course.skills if skill.asks_pain and not left_out(skill, answer))


def comfortable(ground: Ground, record: Record) -> tuple[str, ...]:
    """Return the skills that may be shown under the open holds: open ones, then what is due soonest."""
    course, answer = ground.course, ground.answer
    parts = {hold.part for hold in record.holds if hold.is_open(answer.on)}
    number = course.unit[answer.unit].number if answer.unit else 1
    may = [
        skill.id
        for skill in course.skills
        if course.unit[skill.unit].number <= number
        and not skill.asks_pain
        and not left_out(skill, answer)
        and ground.may_be_asked(skill.id)
        and all(may_be_done(skill, part) for part in parts)
    ]
    return tuple(sorted(may, key=lambda skill: (not is_open(answer, skill), *soonest(course, answer, skill))))
