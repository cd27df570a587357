"""What was read of the student files before, so that files that did not change are not read through again.

It is kept in the cache folder of whoever runs the program, never beside the files: a shared folder
is to hold nothing that two people could write at once. Kept is what judging looks at
(``record.seen``) and the given name; no word that anybody wrote, and nothing about the cause of a hold.

A file is always opened. Only where its size, its time of change and its content are what they were,
and the course knows the same names, is the rest taken from here; whatever a record holds beyond that
is read from the file when it is asked for. All of it may be deleted at any time, and whatever is
wrong with it, the files are read as if it were not there.
"""

from __future__ import annotations

import os
import stat
import sys
from collections.abc import Callable, Iterator, Mapping, Sequence
from contextlib import contextmanager
from hashlib import sha256
from pathlib import Path
from typing import Final

from readiness.course.model import Course
from readiness.files.read import LARGEST
from readiness.record.load import LoadedRecord, load_record, record_in
from readiness.record.model import Record
from readiness.record.seen import WITHOUT_WORDS, Seen
from readiness.studio.kept_file import KeptFile, Row, row_of
from readiness.studio.packing import pack, unpack

__all__ = ["FEWEST", "ReadStudent", "cache_folder", "drop_kept", "has_kept", "keeping"]

FEWEST: Final = 50
"""With fewer students nothing is kept: they are read in less time than anybody notices."""

_FORMAT: Final = "2"
_HOW: Final = os.O_RDONLY | getattr(os, "O_NONBLOCK", 0) | getattr(os, "O_BINARY", 0)
_OF_NO_OTHER: Final[Mapping[str, object]] = {"elsewhere": frozenset(), "whole": None}
_SWITCH: Final = "READINESS_CACHE"

ReadStudent = Callable[[Path, Course], LoadedRecord]
"""What reads one student file."""


def cache_folder(environ: Mapping[str, str]) -> Path | None:
    """Return where to keep things; None where ``READINESS_CACHE`` is set to nothing.

    ``READINESS_CACHE`` is a folder of one's own choice; else it is the system's folder for such things.
    """
    if _SWITCH in environ:
        return Path(environ[_SWITCH]) if environ[_SWITCH] else None
    if sys.platform == "win32":
        base = environ.get("LOCALAPPDATA")
    else:
        home = environ.get("HOME")
        base = environ.get("XDG_CACHE_HOME") or (str(Path(home, ".cache")) if home else None)
    return Path(base, "readiness") if base and Path(base).is_absolute() else None


@contextmanager
def keeping(cache: Path | None, files: Sequence[Path]) -> Iterator[ReadStudent]:
    """Give what reads a student file, with what was kept before; what is new is kept at the end.

    Args:
        cache: the folder to keep it in; None: nothing is kept.
        files: the files that will be read, all of one folder.
    """
    if cache is None or len(files) < FEWEST:
        if cache is not None and files:
            KeptFile(cache, files[0].parent).drop_all()
        yield load_record
        return
    kept = _Kept(KeptFile(cache, files[0].parent))
    yield kept.read
    kept.save({path.name for path in files})


def has_kept(cache: Path | None, file: Path) -> bool:
    """Return whether anything is kept of one student file."""
    return cache is not None and KeptFile(cache, file.parent).has(file.name)


def drop_kept(cache: Path | None, file: Path) -> None:
    """Forget what is kept of one student file."""
    if cache is not None:
        KeptFile(cache, file.parent).drop(file.name)


def _names_of(course: Course) -> bytes:
    """Return what a reading depends on besides the file: this program, what the course names."""
    asks = {skill.id for skill in course.skills if skill.asks_pain}
    names = map(sorted, (course.skill, asks, course.unit, course.band))
    return sha256(repr((_FORMAT, sys.byteorder, course.uses, *names)).encode()).digest()


class _Kept:
    """One reading of all files of a folder."""

    def __init__(self, file: KeptFile) -> None:
        self._file = file
        self._course: Course | None = None
        self._rows: dict[str, Row] = {}
        self._new: dict[str, tuple[os.stat_result, bytes, Record]] = {}

    def read(self, path: Path, course: Course) -> LoadedRecord:
        """Read one student file. Content never raises."""
        if course is not self._course:
            self._begin(course)
        found, data = _file(path)
        if found is None or course.beside:  # of several courses each sees a file in its own way
            return load_record(path, course)
        content = sha256(data).digest()
        row = self._rows.get(path.name)
        if row is not None and row[1:4] == (found.st_size, found.st_mtime_ns, content) and row.is_whole():
            return self._as_kept(row, path, data, course)
        loaded = record_in(data, path, course)
        if loaded.record is not None and not loaded.problems:
            self._new[path.name] = (found, content, loaded.record)
        return loaded

    def _begin(self, course: Course) -> None:
        self._course, self._skills = course, tuple(sorted(course.skill))
        self._rows, self._new = self._file.rows(_names_of(course)), {}

    def _as_kept(self, row: Row, path: Path, data: bytes, course: Course) -> LoadedRecord:
        """Return a student as kept, who reads the rest of the file when it is asked for."""
        skills, text = self._skills, data.decode("utf-8-sig")
        seen = Seen.later({}, _once(lambda: unpack(row.seen, skills)))
        whole = _once(lambda: record_in(text.encode(), path, course).record)
        student = row.file.removesuffix(".toml")
        record = Record.later(
            {**_OF_NO_OTHER, "id": student, "name": row.name, "path": path, "seen": seen},
            lambda field: getattr(seen, field) if field in WITHOUT_WORDS else whole(field),
        )
        return LoadedRecord(record, (), path, text)

    def save(self, files: set[str]) -> None:
        """Keep what is new, and nothing of files that are not there any more; a failure changes nothing."""
        gone = self._rows.keys() - files
        if self._course is not None and (self._new or gone):
            number = {skill: i for i, skill in enumerate(self._skills)}
            rows = (
                row_of(file, found, content, record.name, pack(record.seen, number))
                for file, (found, content, record) in self._new.items()
            )
            self._file.change(_names_of(self._course), gone, rows)


def _once(make: Callable[[], object]) -> Callable[[str], object]:
    """Return what gives the fields of a value that is made when the first is asked for."""
    made: list[object] = []

    def give(field: str) -> object:
        if not made:
            made.append(make())
        return getattr(made[0], field)

    return give


def _file(path: Path) -> tuple[os.stat_result | None, bytes]:
    """Return a file as it is, None where it is no plain file of a size that is read."""
    try:
        handle = os.open(path, _HOW)
    except OSError:
        return None, b""
    try:
        found = os.fstat(handle)
        if not stat.S_ISREG(found.st_mode) or found.st_size > LARGEST:
            return None, b""
        data = os.read(handle, found.st_size + 1)
    except OSError:
        return None, b""
    finally:
        os.close(handle)
    return (found, data) if len(data) == found.st_size else (None, b"")
