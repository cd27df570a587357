"""Noting a consent: a yes or a no in the head of a student's file, with who gave it and when.

The head has one line ``consents = { video = true }``, as the format says; what is not in it is a
no. Who gave an answer and on which day stands in a comment line under it, one for every answer, so
that a yes that was taken back can still be read. A line that somebody wrote in another way is
left alone, and that is said.
"""

from __future__ import annotations

import re
from collections.abc import Mapping
from pathlib import Path
from types import MappingProxyType
from typing import Final

from readiness.days import age_on, iso
from readiness.files import writing
from readiness.files.texts import composed
from readiness.files.writing import Refusal
from readiness.record.append import read_file, why_wrong
from readiness.record.blocks import line
from readiness.record.marks import CONSENT, line_end
from readiness.record.model import Record
from readiness.record.sharing import ADULT_AGE

__all__ = ["CONSENTS", "note_consent"]

CONSENTS: Final[Mapping[str, str]] = MappingProxyType({
    "touch": "touch",
    "video": "video",
    "photo": "photo",
    "family": "share_family",
    "substitute": "share_substitute",
    "school": "share_school",
    "set-aside": "share_set_aside",
})
"""What can be agreed to, as it is typed, and the key under ``consents`` in a student's file."""

_LINE: Final = re.compile(rb"(?m)^consents[ \t]*=[ \t]*\{[^\r\n{}]*\}")
_BLOCK: Final = re.compile(rb"(?m)^[ \t]*\[")


def note_consent(record: Record, folder: Path, key: str, is_given: bool, by: str, on: int) -> Refusal | None:
    """Write an answer into the head of a student's file.

    Args:
        record: the student; folder: the students folder the file must be in.
        key: one of the values of ``CONSENTS``; is_given: yes or no.
        by: who gave the answer; on: the day.
    """
    if not by.strip():
        return Refusal("no-name", "please say with --by who gave the answer.")
    is_child = age_on(record.born, on) < ADULT_AGE
    if is_given and is_child and composed(by).strip().casefold() == record.name.strip().casefold():
        return Refusal("no-adult", f"{record.name} is not of age: a grown-up of the family says yes.")
    assert record.path is not None
    path = record.path
    told = f"# {key}: {'yes' if is_given else 'no'}, said by {by.strip()}, {iso(on)}"

    def edit(before: bytes) -> bytes | Refusal:
        file = read_file(path, before)
        if isinstance(file, str):
            return why_wrong(path, before, file)
        wanted = {**file.consents, key: is_given}
        after = _with_line(before, line("consents", wanted), told)
        now = None if after is None else read_file(path, after)
        if after is None or now != file.model_copy(update={"consents": wanted}):
            other = "its consents are written in another way than this program can change"
            return Refusal("by-hand", f"nothing was written: {other}; please change {key} by hand in {path}.")
        return _signed(after)

    return writing.replace(path, folder, edit)


def _with_line(before: bytes, consents: str, told: str) -> bytes | None:
    """Return the file with the line of the consents; None where it stands there in another way."""
    end = line_end(before)
    block = _BLOCK.search(before)
    at = block.start() if block else len(before)
    head, rest = before[:at], before[at:]
    new = consents.encode()
    if (found := _LINE.search(head)) is not None:
        behind = head[found.end() :].partition(b"\n")  # what somebody wrote behind it stays
        written = behind[0].rstrip(b"\r") + end + told.encode()
        return head[: found.start()] + new + written + (end + behind[2] if behind[1] else b"") + rest
    if b"consents" in re.sub(rb"(?m)^[ \t]*#.*$", b"", head):
        return None
    kept = head.rstrip(b"\r\n")
    return kept + end + new + end + told.encode() + (head[len(kept) :] or end) + rest


def _signed(text: bytes) -> bytes:
    """Return a file with the last line that says what was done last."""
    body = text.rstrip(b"\r\n")
    return text if body.endswith(b"\n" + CONSENT) else body + line_end(text) + CONSENT + line_end(text)
