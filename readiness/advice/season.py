"""The lessons to come of an answer, and the events, big days and holidays around them."""

from __future__ import annotations

from bisect import bisect_right
from collections.abc import Iterator, Sequence
from dataclasses import replace
from itertools import chain, dropwhile, islice

from readiness.judging.answer import Answer
from readiness.judging.lookahead import MOST_LESSONS
from readiness.record.model import Record
from readiness.record.rhythm import Event, Season, is_dated, lessons_from, next_lesson, season_from

__all__ = [
    "event_on", "events_ahead", "holidays_before", "is_day_known", "lesson_for_new", "lessons_to_come",
    "season_ahead",
]  # fmt: skip

# The lesson days to come of a student, as every plan, list and date has them.


def is_day_known(answer: Answer) -> bool:
    """Return whether anything says when lessons are, so that the day of the next one is not made up."""
    noted = () if answer.last_lesson is None else (answer.last_lesson,)
    return is_dated(answer.calendar, noted, answer.on)


def lessons_to_come(record: Record, answer: Answer) -> Iterator[int]:
    """Yield the next lesson of an answer and those after it; none where no next one is known."""
    first = answer.next_lesson
    if first is None:
        return iter(())
    days = record.seen.lesson_days
    known = days[: bisect_right(days, answer.on)]
    following = lessons_from(answer.calendar, known, answer.on)
    return chain((first,), dropwhile(lambda day: day <= first, following))


def events_ahead(events: Sequence[Event], on: int) -> tuple[Event, ...]:
    """Return the events that have not begun on a day, in their order."""
    return tuple(one for one in events if one.first > on)


def event_on(day: int, ahead: Sequence[Event]) -> Event:
    """Return the event that a day is meant by; a day without one is an event of its own."""
    return next((one for one in ahead if one.first <= day <= one.last), Event("", day, day))


def holidays_before(record: Record, answer: Answer) -> Event | None:
    """Return the holidays in which the next lesson would be without them, None where they move none."""
    known = [day for day in record.seen.lesson_days if day <= answer.on]
    without = next_lesson(replace(answer.calendar, events=()), known, answer.on)
    return None if without in (None, answer.next_lesson) else answer.calendar.holidays(without)


def lesson_for_new(record: Record, answer: Answer) -> int | None:
    """Return the first lesson to come in which something new may begin, None where none is known."""
    days = tuple(islice(lessons_to_come(record, answer), MOST_LESSONS))
    return next((day for at, day in enumerate(days) if season_from(days[at:], answer.calendar) is None), None)


def season_ahead(record: Record, answer: Answer) -> Season | None:
    """Return the nearest big day or long break that the next lesson is among the last two before."""
    return season_from(lessons_to_come(record, answer), answer.calendar)
