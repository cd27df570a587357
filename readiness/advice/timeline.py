"""On which days a verdict became another one, and what a birthday alone changes.

Between two days on which something can happen - a block of the student's file, the end of a
window, a birthday, a lesson missed for too long, an edit of the course - no verdict changes,
so only those days are looked at.

What changes when a birthday changes the age band: numbers, skills asked for, the verdict.

Time passes until a birthday, and that alone changes states. So the day itself is judged twice,
by the band of the day before and by the new one, with nothing new noted: what differs, the
birthday does. Bands have edges, so on some days one day of age decides; that is said.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import replace
from typing import Final

from readiness.advice.answer_changes import StudentChange, student_change
from readiness.course.model import Course
from readiness.days import age_on, birthday
from readiness.judging.answer import Answer
from readiness.judging.engine import judge
from readiness.judging.history import known_on
from readiness.judging.states import judge_states
from readiness.lazy import dataclass
from readiness.record.model import BandChoice, Record
from readiness.record.rhythm import NO_CALENDAR, Calendar
from readiness.terms import Verdict

__all__ = [
    "Birthday", "Edit", "OneDay", "Turn", "birthday_changes", "course_on", "fitting", "followed_from",
    "one_day_of_age", "turns",
]  # fmt: skip

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


@dataclass(frozen=True)
class Birthday:
    """A birthday that changes the band.

    Attributes:
        day: the day; age: the age on it; old, new: the bands before and from it on.
        numbers: (rule, old, new) of every number that differs, in the order of the file.
        due: skills asked for from that day on that were not before; skipped: the other way.
        change: the day judged by the old band and by the new one.
    """

    day: int
    age: int
    old: str
    new: str
    numbers: tuple[tuple[str, object, object], ...]
    due: tuple[str, ...]
    skipped: tuple[str, ...]
    change: StudentChange

    @property
    def one_day_decides(self) -> bool:
        """Return whether on that day the verdict of somebody born a day later is another."""
        return self.change.before.verdict != self.change.after.verdict


@dataclass(frozen=True)
class OneDay:
    """Somebody with the same notes, born one day later, or else earlier, and the answer for them."""

    later: bool
    answer: Answer

    @property
    def born(self) -> str:
        """Return when: earlier or later."""
        return "later" if self.later else "earlier"


def birthday_changes(
    course: Course, record: Record, on: int, calendar: Calendar = NO_CALENDAR
) -> Birthday | None:
    """Return what the next birthday that changes the band changes; None where none does.

    None too where the teacher has set the band, because it then goes by the teacher.
    """
    known = known_on(course, record, on)
    record = replace(record, lessons=tuple(lesson for lesson in record.lessons if lesson.on <= on))
    day = known.next_band_day(course, on)
    if day is None:
        return None
    now, then = known.band_on(course, on), known.band_on(course, day)
    kept = replace(record, band_choices=(*record.band_choices, BandChoice(now.name, day)))
    taught = course.on(day)
    asked = [[s.id for s in taught.skills if band.name not in s.optional_in] for band in (now, then)]
    before, after = judge(course, kept, day, calendar), judge(course, record, day, calendar)
    return Birthday(
        day=day,
        age=age_on(record.born, day),
        old=now.name,
        new=then.name,
        numbers=tuple(
            (rule, now.numbers.get(rule), value)
            for rule, value in then.numbers.items()
            if rule != "from_age" and now.numbers.get(rule) != value
        ),
        due=tuple(skill for skill in asked[1] if skill not in asked[0]),
        skipped=tuple(skill for skill in asked[0] if skill not in asked[1]),
        change=student_change(course, course, before, after, (kept, record)),
    )


def one_day_of_age(course: Course, record: Record, answer: Answer) -> OneDay | None:
    """Return the answer for the same notes of somebody born one day earlier or later.

    None where the verdict is that of the answer, or goes by the same band: then no day of age decides.
    """
    for later in (False, True):
        born = record.born + (1 if later else -1)
        other = judge(course, replace(record, born=born), answer.on, answer.calendar)
        if other.band != answer.band and other.verdict != answer.verdict:
            return OneDay(later, other)
    return None
