"""Whether a lesson plan is for the day asked about or for the next lesson after it.

In the morning of a lesson day a teacher wants the lesson of that day; once it is noted, the next.
"""

from __future__ import annotations

from collections.abc import Sequence

from readiness.judging.breaks import WEEK
from readiness.record.model import Record

__all__ = ["is_lesson_day", "is_noted"]


def is_noted(record: Record, on: int) -> bool:
    """Return whether a lesson is noted on a day."""
    return any(lesson.on == on for lesson in record.lessons)


def is_lesson_day(record: Record, on: int, planned: Sequence[int] = ()) -> bool:
    """Return whether a lesson falls on a day and nothing of it is noted yet.

    Planned days come first; without any from that day on, it is a day in the weekly rhythm of the
    latest lesson. Where no lesson was ever noted the first one may be now.

    Args:
        record: what was seen; on: the day; planned: planned lesson days.
    """
    if is_noted(record, on):
        return False
    if any(day >= on for day in planned):
        return on in planned
    last = max((lesson.on for lesson in record.lessons if lesson.on < on), default=None)
    return last is None or (on - last) % WEEK == 0
