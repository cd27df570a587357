"""Writing to files that hold notes about children: nothing confirmed is ever lost.

Two ways only. *Append*: under a lock, one write at the end, one fsync; what stood there
stays to the byte. *Replace*: a complete new file beside it, fsynced, then put in its place in
one step, with the owner, the group and the mode of the old one. Both refuse to write through a link that
leads out of the folder, and both say in a value what went wrong. What a writer that died left beside the
files is cleared away first. Somebody else's editor knows no lock: what it saved meanwhile is never
overwritten, and what was added to a file that it then replaced is in the new one once.
"""

from __future__ import annotations

import os
import stat
import threading
from collections.abc import Callable, Iterable, Iterator
from contextlib import ExitStack, contextmanager, suppress
from pathlib import Path
from typing import Final

from readiness.lazy import dataclass
from readiness.toml import new_files
from readiness.toml.new_files import BINARY, PRIVATE, FileRights

__all__ = [
    "WRITTEN", "Refusal", "append", "create", "lines_into", "not_written", "put", "put_beside", "remove",
    "replace", "settle", "why_not", "within",
]  # fmt: skip

WRITTEN: Final = threading.Event()
"""Set once something was written for good: whoever cannot say so must not pass it over in silence."""


@dataclass(frozen=True)
class Refusal:
    """Why nothing was written: a stable kebab-case id and one sentence; ``why`` is its reason alone."""

    id: str
    message: str
    why: str = ""


class RefusedError(Exception):
    """Raised inside this room only; callers get the :class:`Refusal`."""

    def __init__(self, refusal: Refusal) -> None:
        super().__init__(refusal)
        self.refusal = refusal


def not_written(id: str, why: str) -> Refusal:  # noqa: A002 - it is an id
    """Return that nothing was written; whoever wanted something else can say so with the same reason."""
    return Refusal(id, f"nothing was written: {why}", why)


Edit = Callable[[bytes], bytes | Refusal]
"""Given all bytes of a file, what to add or what to put in their place; or why not."""


def append(path: Path, folder: Path, edit: Edit, mark: Callable[[bytes], bytes] = bytes) -> Refusal | None:
    """Add bytes at the end of a file, durably, or leave it untouched.

    Args:
        path: an existing file.
        folder: the folder it must be in, links resolved.
        edit: given the bytes there now, returns the bytes to add.
        mark: given the bytes that were added, those by which they are known again in a file that somebody
            else then saved; all of them by default.
    """
    return _refused(path, lambda: _append(path, folder, edit, mark))


def replace(path: Path, folder: Path, edit: Edit) -> Refusal | None:
    """Put new bytes in place of a file's, in one step; ``edit`` returns them."""
    return _refused(path, lambda: _replace(path, folder, edit))


def create(path: Path, folder: Path, data: bytes, standing: FileRights = PRIVATE) -> Refusal | None:
    """Make a file that is not there yet, whole or not at all.

    Args:
        path: the file; folder: the folder it must be in.
        data: what is to be in it.
        standing: who may do what with it; where its group cannot be had, its owner alone.
    """
    return _refused(path, lambda: _create(path, folder, data, standing))


def put(path: Path, data: bytes) -> Refusal | None:
    """Put a file in place in one step, whatever was there; only its owner may read it."""
    return _refused(path, lambda: _put(path, data), for_good=False)


def put_beside(path: Path, beside: Path, edit: Callable[[bytes | None], bytes | Refusal]) -> Refusal | None:
    """Put a file beside another in one step, as long as that one is there; only its owner may read it.

    Args:
        path: the file it belongs to.
        beside: the file to put in place.
        edit: given the bytes it has now, None where there is no such file, returns the new ones.
    """
    return _refused(path, lambda: _put_beside(path, beside, edit), for_good=False)


def remove(path: Path, folder: Path, with_it: Callable[[], Iterable[Path]] = tuple) -> Refusal | None:
    """Take a file away, once nobody is writing to it; before it, those that belong to it."""
    return _refused(path, lambda: _remove(path, folder, with_it))


def settle(folder: Path) -> None:
    """Make whole what writers that died left half written over in a folder."""
    for path in new_files.half_written(folder):
        with suppress(OSError, RefusedError), _locked(path, folder):
            pass


def lines_into(before: bytes, line: int, text: str) -> bytes:
    """Return the bytes with lines put in after a line (counted from 1), all others as they were."""
    lines = before.split(b"\n")
    turn = b"\r" if lines[0].endswith(b"\r") else b""
    if line == len(lines):
        lines[-1] += turn
    added = [one.encode() + turn for one in text.rstrip("\n").split("\n")]
    return b"\n".join([*lines[:line], *added, *(lines[line:] or [b""])])


def within(path: Path, folder: Path) -> bool:
    """Return whether a path, all links followed, lies directly in a folder."""
    return path.resolve().parent == folder.resolve()


def _refused(path: Path, write: Callable[[], None], *, for_good: bool = True) -> Refusal | None:
    """Carry out a write and return what stood in its way; what a writer that died left is cleared first."""
    try:
        new_files.clear(path.parent, "" if path.suffix == ".toml" else path.stem)
        write()
        if for_good:
            WRITTEN.set()
    except RefusedError as refused:
        return refused.refusal
    except OSError as error:
        return not_written("cannot-write", f"{_reason(error)}.")
    return None


def why_not(error: OSError) -> str:
    """Return why the system did not do something, as it says it, in small letters."""
    return (error.strerror or str(error)).lower()


