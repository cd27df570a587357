"""The desk between the screens and the library: every question to the engine is asked here.

Holds the last reading of the studio, asks what if, tells the words. It knows no screen and
does not import Textual, so it can be used and tested without one. The long words are loaded
when they are first told.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import replace
from datetime import datetime
from pathlib import Path

from readiness.course.model import Course
from readiness.files.problems import Place, Problem, render
from readiness.judging.answer import Answer
from readiness.judging.what_if import what_if
from readiness.record import half_done
from readiness.record.noting import NewLesson
from readiness.studio.load import Studio
from tui.reading import Days, Named, Progress, Reader
from tui.view import Row, View

__all__ = ["Desk"]


class Desk:
    """One studio on one day.

    Args:
        course, students: the folders a command named, if it did.
        start: where to look for a studio.
        environ: the environment.
        day: the day asked about; None takes the one the studio fixes, else ``now``'s.
        now: the clock, given from outside.
    """

    def __init__(
        self,
        course: Path | None,
        students: Path | None,
        start: Path,
        environ: Mapping[str, str],
        day: int | None,
        now: Callable[[], datetime],
    ) -> None:
        self._named: Named = (course, students, start, environ)
        self._day = day
        self.now = now
        self._reader = Reader(self._named, self._days_of)
        self.view: View | None = None
        self.in_hand: dict[Path, NewLesson] = {}
        """Lessons half entered in the demo, by the student's file: nothing is written there."""
        self.unfinished: dict[Path, dict[tuple[str, ...], str]] = {}
        """Words typed and not kept, by the student's file and what they are about."""

    # reading

    def read(self, progress: Progress = lambda _done, _all: None) -> View:
        """Read the whole studio; what did not change is kept."""
        self.view = self._reader.read(progress)
        return self.view

    def stamps(self) -> Mapping[str, object]:
        """Return what tells whether any file of the studio was changed, came or went, or a new day began."""
        return {**self._reader.stamps(), "day": self.now().date()}

    @property
    def is_demo(self) -> bool:
        """Whether this is the demo that comes with the program; it is never written to."""
        return self.view is not None and self.view.studio.where.is_demo and self._named[1] is None

    @property
    def latest_day(self) -> int:
        """The latest day a lesson can have been on: the clock's, or a later one the studio fixes."""
        fixed = self.view.studio.today if self.view else None
        return max(self._clock, fixed or 0)

    @property
    def _clock(self) -> int:
        return self.now().date().toordinal()

    def _days_of(self, studio: Studio) -> Days:
        today = self._clock if studio.today is None else studio.today
        day = today if self._day is None else self._day
        return day, today, max(self._clock, today, day)

    # asking

    @property
    def course(self) -> Course:
        """The course of the last good reading."""
        assert self.view is not None
        assert self.view.course is not None
        return self.view.course

    def row(self, student: str) -> Row | None:
        """Return a student's row, None when the file cannot be read."""
        return self.view.by_id.get(student) if self.view else None

    def begun(self, row: Row) -> NewLesson | None:
        """Return the lesson of a student that is half entered and not noted yet, if there is one."""
        path = row.record.path
        lesson = self.in_hand.get(path) or half_done.offered(path) if path is not None else None
        return None if lesson is None or lesson.is_empty else lesson

    def supposed(self, row: Row, changes: Mapping[str, str]) -> tuple[Answer, Mapping[str, object]]:
        """Return the answer with these changes and the changes as values; nothing is saved."""
        assert self.view is not None
        return what_if(self.course, row.record, self.view.day, changes, row.calendar)

    def text(self, row: Row, width: int = 80) -> str:
        """Return the whole answer as plain text, the same the command line prints."""
        from readiness.words.story import tell_answer

        return tell_answer(row.answer, self.course, row.record, width)

    def compared(self, row: Row, changes: Mapping[str, str], width: int = 80) -> str:
        """Return the plain answer beside the one with the changes, as text."""
        from readiness.words.compare import compare_answers

        changed, values = self.supposed(row, changes)
        return compare_answers(row.answer, changed, values, self.course, row.record, width)

    def telling(self, reader: str, row: Row, width: int = 80) -> str:
        """Return a draft for one reader: child, family or school."""
        from readiness.words.letters import tell

        return tell(reader, row.answer, self.course, row.record, width)

    def problem_text(self, problem: Problem) -> str:
        """Return a problem with its line as written; files by their names alone."""
        place, other = _short(problem.place), problem.other and _short(problem.other)
        files = [one.file for one in (problem.place, problem.other) if one is not None]
        sources = {Path(file.name): _text_of(file) for file in files}
        return render(replace(problem, place=place, other=other), sources)


def _short(place: Place) -> Place:
    return replace(place, file=Path(place.file.name))


def _text_of(file: Path) -> str:
    try:
        return file.read_text(encoding="utf-8", errors="replace")
    except OSError:
        return ""
