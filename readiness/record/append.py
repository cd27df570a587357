"""Adding blocks to a student file, and taking the last one back.

A student file is only ever added to. Each entry this tool adds ends in a comment line with
a mark made from its text (``# noted 3f2a91c0``): whoever reads the file may ignore it, and
``undo`` takes an entry back only if the mark still fits and nothing was added after it. The
first line has the mark too, and every fourth one after it: where two people add to copies of
one file, git merges those line by line, and with marks that near to one another an entry stays
whole. Closing a hold or answering a promise puts lines into the block they belong to; all other
bytes stay as they are.
"""

from __future__ import annotations

import hashlib
import re
import tomllib
from collections.abc import Callable, Mapping
from pathlib import Path
from typing import Final

from readiness.files import writing
from readiness.files.locate import locate
from readiness.files.problems import visible
from readiness.files.read import parse_toml
from readiness.files.writing import Refusal
from readiness.record.schema import StudentFile

__all__ = ["Unless", "add_blocks", "fill_in", "take_back"]

Unless = Callable[[StudentFile], Refusal | None]
"""Given the file as it is at the moment of writing: why not to write after all."""

_MARK: Final = b"# noted "
_APART: Final = 4
"""Every fourth line has the mark: a merge (xdiff) keeps three equal lines or fewer together."""
_LAST_LINE: Final = re.compile(rb"\n# noted ([0-9a-f]{8})\r?\n\Z")
_LONGEST: Final = 500
"""The most lines an entry of ours has; further up nothing is looked for."""


def add_blocks(path: Path, folder: Path, text: str, unless: Unless | None = None) -> Refusal | None:
    """Add blocks at the end of a student file, as one entry.

    Args:
        path: the student file; folder: the students folder it must be in.
        text: the blocks, each ending in a line end.
        unless: looks at the file once more, under the lock, and may refuse.
    """
    return writing.append(path, folder, lambda before: _entry(path, before, text, unless))


def _entry(path: Path, before: bytes, text: str, unless: Unless | None) -> bytes | Refusal:
    """Return the bytes to add, once the file with them has been seen to be right."""
    try:
        words = text.encode()
    except UnicodeEncodeError:
        return Refusal("odd-character", "nothing was written: a character in it cannot be saved.")
    gap = b"" if before.endswith(b"\n") or not before else b"\n"
    mark = _mark(words, gap)
    entry = gap + b"\n" + _with_marks(words, mark) + _MARK + mark + b"\n"
    entry = entry.replace(b"\n", _ending(before))
    file = _read(path, before + entry)
    if isinstance(file, str):
        return _why_wrong(path, before, file)
    return (unless(file) if unless is not None else None) or entry


def _why_wrong(path: Path, before: bytes, wrong: str) -> Refusal:
    """Return whether a file was broken before, or would be after."""
    found = _read(path, before)
    if isinstance(found, str):
        message = f"nothing was written: {path} has a mistake in it; please mend that first ({found})."
        return Refusal("broken-file", message)
    return Refusal("would-break", f"nothing was written: {path} would no longer be right ({wrong}).")


def _ending(before: bytes) -> bytes:
    """Return how the lines of a file end."""
    return b"\r\n" if before.partition(b"\n")[0].endswith(b"\r") else b"\n"


def _mark(words: bytes, gap: bytes) -> bytes:
    """Return the mark of an entry, by which it is known again; ``gap``: a line end put before it."""
    return hashlib.sha256(gap + words).hexdigest()[:8].encode()


def _with_marks(words: bytes, mark: bytes) -> bytes:
    """Return the lines of an entry, the mark behind the first and every fourth after it."""
    lines = words.splitlines(keepends=True)
    for i in range(0, len(lines), _APART):
        written = lines[i].rstrip(b"\n")
        lines[i] = written + b" " * bool(written) + b"# " + mark + b"\n"
    return b"".join(lines)


def _read(path: Path, data: bytes) -> StudentFile | str:
    """Return what a student file says, or the first thing that is wrong with it."""
    try:
        text = data.decode("utf-8-sig")
    except UnicodeDecodeError:
        return "it is not saved as UTF-8"
    try:
        return StudentFile.model_validate(tomllib.loads(text))
    except (ValueError, RecursionError):
        first = parse_toml(text, path, StudentFile).problems[0]
        return f"line {first.place.line}: {visible(first.message)}"


