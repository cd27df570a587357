"""Where a lesson or the home practice goes beyond the numbers of the pacing (caution C4).

The numbers are common practice only; comfort decides. So nothing is refused here: it is
named, and the caution stands beside it.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from readiness.course.model import Band
from readiness.judging.answer import Answer
from readiness.record.model import Record, Task

__all__ = ["too_much"]


def too_much(record: Record, answer: Answer, band: Band, minutes: int) -> tuple[str, ...]:
    """Return what exceeds: lesson, block, practice or rise.

    Args:
        record: with the home tasks given so far.
        answer: for the day.
        band: whose numbers they are.
        minutes: the length of the lesson.
    """
    return tuple(_found(record, answer, band, minutes))


def _found(record: Record, answer: Answer, band: Band, minutes: int) -> Iterator[str]:
    if minutes > _upper(band, "lesson_minutes_range"):
        yield "lesson"
    if band.whole("activity_minutes") > band.whole("play_without_pause_minutes"):
        yield "block"
    given = sorted({task.given for task in record.tasks if task.given <= answer.on})
    latest, earlier = ([task for task in record.tasks if task.given == day] for day in _last_two(given))
    if sum(task.minutes_day for task in latest) > _upper(band, "practice_minutes_day"):
        yield "practice"
    before = _a_week(earlier)
    if before and 100 * (_a_week(latest) - before) > before * band.whole("practice_rise_percent_week"):
        yield "rise"


def _last_two(days: Sequence[int]) -> tuple[int | None, int | None]:
    """Return the latest two days, the latest first."""
    return (days[-1] if days else None), (days[-2] if len(days) > 1 else None)


def _a_week(tasks: Sequence[Task]) -> int:
    return sum(task.minutes_day * task.days_planned for task in tasks)


def _upper(band: Band, rule: str) -> int:
    """Return the upper end of a range of the pacing."""
    ends = band.numbers[rule]
    assert isinstance(ends, (list, tuple)), rule
    return int(ends[1])
