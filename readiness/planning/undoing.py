"""The answer of a later day with some of what happened since an earlier day undone.

One cause of a change at a time is taken back, or several: notes, a unit begun, something set
aside, the end of windows, an age band, a break, a hold, an edit of the course. Which of them
explain a change is decided in ``planning.changed``.
"""

from __future__ import annotations

from dataclasses import dataclass, replace

from readiness.course.model import Course
from readiness.judging.answer import READY, Answer
from readiness.judging.engine import judge_known
from readiness.judging.known import Known, known_on
from readiness.planning.change_facts import Sides, facts_of
from readiness.planning.turns import Edit, course_on, fitting
from readiness.record.model import Lesson, Record
from readiness.record.rhythm import NO_CALENDAR, Calendar

__all__ = ["Question", "Undoing"]


@dataclass(frozen=True)
class Question:
    """Between which days, by which courses.

    Attributes:
        record: the student's file.
        since, on: the earlier and the later day.
        before: the course as it was on ``since``.
        edits: what was done to it since, oldest first; each with the course as it was then.
        calendar: planned lessons, rhythm and holidays: a fortnightly lesson makes a longer break.
    """

    record: Record
    since: int
    on: int
    before: Course
    edits: tuple[Edit, ...] = ()
    calendar: Calendar = NO_CALENDAR

    @property
    def after(self) -> Course:
        """The course on the later day."""
        return course_on(self.before, self.edits, self.on)


class Undoing:
    """The answer of the later day, with some of what happened since undone."""

    def __init__(self, asked: Question, earlier: Answer) -> None:
        self.asked = asked
        self.earlier = earlier
        self.known_before = known_on(
            asked.before, fitting(asked.record, asked.before), asked.since, asked.calendar
        )
        self.later = self.answer(frozenset())

    def answer(self, undone: frozenset[str]) -> Answer:
        """Return what would be said on the later day without these causes."""
        asked = self.asked
        course = self._course(undone)
        record = fitting(_cut(asked.record, asked.since, undone), course)
        known = self._known(known_on(course, record, asked.on, asked.calendar), course, undone)
        answer = judge_known(
            _patient(course, asked.on - asked.since) if "window" in undone else course, record, known
        )
        return self._with_break(answer) if "break" in undone else answer

    def _course(self, undone: frozenset[str]) -> Course:
        """Return the skill graph and the numbers of one day or the other."""
        before, after = self.asked.before, self.asked.after
        graph = before if "graph" in undone else after
        numbers = before if "numbers" in undone else after
        whole = graph.entire or graph
        if graph is not numbers:
            other = numbers.entire or numbers
            whole = replace(whole, bands=other.bands, provenance=other.provenance)
        return replace(whole.on(self.asked.since if "dated" in undone else self.asked.on), entire=None)

    def _known(self, known: Known, course: Course, undone: frozenset[str]) -> Known:
        if "hold" in undone:
            known = replace(known, holds=self.known_before.holds)
        if "band" in undone and self.earlier.band in course.band:
            known = replace(known, chosen_band=self.earlier.band)
        if "unit" in undone:
            start = self.known_before
            unit = None if self.earlier.unit is None else course.plan.unit_index.get(self.earlier.unit)
            known = replace(known, unit=unit, unit_start=start.unit_start)
        return known

    def _with_break(self, answer: Answer) -> Answer:
        """Return the answer as on a day that is as far from a break as the earlier one."""
        if answer.verdict in ("paused", "not-placed"):
            return answer
        stays = self.earlier.away is not None and answer.underlying in READY
        return replace(answer, verdict="look-again" if stays else answer.underlying)

    def happened(self, cause: str) -> bool:
        """Return whether something of this kind lies between the two days."""
        return bool(facts_of(cause, self.facts_about(cause)))

    def facts_about(self, cause: str) -> Sides:
        """Return what the facts of a cause are read from: both days, and the later one without it."""
        return Sides(self.asked, self.earlier, self.later, self.answer(frozenset([cause])))


def _cut(record: Record, since: int, undone: frozenset[str]) -> Record:
    """Return a record without what came after a day; the days of lessons stay, for they are no notes."""
    if "notes" in undone:
        lessons = tuple(one if one.on <= since else Lesson(one.on, line=one.line) for one in record.lessons)
        record = replace(
            record, lessons=lessons, settled=tuple(one for one in record.settled if one.on <= since)
        )
    if "set-aside" in undone:
        record = replace(record, set_aside=tuple(one for one in record.set_aside if one.on <= since))
    return record


def _patient(course: Course, days: int) -> Course:
    """Return the course with windows so much longer that only what was due before is due."""
    return replace(course, bands=tuple(replace(band, longer_days=days) for band in course.bands))
