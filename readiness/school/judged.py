"""One student with the answer of the day: what every question of this room is asked of."""

from __future__ import annotations

from collections.abc import Callable, Iterable
from dataclasses import dataclass

from readiness.course.model import Course
from readiness.judging.answer import Answer
from readiness.judging.engine import judge
from readiness.record.model import Record

__all__ = ["Judged", "judge_all"]


@dataclass(frozen=True, slots=True)
class Judged:
    """A student, the planned lessons, and the answer of the day."""

    record: Record
    answer: Answer
    planned: tuple[int, ...] = ()


def judge_all(
    course: Course, records: Iterable[Record], on: int, planned: Callable[[str], tuple[int, ...]]
) -> tuple[Judged, ...]:
    """Return every student with the answer of a day, in the order given."""
    found = []
    for record in records:
        own = planned(record.id)
        found.append(Judged(record, judge(course, record, on, own), own))
    return tuple(found)
