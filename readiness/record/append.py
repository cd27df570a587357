"""Adding blocks to a student file, and taking the last one back.

A student file is only ever added to. Each entry this tool adds ends in a comment line with
a mark made from its text (``# noted 3f2a91c0``): whoever reads the file may ignore it, and
``undo`` takes an entry back only if the mark still fits and nothing was added after it.
Closing a hold or answering a promise puts lines into the block they belong to; all other
bytes stay as they are.
"""

from __future__ import annotations

import hashlib
import tomllib
from pathlib import Path
from typing import Final

from readiness.files import writing
from readiness.files.locate import locate
from readiness.files.writing import Refusal

__all__ = ["add_blocks", "fill_in", "take_back"]

_MARK: Final = "# noted "
_LONGEST: Final = 500
"""The most lines an entry of ours has; further up nothing is looked for."""


def add_blocks(path: Path, folder: Path, text: str) -> Refusal | None:
    """Add blocks at the end of a student file, as one entry.

    Args:
        path: the student file; folder: the students folder it must be in.
        text: the blocks, each ending in a line end.
    """
    return writing.append(path, folder, lambda before: _entry(path, before, text))


def _entry(path: Path, before: bytes, text: str) -> bytes | Refusal:
    """Return the bytes to add, once the whole has been seen to be TOML still."""
    gap = b"" if before.endswith(b"\n") or not before else b"\n"
    body = b"\n" + text.encode()
    entry = gap + body + f"{_MARK}{_mark(gap, body)}\n".encode()
    return _still_toml(path, before, before + entry) or entry


def _mark(gap: bytes, body: bytes) -> str:
    """Return the mark of an entry; ``gap`` ends a last line that had no line end of its own."""
    return hashlib.sha256(gap + body).hexdigest()[:8]


def _still_toml(path: Path, before: bytes, after: bytes) -> Refusal | None:
    """Return why a file must not be written: it was broken before, or would be after."""
    for data, message in (
        (before, f"nothing was written: {path} has a mistake in it; please mend that first"),
        (after, f"nothing was written: {path} already says this in another form of TOML"),
    ):
        try:
            tomllib.loads(data.decode())
        except (UnicodeDecodeError, tomllib.TOMLDecodeError, RecursionError):
            return Refusal("not-toml", f"{message} (readiness roster shows where).")
    return None


def take_back(path: Path, folder: Path) -> str | Refusal:
    """Take the last entry back, if this tool made it and nothing came after; return its text."""
    taken: list[bytes] = []

    def tail(before: bytes) -> bytes | Refusal:
        found = _last_entry(before)
        if found is None:
            return Refusal(
                "nothing-to-undo",
                "nothing was taken back: the end of the file is not an entry of this program as it made it.",
            )
        taken.append(found)
        return found

    refusal = writing.cut_tail(path, folder, tail)
    return refusal or taken[0].decode().strip("\n").rpartition("\n")[0] + "\n"


def _last_entry(before: bytes) -> bytes | None:
    """Return the last entry with its mark, or None where the end of the file is no such thing."""
    lines = before.split(b"\n")
    if len(lines) < 2 or lines[-1] or not lines[-2].startswith(_MARK.encode()):
        return None
    wanted = lines[-2].decode(errors="replace").removeprefix(_MARK).strip()
    for start in range(len(lines) - 3, max(0, len(lines) - _LONGEST), -1):
        if lines[start]:
            continue
        body = b"\n" + b"".join(one + b"\n" for one in lines[start + 1 : -2])
        for gap in (b"", b"\n"):
            if _mark(gap, body) == wanted:
                return gap + body + lines[-2] + b"\n"
    return None


def fill_in(path: Path, folder: Path, kind: str, number: int, text: str) -> Refusal | None:
    """Put lines at the end of block ``number`` (from 0) of a kind, such as the closing of a hold."""

    def edit(before: bytes) -> bytes | Refusal:
        if broken := _still_toml(path, before, before):
            return broken
        after = writing.lines_into(before, _last_line(before.decode(), kind, number), text)
        return _still_toml(path, before, after) or after

    return writing.replace(path, folder, edit)


def _last_line(text: str, kind: str, number: int) -> int:
    """Return the last line (from 1) of a block that says something."""
    places = locate(text)
    start = places.spots[(kind, number)].line
    lines = text.splitlines()
    later = [line for path in places.headers if (line := places.spots[path].line) > start]
    end = min(later, default=len(lines) + 1) - 1
    while end > start and (not lines[end - 1].strip() or lines[end - 1].lstrip().startswith("#")):
        end -= 1
    return end
