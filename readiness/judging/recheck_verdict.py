"""The verdict of a day, the lessons to come, and the two dates, worked out a second time (R7, section 4).

For :mod:`readiness.judging.recheck`. The dates are found by replaying: the same verdict, asked again on
the days ahead.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from datetime import date
from functools import cached_property
from itertools import count, islice, takewhile
from typing import Final

from readiness.course.model import Band
from readiness.judging.recheck_states import END, ByName, Demands, Group, Student
from readiness.terms import State, Verdict

__all__ = ["GAPS", "OPEN", "View", "earliest", "holds", "lessons_to_come", "next_lesson"]

GAPS: Final = (State.WITH_HELP, State.NOT_SHOWN, State.SLIPPED)
OPEN: Final = (State.UNTRIED, State.BUILDING, State.WOBBLING, State.STALE)


@dataclass(frozen=True)
class View:
    """A student on a day by the numbers of a band: states, what decides, verdict."""

    student: Student
    day: int
    band: Band

    @classmethod
    def of(cls, student: Student, day: int) -> View:
        """Return the view by the numbers of the day."""
        return cls(student, day, student.band(day))

    @cached_property
    def state(self) -> Mapping[str, State]:
        """The state of every skill."""
        where, day = self.student.wheres(self.band), self.day
        aside = dict.fromkeys(self.student.aside, State.SET_ASIDE)
        return ByName(lambda one: where[one].state(day), aside)

    @cached_property
    def asked(self) -> Demands:
        """What decides and what else is asked."""
        return self.student.ground.asked(self.student.unit, self.band, self.student.aside)

    def those(self, *states: State) -> set[str]:
        """Return the skills that are in some states."""
        return {skill for skill in self.student.ground.place if self.state[skill] in states}

    def is_met(self, group: Group) -> bool:
        """Return whether enough members are secure or set aside."""
        return sum(self.state[member] in (State.SECURE, State.SET_ASIDE) for member in group[1]) >= group[0]

    def is_gap(self, group: Group) -> bool:
        """Return whether an unmet group cannot be met without closing a gap."""
        apart = sum(self.state[member] not in GAPS for member in group[1])
        return not self.is_met(group) and apart < group[0]

    @cached_property
    def unmet(self) -> list[Group]:
        """The groups that are not met."""
        return [group for group in self.asked.groups if not self.is_met(group)]

    @cached_property
    def unsure(self) -> list[str]:
        """The deciding skills that are not secure."""
        return [skill for skill in self.asked.must if self.state[skill] != State.SECURE]

    @cached_property
    def loose(self) -> list[str]:
        """The skills of the rest that are not secure."""
        return [skill for skill in self.asked.rest if self.state[skill] != State.SECURE]

    @property
    def limit(self) -> int:
        """How much of the rest may be open."""
        return self.band.whole("carry_limit")

    @property
    def is_ready(self) -> bool:
        """Whether little enough is open, without a hold or a break."""
        return not (self.unsure or self.unmet or len(self.loose) > self.limit)

    @cached_property
    def underlying(self) -> Verdict:
        """The verdict without a hold or a break."""
        if self.is_ready:
            return Verdict.READY_TAKING_ALONG if self.loose else Verdict.READY
        if any(self.state[s] in GAPS for s in self.unsure) or any(map(self.is_gap, self.unmet)):
            return Verdict.NOT_YET
        too_many = sum(self.state[s] in GAPS for s in self.loose) > self.limit
        return Verdict.NOT_YET if too_many else Verdict.LOOK_AGAIN

    @cached_property
    def verdict(self) -> Verdict:
        """The verdict (R7)."""
        if self.student.open_holds or not self.student.unit:
            return Verdict.PAUSED if self.student.open_holds else Verdict.NOT_PLACED
        kept_back = self.is_ready and (self.away or self.after_hold)
        return Verdict.LOOK_AGAIN if kept_back else self.underlying

    @property
    def away(self) -> tuple[str, int, int] | None:
        """The break that keeps back: its kind, its days, the lesson before it."""
        days, rhythm = self.student.lessons, self.student.rhythm
        limit = 7 * max(self.band.whole("break_weeks"), rhythm.weeks + 1 if rhythm else 0)
        if days and self.day - days[-1] >= limit:
            return "on-a-break", self.day - days[-1], days[-1]
        if len(days) > 1 and days[-1] - days[-2] >= limit:
            return "first-lesson-back", days[-1] - days[-2], days[-2]
        return None

    @property
    def after_hold(self) -> tuple[int, int, int] | None:
        """What a closed hold still asks for: the day and the line, lesson days with playing since."""
        over = (hold for hold in self.student.holds if hold not in self.student.open_holds)
        closings = [(hold.closed or 0, -hold.line) for hold in over]
        if not closings:
            return None
        closed, line = max(closings)
        skills = (self.student.ground.course.skill[skill] for skill in self.student.notes)
        played = {n[0] for s in skills if not s.quiet for n in self.student.evidence(s.id, self.band)}
        days = [day for day in {*played, *self.student.supposed} if closed <= day <= self.day]
        return (closed, -line, len(days)) if len(days) < 2 else None


# ---------------------------------------------------------------- lessons to come


def next_lesson(student: Student) -> int | None:
    """Return the first lesson to come, None when none comes within 366 days."""
    first = next(lessons_to_come(student), None)
    return None if first is None or first > student.day + 366 else first


def lessons_to_come(student: Student) -> Iterator[int]:
    """Yield the lesson days to come: planned ones, then those of the rhythm outside holidays."""
    begin = student.day + (student.day in student.lessons)
    planned = sorted({day for day in student.calendar.planned if day >= begin}) if student.calendar else []
    yield from planned
    events = student.calendar.events if student.calendar else ()
    holidays = [(one.first, one.last) for one in events if one.is_stretch]
    ahead = takewhile(lambda day: day <= END, _rhythm_days(student, planned, begin))
    free = (day for day in ahead if not any(first <= day <= last for first, last in holidays))
    if planned or student.lessons:
        yield from (day for day in free if day >= begin)
        return
    first = next(free, END + 1)
    step = 7 * (student.rhythm.weeks if student.rhythm else 1)
    yield from (
        day for day in range(first, END + 1, step) if not any(one <= day <= last for one, last in holidays)
    )


def _rhythm_days(student: Student, planned: list[int], begin: int) -> Iterator[int]:
    """Yield the days of the rhythm after the latest lesson's week; with none, all that may be the first."""
    rhythm, lessons = student.rhythm, student.lessons
    if not lessons and not planned:
        wait = (rhythm.weekday - (begin - 1)) % 7 if rhythm else 0
        return count(begin + wait, 7 if rhythm else 1)
    latest = max([*lessons[-1:], *planned[-1:]])
    usual = [(day - 1) % 7 for day in lessons[-4:]] or [(latest - 1) % 7]
    weekday = rhythm.weekday if rhythm else max(reversed(usual), key=usual.count)
    monday = latest - (latest - 1) % 7
    since = max((day for day in lessons if (day - 1) % 7 == weekday), default=monday + weekday)
    weeks = rhythm.weeks if rhythm else 1
    return (day for day in count(monday + 7 + weekday, 7) if (day - since) % (7 * weeks) == 0)