def take_back(path: Path, folder: Path) -> str | Refusal:
    """Take the last entry back, if this tool made it and nothing came after; return its text.

    A hold is not taken back: an adult closes it.
    """
    taken: list[bytes] = []

    def tail(before: bytes) -> bytes | Refusal:
        found = _last_entry(before)
        if isinstance(found, Refusal):
            return found
        taken.append(found)
        return found

    refusal = writing.cut_tail(path, folder, tail)
    return refusal or _words(taken[-1]).decode()


def _words(entry: bytes) -> bytes:
    """Return the blocks of an entry, without its marks."""
    lines = entry.replace(b"\r\n", b"\n").strip(b"\n").split(b"\n")
    mark = b"# " + lines[-1].removeprefix(_MARK)
    return b"".join((b"" if one == mark else one.removesuffix(b" " + mark)) + b"\n" for one in lines[:-1])


def _last_entry(before: bytes) -> bytes | Refusal:
    """Return the last entry with its mark, or why there is none to be taken back."""
    found = _LAST_LINE.search(before)
    if found is None:
        return _NOT_OURS
    first_line, ends = b" # " + found[1], found.start()
    for _ in range(_LONGEST):
        start = before.rfind(b"\n", 0, ends) + 1
        if before[start:ends].rstrip(b"\r").endswith(first_line):
            entry = _from(before, start, found[1])
            if entry:
                return _HOLD if b"\n[[hold]]" in entry else entry
        if start == 0:
            break
        ends = start - 1
    return _NOT_OURS


def _from(before: bytes, start: int, mark: bytes) -> bytes:
    """Return the entry that begins at ``start``, nothing if it is none.

    The line ends before it are its own, unless a merge has put something else there.
    """
    words, ending = _words(before[start:]), _ending(before)
    ahead = before[:start]
    is_apart = ahead == ending or ahead.endswith(ending * 2)
    for gap in (b"", b"\n"):
        if _mark(words, gap) == mark:
            return before[start - len(ending) * (1 + len(gap)) * is_apart :]
    return b""


_NOT_OURS: Final = Refusal(
    "nothing-to-undo",
    "nothing was taken back: what stands last in the file was written or changed by hand, or not noted "
    "by this program.",
)
_HOLD: Final = Refusal(
    "undo-hold",
    "nothing was taken back: the last entry is a hold, and only an adult ends it (`readiness resume`). "
    "If it was meant for somebody else, take its lines out of the file by hand.",
)


def fill_in(
    path: Path, folder: Path, kind: str, number: int, text: str, known: Mapping[str, object]
) -> Refusal | None:
    """Put lines at the end of block ``number`` (from 0) of a kind, such as the closing of a hold.

    Args:
        path: the student file; folder: the students folder it must be in.
        kind, number: which block.
        text: the lines.
        known: what the block said when it was chosen; if it says something else by now, nothing is written.
    """

    def edit(before: bytes) -> bytes | Refusal:
        file = _read(path, before)
        if isinstance(file, str):
            return _why_wrong(path, before, file)
        if not _still_says(getattr(file, kind), number, known):
            message = f"nothing was written: {path} was changed meanwhile; please look again."
            return Refusal("changed", message)
        after = writing.lines_into(before, _last_line(before.decode("utf-8-sig"), kind, number), text)
        filled = _read(path, after)
        return _why_wrong(path, before, filled) if isinstance(filled, str) else after

    return writing.replace(path, folder, edit)


def _still_says(blocks: list[object], number: int, known: Mapping[str, object]) -> bool:
    return number < len(blocks) and all(getattr(blocks[number], key) == value for key, value in known.items())


def _last_line(text: str, kind: str, number: int) -> int:
    """Return the last line (from 1) of a block that says something."""
    places = locate(text)
    start = places.spots[(kind, number)].line
    lines = text.split("\n")
    later = [line for path in places.headers if (line := places.spots[path].line) > start]
    end = min(later, default=len(lines) + 1) - 1
    while end > start and (not lines[end - 1].strip() or lines[end - 1].lstrip().startswith("#")):
        end -= 1
    return end
