"""Writing to files that hold notes about children: nothing confirmed is ever lost.

Two ways only. *Append*: under a lock, one write at the end, one fsync; what stood there
stays to the byte. *Replace*: a complete new file beside it, fsynced, then put in its place in
one step. Both refuse to write through a link that leads out of the folder, and both say in a
value what went wrong. A writer that dies half-way leaves the file as it was. Somebody else's
editor knows no lock: what it saved meanwhile is never overwritten, and what was added to a
file that it then replaced is added to the new one.
"""

from __future__ import annotations

import os
import stat
import sys
import tempfile
import threading
from collections.abc import Callable, Iterator
from contextlib import contextmanager, suppress
from dataclasses import dataclass
from pathlib import Path
from typing import Final

__all__ = [
    "WRITTEN", "Refusal", "append", "create", "cut_tail", "lines_into", "put", "remove", "replace", "within",
]  # fmt: skip

WRITTEN: Final = threading.Event()
"""Set once something was written for good: whoever cannot say so must not pass it over in silence."""


@dataclass(frozen=True, slots=True)
class Refusal:
    """Why nothing was written: a stable kebab-case id and one sentence."""

    id: str
    message: str


class RefusedError(Exception):
    """Raised inside this room only; callers get the :class:`Refusal`."""

    def __init__(self, id: str, message: str) -> None:  # noqa: A002 - it is an id
        super().__init__(message)
        self.refusal = Refusal(id, message)


_BINARY: Final = getattr(os, "O_BINARY", 0)
"""Where a system would change line ends while writing, it is told not to."""

Edit = Callable[[bytes], bytes | Refusal]
"""Given all bytes of a file, what to add or what to put in their place; or why not."""


def append(path: Path, folder: Path, edit: Edit) -> Refusal | None:
    """Add bytes at the end of a file, durably, or leave it untouched.

    Args:
        path: an existing file.
        folder: the folder it must be in, links resolved.
        edit: given the bytes there now, returns the bytes to add.
    """
    return _refused(lambda: _append(path, folder, edit))


def cut_tail(path: Path, folder: Path, edit: Edit) -> Refusal | None:
    """Take bytes off the end of a file; ``edit`` returns the tail to take off."""
    return _refused(lambda: _cut(path, folder, edit))


def replace(path: Path, folder: Path, edit: Edit) -> Refusal | None:
    """Put new bytes in place of a file's, in one step; ``edit`` returns them."""
    return _refused(lambda: _replace(path, folder, edit))


def create(path: Path, folder: Path, data: bytes) -> Refusal | None:
    """Make a file that is not there yet."""
    return _refused(lambda: _create(path, folder, data))


def put(path: Path, data: bytes) -> Refusal | None:
    """Put a file in place in one step, whatever was there; only its owner may read it."""
    return _refused(lambda: _put(path, data, 0o600), for_good=False)


def remove(path: Path, folder: Path) -> Refusal | None:
    """Take a file away, once nobody is writing to it."""
    return _refused(lambda: _remove(path, folder))


def lines_into(before: bytes, line: int, text: str) -> bytes:
    """Return the bytes with lines put in after a line (counted from 1), all others as they were."""
    lines = before.split(b"\n")
    turn = b"\r" if lines[0].endswith(b"\r") else b""
    if line == len(lines):
        lines[-1] += turn
    added = [one.encode() + turn for one in text.rstrip("\n").split("\n")]
    rest = lines[line:] or [b""]
    return b"\n".join([*lines[:line], *added, *rest])


def within(path: Path, folder: Path) -> bool:
    """Return whether a path, all links followed, lies directly in a folder."""
    return path.resolve().parent == folder.resolve()


def _refused(write: Callable[[], None], *, for_good: bool = True) -> Refusal | None:
    """Carry out a write and return what stood in its way."""
    try:
        write()
        if for_good:
            WRITTEN.set()
    except RefusedError as refused:
        return refused.refusal
    except OSError as error:
        return Refusal("cannot-write", f"nothing was written: {_reason(error)}.")
    return None


def _reason(error: OSError) -> str:
    """Return a system's error in plain words, with the file it is about."""
    name = f"{error.filename}: " if error.filename else ""
    return f"{name}{(error.strerror or str(error)).lower()}"


def _append(path: Path, folder: Path, edit: Edit) -> None:
    while not _added(path, folder, edit):
        continue  # the file was replaced while we wrote to the old one; the new one gets it too


def _added(path: Path, folder: Path, edit: Edit) -> bool:
    with _locked(path, folder) as file:
        before = _read_all(file)
        added = _settled(edit(before))
        try:
            _write_all(file, added)
            os.fsync(file)
        except BaseException as error:
            with suppress(OSError):
                os.ftruncate(file, len(before))
                os.fsync(file)
            if not isinstance(error, OSError):
                raise
            message = f"nothing was written: {path}: {_reason(error)}."
            raise RefusedError("cannot-write", message) from error
        return _same(file, path)


