"""One student with the answer of the day: what every question of this room is asked of."""

from __future__ import annotations

from collections.abc import Callable, Iterable
from dataclasses import dataclass

from readiness.course.model import Course
from readiness.judging.answer import Answer
from readiness.judging.engine import judge
from readiness.record.model import Record
from readiness.record.rhythm import Calendar

__all__ = ["Judged", "judge_all"]


@dataclass(frozen=True, slots=True)
class Judged:
    """A student and the answer of the day."""

    record: Record
    answer: Answer


def judge_all(
    course: Course, records: Iterable[Record], on: int, calendar: Callable[[str], Calendar]
) -> tuple[Judged, ...]:
    """Return every student with the answer of a day, in the order given."""
    return tuple(Judged(one, judge(course, one, on, calendar(one.id))) for one in records)
