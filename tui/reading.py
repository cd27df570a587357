"""Reading the studio: where it is, what changed on the disk, and everybody on the day asked about.

What did not change is not read again, and its answer not worked out again. Content never
raises: a studio that cannot be read is a view with problems in it, and the rows of before.
"""

from __future__ import annotations

import os
from collections.abc import Callable, Mapping
from dataclasses import replace
from itertools import count
from pathlib import Path
from typing import Final

from readiness.course.model import Course
from readiness.record.load import LoadedRecord
from readiness.record.model import Record
from readiness.record.moves import finish
from readiness.studio.cache import ReadStudent, keeping
from readiness.studio.find import Location, StudioNotFoundError, find_studio
from readiness.studio.kept_files import cache_folder
from readiness.studio.load import Studio, load_studio, student_files
from readiness.toml.problems import Place, Problem
from readiness.toml.write import settle
from readiness.words.grammar import speak, worded
from tui.view import SHUT, StudentRow, View

__all__ = ["Days", "Named", "Progress", "Reader"]

Named = tuple[Path | None, Path | None, Path, Mapping[str, str]]
"""The folders of the course and of the students, if a command named them; where to look; the environment."""

Days = tuple[int, int, int]
"""The day asked about, the day it is, and the latest day on which something can have been noted."""

Progress = Callable[[int, int], None]
Stamp = tuple[int, int] | None
"""When a file was changed and how long it is; None when it is not there."""

_FILES_OF_A_COURSE: Final = ("graph.toml", "pacing.toml")


class Reader:
    """Reads one studio again and again.

    Args:
        named: what a command named.
        day_of: says which day is asked about, given a studio, which day it is, and the latest day on
            which something can have been noted.
    """

    def __init__(self, named: Named, day_of: Callable[[Studio], Days]) -> None:
        self._named = named
        self._day_of = day_of
        self._read: dict[Path, tuple[object, LoadedRecord]] = {}
        self._rows_of: dict[str, tuple[object, StudentRow]] = {}
        self._taught: frozenset[Path] = frozenset()
        self._last: View | None = None

    def read(self, progress: Progress) -> View:
        """Read the whole studio; what did not change is kept. Answers are worked out when asked for."""
        before = self._last
        studio = self._studio(progress)
        speak(studio.wording)
        studio = replace(studio, course=studio.course and worded(studio.course))
        day, today, latest = self._day_of(studio)
        course = studio.course
        if course is None or any(one.id in SHUT for one in studio.problems):
            rows = before.rows if before else ()
            self._last = View(studio, before.course if before else None, rows, day, is_old=True)
            return self._last
        places = (
            place
            for one in (course, *course.beside)
            for place in (
                *(skill.place for skill in one.skills),
                *(number.place for number in one.provenance.values()),
                *one.link_places.values(),
            )
        )
        self._taught = frozenset(place.file for place in places if place is not None)
        listed = [self._row(studio, course, record, day, latest) for record in studio.records.values()]
        rows = tuple(sorted(listed, key=lambda row: not row.is_paused))
        self._last = View(studio, course.on(day), rows, day, today=today)
        return self._last

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

    def _where(self) -> Location:
        if self._last is not None and self._last.studio.where.students is not None:
            return self._last.studio.where
        try:
            return find_studio(*self._named)
        except StudioNotFoundError as missing:
            place = Place(self._named[2], 1, 1)
            problem = Problem("no-studio", "error", place, str(missing).rstrip("."))
            return Location(None, None, None, False, (problem,))

    def _studio(self, progress: Progress) -> Studio:
        try:
            where = find_studio(*self._named)
        except StudioNotFoundError as missing:
            where = self._where()
            if where.students is not None:
                told = str(missing).rstrip(".") if where.students.exists() else "this folder is gone"
                problem = Problem("no-studio", "error", Place(where.students, 1, 1), told)
                where = Location(None, where.students, where.file, where.is_demo, (problem,))
        course = tuple((path, _stamp(path)) for path in self._course_files(where))
        try:
            if where.students is not None:
                settle(where.students)
                finish(where.students)
            files = student_files(where.students) if where.students is not None and where.course else ()
        except OSError as error:  # a share that went away, a disk with a fault
            assert where.students is not None
            told = f"this folder cannot be read: {(error.strerror or str(error)).lower()}"
            problem = Problem("no-access", "error", Place(where.students, 1, 1), told)
            return load_studio(replace(where, problems=(problem,)))
        read = count(1)
        with keeping(cache_folder(self._named[3]), files) as through:

            def read_student(path: Path, taught: Course) -> LoadedRecord:
                progress(next(read), len(files))
                return self._student(path, taught, course, through)

            return load_studio(where, read_student)

    def _student(self, path: Path, course: Course, stamps: object, through: ReadStudent) -> LoadedRecord:
        stamp = (_stamp(path), stamps)
        kept = self._read.get(path)
        if kept is not None and kept[0] == stamp:
            return kept[1]
        loaded = through(path, course)
        self._read[path] = (stamp, loaded)
        return loaded

    def _row(self, studio: Studio, course: Course, record: Record, day: int, latest: int) -> StudentRow:
        calendar = studio.calendar(record.id)
        path = record.path
        stamp = (self._read[path][0] if path in self._read else None, day, calendar, latest)
        kept = self._rows_of.get(record.id)
        if kept is not None and kept[0] == stamp and stamp[0] is not None:
            return kept[1]
        row = StudentRow(record, course, day, calendar, latest)
        self._rows_of[record.id] = (stamp, row)
        return row


def _stamps_in(folder: Path | None) -> dict[str, Stamp]:
    """Return the stamps of all TOML files of a folder in one go: it is asked about once a second."""
    try:
        with os.scandir(folder or "") as entries:
            return {entry.path: _stamp(entry) for entry in entries if entry.name.endswith(".toml")}
    except OSError:
        return {}


def _stamp(file: Path | os.DirEntry[str]) -> Stamp:
    try:
        found = file.stat()
    except OSError:
        return None
    return found.st_mtime_ns, found.st_size