def _cut(path: Path, folder: Path, edit: Edit) -> None:
    with _locked(path, folder) as file:
        before = _read_all(file)
        tail = _settled(edit(before))
        _unchanged(file, path, before)
        os.ftruncate(file, len(before) - len(tail))
        os.fsync(file)
        if not _same(file, path):
            raise _changed(path)


def _replace(path: Path, folder: Path, edit: Edit) -> None:
    with _locked(path, folder) as file:
        before = _read_all(file)
        data = _settled(edit(before))
        mode = stat.S_IMODE(os.fstat(file).st_mode)
        _put(path.resolve(), data, mode, lambda: _unchanged(file, path, before))


def _put(target: Path, data: bytes, mode: int, just_before: Callable[[], None] = lambda: None) -> None:
    """Write a complete new file beside the target and give it the target's name."""
    handle, name = tempfile.mkstemp(prefix=f".{target.stem.lstrip('.')}.", suffix=".new", dir=target.parent)
    try:
        with os.fdopen(handle, "wb") as new:
            new.write(data)
            new.flush()
            Path(name).chmod(mode)
            os.fsync(new.fileno())
        just_before()
        Path(name).replace(target)
    except BaseException:
        with suppress(OSError):
            Path(name).unlink()
        raise
    _sync_folder(target.parent)


def _remove(path: Path, folder: Path) -> None:
    with _locked(path, folder):
        path.unlink()
    _sync_folder(path.parent)


def _unchanged(file: int, path: Path, before: bytes) -> None:
    """Refuse when somebody saved the file since it was read."""
    if not _same(file, path) or _read_all(file) != before:
        raise _changed(path)


def _changed(path: Path) -> RefusedError:
    return RefusedError("changed", f"nothing was written: {path} was changed by somebody else just now.")


def _create(path: Path, folder: Path, data: bytes) -> None:
    if not within(path, folder):
        raise RefusedError("outside", f"nothing was written: {path} is not in {folder}.")
    try:
        file = os.open(path, os.O_WRONLY | os.O_CREAT | os.O_EXCL | _BINARY, 0o600)
    except FileExistsError:
        raise RefusedError("exists", f"nothing was written: there already is a file {path}.") from None
    try:
        _write_all(file, data)
        os.fsync(file)
    except OSError:
        with suppress(OSError):
            path.unlink()
        raise
    finally:
        os.close(file)
    _sync_folder(path.parent)


def _settled(edited: bytes | Refusal) -> bytes:
    if isinstance(edited, Refusal):
        raise RefusedError(edited.id, edited.message)
    return edited


@contextmanager
def _locked(path: Path, folder: Path) -> Iterator[int]:
    """Open a file for adding to it, alone; the file is the one that the name leads to now.

    Somebody who saves by putting a new file in place leaves us with the old one in hand,
    so after getting the lock the name is looked up again.
    """
    if not within(path, folder):
        raise RefusedError("outside", f"nothing was written: {path} leads out of {folder}.")
    while True:
        file = os.open(path, os.O_RDWR | os.O_APPEND | _BINARY)
        try:
            if not stat.S_ISREG(os.fstat(file).st_mode):
                raise RefusedError("no-file", f"nothing was written: {path} is not a file.")
            _lock(file)
            if _same(file, path):
                yield file
                return
        finally:
            os.close(file)


def _same(file: int, path: Path) -> bool:
    here, there = os.fstat(file), path.stat()
    return (here.st_ino, here.st_dev) == (there.st_ino, there.st_dev)


if sys.platform == "win32":  # pragma: no cover - the other system
    import msvcrt

    def _lock(file: int) -> None:
        """Wait for the file and take it; closing gives it back."""
        os.lseek(file, 0x7FFF0000, os.SEEK_SET)
        msvcrt.locking(file, msvcrt.LK_LOCK, 1)

else:
    import fcntl

    def _lock(file: int) -> None:
        """Wait for the file and take it; closing gives it back."""
        fcntl.flock(file, fcntl.LOCK_EX)


def _read_all(file: int) -> bytes:
    os.lseek(file, 0, os.SEEK_SET)
    parts = []
    while part := os.read(file, 1 << 20):
        parts.append(part)
    return b"".join(parts)


def _write_all(file: int, data: bytes) -> None:
    """Write in one go; only a system that took part of it is asked for the rest."""
    while data:
        data = data[os.write(file, data) :]


def _sync_folder(folder: Path) -> None:
    """Make a new name in a folder durable, where the system can."""
    with suppress(OSError):
        handle = os.open(folder, os.O_RDONLY)
        try:
            os.fsync(handle)
        finally:
            os.close(handle)
