"""What was read of the student files before, so that files that did not change are not read through again.

It is kept in the cache folder of whoever runs the program, never beside the files: a shared folder
is to hold nothing that two people could write at once. Kept is what judging looks at
(``record.model``) and the given name; no word that anybody wrote, and nothing about the cause of a hold.

A file is always opened. Only where its size, its time of change and its content are what they were,
and the course knows the same names, is the rest taken from here; whatever a record holds beyond that
is read from the file when it is asked for. All of it may be deleted at any time, and whatever is
wrong with it, the files are read as if it were not there.
"""

from __future__ import annotations

import json
import os
import sqlite3
import stat
import sys
import time
from array import array
from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from contextlib import closing, contextmanager, suppress
from dataclasses import fields
from hashlib import sha256
from pathlib import Path
from typing import Any, Final, NamedTuple

from readiness.course.model import Course
from readiness.record.load import LoadedRecord, load_record, record_in
from readiness.record.model import (
    WITHOUT_WORDS,
    BandChoice,
    Decision,
    Hold,
    Note,
    Placing,
    Promise,
    Record,
    Seen,
    SetAside,
    Settled,
    UnitStart,
)
from readiness.record.rhythm import Rhythm
from readiness.toml.read import LARGEST

__all__ = [
    "FEWEST", "CachedRow", "KeptFile", "ReadStudent", "cache_folder", "drop_kept", "has_kept", "keeping",
    "pack", "row_of", "unpack",
]  # fmt: skip

# The file in which things are kept of one folder of students: SQLite, readable by its owner alone.
#
# It knows rows and no records. Two programs may use it at once; whoever comes too late keeps nothing
# that time. Whatever is wrong with it, there are no rows; where its tables are broken it is deleted.

_UNUSED_DAYS: Final = 100
_FORM: Final = (str, int, int, bytes, str, bytes, bytes)
_TABLES: Final = """
    CREATE TABLE IF NOT EXISTS about (names BLOB);
    CREATE TABLE IF NOT EXISTS student (
        file TEXT PRIMARY KEY, size INTEGER, changed INTEGER, content BLOB, name TEXT, seen BLOB, seal BLOB
    ) WITHOUT ROWID;
"""


class CachedRow(NamedTuple):
    """One student as kept: the file as it was, and what was seen in it; ``seal`` is of both."""

    file: str
    size: int
    changed: int
    content: bytes
    name: str
    seen: bytes
    seal: bytes

    def is_whole(self) -> bool:
        """Return whether it is what was written: a disk may lose a part of it."""
        return self.seal == _seal(self.content, self.name, self.seen)


def row_of(file: str, found: os.stat_result, content: bytes, name: str, seen: bytes) -> CachedRow:
    """Return the row of a file: its size and time of change, the hash of its content, what was seen in it."""
    return CachedRow(file, found.st_size, found.st_mtime_ns, content, name, seen, _seal(content, name, seen))


def _seal(content: bytes, name: str, seen: bytes) -> bytes:
    return sha256(b"\0".join((content, name.encode(), seen))).digest()[:16]


class KeptFile:
    """What is kept of one folder. Nothing here raises for what stands on the disk."""

    def __init__(self, cache: Path, folder: Path) -> None:
        """Name the file; its name says nothing of where the folder is."""
        self._folder = folder
        self._path = cache / f"{sha256(str(folder.resolve()).encode()).hexdigest()[:32]}.sqlite"

    def rows(self, names: bytes) -> dict[str, CachedRow]:
        """Return what was kept under these names, by file; what has not the form of a row is left out."""
        with suppress(sqlite3.Error, OSError):
            if self._path.exists():
                os.utime(self._path)
                with closing(self._connect()) as connection:
                    return _rows(connection, names)
        return {}

    def change(self, names: bytes, gone: Iterable[str], new: Iterable[CachedRow]) -> None:
        """Keep new rows and no gone ones; what was kept under other names is deleted.

        Somebody may forget a student while all are read: whose file is gone by now is not kept again.
        """
        try:
            self._make_private()
            with closing(self._connect()) as connection, connection:
                connection.execute("BEGIN IMMEDIATE")
                _write(connection, names, gone, (row for row in new if (self._folder / row.file).exists()))
        except (sqlite3.Error, OSError) as error:
            if _is_broken(error):
                self.drop_all()

    def has(self, file: str) -> bool:
        """Return whether anything is kept of one file."""
        with suppress(sqlite3.Error, OSError):
            if self._path.exists():
                with closing(self._connect()) as connection:
                    found = connection.execute("SELECT 1 FROM student WHERE file = ?", (file,))
                    return found.fetchone() is not None
        return False

    def drop_all(self) -> None:
        """Keep nothing of the folder any more."""
        with suppress(OSError):
            self._path.unlink(missing_ok=True)

    def drop(self, file: str) -> None:
        """Keep nothing of one file any more."""
        with suppress(OSError):
            if self._path.exists():
                try:
                    with closing(self._connect()) as connection, connection:
                        connection.execute("DELETE FROM student WHERE file = ?", (file,))
                except sqlite3.Error:
                    self.drop_all()

    def _connect(self) -> sqlite3.Connection:
        connection = sqlite3.connect(self._path, timeout=0.2)
        connection.execute("PRAGMA secure_delete = ON")
        connection.executescript(_TABLES)
        return connection

    def _make_private(self) -> None:
        """Make the file so that nobody else can read it, and delete what was not used for long."""
        self._path.parent.mkdir(mode=0o700, parents=True, exist_ok=True)
        os.close(os.open(self._path, os.O_RDWR | os.O_CREAT, 0o600))
        for other in self._path.parent.glob("*.sqlite"):
            if time.time() - other.stat().st_mtime > _UNUSED_DAYS * 86_400:
                other.unlink()


