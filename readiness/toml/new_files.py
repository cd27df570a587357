"""Complete new files beside the ones they are for, and what programs that died leave of them.

A writer holds its new file locked for as long as it lives, so one that can be locked is certainly
nobody's and may go. Where a file must stay the very same one (somebody else owns it, or it has a second
name), it is written over; what it was and what it is to be stand beside it meanwhile, so that whoever
comes after a death half-way puts back what it was.
"""

from __future__ import annotations

import os
import re
import stat
import sys
import time
from collections.abc import Iterator
from contextlib import contextmanager, suppress
from pathlib import Path
from typing import Final, NamedTuple

from readiness.lazy import regex

__all__ = [
    "BINARY", "PRIVATE", "FileRights", "clear", "exchange", "following", "give", "half_written",
    "is_for_a_group", "keep_attributes", "lock", "mend", "name", "new_file", "read_all", "same",
    "standing_of", "sync_folder", "write_all", "write_over",
]  # fmt: skip

_NEW: Final = regex(r"\.(.+)\.[a-z0-9_]{8}\.new")
_WAS: Final = regex(r"\.(.+)\.[a-z0-9_]{8}\.was")
_LONG: Final = 86_400
"""No writer takes a day, in seconds: for files of which it cannot be told whether somebody holds them."""
BINARY: Final = getattr(os, "O_BINARY", 0)
"""Where a system would change line ends while writing, it is told not to."""


class FileRights(NamedTuple):
    """Who may do what with a file: its mode, and owner and group, None for those it is made with."""

    mode: int
    owner: int | None = None
    group: int | None = None


PRIVATE: Final = FileRights(0o600)


def standing_of(file: int) -> FileRights:
    """Return how an open file stands."""
    found = os.fstat(file)
    return FileRights(stat.S_IMODE(found.st_mode), found.st_uid, found.st_gid)


def is_for_a_group(folder: Path) -> bool:
    """Return whether a group works in a folder; one where everybody puts things, as /tmp, is no such."""
    mode = folder.stat().st_mode
    return bool(mode & stat.S_IWGRP) and not mode & stat.S_ISVTX


def following(folder: Path) -> FileRights:
    """Return how a new file of a folder is to stand: for the group that works in it, else private."""
    return FileRights(0o660, None, folder.stat().st_gid) if is_for_a_group(folder) else PRIVATE


def give(path: Path, standing: FileRights) -> None:
    """Give a file or folder its owner, group and mode; PermissionError where that is not allowed."""
    if sys.platform != "win32":
        now = path.stat()
        owner = -1 if standing.owner in (None, now.st_uid) else standing.owner
        group = -1 if standing.group in (None, now.st_gid) else standing.group
        if (owner, group) != (-1, -1):
            os.chown(path, owner or 0, group or 0)
    path.chmod(standing.mode)


@contextmanager
def new_file(target: Path, data: bytes, standing: FileRights) -> Iterator[Path]:
    """Give a whole new file beside its target, gone if not taken; PermissionError if it may not be so."""
    file, path = _begun(target)
    try:
        give(path, standing)
        write_all(file, data)
        os.fsync(file)
        if sys.platform == "win32":  # pragma: no cover - nothing that is open is renamed there
            os.close(file)
        yield path
    finally:
        with suppress(OSError):
            path.unlink()
        if sys.platform != "win32":
            os.close(file)


def _begun(target: Path) -> tuple[int, Path]:
    """Return a new empty file, open and held; somebody who clears up may have been quicker once."""
    import tempfile  # here, since most commands write nothing

    while True:
        beginning = f".{target.stem.lstrip('.')}."
        try:
            file, name = tempfile.mkstemp(prefix=beginning, suffix=".new", dir=target.parent)
        except OSError as error:  # nobody knows the new file by its name
            error.filename = str(target)
            raise
        lock(file, waits=False)
        if same(file, Path(name)):
            return file, Path(name)
        os.close(file)  # pragma: no cover - a moment


def name(new: Path, path: Path) -> None:
    """Give a new file the name it is for; FileExistsError where something has that name."""
    try:
        os.link(new, path)
    except FileExistsError:
        raise
    except (OSError, NotImplementedError):  # a disk or system that knows no second names
        if os.path.lexists(path):
            raise FileExistsError from None
        new.rename(path)


def clear(folder: Path, stem: str = "") -> None:
    """Delete the new files in a folder whose writers are certainly dead; ``stem``: those for one name."""
    for path in _matching(folder, _NEW, stem):
        with suppress(OSError), _opened(path) as file:
            found = path.lstat()
            is_free = file is not None and lock(file, waits=False) and same(file, path)
            if stat.S_ISREG(found.st_mode) and (is_free or time.time() - found.st_mtime > _LONG):
                path.unlink()


def _matching(folder: Path, pattern: re.Pattern[str], stem: str) -> Iterator[Path]:
    with suppress(OSError):
        for path in sorted(folder.iterdir()):
            found = pattern.fullmatch(path.name)
            if found is not None and stem in ("", found[1]):
                yield path