# ---------------------------------------------------------------- the two dates


def _may_move(view: View) -> bool:
    return view.is_ready and not view.away and not view.after_hold


def earliest(student: Student) -> int | None:
    """Return the first of 52 lessons on which the student could be ready, all asked for shown in each."""
    ahead = islice(lessons_to_come(student), 52) if next_lesson(student) is not None else ()
    for day in ahead:
        view = View.of(student, day)
        asked = {*view.asked.must, *view.asked.rest, *view.asked.members}
        there = (State.SECURE, State.SET_ASIDE)
        student = student.showing([s for s in asked if view.state[s] not in there], day)
        if _may_move(View.of(student, day)):
            return day
    return None


def holds(student: Student) -> tuple[int | None, object]:
    """Return the last day on which a ready verdict stands with nothing noted, and what ends it.

    A verdict follows from the band, from what has turned stale and from the length of the break. So
    it can change only on a birthday, on the day after a skill was fresh, and on the day on which a break
    begins; these days are all replayed, in every band there may be.
    """
    for day in sorted(_turns(student)):
        if day > student.day and not _may_move(View.of(student, day)):
            return day - 1, _because(student, day)
    return None, None


def _turns(student: Student) -> set[int]:
    """Return all days on which the verdict may change; some lie before the day asked about."""
    bands = student.ground.course.bands
    born = date.fromordinal(student.record.born)
    leap = (born.month, born.day) == (2, 29)
    ages = [band.from_age for band in bands] if student.chosen is None else []
    turns = {date(born.year + age, born.month, born.day - leap).toordinal() + leap for age in ages}
    for band in {student.band(day).name: student.band(day) for day in {student.day, *turns}}.values():
        asked = View(student, student.day, band).asked
        untils = {student.wheres(band)[one].until for one in (*asked.must, *asked.rest, *asked.members)}
        turns |= {until + 1 for until in untils if until is not None}
        rhythm = student.rhythm.weeks + 1 if student.rhythm else 0
        turns |= {day + 7 * max(band.whole("break_weeks"), rhythm) for day in student.lessons[-1:]}
    return turns


def _because(student: Student, day: int) -> object:
    """Return what ends a verdict: fading by the numbers of the day before, a birthday, or the break."""
    band = student.band(day - 1)
    before, then = View(student, day - 1, band), View(student, day, band)
    if then.is_ready:
        return "no-lesson" if then.away and View.of(student, day).is_ready else "birthday"
    members = student.ground.in_order(skill for group in then.unmet for skill in group[1])
    turned = before.those(State.SECURE) - then.those(State.SECURE)
    faded = [skill for skill in (*then.asked.must, *members, *then.asked.rest) if skill in turned]
    return {"skill": faded[0]} if faded else "birthday"
