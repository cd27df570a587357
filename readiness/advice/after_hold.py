"""The first weeks after a hold was closed: what rested begins gently, whatever the rules ask for next.

No verdict and no one thing is changed here. A plan takes shorter turns and more pauses, and what
works the part that rested is no home task by itself. Common practice, no source: the clinician
who was asked knows better.
"""

from __future__ import annotations

from collections.abc import Iterator
from collections.abc import Set as AbstractSet
from typing import TYPE_CHECKING, Final

from readiness.advice.skill_traits import works
from readiness.course.model import Course
from readiness.judging.answer import Answer
from readiness.record.model import Hold, Record

if TYPE_CHECKING:
    from readiness.advice.letter import HomeThing

__all__ = ["GENTLE_DAYS", "closed_lately", "gentle_home", "gently", "tender_skills"]

GENTLE_DAYS: Final = 28
"""How long after a hold everything begins gently; common practice, no source."""


def gently(count: int, tender: AbstractSet[str]) -> int:
    """Return so many minutes or things, half of them where something rested until lately.

    >>> gently(5, {"wrist-lift"}), gently(5, set())
    (3, 5)
    """
    return -(-count // 2) if tender else count


def closed_lately(record: Record, day: int) -> tuple[Hold, ...]:
    """Return the holds that were closed in the weeks before a day; of one part the latest."""
    found = {hold.part: hold for hold in sorted(_closed(record, day), key=lambda one: one.closed or 0)}
    return tuple(found.values())


def _closed(record: Record, day: int) -> Iterator[Hold]:
    for hold in record.holds:
        if hold.closed is not None and hold.closed <= day < hold.closed + GENTLE_DAYS:
            yield hold


def tender_skills(course: Course, record: Record, day: int) -> frozenset[str]:
    """Return the skills that work a part of the body which rested until lately."""
    parts = {hold.part for hold in closed_lately(record, day)}
    return frozenset(skill.id for skill in course.skills if any(works(skill, part) for part in parts))


def gentle_home(course: Course, record: Record, answer: Answer) -> HomeThing | None:
    """Return the one thing to do at home; None where it would work the part that rested.

    A task that the teacher gave after the hold was closed stands, for it was given knowing that.
    """
    from readiness.advice.letter import home_thing  # here, since most have no hold behind them

    home = home_thing(course, record, answer)
    closed = max((hold.closed or 0 for hold in closed_lately(record, answer.on)), default=0)
    if home is None or not closed:
        return home
    given = max((task.given for task in record.tasks if task.text == home.text), default=0)
    if home.is_given and given >= closed:
        return home
    is_tender = home.skill is None or home.skill in tender_skills(course, record, answer.on)
    return None if is_tender and home.minutes else home
