"""What was read of the student files before, so that files that did not change are not read through again.

It is kept in the cache folder of whoever runs the program, never beside the files: a shared folder
is to hold nothing that two people could write at once. Kept is what judging looks at
(``record.model``), the given name and the answer told last; no word that anybody wrote of a student,
and nothing about the cause of a hold. The days on which one may speak of pain are kept for this list of such
words alone: with another every file is read again.

A file is always opened. Only where its size, its time of change and its content are what they were,
and the course has all that the file names, is the rest taken from here; whatever a record holds beyond
that is read from the file when it is asked for. All of it may be deleted at any time, and whatever is
wrong with it, the files are read as if it were not there.
"""

from __future__ import annotations

import json
import os
import sqlite3
import stat
import sys
import zlib
from array import array
from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from contextlib import closing, contextmanager, suppress
from dataclasses import replace
from functools import cache as once
from hashlib import sha256
from io import FileIO
from itertools import accumulate
from pathlib import Path
from typing import TYPE_CHECKING, Final, NamedTuple, TypeVar

from readiness.course.model import Course
from readiness.lazy import fields_from, fields_of
from readiness.record import model
from readiness.record.append import Checked, with_lessons
from readiness.record.load import LoadedRecord, checked_record, load_record, record_in
from readiness.record.marks import standing
from readiness.record.rhythm import Rhythm
from readiness.studio.kept_files import drop_unused, program
from readiness.toml.read import LARGEST

if TYPE_CHECKING:
    from readiness.studio.load import Studio

__all__ = [
    "CachedRow", "KeptFile", "ReadStudent", "as_told", "drop_kept", "has_kept", "keeping", "kept_name",
    "kept_names", "needed", "pack", "unpack",
]  # fmt: skip

# The file in which things are kept of one folder of students: SQLite, readable by its owner alone.
#
# It knows rows and no records. Two programs may use it at once; whoever comes too late keeps nothing
# that time. Whatever is wrong with it, there are no rows; where its tables are broken it is deleted.

T = TypeVar("T")

_FORM: Final = (str, int, int, bytes, str, str, bytes, bytes, bytes)
_TABLES: Final = """
    CREATE TABLE IF NOT EXISTS named (key TEXT PRIMARY KEY, names TEXT) WITHOUT ROWID;
    CREATE TABLE IF NOT EXISTS student (
        file TEXT PRIMARY KEY, size INTEGER, changed INTEGER, content BLOB, name TEXT,
        key TEXT, needs BLOB, seen BLOB, seal BLOB, told_of BLOB, told BLOB
    ) WITHOUT ROWID;
"""


class CachedRow(NamedTuple):
    """One student as kept: the file as it was, and what was seen in it; ``seal`` is of both.

    ``needs`` are bits: which of the names kept under ``key`` the file names.
    """

    file: str
    size: int
    changed: int
    content: bytes
    name: str
    key: str
    needs: bytes
    seen: bytes
    seal: bytes = b""

    def is_whole(self) -> bool:
        """Return whether it is what was written: a disk may lose a part of it."""
        return self.seal == self.sealed().seal

    def sealed(self) -> CachedRow:
        """Return the row with its seal."""
        parts = (self.content, self.name.encode(), self.key.encode(), self.needs, self.seen)
        return self._replace(seal=sha256(b"\0".join(parts)).digest()[:16])

    def is_of(self, found: os.stat_result) -> bool:
        """Return whether a file has the size and the time of change it had."""
        return (self.size, self.changed) == (found.st_size, found.st_mtime_ns)


