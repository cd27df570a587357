"""Where the course and the students are, without reading either.

The order is: what the command says (``--course``, ``--students``; these students' own ``studio.toml`` is in
their folder or names it from above), the environment (``READINESS_STUDIO``), a ``studio.toml`` in the current
folder or above it, the shipped demo. What a ``studio.toml`` says besides folders (planned lessons, the end of
term) belongs to its students, so it is taken only together with them. Where it names further courses,
``--course`` takes their names too, and all but the one asked about stand beside it. What may not be looked at
is never taken for nothing there: then no place is found at all.
"""

from __future__ import annotations

import os
import stat
from collections.abc import Callable, Mapping
from pathlib import Path
from typing import TYPE_CHECKING, Final

from readiness.lazy import dataclass
from readiness.record.rhythm import Event, Rhythm, rhythm_of
from readiness.shipped import shipped
from readiness.studio.kept_files import as_kept, cache_folder
from readiness.toml.problems import Problem, errors
from readiness.toml.read import Loaded, read_toml
from readiness.toml.texts import did_you_mean
from readiness.toml.write import why_not

if TYPE_CHECKING:
    from readiness.studio.schema import EventBlock, StudioFile

__all__ = [
    "FILE_NAME", "Location", "Settings", "StudioNotFoundError", "Wording", "find_students", "find_studio",
    "read_settings", "settings_of",
]  # fmt: skip

FILE_NAME: Final = "studio.toml"
_USUAL: Final = {"course": "course", "students": "students"}
"""The folders where nothing says others."""


@dataclass(frozen=True)
class Wording:
    """What a studio calls things, as in its file."""

    note_values: str = "quarter"
    seventh: str = "B"
    seat: str = "bench"
    dates: str = "day-month"


@dataclass(frozen=True)
class Settings:
    """What a ``studio.toml`` says, as plain values; days are day numbers, folders as they are written."""

    name: str
    course: str
    courses: Mapping[str, str]
    students: str
    teachers: Mapping[str, str]
    term_end: int | None
    events: tuple[Event, ...]
    lesson_dates: Mapping[str, tuple[int, ...]]
    rhythm: Rhythm | None
    wording: Wording
    today: int | None


def settings_of(file: StudioFile) -> Settings:
    """Return what a checked file says."""
    return Settings(
        file.name,
        file.course,
        file.courses,
        file.students,
        file.teachers,
        None if file.term_end is None else file.term_end.toordinal(),
        tuple(sorted(map(_event, file.event), key=lambda e: (e.first, e.last, e.name))),
        {who: tuple(day.toordinal() for day in days) for who, days in file.lesson_dates.items()},
        None if file.rhythm is None else rhythm_of(dict(file.rhythm)),
        Wording(**dict(file.wording)),
        None if file.today is None else file.today.toordinal(),
    )


def _event(block: EventBlock) -> Event:
    """Return one event; its block has either one day or two."""
    first, last = block.on or block.first, block.on or block.last
    assert first is not None
    assert last is not None
    return Event(block.name, first.toordinal(), last.toordinal(), is_stretch=block.on is None)


def read_settings(path: Path, environ: Mapping[str, str]) -> Loaded[Settings]:
    """Read a ``studio.toml``, or take what was kept of it."""

    def read() -> Loaded[Settings]:
        from readiness.studio.schema import StudioFile

        loaded = read_toml(path, StudioFile)
        value = None if loaded.value is None else settings_of(loaded.value)
        data = loaded.data if value is None else {}
        return Loaded(value, loaded.problems, loaded.text, path, data, loaded.is_toml, loaded.mended)

    def keep(made: Loaded[Settings]) -> tuple[tuple[Path], Loaded[Settings]] | None:
        return None if made.problems else ((path,), made)

    return as_kept(cache_folder(environ), path, Loaded, read, keep)


class StudioNotFoundError(Exception):
    """A folder or a studio is not there or may not be looked at; the text is one sentence."""


