"""Breaks and the rhythm of lessons (rules R7 and "Lesson rhythm").

After some weeks away the first lesson back is for looking, not for moving. Nothing here
reads a calendar: days come in, days go out.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

__all__ = ["Gap", "break_on", "lessons_after", "review_lessons"]

WEEK = 7


@dataclass(frozen=True, slots=True)
class Gap:
    """A break that matters on the day asked about.

    ``kind`` is on-a-break or first-lesson-back; ``days`` is its length so far;
    ``last_lesson`` is the lesson before it.
    """

    kind: str
    days: int
    last_lesson: int


def break_on(lesson_days: Sequence[int], day: int, break_weeks: int) -> Gap | None:
    """Return the break that stands in the way of a move on ``day``, if any.

    Args:
        lesson_days: different lesson days up to ``day``, oldest first. Without a lesson
            there is nothing to be away from, so no break.
        break_weeks: the band's rule.
    """
    if not lesson_days:
        return None
    limit = break_weeks * WEEK
    last = lesson_days[-1]
    if day - last >= limit:
        return Gap("on-a-break", day - last, last)
    if len(lesson_days) > 1 and last - lesson_days[-2] >= limit:
        return Gap("first-lesson-back", last - lesson_days[-2], lesson_days[-2])
    return None


def lessons_after(lesson_days: Sequence[int], day: int, planned: Sequence[int]) -> Iterator[int]:
    """Yield the lessons after ``day``, without end: the planned ones, then weekly.

    The weekly ones are counted from the last planned day, else from the latest lesson,
    else from ``day``.
    """
    ahead = sorted({date for date in planned if date > day})
    yield from ahead
    start = ahead[-1] if ahead else lesson_days[-1] if lesson_days else day
    following = start + ((max(day, start) - start) // WEEK + 1) * WEEK
    while True:
        yield following
        following += WEEK


def review_lessons(days_away: int) -> int:
    """Return how many lessons of review a break asks for: a quarter of its weeks, 1 to 3.

    Halves round up. Common practice, no source (pacing ``[basis].review_lessons``).

    >>> [review_lessons(7 * weeks) for weeks in (3, 6, 10, 11, 20)]
    [1, 2, 3, 3, 3]
    """
    quarters = (days_away // WEEK + 2) // 4
    return min(3, max(1, quarters))
