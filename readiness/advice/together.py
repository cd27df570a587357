"""What two students can do together: things of rhythm, ear and singing for which both have the footing.

Never a comparison. What comes out names skills both can take part in and nothing of where
either of them stands: no state, no date, no order of the two. Hand shape, seat and reading
are left to each one's own lesson. Where a part of the body rests for one, it rests for both, and where one
of the two comes back from a rest, both begin gently.
"""

from __future__ import annotations

from collections.abc import Sequence
from typing import Final

from readiness.advice.after_hold import gently, tender_skills
from readiness.advice.ground import outer_fringe, teaching_order
from readiness.advice.placing.round import placing_round
from readiness.advice.skill_traits import MET_STATES, left_out, may_be_done, resting_skills
from readiness.course.model import Course, Skill
from readiness.judging.answer import Answer
from readiness.lazy import dataclass
from readiness.record.consents import is_of_age
from readiness.record.model import Record
from readiness.terms import State

__all__ = ["Activity", "Pair", "pair_up", "suits_two"]

GROW: Final = 4
KNOWN: Final = 3
"""How many things are named; enough for a shared quarter of an hour. Common practice, no source."""
_SETTLED: Final = MET_STATES | {State.STALE, State.WOBBLING}


@dataclass(frozen=True)
class Activity:
    """A skill both can take part in; ``remedy`` is the one to do in two, None where none is."""

    skill: str
    remedy: int | None


@dataclass(frozen=True)
class Pair:
    """What two can do.

    Attributes:
        students: both ids, in alphabetical order.
        grow: what there is something to gain from; known: what both know, for the joy of it.
        minutes: the longest block without a change.
        rests: the parts of the body that rest, for both.
        gentle: the skills that work a part which rested until lately, for either.
        of_age: whether both are adults, so that no family is spoken of.
    """

    students: tuple[str, str]
    grow: tuple[Activity, ...]
    known: tuple[Activity, ...]
    minutes: int
    rests: tuple[str, ...]
    gentle: frozenset[str] = frozenset()
    of_age: bool = False


def suits_two(course: Course, skill: Skill) -> bool:
    """Return whether two can do a skill together, by its strand; what is looked at every time is no such."""
    return not skill.always_look and any(one.shared for one in course.strands if one.id == skill.strand)


def pair_up(course: Course, both: Sequence[tuple[Record, Answer]]) -> Pair:
    """Return what two students can do together; the order of the two makes no difference."""
    day = both[0][1].on
    course = course.on(day)
    rests = tuple(sorted({hold.part for record, _ in both for hold in record.open_holds(day)}))
    tender = frozenset[str]().union(*(tender_skills(course, record, day) for record, _ in both))
    able = frozenset.intersection(*(_able(course, record, answer) for record, answer in both))
    open_to_all = [
        skill
        for skill in sorted(course.skills, key=lambda one: teaching_order(course, one.id))
        if skill.id in able and suits_two(course, skill) and all(may_be_done(skill, part) for part in rests)
    ]
    known = [one for one in open_to_all if all(_state(answer, one) == State.SECURE for _, answer in both)]
    new = {one.id for one in open_to_all if any(_state(a, one) == State.UNTRIED for _, a in both)}
    grow = [one for one in open_to_all if one not in known and one.id not in tender & new]
    shared = sorted(grow, key=lambda one: sum(_state(answer, one) in _SETTLED for _, answer in both))
    first, second = sorted(record.id for record, _ in both)
    return Pair(
        students=(first, second),
        grow=tuple(_activity(one, rests) for one in shared[:GROW]),
        known=tuple(_activity(one, rests) for one in reversed(known[-KNOWN:])),
        minutes=gently(min(course.band[one.band].whole("activity_minutes") for _, one in both), tender),
        rests=rests,
        gentle=tender,
        of_age=all(is_of_age(record, day) for record, _ in both),
    )


def _state(answer: Answer, skill: Skill) -> str:
    return answer.standings[skill.id].state


def _able(course: Course, record: Record, answer: Answer) -> frozenset[str]:
    """Return what one of the two can take part in: what was settled, or is open with all its footing."""
    asked = [one for one in course.skills if not left_out(one, answer)]
    settled = {one.id for one in asked if _state(answer, one) in _SETTLED}
    footing = settled | {one.id for one in course.skills if left_out(one, answer)}
    unit = answer.unit or placing_round(course, record, answer.on).start
    reach = course.unit[unit].number + answer.may_move
    edge = {
        one for one in outer_fringe(course, footing) if course.unit[course.skill[one].unit].number <= reach
    }
    resting = resting_skills(course, record, answer.on)
    return frozenset(one.id for one in asked if one.id in settled | edge and one.id not in resting)


def _activity(skill: Skill, rests: Sequence[str]) -> Activity:
    """Return a skill with its activity in two; under a hold none is taken, for most use the body."""
    return Activity(skill.id, None if rests else min((number - 1 for number in skill.for_two), default=None))
