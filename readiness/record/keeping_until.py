"""The day on which a student's file is to be deleted, as ``enrol --delete-by`` writes it into its head.

It is a comment line, so that it can be changed or taken out by hand and no program that reads
the file needs to know of it. Only the head is read: what comes before the first block.
"""

from __future__ import annotations

from contextlib import suppress
from datetime import date
from pathlib import Path
from typing import Final

from readiness.days import iso
from readiness.lazy import regex

__all__ = ["delete_by", "delete_by_line"]

_HEAD: Final = 4096
_LINE: Final = regex(rb"(?m)^# To be deleted by (\d{4})-(\d\d)-(\d\d)\.?[ \t]*\r?$")


def delete_by_line(day: int) -> str:
    """Return the line that says when a file is to be deleted."""
    return f"# To be deleted by {iso(day)}.\n"


def delete_by(path: Path | None) -> int | None:
    """Return the day on which a file is to be deleted, None where it says none or cannot be read."""
    if path is None:
        return None
    with suppress(OSError, ValueError), path.open("rb") as file:
        head = file.read(_HEAD).partition(b"\n[")[0]
        found = _LINE.search(head)
        return None if found is None else date(*map(int, found.groups())).toordinal()
    return None
