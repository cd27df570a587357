"""The lessons to come, the checks due and the promises as a calendar to subscribe to (RFC 5545).

Students stand in it by their codes, and no word that was noted. The same question gives the same bytes: an
event keeps its UID from one day to the next, and its DTSTAMP is the day asked about.
"""

from __future__ import annotations

import hashlib
from collections.abc import Iterator, Mapping, Sequence
from datetime import UTC, date, datetime, timedelta
from itertools import takewhile
from typing import Final

from readiness.advice.plan import lessons_to_come
from readiness.course.model import Course
from readiness.lazy import dataclass
from readiness.record.entries import open_promises
from readiness.record.model import Record
from readiness.school.students import Judged, due

__all__ = ["CHECK", "LESSON", "MADE_BY", "PROMISE", "FeedEvent", "calendar_text", "codes", "feed_events"]

MADE_BY: Final = "-//readiness//lessons to come//EN"
"""Stands in every calendar made here, by which it is known again."""
LESSON: Final = "lesson"
CHECK: Final = "check"
PROMISE: Final = "promise"


@dataclass(frozen=True)
class FeedEvent:
    """Something on a day: a lesson, a check due, a promise due."""

    kind: str
    student: str
    day: int
    uid: str


def codes(records: Sequence[Record]) -> Mapping[str, str]:
    """Return by id the initials of each student; where several have the same, numbered in the order of ids.

    >>> codes([Record("mia", "Mia", 1, "Okoro"), Record("max", "Max", 1, "Okoro"), Record("s1", "S1", 1)])
    {'max': 'MO1', 'mia': 'MO2', 's1': 'S1'}
    """
    plain = {one.id: _initials(one) for one in sorted(records, key=lambda one: one.id)}
    same = {code: [id_ for id_, other in plain.items() if other == code] for code in plain.values()}
    number = {id_: ids.index(id_) + 1 for ids in same.values() if len(ids) > 1 for id_ in ids}
    return {id_: f"{code}{number.get(id_, '')}" for id_, code in plain.items()}


def _initials(record: Record) -> str:
    if any(letter.isdigit() for letter in record.name):
        return record.name  # a code already
    return "".join(word[0].upper() for word in f"{record.name} {record.family}".replace("-", " ").split())


def feed_events(course: Course, judged: Sequence[Judged], until: int) -> tuple[FeedEvent, ...]:
    """Return what comes, the soonest first; of who has no lesson day only what was promised.

    Args:
        course, judged: what is taught, and every student with the answer of the day.
        until: the last day of lessons; promises are told whenever they are due.
    """
    checks = {row.student: row.next_lesson for row in due(course, judged)}
    found = [event for one in judged for event in _of(one, checks.get(one.record.id), until)]
    return tuple(sorted(found, key=lambda one: (one.day, one.student, one.kind, one.uid)))


def _of(judged: Judged, check: int | None, until: int) -> Iterator[FeedEvent]:
    record, is_known = judged.record, judged.answer.is_day_known
    lessons = lessons_to_come(record, judged.answer) if is_known else ()
    for day in takewhile(lambda day: day <= until, lessons):
        yield _event(record, LESSON, day)
    if check is not None and is_known and check <= until:
        yield _event(record, CHECK, check)
    for number, promise in open_promises(record.seen, judged.answer.on):
        if promise.due is not None:
            yield _event(record, PROMISE, promise.due, number - 1)


def _event(record: Record, kind: str, day: int, number: int = 0) -> FeedEvent:
    """Return an event with a name that stays, and from which nobody is told."""
    told = f"{record.id}\0{record.born}\0{kind}\0{day}\0{number}"
    uid = f"{hashlib.sha256(told.encode()).hexdigest()[:24]}@readiness.invalid"
    return FeedEvent(kind, record.id, day, uid)


def calendar_text(events: Sequence[FeedEvent], titles: Sequence[str], name: str, on: int) -> bytes:
    """Return events as an iCalendar file: whole days, since no hour is known.

    Args:
        events: what; titles: what each is called in it.
        name: of the calendar; on: the day asked about.

    Raises:
        ImportError: the extra ``calendar`` is missing.
    """
    from icalendar import Calendar, Event

    calendar = Calendar()
    calendar.add("prodid", MADE_BY)
    calendar.add("version", "2.0")
    calendar.add("calscale", "GREGORIAN")
    calendar.add("x-wr-calname", name)
    stamp = datetime.combine(date.fromordinal(on), datetime.min.time(), UTC)
    for one, title in zip(events, titles, strict=True):
        event, day = Event(), date.fromordinal(one.day)
        event.add("uid", one.uid)
        event.add("dtstamp", stamp)
        event.add("dtstart", day)
        event.add("dtend", day + timedelta(days=1))
        event.add("summary", title)
        event.add("class", "PRIVATE")
        event.add("transp", "TRANSPARENT")
        calendar.add_component(event)
    text: bytes = calendar.to_ical()
    return text
