"""The marks by which this program knows its own entries again.

An entry at the end of a file has its mark behind the first line, behind every fourth after it
and on a last line of its own. Lines put into an older block have theirs behind each of them,
and the file then ends in a line that says so: what was done last is always seen at the end.
Whoever reads the file may ignore all of them. Nothing is written here.
"""

from __future__ import annotations

import hashlib
from typing import Final

__all__ = [
    "ABOVE", "CONSENT", "NOTED", "end_of", "entry_words", "is_noted", "line_end", "mark_above", "mark_of",
    "with_marks",
]  # fmt: skip

NOTED: Final = b"# noted "
"""How the last line of an entry begins; the mark follows."""
ABOVE: Final = b"# noted above "
"""How the last line of a file begins where lines were last put into an older block."""
CONSENT: Final = b"# consent noted above"
"""The last line of a file where a consent was noted last, in its head."""
_TAKEN: Final = b"# taken back "
_APART: Final = 4
"""Every fourth line has the mark: a merge (xdiff) keeps three equal lines or fewer together."""


def line_end(before: bytes) -> bytes:
    """Return how the lines of a file end."""
    return b"\r\n" if before.partition(b"\n")[0].endswith(b"\r") else b"\n"


def mark_of(words: bytes, gap: bytes) -> bytes:
    """Return the mark of an entry, by which it is known again; ``gap``: a line end put before it."""
    return hashlib.sha256(gap + words).hexdigest()[:8].encode()


def is_noted(words: bytes, data: bytes) -> bool:
    """Return whether the words of an entry stand in a file as one, more often than they are taken back."""
    marks = (mark_of(words, gap) for gap in (b"", b"\n"))
    return any(data.count(NOTED + mark) > data.count(_TAKEN + mark) for mark in marks)


def mark_above(before: bytes, words: bytes) -> bytes:
    """Return the mark of lines put into a file that was ``before``: no other file has it."""
    return hashlib.sha256(before + b"\0" + words).hexdigest()[:8].encode()


def with_marks(words: bytes, mark: bytes, apart: int = _APART) -> bytes:
    """Return lines with the mark behind the first and every ``apart``-th after it."""
    lines = words.splitlines(keepends=True)
    for i in range(0, len(lines), apart):
        written = lines[i].rstrip(b"\n")
        lines[i] = written + b" " * bool(written) + b"# " + mark + b"\n"
    return b"".join(lines)


def end_of(entry: bytes) -> bytes:
    """Return the last line of an entry, which has its mark."""
    return entry.rstrip().rpartition(b"\n")[2]


def entry_words(entry: bytes) -> bytes:
    """Return the blocks of an entry, without its marks."""
    lines = entry.replace(b"\r\n", b"\n").strip(b"\n").split(b"\n")
    mark = b"# " + lines[-1].removeprefix(NOTED)
    return b"".join((b"" if one == mark else one.removesuffix(b" " + mark)) + b"\n" for one in lines[:-1])
