"""The lesson days to come (rules, section 4): planned ones first, then the rhythm, holidays left out.

Every answer that names a lesson asks here, so that all name the same. Nothing here reads a
calendar: days come in, days go out.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence
from datetime import date
from itertools import chain, filterfalse, islice, pairwise
from typing import Any, Final

from readiness.days import YEARS
from readiness.lazy import dataclass

__all__ = [
    "DAY_CODES", "FURTHEST", "LAST_LESSONS", "LONG_BREAK", "NO_CALENDAR", "WEEK", "Calendar", "Event",
    "Rhythm", "Season", "is_dated", "lessons_from", "next_lesson", "rhythm_of", "season_from",
]  # fmt: skip

WEEK: Final = 7
FURTHEST: Final = 366
"""How far ahead the next lesson is looked for, in days."""

DAY_CODES: Final = ("mon", "tue", "wed", "thu", "fri", "sat", "sun")
_LATEST: Final = 4
"""Of so many different lesson days the commonest weekday is the usual one."""
_END: Final = date(YEARS[-1], 12, 31).toordinal()


@dataclass(frozen=True)
class Event:
    """Something on one day (``last`` equals ``first``) or over a stretch of days without lessons."""

    name: str
    first: int
    last: int
    is_stretch: bool = False


@dataclass(frozen=True)
class Rhythm:
    """A lesson on a weekday (0 is Monday) every so many weeks."""

    weekday: int
    weeks: int = 1


@dataclass(frozen=True)
class Calendar:
    """What is known of the lessons of one student.

    Attributes:
        planned: days on which a lesson is planned, in order.
        rhythm: what the student's file says, else the studio.
        events: of the studio, in the order of their days; in a stretch no lesson of the rhythm falls.
        beside: the days of lessons of another course alone, by which no lesson of this one goes.
    """

    planned: tuple[int, ...] = ()
    rhythm: Rhythm | None = None
    events: tuple[Event, ...] = ()
    beside: tuple[int, ...] = ()

    def holidays(self, day: int) -> Event | None:
        """Return the stretch without lessons that a day lies in, None where it lies in none."""
        return next((one for one in self.events if one.is_stretch and one.first <= day <= one.last), None)

    def break_days(self, break_weeks: int) -> int:
        """Return how many days without a lesson are a break (rule R7)."""
        weeks = break_weeks if self.rhythm is None else max(break_weeks, self.rhythm.weeks + 1)
        return weeks * WEEK


NO_CALENDAR: Final = Calendar()


def rhythm_of(table: Mapping[str, Any] | None) -> Rhythm | None:
    """Return the rhythm that a file says, as the plain values of its table."""
    return None if table is None else Rhythm(DAY_CODES.index(table["day"]), table.get("weeks", 1))


def is_dated(calendar: Calendar, lesson_days: Sequence[int], day: int) -> bool:
    """Return whether anything says when lessons are: one noted, one planned from a day on, or a rhythm."""
    return bool(lesson_days or calendar.rhythm) or any(one >= day for one in calendar.planned)


def next_lesson(calendar: Calendar, lesson_days: Sequence[int], day: int) -> int | None:
    """Return the first lesson day to come, None when none comes within 366 days."""
    first = next(lessons_from(calendar, lesson_days, day), None)
    return first if first is not None and first <= day + FURTHEST else None


def lessons_from(calendar: Calendar, lesson_days: Sequence[int], day: int) -> Iterator[int]:
    """Yield the lesson days to come, in order, as far as dates go.

    A day is to come when it is after ``day``, or ``day`` itself with no lesson noted on it.

    Args:
        calendar: planned days, rhythm and holidays.
        lesson_days: different lesson days noted up to ``day``, oldest first.
    """
    if calendar.beside:
        lesson_days = [one for one in lesson_days if one not in calendar.beside] or lesson_days
    begin = day + 1 if lesson_days[-1:] and lesson_days[-1] == day else day
    planned = sorted({one for one in calendar.planned if one >= begin})
    following = _after(calendar, lesson_days, planned) if lesson_days or planned else _first(calendar, begin)
    return chain(planned, (one for one in following if one >= begin))


def _after(calendar: Calendar, lesson_days: Sequence[int], planned: Sequence[int]) -> Iterator[int]:
    """Yield the days of the rhythm in the weeks after that of the latest known lesson."""
    latest = max(*lesson_days[-1:], *planned[-1:], 0)
    weekday = _usual_weekday(lesson_days, latest) if calendar.rhythm is None else calendar.rhythm.weekday
    step = WEEK * (1 if calendar.rhythm is None else calendar.rhythm.weeks)
    own = (one for one in reversed(lesson_days) if _weekday(one) == weekday)
    begun = next(own, _monday(latest) + weekday)
    after = _monday(latest) + WEEK
    first = begun + max(0, -((begun - after) // step)) * step
    return (one for one in range(first, _END + 1, step) if not calendar.holidays(one))


def _first(calendar: Calendar, begin: int) -> Iterator[int]:
    """Yield the days from the first possible one on, where no lesson is known at all."""
    rhythm = calendar.rhythm
    if rhythm is None:
        tried, step = range(begin, _END + 1), WEEK
    else:
        tried = range(begin + (rhythm.weekday - _weekday(begin)) % WEEK, _END + 1, WEEK)
        step = WEEK * rhythm.weeks
    first = next(filterfalse(calendar.holidays, tried), None)
    return iter(()) if first is None else filterfalse(calendar.holidays, range(first, _END + 1, step))


def _usual_weekday(lesson_days: Sequence[int], latest: int) -> int:
    """Return the commonest weekday of the last four lesson days; of equals the one seen last."""
    last = [_weekday(day) for day in lesson_days[-_LATEST:]]
    return max(reversed(last), key=last.count, default=_weekday(latest))


def _weekday(day: int) -> int:
    return (day - 1) % WEEK


def _monday(day: int) -> int:
    return day - _weekday(day)


# What the calendar forbids: nothing new in the last two lessons before a big day or a long break.
#
# A big day is an event of the studio on a single day; a long break is an event of three weeks
# or more, or three weeks or more between two lessons that the rhythm puts nearer. Shorter holidays are none.
# Common practice, no source.


LONG_BREAK: Final = 21
LAST_LESSONS: Final = 2


@dataclass(frozen=True)
class Season:
    """Why a lesson begins nothing new.

    ``kind`` is event or break; ``first`` is its first day, and ``lessons`` counts the lessons before it,
    that one included. ``name`` is empty where only the planned dates say so.
    """

    kind: str
    name: str
    first: int
    lessons: int


def season_from(ahead: Iterable[int], calendar: Calendar) -> Season | None:
    """Return the nearest big day or long break that the first lesson ahead is among the last two before."""
    lessons = tuple(islice(ahead, LAST_LESSONS + 1))
    found = [*_from_events(lessons, calendar.events), *_from_dates(lessons, calendar)]
    return min(found, key=lambda one: (one.first, one.name), default=None)


def _from_events(lessons: Sequence[int], events: Sequence[Event]) -> Iterator[Season]:
    for event in events:
        is_break = event.last - event.first + 1 >= LONG_BREAK
        if not lessons or event.first < lessons[0] or not (is_break or event.first == event.last):
            continue
        before = sum(day < event.first for day in lessons)
        if before <= LAST_LESSONS:
            yield Season("break" if is_break else "event", event.name, event.first, before)


def _from_dates(lessons: Sequence[int], calendar: Calendar) -> Iterator[Season]:
    """Yield the long breaks that the dates alone make; holidays are as long as they say themselves."""
    for count, (day, following) in enumerate(pairwise(lessons), 1):
        named = any(one.is_stretch and day < one.last and one.first < following for one in calendar.events)
        if following - day >= calendar.break_days(LONG_BREAK // WEEK) and not named:
            yield Season("break", "", day + 1, count)