@dataclass(frozen=True)
class Location:
    """Where a studio is.

    Attributes:
        course, students: the two folders, None where ``studio.toml`` cannot be understood.
        file: what ``studio.toml`` says, None where none belongs to these students.
        is_demo: whether anything of the shipped demo is used.
        problems: those of ``studio.toml``.
        beside: the folders of the other courses that the same students take.
    """

    course: Path | None
    students: Path | None
    file: Loaded[Settings] | None
    is_demo: bool
    problems: tuple[Problem, ...]
    beside: tuple[Path, ...] = ()

    @property
    def date_order(self) -> str:
        """The order of a date, said or typed: ``day-month`` or ``month-day``."""
        file = self.file.value if self.file else None
        return (file.wording if file else Wording()).dates

    @property
    def is_listed(self) -> bool:
        """Whether the course is one of the studio's, where a ``studio.toml`` belongs to these students."""
        file = self.file
        return not file or not file.value or self.course in _courses(file.path, file.value)

    @property
    def letters(self) -> Path | None:
        """Return the folder of the studio's own letters, which may be missing."""
        if self.file is not None:
            return self.file.path.parent / "letters"
        return None if self.students is None else self.students.parent / "letters"


def find_studio(
    course: Path | None, students: Path | None, start: Path, environ: Mapping[str, str]
) -> Location:
    """Return where the course and the students are.

    Args:
        course, students: the folders a command names, if it does; ``course`` may be the name
            of a further course in ``studio.toml``.
        environ: the environment (``READINESS_STUDIO`` is looked at).

    Raises:
        StudioNotFoundError: a folder that was named is not there, or something may not be looked at.
    """
    try:
        return _readable(_found(course, students, start, environ))
    except OSError as error:
        raise _not_looked_at(error) from None


def _found(course: Path | None, students: Path | None, start: Path, environ: Mapping[str, str]) -> Location:
    own = _own_file(students, environ)
    if students is not None and own is None and course is not None and _is(course):
        _must_be_folder(course, "course folder")
        return Location(course, students, None, is_demo=False, problems=())
    path = own or _from_environment(environ) or _upwards(start)
    return _located(path or shipped() / "demo_students" / FILE_NAME, path is None, course, students, environ)


def _own_file(students: Path | None, environ: Mapping[str, str]) -> Path | None:
    """Return the ``studio.toml`` in a students folder that was named, or the one above that names it."""
    if students is None:
        return None
    _must_be_folder(students, "students folder")
    if _is(students / FILE_NAME, stat.S_ISREG):
        return students / FILE_NAME
    above = _upwards(students.resolve())
    is_theirs = above and _named(above, read_settings(above, environ), "students") == students.resolve()
    return above if is_theirs else None


def find_students(students: Path | None, start: Path, environ: Mapping[str, str]) -> Location:
    """Return where the students are, whatever the courses are like; all else as :func:`find_studio`."""
    try:
        named = _own_file(students, environ) or _from_environment(environ) or _upwards(start)
        path = named or shipped() / "demo_students" / FILE_NAME
        loaded = read_settings(path, environ)
        theirs = _named(path, loaded, "students")
        found = students or (theirs if _is(theirs, stat.S_ISDIR) else None)
        same = found is not None and found.resolve() == theirs
        return _readable(Location(None, found, loaded if same else None, named is None, loaded.problems))
    except OSError as error:
        raise _not_looked_at(error) from None


def _located(
    path: Path, is_demo: bool, course: Path | None, students: Path | None, environ: Mapping[str, str]
) -> Location:
    """Return the folders that one ``studio.toml`` names, where the command names no other."""
    loaded = read_settings(path, environ)
    if loaded.value is None or errors(loaded.problems):
        if course is not None:
            _must_be_folder(course, "course folder")
        said = {key: one for key in _USUAL if _is(one := _named(path, loaded, key), stat.S_ISDIR)}
        found = (course or said.get("course"), students or said.get("students"))
        return Location(*found, None, is_demo, loaded.problems)
    theirs = _named(path, loaded, "students")
    same = students is None or students.resolve() == theirs
    found_students = students or theirs
    _must_be_folder(found_students, "students folder", more=_named_at(loaded, found_students, "students"))
    main, *further = _courses(path, loaded.value, loaded if course is None else None)
    if course is None:
        asked = main
    else:
        asked = (path.parent / loaded.value.courses.get(str(course), course.absolute())).resolve()
        names = f" and no course of that name in {path}" if further else ""
        _must_be_folder(asked, "course folder", course, names)
    # Another folder than those named stands for the main course: an edited copy, say.
    taught = [main, *further] if asked in (main, *further) else [asked, *further]
    there = (one for one in taught if one != asked and (course is None or one.is_dir()))
    beside = tuple(there) if same else ()
    return Location(asked, found_students, loaded if same else None, is_demo, loaded.problems, beside)


