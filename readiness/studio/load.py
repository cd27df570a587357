"""A studio as one value: the course, every student that could be read, the dates of the term.

One broken student file never hides the others: it is kept beside them with its problems, and
so is a second copy that a shared folder made of one.
A broken course hides everybody, because nothing can be said without it.
"""

from __future__ import annotations

import os
from collections.abc import Callable, Mapping
from dataclasses import dataclass, field, replace
from datetime import date
from functools import cached_property
from pathlib import Path

from readiness.course.load import load_course
from readiness.course.model import Course
from readiness.files.problems import Place, Problem, errors, sort_problems
from readiness.files.read import Loaded
from readiness.files.suggest import did_you_mean
from readiness.record.load import LoadedRecord, load_record
from readiness.record.model import Record
from readiness.record.rhythm import Calendar, Event, Rhythm, rhythm_of
from readiness.studio.copies import copies_of, with_copies_named
from readiness.studio.find import FILE_NAME, Location
from readiness.studio.schema import EventBlock, StudioFile
from readiness.studio.together import check_together

__all__ = ["Studio", "load_studio", "student_files"]


@dataclass(frozen=True)
class Studio:
    """Everything one teacher works with.

    Attributes:
        course: None where the course has an error; then there are no records either.
        loaded: every student file, broken ones too, in the order of their names.
        problems: those of ``studio.toml`` and of the course; a student's are with the student.
        lesson_dates: planned lessons by student id; under ``all``, everybody's.
        rhythm: how often a lesson falls where a student's file does not say.
        today: fixed by the demo alone.
    """

    name: str
    course: Course | None
    loaded: tuple[LoadedRecord, ...]
    problems: tuple[Problem, ...]
    where: Location
    today: int | None = None
    events: tuple[Event, ...] = ()
    lesson_dates: Mapping[str, tuple[int, ...]] = field(default_factory=dict)
    teachers: Mapping[str, str] = field(default_factory=dict)
    term_end: int | None = None
    rhythm: Rhythm | None = None

    @cached_property
    def records(self) -> Mapping[str, Record]:
        """The students that could be read, by id, in the order of their given names."""
        found = [one.record for one in self.loaded if one.record is not None]
        return {r.id: r for r in sorted(found, key=lambda r: (r.name.casefold(), r.id))}

    @cached_property
    def broken(self) -> Mapping[str, LoadedRecord]:
        """The student files with an error, by the id their name gives."""
        return {one.path.stem: one for one in self.loaded if one.record is None}

    def calendar(self, student: str) -> Calendar:
        """Return what is known of a student's lessons: planned days, everybody's too, rhythm and holidays."""
        planned = sorted({*self.lesson_dates.get("all", ()), *self.lesson_dates.get(student, ())})
        return Calendar(tuple(planned), self.rhythm, self.holidays)

    @cached_property
    def holidays(self) -> tuple[tuple[int, int], ...]:
        """The first and last day of every stretch without lessons of the rhythm."""
        return tuple((event.first, event.last) for event in self.events if event.is_stretch)


def student_files(folder: Path) -> tuple[Path, ...]:
    """Return the student files of a folder, in the order of their names; of none, where it is gone.

    Raises:
        OSError: the folder cannot be read, so that nobody knows who is in it.
    """
    try:
        with os.scandir(folder) as entries:
            names = sorted(entry.name for entry in entries if _is_student(entry))
    except (FileNotFoundError, NotADirectoryError):
        return ()
    return tuple(folder / name for name in names)


def _student_files(folder: Path | None) -> tuple[tuple[Path, ...], tuple[Problem, ...]]:
    """Return the student files of a studio, or why its folder cannot be read."""
    try:
        return (() if folder is None else student_files(folder)), ()
    except OSError as error:
        why = f"this folder cannot be read: {(error.strerror or str(error)).lower()}"
        assert folder is not None
        return (), (Problem("no-access", "error", Place(folder, 1, 1), why),)


def _is_student(entry: os.DirEntry[str]) -> bool:
    name = entry.name
    return name.endswith(".toml") and name != FILE_NAME and name[0] != "." and not entry.is_dir()


def load_studio(
    where: Location,
    read_student: Callable[[Path, Course], LoadedRecord] = load_record,
    only: Path | None = None,
) -> Studio:
    """Read a studio. Content never raises.

    Args:
        where: the folders.
        read_student: what reads one student file; whoever reads a studio again and again
            gives one that remembers the files that did not change.
        only: the one student file to read, with second copies of it; else all of them.
    """
    problems = list(where.problems)
    course: Course | None = None
    if where.course is not None and not errors(problems):
        course, found = _course(where.course, where.beside)
        problems += found
    files, found = _student_files(where.students)
    problems += found
    loaded: tuple[LoadedRecord, ...] = ()
    if course is not None:
        chosen = files if only is None else (only, *copies_of(only, files))
        loaded = with_copies_named([read_student(path, course) for path in chosen])
    if where.file is None or where.file.value is None:
        return Studio("", course, loaded, sort_problems(problems), where)
    problems += _strangers(where.file, where.file.value, files)
    return _with_settings(where.file.value, course, loaded, sort_problems(problems), where)


def _course(folder: Path, beside: tuple[Path, ...]) -> tuple[Course | None, tuple[Problem, ...]]:
    """Return the course with those beside it; none where one of them has an error."""
    read = [load_course(one) for one in (folder, *beside)]
    problems = [problem for one in read for problem in one.problems]
    taught = [one.course for one in read if one.course is not None]
    if len(taught) == len(read):
        problems += check_together(taught)
    if len(taught) < len(read) or errors(problems):
        return None, tuple(problems)
    return replace(taught[0], beside=tuple(taught[1:])), tuple(problems)


def _with_settings(
    file: StudioFile,
    course: Course | None,
    loaded: tuple[LoadedRecord, ...],
    problems: tuple[Problem, ...],
    where: Location,
) -> Studio:
    """Return the studio with what its ``studio.toml`` says."""
    return Studio(
        file.name,
        course,
        loaded,
        problems,
        where,
        today=_number(file.today),
        events=tuple(sorted(map(_event, file.event), key=lambda e: (e.first, e.last, e.name))),
        lesson_dates={who: tuple(d.toordinal() for d in days) for who, days in file.lesson_dates.items()},
        teachers=file.teachers,
        term_end=_number(file.term_end),
        rhythm=rhythm_of(file.rhythm),
    )


def _strangers(
    file: Loaded[StudioFile], value: StudioFile, students: tuple[Path, ...]
) -> list[Problem]:
    """Warn of lesson dates for somebody who has no file: the plan would quietly be lost."""
    known = {path.stem for path in students} | {"all"}
    return [
        Problem(
            "lesson-dates-for-nobody",
            "warning",
            file.key_place("lesson_dates", who),
            f'there is no student file for "{who}"',
            did_you_mean(who, known),
        )
        for who in value.lesson_dates
        if who not in known
    ]


def _event(block: EventBlock) -> Event:
    """Return one event; its block has either one day or two."""
    first = block.on or block.first
    last = block.on or block.last
    assert first is not None
    assert last is not None
    return Event(block.name, first.toordinal(), last.toordinal(), is_stretch=block.on is None)


def _number(day: date | None) -> int | None:
    """Return a day's number."""
    return None if day is None else day.toordinal()