@contextmanager
def _opened(path: Path) -> Iterator[int | None]:
    """Open a file to see whether somebody holds it; None where that is not allowed."""
    try:
        file = os.open(path, os.O_RDONLY | getattr(os, "O_NOFOLLOW", 0) | getattr(os, "O_NONBLOCK", 0))
    except PermissionError:
        yield None
        return
    try:
        yield file
    finally:
        os.close(file)


def write_over(path: Path, before: bytes, data: bytes, standing: FileRights) -> None:
    """Write over a file whose lock is held, so that a death half-way can be mended."""
    both = f"{len(before)}\n".encode() + before + data
    with new_file(path.with_name(f"{path.name}.toml"), both, standing._replace(owner=None)) as new:
        was = new.with_suffix(".was")
        new.rename(was)
    sync_folder(path.parent)
    try:
        _put_over(path, data)
    except BaseException:
        mend(path)
        raise
    was.unlink()


def half_written(folder: Path) -> tuple[Path, ...]:
    """Return the files of a folder that a writer who died may have left half written over."""
    found = (_WAS.fullmatch(was.name) for was in _matching(folder, _WAS, ""))
    return tuple(dict.fromkeys(folder / one[1] for one in found if one is not None))


def mend(path: Path) -> None:
    """Make a file whose lock is held what it was, if a writer died while writing over it."""
    for was in _matching(path.parent, _WAS, path.name):
        length, _, both = was.read_bytes().partition(b"\n")
        before, data = both[: int(length)], both[int(length) :]
        now = path.read_bytes()
        pairs = enumerate(zip(now, data, strict=False))
        written = next((at for at, (one, other) in pairs if one != other), min(len(now), len(data)))
        if before != now != data and now[written:] == before[written:]:
            _put_over(path, before)
        was.unlink()


def _put_over(path: Path, data: bytes) -> None:
    with path.open("r+b", buffering=0) as file:
        write_all(file.fileno(), data)
        file.truncate()
        os.fsync(file)


# ---------------------------------------------------------------- what the system gives

if sys.platform == "win32":  # pragma: no cover - the other system
    import msvcrt

    def lock(file: int, *, waits: bool = True) -> bool:
        """Take a file, and return whether it could be taken; closing gives it back."""
        os.lseek(file, 0x7FFF0000, os.SEEK_SET)
        try:
            msvcrt.locking(file, msvcrt.LK_LOCK if waits else msvcrt.LK_NBLCK, 1)
        except OSError:
            if waits:
                raise
            return False
        os.lseek(file, 0, os.SEEK_SET)
        return True

    def keep_attributes(old: int, new: Path) -> None:
        """Give a new file the further attributes of the one it is for."""

    def exchange(_one: Path, _other: Path) -> bool:
        """Exchange two files in one step; return False where the system cannot."""
        return False

else:
    import fcntl

    def exchange(path: Path, other: Path) -> bool:
        """Exchange two files in one step; return False where the system cannot (renameat2 of Linux)."""
        import ctypes

        call = getattr(ctypes.CDLL(None), "renameat2", None)
        here, swap = -100, 2  # AT_FDCWD, RENAME_EXCHANGE
        return call is not None and call(here, os.fsencode(path), here, os.fsencode(other), swap) == 0

    def lock(file: int, *, waits: bool = True) -> bool:
        """Take a file, and return whether it could be taken; closing gives it back."""
        try:
            fcntl.flock(file, fcntl.LOCK_EX if waits else fcntl.LOCK_EX | fcntl.LOCK_NB)
        except OSError:
            if waits:
                raise
            return False
        return True

    def keep_attributes(old: int, new: Path) -> None:
        """Give a new file the further attributes of the one it is for, such as a list of who may read it."""
        if hasattr(os, "listxattr"):
            with suppress(OSError):
                for one in os.listxattr(old):
                    with suppress(OSError):
                        os.setxattr(new, one, os.getxattr(old, one))


def same(file: int, path: Path) -> bool:
    """Return whether a name leads to an open file."""
    here = os.fstat(file)
    try:
        there = path.stat()
    except FileNotFoundError:
        return False
    return (here.st_ino, here.st_dev) == (there.st_ino, there.st_dev)


def read_all(file: int) -> bytes:
    """Return all bytes of an open file."""
    os.lseek(file, 0, os.SEEK_SET)
    return b"".join(iter(lambda: os.read(file, 1 << 20), b""))


def write_all(file: int, data: bytes) -> None:
    """Write in one go; only a system that took part of it is asked for the rest."""
    while data:
        data = data[os.write(file, data) :]


def sync_folder(folder: Path) -> None:
    """Make a new name in a folder durable, where the system can."""
    with suppress(OSError):
        handle = os.open(folder, os.O_RDONLY)
        try:
            os.fsync(handle)
        finally:
            os.close(handle)
