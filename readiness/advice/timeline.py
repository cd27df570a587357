"""On which days a verdict became another one: a walk from one day to a later one.

Between two days on which something can happen - a block of the student's file, the end of a
window, a birthday, a lesson missed for too long, an edit of the course - no verdict changes,
so only those days are looked at.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import replace
from typing import Final

from readiness.course.model import Course
from readiness.days import birthday
from readiness.judging.engine import judge
from readiness.judging.history import known_on
from readiness.judging.states import judge_states
from readiness.lazy import dataclass
from readiness.record.model import Record
from readiness.record.rhythm import NO_CALENDAR, Calendar
from readiness.terms import Verdict

__all__ = ["Edit", "Turn", "course_on", "fitting", "followed_from", "turns"]

_MOST: Final = 100
"""How many days on which something was noted are followed; each asks for a verdict."""
_MOST_DAYS: Final = 500
"""How many days are asked about in all: what was noted turns stale on days of its own."""


@dataclass(frozen=True)
class Edit:
    """The course after an edit. ``day`` is None where it is not known: then it counts as the last one."""

    day: int | None
    by: str
    about: str
    course: Course


@dataclass(frozen=True)
class Turn:
    """The first day of another verdict."""

    day: int
    verdict: Verdict


def course_on(before: Course, edits: Sequence[Edit], day: int, last: int | None = None) -> Course:
    """Return the course as it was on a day.

    Args:
        edits: oldest first.
        last: from when on edits without a day count; that day without.
    """
    course = before
    for edit in edits:
        if (edit.day if edit.day is not None else last or day) <= day:
            course = edit.course
    return course


def fitting(record: Record, course: Course) -> Record:
    """Return a record without what another course of the same name does not have."""
    names = {"skill": course.skill, "unit": course.unit, "band": course.band}
    if all(name in names[kind] for kind, name in record.seen.named):
        return record
    skills, units = course.skill.keys(), course.unit.keys()
    lessons = tuple(
        replace(one, showings=tuple(showing for showing in one.showings if showing.skill in skills))
        for one in record.lessons
    )
    return replace(
        record,
        lessons=lessons,
        unit_starts=tuple(one for one in record.unit_starts if one.unit in units),
        settled=tuple(one for one in record.settled if one.through in units),
        set_aside=tuple(one for one in record.set_aside if one.skill in skills),
        band_choices=tuple(one for one in record.band_choices if one.band in course.band),
    )


def turns(
    record: Record,
    before: Course,
    edits: Sequence[Edit],
    since: int,
    on: int,
    calendar: Calendar = NO_CALENDAR,
) -> tuple[tuple[Turn, ...], int]:
    """Return the first day of every other verdict after ``since``, and the day to which they were looked for.

    That is ``on``, but where there were too many days to ask about.
    """
    day, found, asked = since, list[Turn](), 0
    verdict = judge(before, fitting(record, before), since, calendar).verdict
    while day < on and (asked := asked + 1) <= _MOST_DAYS:
        course = course_on(before, edits, day, on)
        day = min([on, *(one for one in _turning(record, course, edits, day, calendar) if one > day)])
        course = course_on(before, edits, day, on)
        now = judge(course, fitting(record, course), day, calendar).verdict
        if now != verdict:
            found.append(Turn(day, now))
            verdict = now
    return tuple(found), day


def followed_from(record: Record, since: int, on: int) -> int:
    """Return the day from which turns are looked for: ``since``, or later where very much was noted."""
    days = sorted({day for day in _blocks(record) if since < day <= on})
    return days[-_MOST] if len(days) > _MOST else since


def _turning(
    record: Record, course: Course, edits: Sequence[Edit], day: int, calendar: Calendar
) -> Iterator[int]:
    """Yield the days on which something can happen, as far as it can be told on ``day``."""
    yield from _blocks(record)
    yield from (edit.day for edit in edits if edit.day is not None)
    whole = course.entire or course
    yield from whole.turning_days
    yield from (birthday(record.born, band.from_age) for band in course.bands)
    course = course.on(day)
    fit = fitting(record, course)
    known = known_on(course, fit, day, calendar)
    band = known.band_on(course, day)
    if known.lesson_days:
        yield known.lesson_days[-1] + known.calendar.break_days(band.whole("break_weeks"))
    states = judge_states(course.plan, known, band, day)
    for seen, fade in zip(states.last_seen, course.plan.fade, strict=True):
        if seen is not None:
            yield seen + band.fresh_days[fade] + 1


def _blocks(record: Record) -> Iterator[int]:
    yield from (one.on for one in record.lessons)
    yield from (one.on for one in record.unit_starts)
    yield from (one.on for one in record.settled)
    yield from (one.on for one in record.set_aside)
    yield from (one.on for one in record.band_choices)
    for hold in record.holds:
        yield hold.opened
        if hold.closed is not None:
            yield hold.closed
