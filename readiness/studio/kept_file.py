"""The file in which things are kept of one folder of students: SQLite, readable by its owner alone.

It knows rows and no records. Two programs may use it at once; whoever comes too late keeps nothing
that time. Whatever is wrong with it, there are no rows; where its tables are broken it is deleted.
"""

from __future__ import annotations

import os
import sqlite3
import time
from collections.abc import Iterable
from contextlib import closing, suppress
from hashlib import sha256
from pathlib import Path
from typing import Final, NamedTuple

__all__ = ["KeptFile", "Row", "row_of"]

_UNUSED_DAYS: Final = 100
_FORM: Final = (str, int, int, bytes, str, bytes, bytes)
_TABLES: Final = """
    CREATE TABLE IF NOT EXISTS about (names BLOB);
    CREATE TABLE IF NOT EXISTS student (
        file TEXT PRIMARY KEY, size INTEGER, changed INTEGER, content BLOB, name TEXT, seen BLOB, seal BLOB
    ) WITHOUT ROWID;
"""


class Row(NamedTuple):
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


def row_of(file: str, found: os.stat_result, content: bytes, name: str, seen: bytes) -> Row:
    """Return the row of a file: its size and time of change, the hash of its content, what was seen in it."""
    return Row(file, found.st_size, found.st_mtime_ns, content, name, seen, _seal(content, name, seen))


def _seal(content: bytes, name: str, seen: bytes) -> bytes:
    return sha256(b"\0".join((content, name.encode(), seen))).digest()[:16]


class KeptFile:
    """What is kept of one folder. Nothing here raises for what stands on the disk."""

    def __init__(self, cache: Path, folder: Path) -> None:
        """Name the file; its name says nothing of where the folder is."""
        self._folder = folder
        self._path = cache / f"{sha256(str(folder.resolve()).encode()).hexdigest()[:32]}.sqlite"

    def rows(self, names: bytes) -> dict[str, Row]:
        """Return what was kept under these names, by file; what has not the form of a row is left out."""
        with suppress(sqlite3.Error, OSError):
            if self._path.exists():
                os.utime(self._path)
                with closing(self._connect()) as connection:
                    return _rows(connection, names)
        return {}

    def change(self, names: bytes, gone: Iterable[str], new: Iterable[Row]) -> None:
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


def _rows(connection: sqlite3.Connection, names: bytes) -> dict[str, Row]:
    if connection.execute("SELECT names FROM about").fetchone() != (names,):
        return {}
    rows = connection.execute("SELECT file, size, changed, content, name, seen, seal FROM student").fetchall()
    return {row[0]: Row(*row) for row in rows if tuple(map(type, row)) == _FORM}


def _write(connection: sqlite3.Connection, names: bytes, gone: Iterable[str], new: Iterable[Row]) -> None:
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
