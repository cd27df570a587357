"""The desk between the screens and the library: every question to the engine is asked here.

Reads the studio, judges everybody, asks what if, tells the words. It knows no screen and
does not import Textual, so it can be used and tested without one. What did not change on
the disk is neither read nor judged again, and the long words are loaded when they are first
told. Content never raises: a studio that cannot be read is a view with problems in it.
"""

from __future__ import annotations

import os
from collections.abc import Callable, Mapping
from dataclasses import dataclass, field, replace
from datetime import datetime
from pathlib import Path
from typing import Final

from readiness.course.model import Course
from readiness.files.problems import Place, Problem, errors, render
from readiness.judging.answer import Answer
from readiness.judging.engine import judge
from readiness.judging.what_if import what_if
from readiness.record.load import LoadedRecord, load_record
from readiness.record.model import Promise, Record
from readiness.school.judged import Judged
from readiness.school.questions import LISTS
from readiness.studio.find import Location, StudioNotFoundError, find_studio
from readiness.studio.load import Studio, load_studio
from readiness.words.brief import verdict_change

__all__ = ["Desk", "Row", "View", "differences"]

Progress = Callable[[int, int], None]
Stamp = tuple[int, int] | None
"""When a file was changed and how long it is; None when it is not there."""

_FILES_OF_A_COURSE: Final = ("graph.toml", "pacing.toml")


@dataclass(frozen=True, slots=True)
class Row:
    """A student with the answer of the day, as the list of students shows it.

    ``lists`` are the questions over the school whose list has the student in it; they are asked by
    the same code as ``readiness ask``.
    """

    record: Record
    answer: Answer
    promises: tuple[Promise, ...]
    lists: frozenset[str]


@dataclass(frozen=True)
class View:
    """One reading of the studio. Rows: open holds first, then in the order of names.

    ``is_old`` says that the files cannot be read now and the rows are those of before.
    """

    studio: Studio
    course: Course | None
    rows: tuple[Row, ...]
    day: int
    is_old: bool = False
    by_id: Mapping[str, Row] = field(default_factory=dict)

    @property
    def problems(self) -> tuple[Problem, ...]:
        """Return everything that is wrong or odd in the files, errors first."""
        found = (*self.studio.problems, *(p for one in self.studio.loaded for p in one.problems))
        return (*errors(found), *(p for p in found if p.severity != "error"))


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
        self._named = (course, students, start, environ)
        self._day = day
        self.now = now
        self._read: dict[Path, tuple[object, LoadedRecord]] = {}
        self._judged: dict[str, tuple[object, Row]] = {}
        self._taught: frozenset[Path] = frozenset()
        self.view: View | None = None

    # reading

    def read(self, progress: Progress = lambda _done, _all: None) -> View:
        """Read and judge the whole studio; what did not change is kept."""
        before = self.view
        studio = self._studio(progress)
        day = self._day_of(studio)
        course = studio.course
        if course is None:
            rows = before.rows if before else ()
            self.view = View(studio, before.course if before else None, rows, day, True, _by_id(rows))
            return self.view
        self._taught = _files_of(course)
        rows = self._rows(studio, course, day, progress)
        self.view = View(studio, course.on(day), rows, day, False, _by_id(rows))
        return self.view

    def stamps(self) -> Mapping[str, Stamp]:
        """Return when every file of the studio was changed; a new or lost file shows too."""
        where = self._where()
        files: list[Path] = []
        if where.file is not None:
            files.append(where.file.path)
        files += self._course_files(where)
        return {str(path): _stamp(path) for path in files} | _stamps_in(where.students)

    def _course_files(self, where: Location) -> tuple[Path, ...]:
        """Return the files that say what is taught, those they are based on too."""
        folders = where.beside if where.course is None else (where.course, *where.beside)
        named = [folder / name for folder in folders for name in _FILES_OF_A_COURSE]
        return tuple(sorted({*named, *self._taught}))

    @property
    def is_demo(self) -> bool:
        """Whether this is the demo that comes with the program; it is never written to."""
        return self.view is not None and self.view.studio.where.is_demo and self._named[1] is None

    @property
    def latest_day(self) -> int:
        """The latest day a lesson can have been on: the clock's, or a later one the studio fixes."""
        fixed = self.view.studio.today if self.view else None
        return max(self.now().date().toordinal(), fixed or 0)

    def _where(self) -> Location:
        if self.view is not None and self.view.studio.where.students is not None:
            return self.view.studio.where
        try:
            return find_studio(*self._named)
        except StudioNotFoundError as missing:
            place = Place(self._named[2], 1, 1)
            problem = Problem("no-studio", "error", place, str(missing).rstrip("."))
            return Location(None, None, None, False, (problem,))

    def _studio(self, progress: Progress) -> Studio:
        try:
            where = find_studio(*self._named)
        except StudioNotFoundError:
            where = self._where()
            if where.students is not None:
                problem = Problem("no-studio", "error", Place(where.students, 1, 1), "this folder is gone")
                where = Location(None, where.students, where.file, where.is_demo, (problem,))
        course = tuple((path, _stamp(path)) for path in self._course_files(where))
        files = len(_stamps_in(where.students))
        read = 0

        def read_student(path: Path, taught: Course) -> LoadedRecord:
            nonlocal read
            read += 1
            progress(read, 2 * files)
            return self._student(path, taught, course)

        return load_studio(where, read_student)

    def _student(self, path: Path, course: Course, stamps: object) -> LoadedRecord:
        stamp = (_stamp(path), stamps)
        kept = self._read.get(path)
        if kept is not None and kept[0] == stamp:
            return kept[1]
        loaded = load_record(path, course)
        self._read[path] = (stamp, loaded)
        return loaded

    def _day_of(self, studio: Studio) -> int:
        if self._day is not None:
            return self._day
        return studio.today if studio.today is not None else self.now().date().toordinal()

    def _rows(self, studio: Studio, course: Course, day: int, progress: Progress) -> tuple[Row, ...]:
        rows = []
        count = len(studio.records)
        for done, record in enumerate(studio.records.values(), 1):
            rows.append(self._row(studio, course, record, day))
            progress(count + done, 2 * count)
        return tuple(sorted(rows, key=lambda row: row.answer.verdict != "paused"))

    def _row(self, studio: Studio, course: Course, record: Record, day: int) -> Row:
        planned = studio.planned(record.id)
        path = record.path
        stamp = (self._read[path][0] if path in self._read else None, day, planned)
        kept = self._judged.get(record.id)
        if kept is not None and kept[0] == stamp and stamp[0] is not None:
            return kept[1]
        answer = judge(course, record, day, planned)
        lists = _lists(course, Judged(record, answer, planned))
        row = Row(record, answer, _open_promises(record, day), lists)
        self._judged[record.id] = (stamp, row)
        return row

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

    def supposed(self, row: Row, changes: Mapping[str, str]) -> tuple[Answer, Mapping[str, object]]:
        """Return the answer with these changes and the changes as values; nothing is saved."""
        assert self.view is not None
        planned = self.view.studio.planned(row.record.id)
        return what_if(self.course, row.record, self.view.day, changes, planned)

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


