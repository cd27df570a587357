"""Taking the last thing back: an entry at the end of a file, or lines put into an older block.

Only what was done last, only if this program did it, and only to the byte: whatever was changed
by hand since stays, and so does all that was noted before. A hold is not taken back, an adult
ends it; that it was ended can be taken back, for then it is open again.
"""

from __future__ import annotations

import re
from pathlib import Path
from typing import Final

from readiness.files import writing
from readiness.files.writing import Refusal
from readiness.record.marks import CONSENT, entry_words, line_end, mark_above, mark_of

__all__ = ["take_back"]

_LAST_LINE: Final = re.compile(rb"\n# noted ([0-9a-f]{8})\r?\n\Z")
_LAST_ABOVE: Final = re.compile(rb"(?<=\n)# noted above ([0-9a-f]{8})\r?\n\Z")
_LONGEST: Final = 500
"""The most lines an entry of ours has; further up nothing is looked for."""


def take_back(path: Path, folder: Path, kind: str = "") -> str | Refusal:
    """Take what was done last back, if this tool did it and nothing came after; return its text.

    Args:
        path: the student file; folder: the students folder it must be in.
        kind: the block that it must be, such as ``lesson``; anything by default.
    """
    taken: list[bytes] = []

    def tail(before: bytes) -> bytes | Refusal:
        if _LAST_ABOVE.search(before):
            return _ABOVE
        found = _last_entry(before)
        if isinstance(found, Refusal):
            return found
        if kind and f"[[{kind}]]".encode() not in found:
            return _SINCE
        taken.append(entry_words(found))
        return found

    refusal = writing.cut_tail(path, folder, tail)
    if refusal == _ABOVE:
        refusal = _SINCE if kind else writing.replace(path, folder, lambda before: _without(before, taken))
    return refusal or taken[-1].decode()


def _without(before: bytes, taken: list[bytes]) -> bytes | Refusal:
    """Return the file as it was before lines were put into a block; they are added to ``taken``."""
    found = _LAST_ABOVE.search(before)
    if found is None:
        return _NOT_OURS
    behind, rest, ours = b" # " + found[1], list[bytes](), list[bytes]()
    for line in before[: found.start()].split(b"\n"):
        words = line.removesuffix(b"\r")
        if words.endswith(behind):
            ours.append(words.removesuffix(behind) + b"\n")
        else:
            rest.append(line)
    words, was = b"".join(ours), b"\n".join(rest)
    for file in (was, was.removesuffix(line_end(was))):
        if mark_above(file, words) == found[1]:
            taken.append(words)
            return file
    return _CHANGED


def _last_entry(before: bytes) -> bytes | Refusal:
    """Return the last entry with its mark, or why there is none to be taken back."""
    if before.rstrip(b"\r\n").endswith(b"\n" + CONSENT):
        return _CONSENT
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
    words, ending = entry_words(before[start:]), line_end(before)
    ahead = before[:start]
    is_apart = ahead == ending or ahead.endswith(ending * 2)
    for gap in (b"", b"\n"):
        if mark_of(words, gap) == mark:
            return before[start - len(ending) * (1 + len(gap)) * is_apart :]
    return b""


_NOT_OURS: Final = Refusal(
    "nothing-to-undo",
    "nothing was taken back: what stands last in the file is no entry as this program left it. It stood "
    "there when the file was made, or it was written or changed by hand.",
)
_CHANGED: Final = Refusal(
    "changed-since",
    "nothing was taken back: what was done last put lines into an older entry, and the file was changed "
    "by hand since.",
)
_HOLD: Final = Refusal(
    "undo-hold",
    "nothing was taken back: the last entry is a hold, and only an adult ends it (`readiness resume`). "
    "If it was meant for somebody else, take its lines out of the file by hand.",
)
_CONSENT: Final = Refusal(
    "undo-consent",
    "nothing was taken back: a consent was noted last. `readiness consent` notes another answer "
    "in its place.",
)
_SINCE: Final = Refusal(
    "not-the-last",
    "nothing was taken back: something else was noted since. `readiness undo` takes that back first.",
)
_ABOVE: Final = Refusal("above", "")