class KeptFile:
    """What is kept of one folder. Nothing here raises for what stands on the disk."""

    def __init__(self, cache: Path, folder: Path) -> None:
        """Name the file; its name says nothing of where the folder is."""
        self._folder = folder
        self._path = cache / f"{sha256(str(folder.resolve()).encode()).hexdigest()[:32]}.sqlite"

    def rows(self, only: Path | None = None) -> tuple[dict[str, CachedRow], dict[str, str]]:
        """Return what was kept, by file, and lists of names by key; what has not the form is left out.

        ``only``: the one file of which it is asked; else all of the folder.
        """
        with suppress(OSError):
            os.utime(self._path)
        return self._asked(lambda connection: _rows(connection, only)) or ({}, {})

    def change(self, names: str, gone: Iterable[str], new: Iterable[CachedRow]) -> None:
        """Keep new rows, the list of names they use, and no gone rows.

        Somebody may forget a student while all are read: whose file is gone by now is not kept again.
        """
        there = (row for row in new if (self._folder / row.file).exists())
        self._change(lambda connection: _write(connection, names, gone, there))

    def told(self, of: Mapping[str, bytes]) -> dict[str, bytes]:
        """Return by file the answers that were told and follow from the same; ``of`` is by file, too."""
        asked = "SELECT file, told FROM student WHERE file = ? AND told_of = ? AND typeof(told) = 'blob'"
        rows = self._asked(lambda kept: [kept.execute(asked, one).fetchone() for one in of.items()])
        return dict(filter(None, rows or ()))

    def tell(self, new: Iterable[tuple[bytes, bytes, str]]) -> None:
        """Keep answers (what one follows from, itself, its file), of files that are kept themselves."""
        asked = "UPDATE student SET told_of = ?, told = ? WHERE file = ?"
        self._change(lambda connection: connection.executemany(asked, new))

    def _change(self, write: Callable[[sqlite3.Connection], object]) -> None:
        """Change what is kept as one; what is broken is deleted."""
        try:
            self._path.parent.mkdir(mode=0o700, parents=True, exist_ok=True)
            os.close(os.open(self._path, os.O_RDWR | os.O_CREAT, 0o600))
            drop_unused(self._path.parent, "*.sqlite")
            with self._connected() as connection, connection:
                connection.execute("BEGIN IMMEDIATE")
                write(connection)
        except (sqlite3.Error, OSError) as error:
            if _is_broken(error):
                self.drop_all()

    def has(self, file: str) -> bool:
        """Return whether anything is kept of one file."""
        asked = "SELECT 1 FROM student WHERE file = ?"
        return bool(self._asked(lambda kept: kept.execute(asked, (file,)).fetchone()))

    def drop_all(self) -> None:
        """Keep nothing of the folder any more."""
        with suppress(OSError):
            self._path.unlink(missing_ok=True)

    def drop(self, file: str) -> None:
        """Keep nothing of one file any more."""
        with suppress(OSError):
            if self._path.exists():
                try:
                    with self._connected() as connection, connection:
                        connection.execute("DELETE FROM student WHERE file = ?", (file,))
                except sqlite3.Error:
                    self.drop_all()

    def _asked(self, ask: Callable[[sqlite3.Connection], T]) -> T | None:
        """Return what is kept; None where nothing is, or it cannot be read."""
        with suppress(sqlite3.Error, OSError):
            if self._path.exists():
                with self._connected() as connection:
                    return ask(connection)
        return None

    @contextmanager
    def _connected(self) -> Iterator[sqlite3.Connection]:
        with closing(sqlite3.connect(self._path, timeout=0.2)) as connection:
            connection.execute("PRAGMA secure_delete = ON")
            connection.executescript(_TABLES)
            yield connection


def _rows(connection: sqlite3.Connection, only: Path | None) -> tuple[dict[str, CachedRow], dict[str, str]]:
    asked = "SELECT file, size, changed, content, name, key, needs, seen, seal FROM student"
    where = ("", ()) if only is None else (" WHERE file = ?", (only.name,))
    rows = connection.execute(asked + where[0], where[1]).fetchall()
    lists = connection.execute("SELECT key, names FROM named").fetchall()
    return (
        {row[0]: CachedRow(*row) for row in rows if tuple(map(type, row)) == _FORM},
        {key: names for key, names in lists if type(names) is str and _key(names) == key},
    )


def _write(connection: sqlite3.Connection, names: str, gone: Iterable[str], new: Iterable[CachedRow]) -> None:
    connection.execute("INSERT OR REPLACE INTO named VALUES (?, ?)", (_key(names), names))
    connection.executemany("DELETE FROM student WHERE file = ?", [(one,) for one in gone])
    nothing_told = "INSERT OR REPLACE INTO student VALUES (?, ?, ?, ?, ?, ?, ?, ?, ?, NULL, NULL)"
    connection.executemany(nothing_told, new)
    connection.execute("DELETE FROM named WHERE key NOT IN (SELECT key FROM student)")


def _key(names: str) -> str:
    return sha256(names.encode()).hexdigest()[:32]


def _is_broken(error: sqlite3.Error | OSError) -> bool:
    """Return whether what is kept is no good; else somebody is writing, or nothing can be written here."""
    if isinstance(error, sqlite3.OperationalError):
        return error.sqlite_errorcode == sqlite3.SQLITE_ERROR
    return isinstance(error, sqlite3.Error)


