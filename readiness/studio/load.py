"""A studio as one value: the course, every student that could be read, the dates of the term.

One broken student file never hides the others: it is kept beside them with its problems, and
so is a second copy that a shared folder made of one.
A broken course hides everybody, because nothing can be said without it.
"""

from __future__ import annotations

import os
import re
from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import field, replace
from functools import cached_property
from itertools import combinations
from pathlib import Path
from typing import Final

from readiness.course.model import Course, Skill
from readiness.lazy import dataclass, differing, regex
from readiness.record.load import LoadedRecord, load_record
from readiness.record.model import Record, is_id
from readiness.record.rhythm import Calendar, Event, Rhythm
from readiness.studio.find import FILE_NAME, Location, Settings, Wording
from readiness.studio.kept_files import read_course
from readiness.toml.problems import Place, Problem, errors, sort_problems
from readiness.toml.read import Loaded
from readiness.toml.texts import composed, did_you_mean
from readiness.toml.write import why_not

__all__ = [
    "COPY", "Studio", "check_together", "copies_of", "load_studio", "student_files", "with_copies_named",
    "with_settings",
]  # fmt: skip

# Whether the courses of one studio can share their students' files.
#
# A skill with the same id is the same skill in both, so both must agree on what it is; a unit
# belongs to one course alone. Each course for itself is checked elsewhere (``course.checks``).

def check_together(courses: Sequence[Course]) -> Iterator[Problem]:
    """Yield where two courses mean different things by one id, at the second of the two places."""
    for first, second in combinations(courses, 2):
        for skill in second.skills:
            if skill.id in first.skill:
                yield from _differences(first.skill[skill.id], skill, first)
        for unit in second.units:
            if unit.id in first.unit:
                assert second.folder is not None
                yield Problem(
                    "unit-in-two-courses", "error", Place(second.folder / "graph.toml", 1, 1),
                    f'there is a unit "{unit.id}" here and in "{first.name}" too',
                    "a student file could not say which of the two was begun: give one another id",
                )


def _differences(known: Skill, other: Skill, first: Course) -> Iterator[Problem]:
    assert other.place is not None
    for name, first_value, value in differing(known, other):
        # what decides how many days a skill needs and how long it keeps
        if name in ("kind", "fade", "must_be_seen", "days", "quiet", "asks_pain"):
            there, here = str(first_value).lower(), str(value).lower()
            told = f'"{other.id}" has {name} = {here}, and {there} in "{first.name}"'
            hint = "a skill with the same id is the same skill: let both agree, or give one another id"
            where = (known.place, "the other course")
            yield Problem("skill-means-two-things", "warning", other.place, told, hint, *where)


# Second copies of one student's file, as shared folders make them.
#
# Where two people save at once, or a folder is synchronised half-way, there are suddenly two
# files: ``temwa.toml`` and ``temwa (conflicted copy).toml``; who copies a file by hand gets ``Copy of
# temwa.toml``. Read as students they would be two children, each with half of the notes. So a copy is
# never judged: it is named, and says what to do. Which of the two is right is not guessed.

COPY: Final = "second-copy"
"""The id of the problem."""

_WORD: Final = r"(?:conflict\w*|cop(?:y|ies|ie|ia)|kopi[ea]|cópia|duplicate|backup)(?![^\W\d_])"
"""What programs of several languages call a copy (common practice, no source)."""
_SAYS_SO: Final = regex(rf"[\W_](?:.*[\W_])?{_WORD}", re.IGNORECASE)
_SAYS_SO_FIRST: Final = regex(rf"(?:.*[\W_])?{_WORD}(?:[\W_].*)?[\W_]", re.IGNORECASE)
_OF: Final = regex(rf"{_WORD}(?: ?\(\d+\))?[\W_]+(?:(?:of|de|von|di)[\W_]+)?", re.IGNORECASE)
_SIGN: Final = regex(r"[\W_]")
_COUNTED: Final = regex(r" ?\(\d+\)| \d+")
_HINT: Final = (
    "compare the two, put the entries that only this one has at the end of {name}, then delete this one; "
    "until then its notes are not counted"
)
_ALONE: Final = "there is no other file of this student: give it back its short name, such as {name}"


