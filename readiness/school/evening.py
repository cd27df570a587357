"""A day of a whole studio: who comes, what is not noted yet, what is due, who waits, what ends.

``evening`` and the first screen of the terminal program ask the same functions, so they say the same.

A day is looked at, or some days from it on. Whether a child came nobody knows who did not see it; here a
lesson is missing where one was expected and none is noted in that week.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from itertools import takewhile
from typing import Final

from readiness.advice.after_break import closed_lately, pain_noted
from readiness.advice.plan import move_waits
from readiness.advice.skill_traits import without_resting
from readiness.course.model import Course
from readiness.days import iso
from readiness.judging.answer import Answer
from readiness.judging.lookahead import break_of
from readiness.lazy import dataclass
from readiness.record import draft_entry
from readiness.record.entries import no_lessons
from readiness.record.model import Record
from readiness.record.noting import NewLesson
from readiness.record.rhythm import WEEK, Calendar, Event, is_dated, lessons_from
from readiness.school.students import Judged, Promised, Ready, promised, ready
from readiness.terms import Verdict

__all__ = ["Comes", "Day", "Ends", "Evening", "NotNoted", "day_of", "evening", "evening_to_dict", "next_day"]

_TERM_AHEAD: Final = 14
"""So many days before its end a term is named. Common practice, no source."""
_AWAY: Final = 4
"""After so many weeks without a lesson it is asked whether the student still comes, unless the file or the
calendar says when the lessons are. Common practice, no source."""


@dataclass(frozen=True)
class Comes:
    """Who comes on a day.

    ``is_back``: first lesson after a break; ``is_planned``: a plan names the day; ``is_gentle``: soon after a
    hold, so that little is played; ``ask_first``: the last lesson's notes may speak of pain. ``perhaps``: the
    lesson of this week, which may have been that of an earlier one; by the rules nobody comes then.
    """

    student: str
    on: int
    answer: Answer
    is_noted: bool
    is_back: bool
    is_planned: bool
    is_gentle: bool
    ask_first: bool
    perhaps: int | None = None


@dataclass(frozen=True)
class NotNoted:
    """A lesson that was expected and is not noted, or that is half entered (``half``), maybe of a placing.

    ``since``: the latest lesson, where that is so long ago that the student may not come any more.
    ``none``: why no lesson took place, maybe in no words, where that is noted.
    """

    student: str
    name: str
    on: int
    half: NewLesson | None = None
    is_placing: bool = False
    since: int | None = None
    none: str | None = None


@dataclass(frozen=True)
class Ends:
    """What ends: a stretch without lessons, by its name, or the term (no name)."""

    name: str
    on: int


@dataclass(frozen=True)
class Day:
    """What one day holds, for the first screen.

    Attributes:
        comes, not_noted: as in an :class:`Evening` of that day alone.
        due: of those there, what was promised by a day, and by no day to somebody who comes.
        undated: the students of whom nothing says when their lessons are, so that any day may be the first.
        may_not_play: the students with an open pause; waits: those who wait for a decision.
        next: who comes on the first day after this one on which anybody does.
    """

    comes: tuple[Comes, ...] = ()
    not_noted: tuple[NotNoted, ...] = ()
    due: tuple[Promised, ...] = ()
    undated: tuple[str, ...] = ()
    may_not_play: tuple[str, ...] = ()
    waits: tuple[str, ...] = ()
    next: tuple[Comes, ...] = ()

    @property
    def is_empty(self) -> bool:
        """Whether nothing is to be done on this day."""
        return not (self.comes or self.not_noted or self.due or self.waits)


@dataclass(frozen=True)
class Evening:
    """What one screen says of the days from ``on`` to ``last``; ``undated`` by id and name; see Day."""

    on: int
    last: int
    comes: tuple[Comes, ...]
    undated: tuple[tuple[str, str], ...]
    not_noted: tuple[NotNoted, ...]
    due: tuple[Promised, ...]
    waits: tuple[Ready, ...]
    ends: tuple[Ends, ...]
    may_not_play: tuple[Record, ...]
    """Who has an open pause and does not come."""


def evening(
    course: Course,
    judged: Sequence[Judged],
    on: int,
    last: int,
    events: Sequence[Event] = (),
    term_end: int | None = None,
) -> Evening:
    """Return what is to be known on an evening: ``on`` a day, up to the ``last`` that is looked at."""
    waits = ready(course, [one for one in judged if _waits(one)])
    over = [Ends(one.name, one.last) for one in events if one.is_stretch and on <= one.last <= last + WEEK]
    term = [Ends("", term_end)] if term_end is not None and on <= term_end <= last + _TERM_AHEAD else []
    comes, due = _all_who_come(course, judged, on, last), _due(judged, last)
    undated = tuple((one.record.id, one.record.name) for one in _undated(judged))
    here = {one.student for one in comes}
    away = (one for one in judged if one.record.id not in here)
    paused = tuple(one.record for one in away if one.answer.verdict == Verdict.PAUSED)
    return Evening(on, last, comes, undated, _all_not_noted(judged, on), due, waits, (*over, *term), paused)


def day_of(course: Course, judged: Sequence[Judged], on: int) -> Day:
    """Return what a day holds; the arguments are those of :func:`evening`."""
    ahead, comes = next_day(judged, on), _all_who_come(course, judged, on, on)
    here = {one.student for one in comes}
    return Day(
        comes=comes,
        not_noted=_all_not_noted(judged, on),
        due=tuple(row for row in _due(judged, on) if row.due is not None or row.student in here),
        undated=tuple(one.record.id for one in _undated(judged)),
        may_not_play=tuple(one.record.id for one in judged if one.answer.verdict == Verdict.PAUSED),
        waits=tuple(one.record.id for one in judged if _waits(one)),
        next=() if ahead is None else _all_who_come(course, judged, ahead, ahead),
    )


def _all_who_come(course: Course, judged: Sequence[Judged], first: int, last: int) -> tuple[Comes, ...]:
    found = (one for each in judged for one in _comes(course, each, first, last))
    return tuple(sorted(found, key=lambda one: (one.on, one.answer.name.casefold(), one.student)))


def _all_not_noted(judged: Sequence[Judged], on: int) -> tuple[NotNoted, ...]:
    return tuple(one for each in judged for one in _not_noted(each, on))


def _due(judged: Sequence[Judged], last: int) -> tuple[Promised, ...]:
    """Return what was promised by a day or before, or by no day, and is not answered."""
    rows = promised([one for one in judged if one.record.seen.promises])
    return tuple(row for row in rows if row.kind == "promise" and (row.due is None or row.due <= last))


def _waits(judged: Judged) -> bool:
    """Return whether a student is ready, nothing was decided, and nothing makes the move wait."""
    answer = judged.answer
    return answer.is_ready and answer.closed is None and not move_waits(judged.record, answer)


def _comes(course: Course, judged: Judged, first: int, last: int) -> Iterator[Comes]:
    """Yield the lessons of a student from one day to another, noted ones too."""
    answer = without_resting(course, judged.record, judged.answer)
    noted = [day for day in judged.record.seen.lesson_days if day <= first]
    earlier = [day for day in noted if day < first]
    coming = takewhile(lambda day: day <= last, _expected(answer.calendar, noted, first))
    days = [*(day for day in noted if day == first), *coming]
    made_up = {day: _made_up(answer.calendar, noted, day) for day in range(first, last + 1)}
    for day in sorted({*days, *(day for day in made_up if made_up[day] and day not in noted)}):
        gap = break_of(course, answer, [other for other in (*earlier, *days) if other < day], day)
        yield Comes(
            answer.student, day, answer, is_noted=day in noted,
            is_back=gap is not None and gap.kind == "on-a-break", is_planned=day in answer.calendar.planned,
            is_gentle=bool(closed_lately(course, judged.record, answer.on)),
            ask_first=answer.verdict != Verdict.PAUSED and bool(pain_noted(judged.record, answer.on)),
            perhaps=None if day in days else made_up[day],
        )  # fmt: skip


def _made_up(calendar: Calendar, noted: Sequence[int], day: int) -> int | None:
    """Return the lesson of the week so far, where it may stand for an earlier one and the day be due."""
    monday = day - (day - 1) % WEEK
    earlier, here = [one for one in noted if one < monday], [one for one in noted if monday <= one < day]
    if not (earlier and here) or next(lessons_from(calendar, earlier, day), None) != day:
        return None
    return here[-1] if next(lessons_from(calendar, earlier, earlier[-1]), day) < monday else None


def _expected(calendar: Calendar, noted: Sequence[int], first: int) -> Iterator[int]:
    """Yield the lessons to come from a day on; none where nothing says when they are."""
    return lessons_from(calendar, noted, first) if is_dated(calendar, noted, first) else iter(())


def _undated(judged: Sequence[Judged]) -> list[Judged]:
    """Return of whom nothing says when the lessons are; of somebody paused nobody asks."""
    return [one for one in judged if one.answer.verdict != Verdict.PAUSED and not one.answer.is_day_known]


def next_day(judged: Sequence[Judged], on: int) -> int | None:
    """Return the first day after one on which somebody comes."""
    noted = ((one, [day for day in one.record.seen.lesson_days if day <= on]) for one in judged)
    coming = (next(_expected(one.answer.calendar, days, on + 1), None) for one, days in noted)
    return min((day for day in coming if day is not None), default=None)


def _not_noted(judged: Judged, on: int) -> Iterator[NotNoted]:
    """Yield what is half entered, and the latest lesson of another of the last seven days that is missing."""
    record, calendar = judged.record, judged.answer.calendar
    half = draft_entry.offered(record.path) if record.path is not None else None
    half = None if half is None or half.is_empty else half
    if half is not None:
        yield NotNoted(record.id, record.name, half.on, half, judged.answer.placing is not None)
    days = [day for day in range(on - 1, on - WEEK - 1, -1) if half is None or day != half.on]
    days = [day for day in days if _is_missing(judged, day)]
    told = no_lessons(record.path) if days else {}
    yield from (NotNoted(record.id, record.name, day, none=told[day]) for day in days if day in told)
    if (day := next((day for day in days if day not in told), None)) is not None:
        is_told = day in calendar.planned or calendar.rhythm is not None
        last = None if is_told else max(other for other in record.seen.lesson_days if other < day)
        yield NotNoted(
            record.id, record.name, day, since=last if last and day - last > _AWAY * WEEK else None
        )


def _is_missing(judged: Judged, day: int) -> bool:
    """Return whether a lesson was expected on a day and none is noted in its week, or since a planned day.

    A lesson of another course on that very day is one that is noted.
    """
    noted, calendar = judged.record.seen.lesson_days, judged.answer.calendar
    monday = day - (day - 1) % WEEK
    earlier = [other for other in noted if other < day]
    is_known = bool(earlier) or day in calendar.planned or calendar.rhythm is not None
    since = day if day in calendar.planned else monday
    is_noted = day in judged.record.entire.seen.lesson_days
    if not is_known or is_noted or any(since <= other < monday + WEEK for other in noted):
        return False
    return next(lessons_from(calendar, earlier, day), None) == day


def evening_to_dict(found: Evening) -> dict[str, object]:
    """Return it as plain JSON values."""
    return {
        "on": iso(found.on),
        "last": iso(found.last),
        "comes": [
            {"student": one.student, "on": iso(one.on), "verdict": one.answer.verdict,
             "one_thing": one.answer.one_thing, "is_noted": one.is_noted, "is_back": one.is_back,
             "is_gentle": one.is_gentle, "ask_first": one.ask_first}
            for one in found.comes if one.perhaps is None
        ],
        "perhaps": [
            {"student": one.student, "on": iso(one.on)} for one in found.comes if one.perhaps is not None
        ],
        "no_day_known": [student for student, _ in found.undated],
        "not_noted": [
            {"student": one.student, "on": iso(one.on), "half_entered": one.half is not None,
             "no_lesson": one.none is not None}
            for one in found.not_noted
        ],
        "due": [{"student": one.student, "number": one.number, "due": iso(one.due)} for one in found.due],
        "waits": [{"student": one.student, "since": iso(one.since)} for one in found.waits],
        "ends": [{"name": one.name or "term", "on": iso(one.on)} for one in found.ends],
        "may_not_play": [one.id for one in found.may_not_play],
    }  # fmt: skip
