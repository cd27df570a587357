"""One day of a studio: who comes, who was here and is not noted, what is due, who waits for what.

Pure: students with the answer of the day go in, a :class:`Day` comes out, always in the order of names.
A lesson comes on a day by a plan, or by the rhythm of the lessons before (rules, section 4); of whom
neither is known nobody says that they come.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator, Sequence, Set
from itertools import takewhile

from readiness.lazy import dataclass
from readiness.record.rhythm import WEEK, Calendar, lessons_from
from readiness.school.students import Judged, Promised, promised
from readiness.terms import Verdict

__all__ = ["Day", "Lesson", "day_of"]

RECENT = 2 * WEEK
"""So many days back a lesson is missed in the notes; longer ago it is a break, which the answer says."""


@dataclass(frozen=True)
class Lesson:
    """A lesson of one student.

    Attributes:
        on: its day; is_planned: whether a plan names that day, else it follows from the rhythm.
        may_play: whether nothing hurts that would stop it.
    """

    student: str
    name: str
    on: int
    is_planned: bool
    may_play: bool = True


@dataclass(frozen=True)
class Day:
    """What a day holds.

    Attributes:
        comes: lessons of this day that are not noted yet; noted: the students whose are.
        here_not_noted: the latest lesson before this day that has no note, of the last two weeks.
        promises_due: what was promised by this day or before, or by no day to somebody who comes, and is
            not answered.
        may_not_play: the students with an open pause.
        waits_for_decision: the students who are ready, and for whom nothing was decided.
        next: the lessons of the first day after this one that has any.
    """

    on: int
    comes: tuple[Lesson, ...] = ()
    noted: tuple[str, ...] = ()
    here_not_noted: tuple[Lesson, ...] = ()
    promises_due: tuple[Promised, ...] = ()
    may_not_play: tuple[str, ...] = ()
    waits_for_decision: tuple[str, ...] = ()
    next: tuple[Lesson, ...] = ()

    @property
    def is_empty(self) -> bool:
        """Whether nothing is to be done on this day."""
        return not (self.comes or self.here_not_noted or self.promises_due or self.waits_for_decision)


def day_of(judged: Sequence[Judged], on: int, calendar: Callable[[str], Calendar]) -> Day:
    """Return what a day holds.

    Args:
        judged: every student with the answer of that day; on: the day.
        calendar: what is known of a student's lessons, by id (``Studio.calendar``).
    """
    ahead = [one for each in judged for one in _ahead(each, calendar(each.record.id))]
    first = min((one.on for one in ahead if one.on > on), default=None)
    answers = [one.answer for one in judged]
    comes = tuple(one for one in ahead if one.on == on)
    here = {one.student for one in comes}
    return Day(
        on,
        comes=comes,
        noted=tuple(one.student for one in answers if one.last_lesson == on),
        here_not_noted=tuple(one for each in judged for one in _missed(each, calendar(each.record.id))),
        promises_due=tuple(row for row in promised(judged) if _is_due(row, on, here)),
        may_not_play=tuple(one.student for one in answers if one.verdict == Verdict.PAUSED),
        waits_for_decision=tuple(one.student for one in answers if one.may_move and one.closed is None),
        next=tuple(one for one in ahead if one.on == first),
    )


def _is_due(row: Promised, on: int, here: Set[str]) -> bool:
    if row.kind != "promise":
        return False
    return row.student in here if row.due is None else row.due <= on


def _ahead(one: Judged, calendar: Calendar) -> Iterable[Lesson]:
    """Return the next lesson of a student, none where nothing says when it is."""
    answer = one.answer
    known = answer.last_lesson is not None or calendar.planned or answer.calendar.rhythm is not None
    return (_lesson(one, calendar, answer.next_lesson),) if known and answer.next_lesson is not None else ()


def _missed(one: Judged, calendar: Calendar) -> Iterator[Lesson]:
    """Yield the latest lesson before the day that is not noted."""
    on, days = one.answer.on, [day for day in one.record.seen.lesson_days if day <= one.answer.on]
    if days:
        first = max(days[-1] + 1, on - RECENT)
        due = takewhile(lambda day: day < on, lessons_from(one.answer.calendar, days, days[-1]))
        missed = [day for day in due if day >= first]
    else:
        missed = [day for day in calendar.planned if on - RECENT <= day < on]
    yield from (_lesson(one, calendar, day) for day in missed[-1:])


def _lesson(one: Judged, calendar: Calendar, on: int) -> Lesson:
    may_play = one.answer.verdict != Verdict.PAUSED
    return Lesson(one.record.id, one.record.name, on, on in calendar.planned, may_play)