def copies_of(file: Path, files: Sequence[Path]) -> tuple[Path, ...]:
    """Return the files whose names say that they are copies of one file.

    >>> files = [Path("mia.toml"), Path("mia 2.toml"), Path("mia-2.toml")]
    >>> [one.name for one in copies_of(files[0], files)]
    ['mia 2.toml']
    """
    near = [one for one in files if file.stem in one.name and one != file]
    stems = {one.stem for one in files} if near else set[str]()
    return tuple(one for one in near if _original(one.stem, stems) == file.stem)


def with_copies_named(loaded: Sequence[LoadedRecord]) -> tuple[LoadedRecord, ...]:
    """Return what was read, with a problem in place of every second copy.

    A copy is known by its name, or, where the name could be a student's, by having in it that of a
    student of the same name and birth date.
    """
    by_stem = {one.path.stem: one for one in loaded}
    return tuple(_named(stem, one, by_stem) for stem, one in by_stem.items())


def _named(stem: str, loaded_record: LoadedRecord, by_stem: Mapping[str, LoadedRecord]) -> LoadedRecord:
    if is_id(stem) and not any(_inside(stem, by_stem)):
        return loaded_record
    first = _original(stem, by_stem) or _same_student(loaded_record, by_stem)
    short = _short_name(stem)
    if first is None and (is_id(stem) or short is None):
        return loaded_record
    name = f"{first or short}.toml"
    message = f"this looks like a second copy of {name}, made by hand or by a shared folder"
    place = Place(loaded_record.path, 1, 1)
    other = Place(loaded_record.path.with_name(name), 1, 1) if first else None
    hint = (_HINT if first else _ALONE).format(name=name)
    problem = Problem(COPY, "error", place, message, hint, other, "the other")
    return LoadedRecord(None, (problem,), loaded_record.path, loaded_record.text)


def _short_name(stem: str) -> str | None:
    """Return the name without what says that it is a copy; None where nothing in it does."""
    if begins := _OF.match(stem):
        return stem[begins.end() :].strip(" ()") or stem
    says_so = _SAYS_SO.search(stem)
    return None if says_so is None else stem[: says_so.start()].strip(" (")


def _original(stem: str, stems: Mapping[str, object] | set[str]) -> str | None:
    """Return the file that a name says it is a copy of, the longest name that fits."""
    fitting = (first for before, first, after in _inside(stem, stems) if _says_copy(before, after))
    return max(fitting, key=len, default=None)


def _says_copy(before: str, after: str) -> bool:
    """Return whether what stands around the name of a student says that the file is a copy."""
    first, last = _SAYS_SO_FIRST.fullmatch(before), _SAYS_SO.match(after)
    counted = _COUNTED.fullmatch(after)
    return bool((first or not before) and (last or counted or not after) and (first or last or counted))


def _inside(stem: str, stems: Mapping[str, object] | set[str]) -> Iterator[tuple[str, str, str]]:
    """Yield the ids that stand in a longer name between signs, with what is before and after each."""
    signs = [sign.start() for sign in _SIGN.finditer(stem)]
    for begin in (0, *(at + 1 for at in signs)):
        for end in (*(at for at in signs if at > begin), len(stem)):
            first = stem[begin:end]
            if first != stem and first in stems and is_id(first):
                yield stem[:begin], first, stem[end:]


def _same_student(loaded: LoadedRecord, by_stem: Mapping[str, LoadedRecord]) -> str | None:
    """Return the student of the same name and birth date whose id is part of this file's name."""
    mine = loaded.record
    for _, first, _ in _inside(loaded.path.stem, by_stem):
        other = by_stem[first].record
        if mine and other and (other.name, other.born) == (mine.name, mine.born):
            return first
    return None