def differences(before: View | None, after: View) -> tuple[str, ...]:
    """Return, in words, whose answer is another one after a change of the files."""
    if before is None or after.is_old:
        return ()
    ids = dict.fromkeys((*before.by_id, *after.by_id))
    return tuple(
        verdict_change(_answer(before, one), _answer(after, one))
        for one in ids
        if _essence(_answer(before, one)) != _essence(_answer(after, one))
    )


def _answer(view: View, student: str) -> Answer | None:
    row = view.by_id.get(student)
    return row.answer if row else None


def _essence(answer: Answer | None) -> object:
    """Return what a teacher would call the answer."""
    if answer is None:
        return None
    return answer.verdict, answer.unit, answer.blockers, answer.open_rest, answer.one_thing, answer.earliest


def _short(place: Place) -> Place:
    return replace(place, file=Path(place.file.name))


def _text_of(file: Path) -> str:
    try:
        return file.read_text(encoding="utf-8", errors="replace")
    except OSError:
        return ""


def _by_id(rows: tuple[Row, ...]) -> dict[str, Row]:
    return {row.record.id: row for row in rows}


def _open_promises(record: Record, day: int) -> tuple[Promise, ...]:
    """Return what was promised by that day and not answered by it."""
    return tuple(
        one for one in record.promises if one.given <= day and (one.answered is None or one.answered > day)
    )


def _lists(course: Course, one: Judged) -> frozenset[str]:
    """Return the questions over the school that have this student in their answer."""
    return frozenset(question for question, (asked, _) in LISTS.items() if asked(course, (one,)))


def _files_of(course: Course) -> frozenset[Path]:
    """Return the files a course and those beside it were read from, as far as they say so."""
    places = (
        place
        for one in (course, *course.beside)
        for place in (
            *(skill.place for skill in one.skills),
            *(number.place for number in one.provenance.values()),
            *one.link_places.values(),
        )
    )
    return frozenset(place.file for place in places if place is not None)


def _stamps_in(folder: Path | None) -> dict[str, Stamp]:
    """Return the stamps of all TOML files of a folder in one go: it is asked twice a second."""
    if folder is None or not folder.is_dir():
        return {}
    with os.scandir(folder) as entries:
        files = [entry for entry in entries if entry.name.endswith(".toml") and entry.is_file()]
        return {entry.path: _entry_stamp(entry) for entry in files}


def _entry_stamp(entry: os.DirEntry[str]) -> Stamp:
    try:
        found = entry.stat()
    except OSError:
        return None
    return found.st_mtime_ns, found.st_size


def _stamp(path: Path) -> Stamp:
    try:
        found = path.stat()
    except OSError:
        return None
    return found.st_mtime_ns, found.st_size
