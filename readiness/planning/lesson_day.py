"""The lesson days to come of a student, as every plan, list and date has them."""

from __future__ import annotations

from bisect import bisect_right
from collections.abc import Iterator
from itertools import chain, dropwhile

from readiness.judging.answer import Answer
from readiness.record.model import Record
from readiness.record.rhythm import lessons_from

__all__ = ["is_noted", "lessons_to_come"]


def is_noted(record: Record, on: int) -> bool:
    """Return whether a lesson is noted on a day."""
    return on in record.seen.lesson_days


def lessons_to_come(record: Record, answer: Answer) -> Iterator[int]:
    """Yield the next lesson of an answer and those after it; none where no next one is known."""
    first = answer.next_lesson
    if first is None:
        return iter(())
    days = record.seen.lesson_days
    known = days[: bisect_right(days, answer.on)]
    following = lessons_from(answer.calendar, known, answer.on)
    return chain((first,), dropwhile(lambda day: day <= first, following))