def _reason(error: OSError) -> str:
    return f"{error.filename}: {why_not(error)}" if error.filename else why_not(error)


def _append(path: Path, folder: Path, edit: Edit, mark: Callable[[bytes], bytes]) -> None:
    added, times = b"", 0
    while True:
        with _locked(path, folder) as file:
            before = new_files.read_all(file)
            if added and before.count(mark(added)) > times:
                return  # the file was replaced while we wrote to the old one, by one that has it
            added = _settled(edit(before))
            times = before.count(mark(added))
            try:
                new_files.write_all(file, added)
                os.fsync(file)
            except BaseException as error:
                with suppress(OSError):
                    os.ftruncate(file, len(before))
                    os.fsync(file)
                if not isinstance(error, OSError):
                    raise
                raise RefusedError(not_written("cannot-write", f"{path}: {_reason(error)}.")) from error
            if new_files.same(file, path):
                return


def _replace(path: Path, folder: Path, edit: Edit) -> None:
    with _locked(path, folder) as file:
        before = new_files.read_all(file)
        data, target = _settled(edit(before)), path.resolve()
        standing = new_files.standing_of(file)
        if os.fstat(file).st_nlink == 1:
            with suppress(PermissionError), new_files.new_file(target, data, standing) as new:
                new_files.keep_attributes(file, new)
                _unchanged(file, path, before)
                _take_place(new, target, lambda: _unchanged(file, new, before, path))
                new_files.sync_folder(target.parent)
                return
        _unchanged(file, path, before)
        new_files.write_over(target, before, data, standing)


def _put_beside(path: Path, beside: Path, edit: Callable[[bytes | None], bytes | Refusal]) -> None:
    try:
        with _locked(path, path.resolve().parent, writes=False):
            _put(beside, _settled(edit(_bytes_of(beside))))
    except PermissionError:  # it may not even be opened to be held, so it is looked for afterwards
        _put(beside, _settled(edit(_bytes_of(beside))))
        if not os.path.lexists(path):
            beside.unlink()
            raise


def _bytes_of(path: Path) -> bytes | None:
    return path.read_bytes() if os.path.lexists(path) else None


def _put(path: Path, data: bytes) -> None:
    with new_files.new_file(path, data, PRIVATE) as new:
        new.replace(path)
    new_files.sync_folder(path.parent)


def _remove(path: Path, folder: Path, with_it: Callable[[], Iterable[Path]]) -> None:
    with _locked(path, folder, writes=False):
        for one in (*with_it(), path):
            one.unlink(missing_ok=one != path)
    new_files.sync_folder(path.parent)


def _take_place(new: Path, target: Path, check: Callable[[], None]) -> None:
    """Put a new file in the place of one that is looked at once more when it is out of the way.

    Where the system can exchange two files in one step, what was saved up to that very moment is put back.
    """
    mine = new.stat().st_ino
    if not new_files.exchange(new, target):
        new.replace(target)
        return
    try:
        check()
    except RefusedError:
        new_files.exchange(new, target)
        if new.stat().st_ino != mine:  # somebody saved once more: that is the latest
            new_files.exchange(new, target)
        raise


def _unchanged(file: int, at: Path, before: bytes, path: Path | None = None) -> None:
    """Refuse when somebody saved the file since it was read; ``at``: where it is now."""
    if not new_files.same(file, at) or new_files.read_all(file) != before:
        raise RefusedError(not_written("changed", f"{path or at} was changed by somebody else just now."))


def _create(path: Path, folder: Path, data: bytes, standing: FileRights) -> None:
    if not within(path, folder):
        raise RefusedError(not_written("outside", f"{path} is not in {folder}."))
    try:
        with _new_or_private(path, data, standing) as new:
            new_files.name(new, path)
    except FileExistsError:
        raise RefusedError(not_written("exists", f"there already is a file {path}.")) from None
    new_files.sync_folder(path.parent)


@contextmanager
def _new_or_private(path: Path, data: bytes, standing: FileRights) -> Iterator[Path]:
    """Give a new file; where it cannot be given to its group, it is its owner's alone."""
    with ExitStack() as stack:
        try:
            new = stack.enter_context(new_files.new_file(path, data, standing))
        except PermissionError:
            new = stack.enter_context(new_files.new_file(path, data, PRIVATE))
        yield new


def _settled(edited: bytes | Refusal) -> bytes:
    if isinstance(edited, Refusal):
        raise RefusedError(edited)
    return edited


@contextmanager
def _locked(path: Path, folder: Path, *, writes: bool = True) -> Iterator[int]:
    """Open a file for adding to it, alone; the file is the one that the name leads to now.

    Somebody who saves by putting a new file in place leaves us with the old one in hand,
    so after getting the lock the name is looked up again.
    """
    if not within(path, folder):
        raise RefusedError(not_written("outside", f"{path} leads out of {folder}."))
    while True:
        file = _opened(path, writes=writes)
        try:
            if not stat.S_ISREG(os.fstat(file).st_mode):
                raise RefusedError(not_written("no-file", f"{path} is not a file."))
            new_files.lock(file)
            if new_files.same(file, path):
                new_files.mend(path.resolve())
                yield file
                return
        finally:
            os.close(file)


def _opened(path: Path, *, writes: bool) -> int:
    """Open a file to hold it; whoever only holds it need not be allowed to write, where locks do without."""
    try:
        return os.open(path, os.O_RDWR | os.O_APPEND | BINARY)
    except PermissionError:
        if writes:
            raise
        return os.open(path, os.O_RDONLY | getattr(os, "O_NONBLOCK", 0) | BINARY)
