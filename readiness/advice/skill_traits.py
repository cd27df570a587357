"""What a skill is like in a lesson: quiet or moving, hard or easy, and what a hold leaves of it.

The check sheet and the lesson plan both take turns between kinds of things, so what the
kinds are is said once, here. They are fields of the skill (``kind``, ``fade``, ``quiet``, ``uses``);
no word of its texts decides anything. Common practice, no source.
"""

from __future__ import annotations

from collections.abc import Iterable
from typing import Final

from readiness.course.model import Course, Skill
from readiness.judging.answer import GAP_STATES, Answer, Standing
from readiness.record.model import Record
from readiness.terms import Fade, Kind, State

__all__ = [
    "MET_STATES", "activities", "is_hard", "left_out", "may_be_done", "played_under_hold", "resting_skills",
    "waiting_for", "works",
]  # fmt: skip

MET_STATES: Final = frozenset({State.SECURE, State.SET_ASIDE})
"""States that count as met, as rule R6 has it."""


_GROWING_UP_AGE: Final = 11
"""From here on an activity made for small children is offered to nobody."""


def activities(skill: Skill, age: int) -> tuple[int, ...]:
    """Return the numbers, from 1, of a skill's remedies that are fit for an age."""
    left_out = skill.for_children if age >= _GROWING_UP_AGE else ()
    return tuple(number for number in range(1, len(skill.remedies) + 1) if number not in left_out)


def is_hard(skill: Skill, standing: Standing) -> bool:
    """Return whether asking for a skill now is asking for something hard.

    Hard is what was tried and is not there, what was never asked, and any movement that goes
    soon without use. Everything else is easy, however much work it once was.
    """
    return (
        standing.state in GAP_STATES
        or standing.state == State.UNTRIED
        or (skill.kind == Kind.MOTOR and skill.fade == Fade.FAST)
    )


def may_be_done(skill: Skill, part: str) -> bool:
    """Return whether a skill may be shown under a hold: it is quiet and does not use the sore part.

    Args:
        part: the part a hold names: hand, voice or all.
    """
    return skill.quiet and not works(skill, part)


def works(skill: Skill, part: str) -> bool:
    """Return whether a skill works the part that a hold names: hand, voice or all; the seat works none."""
    return not skill.always_look and (part in skill.uses or (part == "all" and bool(skill.uses)))


def resting_skills(course: Course, record: Record, day: int) -> frozenset[str]:
    """Return the skills that use a part of the body on hold for another course.

    Such a hold does not pause this course, but what needs that part waits here too.
    """
    parts = {hold.part for hold in record.resting(day)}
    return frozenset(skill.id for skill in course.skills if parts.intersection(skill.uses))


def left_out(skill: Skill, answer: Answer) -> str:
    """Return why a skill is asked of nobody here: optional, set-aside, or nothing.

    A group that is not met keeps all its members, optional ones too (rule R7).
    """
    if answer.standings[skill.id].state == State.SET_ASIDE:
        return "set-aside"
    asked = any(skill.id in group.of for group in answer.groups if not group.met)
    return "optional" if answer.band in skill.optional_in and not asked else ""


def waiting_for(course: Course, answer: Answer, skill: str) -> int:
    """Return how many skills of this and the next unit are it or stand on it, and are not met.

    The number behind "frees most" of the one thing; those left out at this age do not wait.
    """
    plan = course.plan
    here = {answer.unit, answer.next_unit}
    waiting = plan.names(plan.descendants[plan.index[skill]] | 1 << plan.index[skill])
    return sum(
        1
        for other in waiting
        if course.skill[other].unit in here
        and answer.standings[other].state not in MET_STATES
        and not left_out(course.skill[other], answer)
    )


# What a lesson holds that was played, or used the sore part, while a hold was open.
#
# The rules count every note, and nothing here changes that; it is known so that it can be said.


def played_under_hold(course: Course, record: Record, day: int, skills: Iterable[str]) -> tuple[str, ...]:
    """Return those of the skills that no open hold of the day allows, in their order."""
    parts = {hold.part for hold in record.holds if hold.is_open(day)}
    resting = resting_skills(course, record, day)

    def is_allowed(skill: str) -> bool:
        one = course.skill[skill]
        return one.asks_pain or all(may_be_done(one, part) for part in parts)

    return tuple(skill for skill in skills if skill in resting or not is_allowed(skill))