# What was seen of a student as bytes, and back: small, quick, and nothing that could be run.
#
# The blocks are JSON, the notes are columns of whole numbers in the order of bytes of the machine:
# the skills noted and how many notes each has, the day, line and help of every note; then lesson by
# lesson who noted how many showings, and the skill, line and help of every showing.

Name = tuple[str, str]
"""What a file names of a course: ``skill``, ``unit`` or ``band``, and which; ``aside``: a skill set aside."""


def needed(seen: model.Seen, number: Mapping[Name, int]) -> bytes:
    """Return what a file needs of a course, as bits; ``number`` has a number for every name."""
    names = {*seen.named, *(("aside", one.skill) for one in seen.set_aside)}
    return sum(1 << number[name] for name in names).to_bytes(len(number) // 8 + 1, "little")


def pack(seen: model.Seen, number: Mapping[Name, int]) -> bytes:
    """Return what was seen, without what is named, as bytes; ``number`` has a number for every name."""
    blocks: dict[str, object] = {
        name: [[part for _, part in fields_of(one)] for one in value]
        for name, value in fields_of(seen)
        if name in model.BLOCKS
    }
    rhythm = None if seen.rhythm is None else [seen.rhythm.weekday, seen.rhythm.weeks]
    others = seen.days_beside, seen.pain_days
    plain = [seen.born, rhythm, seen.lesson_lines, *others, dict(seen.consents), blocks]
    head = json.dumps(plain, separators=(",", ":")).encode()
    notes = [note for of_skill in seen.notes.values() for note in of_skill]
    days, helps, lines = zip(*notes, strict=True) if notes else ((), (), ())
    shown = [one for _, showings in seen.lesson_notes for one in showings]
    columns = (
        array("i", [number["skill", skill] for skill in seen.notes]),
        array("i", map(len, seen.notes.values())),
        array("i", days),
        array("i", lines),
        array("B", helps),
        array("i", [by for by, _ in seen.lesson_notes]),
        array("i", [len(showings) for _, showings in seen.lesson_notes]),
        array("i", [number["skill", one.skill] for one in shown]),
        array("i", [one.line for one in shown]),
        array("B", [one.help for one in shown]),
    )
    sizes = array("i", [len(head), *map(len, columns)])
    return b"".join((sizes.tobytes(), head, *(column.tobytes() for column in columns)))


_KINDS: Final = "iiiiBiiiiB"


def unpack(data: bytes, names: Sequence[Name], needs: bytes) -> model.Seen:
    """Return what was seen; ``names`` by their numbers, ``needs`` as :func:`needed` gave them."""
    sizes = array("i")
    first = (1 + len(_KINDS)) * sizes.itemsize
    sizes.frombytes(data[:first])
    head, *counts = sizes
    born, rhythm, lesson_lines, beside, pain_days, consents, blocks = json.loads(data[first : first + head])
    columns, bits = _columns(data[first + head :], counts), int.from_bytes(needs, "little")
    later: dict[str, Callable[[], object]] = {
        "lesson_notes": lambda: tuple(_lesson_notes(columns[5:], names)),
        "named": lambda: frozenset(
            name for at, name in enumerate(names) if bits >> at & 1 and name[0] != "aside"
        ),
    }
    return model.Seen.later({
        "born": born,
        "rhythm": None if rhythm is None else Rhythm(*rhythm),
        "consents": consents,
        **{name: tuple([model.BLOCKS[name](*one) for one in some]) for name, some in blocks.items()},
        "lesson_lines": tuple(map(tuple, lesson_lines)),
        "lesson_days": tuple(sorted({day for day, _ in lesson_lines})),
        "days_beside": tuple(beside),
        "pain_days": tuple(pain_days),
        "notes": _notes(columns[:5], names),
    }, lambda field: later[field]())  # fmt: skip


def _columns(data: bytes, counts: Sequence[int]) -> list[array[int]]:
    columns, at = [], 0
    for kind, count in zip(_KINDS, counts, strict=True):
        column = array(kind)
        end = at + count * column.itemsize
        column.frombytes(data[at:end])
        columns.append(column)
        at = end
    return columns


def _notes(columns: Sequence[array[int]], names: Sequence[Name]) -> dict[str, tuple[model.Note, ...]]:
    noted, counts, days, lines, helps = columns
    rows = list(zip(days, helps, lines, strict=True))
    ends = accumulate(counts)
    return {
        names[skill][1]: tuple(rows[end - count : end])
        for skill, count, end in zip(noted, counts, ends, strict=True)
    }


def _lesson_notes(columns: Sequence[array[int]], names: Sequence[Name]) -> Iterator[model.Showings]:
    who, counts, skills, lines, helps = columns
    notes = zip(skills, helps, lines, strict=True)
    rows = [model.Showing(names[skill][1], help_, line) for skill, help_, line in notes]
    for by, count, end in zip(who, counts, accumulate(counts), strict=True):
        yield by, tuple(rows[end - count : end])


_HOW: Final = os.O_RDONLY | getattr(os, "O_NONBLOCK", 0) | getattr(os, "O_BINARY", 0)
_OF_NO_OTHER: Final[Mapping[str, object]] = {"elsewhere": frozenset(), "whole": None}

ReadStudent = Callable[[Path, Course], LoadedRecord]
"""What reads one student file."""


@contextmanager
def keeping(cache: Path | None, files: Sequence[Path], only: Path | None = None) -> Iterator[ReadStudent]:
    """Give what reads a student file, with what was kept before; what is new is kept at the end.

    Args:
        cache: the folder to keep it in; None: nothing is kept.
        files: the files that will be read, all there are in one folder.
        only: the one that will be read, where it is not all of them.
    """
    if cache is None or not (files or only):
        yield load_record
        return
    kept = _Kept(KeptFile(cache, (only or files[0]).parent), only)
    yield kept.read
    kept.save({path.name for path in ((only,) if only else files)})


def as_told(
    cache: Path | None,
    studio: Studio,
    day: int,
    records: Iterable[model.Record],
    work_out: Callable[[model.Record], Mapping[str, object]],
) -> Iterator[tuple[str, bool]]:
    """Yield answers as lines of JSON, and whether each was kept; at the end the others are kept.

    One is taken again as it was told where all it follows from is the same: the student's file, the
    course, the lessons to come, the day and the program. One that a solver could better is not kept.
    """
    course = sha256(b"".join((program(), repr((studio.course, day)).encode())))
    of: dict[str, bytes] = {}
    for one in studio.loaded if cache is not None else ():
        if one.checked is not None:
            mine = course.copy()
            mine.update(repr((one.checked, studio.calendar(one.path.stem))).encode())
            of[one.path.name] = mine.digest()
    kept = KeptFile(cache, studio.loaded[0].path.parent) if of and cache is not None else None
    told, new = kept.told(of) if kept else {}, list[tuple[bytes, bytes, str]]()
    for record in records:
        file = f"{record.id}.toml"
        with suppress(KeyError, zlib.error, UnicodeDecodeError):
            yield zlib.decompress(told[file]).decode(), True
            continue
        answer = work_out(record)
        text = json.dumps(answer, ensure_ascii=False)
        if file in of and answer["proof"] != {"kind": "not-proved"}:
            new.append((of[file], zlib.compress(text.encode(), 1), file))
        yield text, False
    if kept and new:
        kept.tell(new)


def has_kept(cache: Path | None, file: Path) -> bool:
    """Return whether anything is kept of one student file."""
    return cache is not None and KeptFile(cache, file.parent).has(file.name)


def drop_kept(cache: Path | None, file: Path) -> None:
    """Forget what is kept of one student file."""
    if cache is not None:
        KeptFile(cache, file.parent).drop(file.name)


def kept_names(cache: Path | None, files: Iterable[Path]) -> dict[Path, str]:
    """Return the given names of the students whose files have the size and the time of change they had."""
    found = {path: path.stat() for path in files} if cache is not None else {}
    rows = KeptFile(cache, next(iter(found)).parent).rows()[0] if cache is not None and found else {}
    same = ((path, rows.get(path.name), stat_) for path, stat_ in found.items())
    return {path: row.name for path, row, stat_ in same if row and row.is_of(stat_) and row.is_whole()}


def kept_name(cache: Path | None, file: Path) -> str | None:
    """Return the given name in a student file as it was kept, where at most lessons were added since."""
    found, data = _file(file)
    row = KeptFile(cache, file.parent).rows(file)[0].get(file.name) if cache is not None and found else None
    if row is None or not row.is_whole():
        return None
    is_same = row.content == sha256(data).digest()
    return row.name if is_same or with_lessons(data, file, Checked(row.size, row.content), None) else None


def _names_of(course: Course) -> tuple[Name, ...]:
    """Return all that a file may name of a course, in an order of their own."""
    kinds = (("skill", course.skill), ("unit", course.unit), ("band", course.band))
    asks = {skill.id for skill in course.skills if skill.asks_pain}
    aside = (("aside", skill) for skill in course.skill if skill not in asks)
    return tuple(sorted({*aside, *((kind, name) for kind, names in kinds for name in names)}))


def _how_made() -> list[str]:
    """Return what stands before a list of names that is kept: how the rows beside it are made."""
    return [program().hex(), sys.byteorder, model.PAIN]


class _Kept:
    """One reading of all files of a folder."""

    def __init__(self, file: KeptFile, only: Path | None) -> None:
        self._file, self._only = file, only
        self._course: Course | None = None
        self._rows: dict[str, CachedRow] = {}
        self._new: dict[str, tuple[os.stat_result, bytes, model.Record]] = {}
        self._lists: dict[str, tuple[tuple[Name, ...], int]] = {}

    def read(self, path: Path, course: Course) -> LoadedRecord:
        """Read one student file. Content never raises."""
        if course is not self._course:
            self._begin(course)
        found, data = _file(path)
        if found is None or course.beside:  # of several courses each sees a file in its own way
            return load_record(path, course)
        content = sha256(data).digest()
        row = self._rows.get(path.name)
        row = row if row is not None and self._is_good(row) else None
        if row is not None and row.is_of(found) and row.content == content:
            return self._as_kept(row, path, data, course)
        loaded = record_in(data, path, course, None if row is None else Checked(row.size, row.content))
        if loaded.record is None or loaded.problems:
            return loaded
        self._new[path.name] = (found, content, loaded.record)
        return replace(loaded, checked=Checked(len(data), content))

    def _begin(self, course: Course) -> None:
        self._course, self._names = course, _names_of(course)
        self._rows, lists = self._file.rows(self._only)
        self._new, self._lists, known = {}, {}, frozenset(self._names)
        for key, text in lists.items():
            made, *names = map(tuple, json.loads(text))
            if made == tuple(_how_made()):
                lacking = (1 << at for at, one in enumerate(names) if one not in known)
                self._lists[key] = tuple(names), sum(lacking)

    def _is_good(self, row: CachedRow) -> bool:
        """Return whether a row is what was written, and the course has all that the file names."""
        _, lacking = self._lists.get(row.key, ((), None))
        return lacking is not None and not int.from_bytes(row.needs, "little") & lacking and row.is_whole()

    def _as_kept(self, row: CachedRow, path: Path, data: bytes, course: Course) -> LoadedRecord:
        """Return a student as kept, who reads the rest of the file when it is asked for."""
        names, text = self._lists[row.key][0], standing(data).decode("utf-8-sig")
        unpacked = once(lambda: unpack(row.seen, names, row.needs))
        seen = model.Seen.later({}, fields_from(lambda _: unpacked()))
        whole = once(lambda: checked_record(data, path, course))
        student = row.file.removesuffix(".toml")
        record = model.Record.later(
            {**_OF_NO_OTHER, "id": student, "name": row.name, "path": path, "seen": seen},
            fields_from(lambda field: seen if field in model.WITHOUT_WORDS else whole()),
        )
        return LoadedRecord(record, (), path, text, Checked(row.size, row.content))

    def save(self, files: set[str]) -> None:
        """Keep what is new, and nothing of files that are not there any more; a failure changes nothing."""
        gone = self._rows.keys() - files
        if self._course is not None and (self._new or gone):
            number = {name: at for at, name in enumerate(self._names)}
            names = json.dumps([_how_made(), *self._names])  # it says how the rows are made, too
            key = _key(names)
            rows = (
                CachedRow(
                    file, found.st_size, found.st_mtime_ns, content, record.name,
                    key, needed(record.seen, number), pack(record.seen, number),
                ).sealed()
                for file, (found, content, record) in self._new.items()
            )  # fmt: skip
            self._file.change(names, gone, rows)


def _file(path: Path) -> tuple[os.stat_result | None, bytes]:
    """Return a file as it is, None where it is no plain file of a size that is read."""
    with suppress(OSError), FileIO(path, opener=lambda name, _: os.open(name, _HOW)) as file:
        found = os.fstat(file.fileno())
        if stat.S_ISREG(found.st_mode) and found.st_size <= LARGEST:
            data = file.read(found.st_size + 1)
            return (found, data) if len(data) == found.st_size else (None, b"")
    return None, b""
