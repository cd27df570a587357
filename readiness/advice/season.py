"""What the calendar forbids: nothing new in the last two lessons before a big day or a long break.

A big day is an event of the studio on a single day; a long break is an event of three weeks
or more, or three weeks or more between two planned lessons. Shorter holidays are none.
Common practice, no source.
"""

from __future__ import annotations

from bisect import bisect_right
from collections.abc import Iterator, Sequence
from dataclasses import replace
from itertools import chain, dropwhile, islice, pairwise
from typing import Final

from readiness.judging.answer import Answer
from readiness.lazy import dataclass
from readiness.record.model import Record
from readiness.record.rhythm import Event, is_dated, lessons_from, next_lesson

__all__ = [
    "LAST_LESSONS", "LONG_BREAK", "Season", "event_on", "events_ahead", "holidays_before", "is_day_known",
    "is_noted", "lessons_to_come", "season_ahead",
]  # fmt: skip

# The lesson days to come of a student, as every plan, list and date has them.


def is_noted(record: Record, on: int) -> bool:
    """Return whether a lesson is noted on a day."""
    return on in record.seen.lesson_days


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


LONG_BREAK: Final = 21
LAST_LESSONS: Final = 2


@dataclass(frozen=True)
class Season:
    """Why the next lesson begins nothing new.

    ``kind`` is event or break; ``first`` is its first day, and ``lessons`` counts the lessons
    before it, the next one included. ``name`` is empty where only the planned dates say so.
    """

    kind: str
    name: str
    first: int
    lessons: int


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


def season_ahead(record: Record, answer: Answer) -> Season | None:
    """Return the nearest big day or long break that the next lesson is among the last two before."""
    lessons = tuple(islice(lessons_to_come(record, answer), LAST_LESSONS + 1))
    if not lessons:
        return None
    events = answer.calendar.events
    found = [*_from_events(lessons, events), *_from_dates(lessons, events)]
    return min(found, key=lambda one: (one.first, one.name), default=None)


def _from_events(lessons: Sequence[int], events: Sequence[Event]) -> Iterator[Season]:
    for event in events:
        is_break = event.last - event.first + 1 >= LONG_BREAK
        if event.first < lessons[0] or not (is_break or event.first == event.last):
            continue
        before = sum(day < event.first for day in lessons)
        if before <= LAST_LESSONS:
            yield Season("break" if is_break else "event", event.name, event.first, before)


def _from_dates(lessons: Sequence[int], events: Sequence[Event]) -> Iterator[Season]:
    """Yield the long breaks that the dates alone make; holidays are as long as they say themselves."""
    for count, (day, following) in enumerate(pairwise(lessons), 1):
        named = any(one.is_stretch and day < one.last and one.first < following for one in events)
        if following - day >= LONG_BREAK and not named:
            yield Season("break", "", day + 1, count)