@dataclass(frozen=True)
class Studio:
    """Everything one teacher works with.

    Attributes:
        course: None where the course has an error; then there are no records either.
        loaded: every student file, broken ones too, in the order of their names.
        problems: those of ``studio.toml`` and of the course; a student's are with the student.
        lesson_dates: planned lessons by student id; under ``all``, everybody's.
        rhythm: how often a lesson falls where a student's file does not say.
        wording: what the studio calls things.
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
    wording: Wording = field(default_factory=Wording)

    @property
    def date_order(self) -> str:
        """The order of a date, said or typed: ``day-month`` or ``month-day``."""
        return self.wording.dates

    @cached_property
    def records(self) -> Mapping[str, Record]:
        """The students that could be read, by id, in the order of their given names."""
        found = [one.record for one in self.loaded if one.record is not None]
        return {r.id: r for r in sorted(found, key=lambda r: (r.name.casefold(), r.id))}

    @cached_property
    def broken(self) -> Mapping[str, LoadedRecord]:
        """The student files with an error, by the id their name gives."""
        return {one.path.stem: one for one in self.loaded if one.record is None}

    def odd_initials(self, by: str) -> tuple[str, ...]:
        """Return that nobody among the teachers has some initials, and what to do; empty where it is well."""
        known = {composed(one) for one in self.teachers}
        if not known or not by.strip() or by.strip() in known:
            return ()
        hint = did_you_mean(by.strip(), known) or "add them under [teachers], or correct them"
        return f'nobody among the teachers of studio.toml has the initials "{by.strip()}"', hint

    def calendar(self, student: str) -> Calendar:
        """Return what is known of a student's lessons: planned days, everybody's too, rhythm and events."""
        planned = sorted({*self.lesson_dates.get("all", ()), *self.lesson_dates.get(student, ())})
        return Calendar(tuple(planned), self.rhythm, self.events)


def student_files(folder: Path) -> tuple[Path, ...]:
    """Return a folder's student files by name, none where it is gone; OSError where it is unreadable."""
    try:
        with os.scandir(folder) as entries:
            files = [one.name for one in entries if one.name.endswith(".toml") and not one.is_dir()]
    except (FileNotFoundError, NotADirectoryError):
        return ()
    return tuple(folder / name for name in sorted(files) if name != FILE_NAME and name[0] != ".")


def _student_files(folder: Path | None) -> tuple[tuple[Path, ...], tuple[Problem, ...]]:
    """Return the student files of a studio, or why its folder cannot be read."""
    try:
        return (() if folder is None else student_files(folder)), ()
    except OSError as error:
        why = f"this folder cannot be read: {why_not(error)}"
        assert folder is not None
        return (), (Problem("no-access", "error", Place(folder, 1, 1), why),)


def load_studio(
    where: Location,
    read_student: Callable[[Path, Course], LoadedRecord] = load_record,
    only: Path | None = None,
    cache: Path | None = None,
) -> Studio:
    """Read the files of a studio, for ``judge``; content never raises. To ask it something: ``open_studio``.

    Args:
        read_student: what reads one student file; whoever reads a studio again and again
            gives one that remembers the files that did not change.
        only: the one student file to read, with second copies of it; else all of them.
        cache: the folder in which courses are kept (``studio.kept_files``); None: they are not.
    """
    problems = list(where.problems)
    course: Course | None = None
    if where.course is not None:
        taught, found = _course(where.course, where.beside, cache)
        course = None if errors(problems) else taught
        problems += found
    files, found = _student_files(where.students)
    problems += found
    loaded: tuple[LoadedRecord, ...] = ()
    if course is not None:
        chosen = files if only is None else (only, *copies_of(only, files))
        loaded = with_copies_named([read_student(path, course) for path in chosen])
    if (file := where.file) is not None and file.value is not None:
        problems += _strangers(file, file.value, files)
    studio = Studio("", course, loaded, sort_problems(problems), where)
    return studio if file is None or file.value is None else with_settings(studio, file.value)


def with_settings(studio: Studio, file: Settings) -> Studio:
    """Return a studio with what its ``studio.toml`` says."""
    return replace(
        studio, name=file.name, today=file.today, events=file.events, lesson_dates=file.lesson_dates,
        teachers=file.teachers, term_end=file.term_end, rhythm=file.rhythm, wording=file.wording,
    )  # fmt: skip


def _course(
    folder: Path, beside: tuple[Path, ...], cache: Path | None
) -> tuple[Course | None, tuple[Problem, ...]]:
    """Return the course with those beside it; none where one of them has an error."""
    read = [read_course(one, cache) for one in (folder, *beside)]
    problems = [problem for one in read for problem in one.problems]
    taught = [one.course for one in read if one.course is not None]
    if len(taught) == len(read):
        problems += check_together(taught)
    if len(taught) < len(read) or errors(problems):
        return None, tuple(problems)
    return replace(taught[0], beside=tuple(taught[1:])), tuple(problems)


def _strangers(file: Loaded[Settings], value: Settings, students: tuple[Path, ...]) -> Iterator[Problem]:
    """Warn of lesson dates for somebody who has no file: the plan would quietly be lost."""
    known = {path.stem for path in students} | {"all"}
    for who in (one for one in value.lesson_dates if one not in known):
        told, place = f'there is no student file for "{who}"', file.key_place("lesson_dates", who)
        yield Problem("lesson-dates-for-nobody", "warning", place, told, did_you_mean(who, known))
