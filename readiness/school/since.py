"""Since which day a student has been ready without a break.

Between two days on which something happens a ready verdict can only be lost (things fade),
never won. So it is enough to ask on the days on which something happened and on those before.
"""

from __future__ import annotations

from collections.abc import Iterator

from readiness.course.model import Course
from readiness.days import birthday
from readiness.judging.engine import judge
from readiness.record.model import Record
from readiness.school.judged import Judged

__all__ = ["ready_since"]


def ready_since(course: Course, one: Judged) -> int:
    """Return the first day from which on the verdict has been ready, up to the day of the answer.

    It is not before the unit began.
    """
    record, on = one.record, one.answer.on
    begun = max((start.on for start in record.seen.unit_starts if start.on <= on), default=on)
    since = begun
    for day in _latest_first(course, record, begun, on):
        since = day
        if day == begun or not judge(course, record, day - 1, one.answer.calendar).is_ready:
            break
    return since


def _latest_first(course: Course, record: Record, begun: int, on: int) -> list[int]:
    days = {day for day in _happenings(course, record) if begun <= day <= on}
    return sorted({begun, *days}, reverse=True)


def _happenings(course: Course, record: Record) -> Iterator[int]:
    """Yield the days on which a verdict can become a better one."""
    seen = record.seen
    yield from seen.lesson_days
    yield from (settled.on for settled in seen.settled)
    yield from (aside.on for aside in seen.set_aside)
    yield from (choice.on for choice in seen.band_choices)
    yield from (start.on for start in seen.unit_starts)
    yield from (hold.closed for hold in seen.holds if hold.closed is not None)
    yield from (birthday(record.born, band.from_age) for band in course.bands)
    yield from (course.entire or course).turning_days