def _rows(connection: sqlite3.Connection, names: bytes) -> dict[str, CachedRow]:
    if connection.execute("SELECT names FROM about").fetchone() != (names,):
        return {}
    rows = connection.execute("SELECT file, size, changed, content, name, seen, seal FROM student").fetchall()
    return {row[0]: CachedRow(*row) for row in rows if tuple(map(type, row)) == _FORM}


def _write(
    connection: sqlite3.Connection, names: bytes, gone: Iterable[str], new: Iterable[CachedRow]
) -> None:
    if connection.execute("SELECT names FROM about").fetchone() != (names,):
        connection.execute("DELETE FROM about")
        connection.execute("DELETE FROM student")
        connection.execute("INSERT INTO about VALUES (?)", (names,))
    connection.executemany("DELETE FROM student WHERE file = ?", [(one,) for one in gone])
    connection.executemany("INSERT OR REPLACE INTO student VALUES (?, ?, ?, ?, ?, ?, ?)", new)


def _is_broken(error: sqlite3.Error | OSError) -> bool:
    """Return whether what is kept is no good; else somebody is writing, or nothing can be written here."""
    if isinstance(error, sqlite3.OperationalError):
        return error.sqlite_errorcode == sqlite3.SQLITE_ERROR
    return isinstance(error, sqlite3.Error)


# What was seen of a student as bytes, and back: small, quick, and nothing that could be run.
#
# The blocks are JSON, the notes are columns of whole numbers in the order of bytes of the machine:
# the skills noted and how many notes each has, then the day, line and help of every note.

_BLOCKS: Final[Mapping[str, type[Any]]] = {
    "unit_starts": UnitStart,
    "settled": Settled,
    "holds": Hold,
    "set_aside": SetAside,
    "band_choices": BandChoice,
    "decisions": Decision,
    "promises": Promise,
    "placings": Placing,
}
_FIELDS: Final = {name: tuple(field.name for field in fields(made)) for name, made in _BLOCKS.items()}


def pack(seen: Seen, number: Mapping[str, int]) -> bytes:
    """Return what was seen as bytes.

    Args:
        seen: what was seen.
        number: a number for every skill.
    """
    blocks: dict[str, object] = {
        name: [[getattr(one, field) for field in _FIELDS[name]] for one in getattr(seen, name)]
        for name in _BLOCKS
    }
    rhythm = None if seen.rhythm is None else [seen.rhythm.weekday, seen.rhythm.weeks]
    head = json.dumps([seen.born, rhythm, seen.lesson_lines, blocks], separators=(",", ":")).encode()
    notes = [note for of_skill in seen.notes.values() for note in of_skill]
    days, helps, lines = zip(*notes, strict=True) if notes else ((), (), ())
    columns = (
        array("i", [number[skill] for skill in seen.notes]),
        array("i", map(len, seen.notes.values())),
        array("i", days),
        array("i", lines),
        array("B", helps),
    )
    sizes = array("i", [len(head), len(seen.notes), len(notes)])
    return b"".join((sizes.tobytes(), head, *(column.tobytes() for column in columns)))


def unpack(data: bytes, skills: Sequence[str]) -> Seen:
    """Return what was seen; ``skills`` by their numbers."""
    sizes = array("i")
    first = 3 * sizes.itemsize
    sizes.frombytes(data[:first])
    head, many, count = sizes
    born, rhythm, lesson_lines, blocks = json.loads(data[first : first + head])
    return Seen(
        born=born,
        rhythm=None if rhythm is None else Rhythm(*rhythm),
        **{name: tuple([made(*one) for one in blocks[name]]) for name, made in _BLOCKS.items()},
        lesson_lines=tuple(map(tuple, lesson_lines)),
        lesson_days=tuple(sorted({day for day, _ in lesson_lines})),
        notes=_notes(data[first + head :], many, count, skills),
    )


def _notes(data: bytes, many: int, count: int, skills: Sequence[str]) -> dict[str, tuple[Note, ...]]:
    columns = []
    at = 0
    for kind, size in (("i", many), ("i", many), ("i", count), ("i", count), ("B", count)):
        column = array(kind)
        end = at + size * column.itemsize
        column.frombytes(data[at:end])
        columns.append(column)
        at = end
    noted, counts, days, lines, helps = columns
    rows = list(zip(days, helps, lines, strict=True))
    found: dict[str, tuple[Note, ...]] = {}
    at = 0
    for skill, of_skill in zip(noted, counts, strict=True):
        found[skills[skill]] = tuple(rows[at : at + of_skill])
        at += of_skill
    return found


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
        self._rows: dict[str, CachedRow] = {}
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

    def _as_kept(self, row: CachedRow, path: Path, data: bytes, course: Course) -> LoadedRecord:
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
