"""What a lesson holds that was played, or used the sore part, while a hold was open.

The rules count every note, and nothing here changes that; it is known so that it can be said.
"""

from __future__ import annotations

from collections.abc import Iterable

from readiness.course.model import Course
from readiness.planning.character import may_be_done, resting_skills
from readiness.record.model import Record

__all__ = ["played_under_hold"]


def played_under_hold(course: Course, record: Record, day: int, skills: Iterable[str]) -> tuple[str, ...]:
    """Return those of the skills that no open hold of the day allows, in their order."""
    parts = {hold.part for hold in record.holds if hold.is_open(day)}
    resting = resting_skills(course, record, day)

    def is_allowed(skill: str) -> bool:
        one = course.skill[skill]
        return one.asks_pain or all(may_be_done(one, part) for part in parts)

    return tuple(skill for skill in skills if skill in resting or not is_allowed(skill))
