"""One reading of the studio as values: everybody with the answer of the day.

Knows no screen and no file. An answer is worked out when it is first asked for, so that a list of
many is there before everybody is judged. Says, too, whose answer is another one after a new reading.
"""

from __future__ import annotations

from collections.abc import Mapping
from functools import cached_property
from operator import itemgetter
from pathlib import Path
from typing import Final

from readiness.course.model import Course
from readiness.judging.answer import Answer
from readiness.judging.engine import judge
from readiness.lazy import dataclass
from readiness.record.checks import odd_days
from readiness.record.entries import open_promises
from readiness.record.model import Promise, Record
from readiness.record.rhythm import NO_CALENDAR, Calendar
from readiness.school.evening import Day, day_of
from readiness.school.questions import LISTS
from readiness.school.students import Judged
from readiness.studio.load import Studio
from readiness.toml.problems import Problem, errors
from readiness.toml.texts import folded
from readiness.words.changes import since_then
from readiness.words.english import namesakes, verdict_change

__all__ = ["SHUT", "StudentRow", "View", "differences", "spot"]


@dataclass(frozen=True, eq=False)
class StudentRow:
    """A student on the day asked about, as the list of students shows it."""

    record: Record
    course: Course
    day: int
    calendar: Calendar = NO_CALENDAR
    latest: int | None = None
    """The latest day on which something can have been noted; None for the day asked about."""

    @cached_property
    def odd(self) -> tuple[Problem, ...]:
        """A warning for every day in the file that can hardly be."""
        return tuple(odd_days(self.record, self.day if self.latest is None else self.latest))

    @cached_property
    def answer(self) -> Answer:
        """The answer of the day."""
        return judge(self.course, self.record, self.day, self.calendar)

    @cached_property
    def lists(self) -> frozenset[str]:
        """The questions over the school whose list has the student in it, as ``readiness ask`` has them."""
        one = Judged(self.record, self.answer)
        return frozenset(question for question, (asked, _) in LISTS.items() if asked(self.course, (one,)))

    @cached_property
    def essence(self) -> object:
        """What a teacher would call the answer."""
        one = self.answer
        shown = one.verdict, one.waits_by_decision, one.unit
        return *shown, one.blockers, one.open_rest, one.one_thing, one.earliest_told

    @cached_property
    def promises(self) -> tuple[Promise, ...]:
        """What was promised by the day and not answered by it."""
        if not open_promises(self.record.seen, self.day):
            return ()  # nearly always, and then nobody's words are read
        return tuple(one for _, one in sorted(open_promises(self.record, self.day), key=itemgetter(0)))

    @cached_property
    def found_by(self) -> str:
        """What a part of the name is looked for in."""
        return folded(self.record.name)

    @property
    def path(self) -> Path:
        """The student's file: whoever was read has one."""
        return self.record.own_path

    @property
    def is_paused(self) -> bool:
        """Whether a hold is open: known before anything is worked out."""
        return any(hold.is_open(self.day) for hold in self.record.seen.holds)

    @property
    def is_worked_out(self) -> bool:
        """Whether all that a list needs is known already."""
        return "lists" in self.__dict__ and "essence" in self.__dict__

    def work_out(self) -> None:
        """Work out all that a list needs."""
        _ = self.lists, self.essence


SHUT: Final = ("no-access", "no-studio")
"""The problems of a folder that cannot be looked through."""


def spot(problem: Problem) -> str:
    """Return where a problem is: a file with its line, or a folder."""
    file = problem.place.file
    return f"{file.name}:{problem.place.line}" if file.suffix else file.name


@dataclass(frozen=True, eq=False)
class View:
    """One reading of the studio. Rows: open holds first, then in the order of names.

    ``is_old`` says that the files cannot be read now and the rows are those of before.
    """

    studio: Studio
    course: Course | None
    rows: tuple[StudentRow, ...]
    day: int
    is_old: bool = False
    today: int | None = None
    """The day it is, where another one may be asked about."""

    @cached_property
    def by_id(self) -> Mapping[str, StudentRow]:
        """The rows by the students' ids."""
        return {row.record.id: row for row in self.rows}

    @cached_property
    def shared(self) -> frozenset[str]:
        """The given names that more than one student has."""
        return namesakes(row.record.name for row in self.rows)

    @cached_property
    def names(self) -> Mapping[str, str]:
        """What a part of a name is looked for in, by the student's id."""
        return {row.record.id: row.found_by for row in self.rows}

    @property
    def problems(self) -> tuple[Problem, ...]:
        """Return everything that is wrong or odd in the files, errors first, then days that can hardly be."""
        odd = (problem for row in self.rows for problem in row.odd)
        return (*self.errors, *odd, *(p for p in self._found if p.severity != "error"))

    @property
    def errors(self) -> tuple[Problem, ...]:
        """Return everything that is wrong in the files."""
        return tuple(errors(self._found))

    @property
    def is_shut(self) -> bool:
        """Whether a folder cannot be looked through: nothing may change there when it can be again."""
        return any(one.id in SHUT for one in self.studio.problems)

    def may_have(self, row: StudentRow | None) -> bool:
        """Return whether a student's file may have been there already, with a mistake in it."""
        return row is not None and (self.is_old or row.record.id in self.studio.broken)

    @property
    def from_before(self) -> str:
        """Say that what is shown is from before, and what cannot be read now; empty where all is of now."""
        if not self.is_old:
            return ""
        first = self.errors[0]
        return f"{spot(first)} {first.message}." + (" What you see is from before." if self.rows else "")

    @property
    def _found(self) -> tuple[Problem, ...]:
        return (*self.studio.problems, *(p for one in self.studio.loaded for p in one.problems))

    @cached_property
    def agenda(self) -> Day:
        """What the day holds; works everybody's answer out."""
        judged = [Judged(row.record, row.answer) for row in self.rows]
        return Day() if self.course is None else day_of(self.course, judged, self.day)

    @cached_property
    def since(self) -> str:
        """Say that a past day is answered by a course that was changed since; empty where it was not."""
        course = self.studio.course
        return since_then(course, self.day, self.today) if course and self.today is not None else ""


def differences(before: View | None, after: View) -> tuple[str, ...]:
    """Return, in words, whose answer is another one after a change of the files."""
    if before is None or before.course is None or after.is_old:
        return ()
    pairs = ((before.by_id.get(one), after.by_id.get(one)) for one in {**before.by_id, **after.by_id})
    return tuple(
        _gone(old, after)
        or verdict_change(
            old.answer if old else None, new.answer if new else None, is_new=not before.may_have(new)
        )
        for old, new in pairs
        if old is not new and (old and old.essence) != (new and new.essence)
    )


def _gone(old: StudentRow | None, after: View) -> str:
    """Return that a student's file is there no more; empty where it is, also with a mistake in it."""
    if old is None or old.record.id in after.by_id or old.record.id in after.studio.broken:
        return ""
    return f"{old.record.name}: the file is gone"