def _named(path: Path, loaded: Loaded[Settings], key: str) -> Path:
    """Return the folder that a ``studio.toml`` names by a key; with a mistake in it, as far as it is read."""
    read = loaded.data or (loaded.mended.data if loaded.mended else {})
    known = loaded.value and {"course": loaded.value.course, "students": loaded.value.students}
    said = (known or read).get(key)
    return (path.parent / (said if isinstance(said, str) else _USUAL[key])).resolve()


def _courses(path: Path, file: Settings, loaded: Loaded[Settings] | None = None) -> tuple[Path, ...]:
    """Return the folders of all courses a ``studio.toml`` names, the main one first.

    Where it is given as ``loaded`` they must be there: not where the command names the course to ask about.
    """
    keys = ("course",), *(("courses", name) for name in file.courses)
    folders = [(path.parent / named).resolve() for named in (file.course, *file.courses.values())]
    for key, folder in zip(keys, folders, strict=True) if loaded is not None else ():
        assert loaded is not None
        _must_be_folder(folder, "course folder", more=_named_at(loaded, folder, *key))
    return tuple(dict.fromkeys(folders))


def _named_at(loaded: Loaded[Settings], folder: Path, *key: str) -> str:
    """Return which line of a ``studio.toml`` names a folder, and which one was probably meant."""
    beside = [one.name for one in folder.parent.iterdir() if one.is_dir()] if folder.parent.is_dir() else []
    meant = did_you_mean(folder.name, beside).rstrip("?")
    return f"; {loaded.path}:{loaded.value_place(*key).line} names it{f' ({meant}?)' if meant else ''}"


def _from_environment(environ: Mapping[str, str]) -> Path | None:
    """Return the file that ``READINESS_STUDIO`` names: a ``studio.toml`` or the folder it is in."""
    named = environ.get("READINESS_STUDIO", "")
    if not named:
        return None
    path = Path(named) / FILE_NAME if _is(Path(named), stat.S_ISDIR) else Path(named)
    if not _is(path, stat.S_ISREG):
        raise StudioNotFoundError(f"READINESS_STUDIO says {named}, and there is no {FILE_NAME} there.")
    return path


def _upwards(start: Path) -> Path | None:
    files = (folder / FILE_NAME for folder in (start, *start.parents))
    return next((file for file in files if _is(file, stat.S_ISREG)), None)


def _must_be_folder(path: Path, what: str, typed: Path | None = None, more: str = "") -> None:
    """Refuse a folder that is not there, by the name somebody typed."""
    if not _is(path):
        raise StudioNotFoundError(f"there is no {what} {typed or path}{more}.")
    if not _is(path, stat.S_ISDIR):
        raise StudioNotFoundError(f"the {what} must be a folder, and {typed or path} is a file{more}.")


def _is(path: Path, kind: Callable[[int], bool] = bool) -> bool:
    """Return whether a path is there, and of a kind; OSError where it may not be looked at."""
    try:
        return kind(path.stat().st_mode)
    except (FileNotFoundError, NotADirectoryError, ValueError):  # the last: no name of a file at all
        return False


def _readable(where: Location) -> Location:
    """Return the place as long as its students folder can be looked through."""
    if where.students is not None:
        os.scandir(where.students).close()
    return where


def _not_looked_at(error: OSError) -> StudioNotFoundError:
    return StudioNotFoundError(f"a folder cannot be read: {why_not(error)} ({error.filename}).")
