"""Second copies of one student's file, as shared folders make them.

Where two people save at once, or a folder is synchronised half-way, there are suddenly two
files: ``temwa.toml`` and ``temwa (conflicted copy).toml``. Read as students they would be two
children, each with half of the notes. So a copy is never judged: it is named, and says what to
do. Which of the two is right is not guessed.
"""

from __future__ import annotations

import re
from collections.abc import Iterator, Mapping, Sequence
from pathlib import Path
from typing import Final

from readiness.files.problems import Place, Problem
from readiness.record.load import LoadedRecord
from readiness.record.model import is_id

__all__ = ["COPY", "copies_of", "with_copies_named"]

COPY: Final = "second-copy"
"""The id of the problem."""

_SAYS_SO: Final = re.compile(r"[\W_](?:.*[\W_])?(?:conflict|copy)", re.IGNORECASE)
_SIGN: Final = re.compile(r"[\W_]")
_COUNTED: Final = re.compile(r" ?\(\d+\)| \d+")
_HINT: Final = (
    "compare the two, put the entries that only this one has at the end of {name}, then delete this one; "
    "until then its notes are not counted"
)
_ALONE: Final = "there is no other file of this student: give it back its short name, such as {name}"


def copies_of(file: Path, files: Sequence[Path]) -> tuple[Path, ...]:
    """Return the files whose names say that they are copies of one file.

    >>> files = [Path("mia.toml"), Path("mia 2.toml"), Path("mia-2.toml")]
    >>> [one.name for one in copies_of(files[0], files)]
    ['mia 2.toml']
    """
    stems = {one.stem for one in files}
    return tuple(one for one in files if one != file and _original(one.stem, stems) == file.stem)


def with_copies_named(loaded: Sequence[LoadedRecord]) -> tuple[LoadedRecord, ...]:
    """Return what was read, with a problem in place of every second copy.

    A copy is known by its name, or, where the name could be a student's, by beginning like
    that of a student of the same name and birth date.
    """
    by_stem = {one.path.stem: one for one in loaded}
    return tuple(_named(stem, one, by_stem) for stem, one in by_stem.items())


def _named(stem: str, one: LoadedRecord, by_stem: Mapping[str, LoadedRecord]) -> LoadedRecord:
    begun = tuple(_beginnings(stem, by_stem))
    if not begun and is_id(stem):
        return one
    first = _original(stem, by_stem) or _same_student(one, by_stem)
    says_so = _SAYS_SO.search(stem)
    if first is None and (is_id(stem) or says_so is None):
        return one
    name = f"{first or stem[: says_so.start() if says_so else None].strip(' (')}.toml"
    message = f"this looks like a second copy of {name}, as a shared folder makes it when two people save"
    place = Place(one.path, 1, 1)
    other = Place(one.path.with_name(name), 1, 1) if first else None
    hint = (_HINT if first else _ALONE).format(name=name)
    problem = Problem(COPY, "error", place, message, hint, other, "the other")
    return LoadedRecord(None, (problem,), one.path, one.text)


def _original(stem: str, stems: Mapping[str, object] | set[str]) -> str | None:
    """Return the file that a name says it is a copy of, the longest name that fits."""
    return max((one for one in _beginnings(stem, stems) if _is_copy_name(stem, one)), key=len, default=None)


def _is_copy_name(stem: str, first: str) -> bool:
    rest = stem[len(first) :]
    return _COUNTED.fullmatch(rest) is not None or _SAYS_SO.match(rest) is not None


def _beginnings(stem: str, stems: Mapping[str, object] | set[str]) -> Iterator[str]:
    """Yield the ids among the names that this one goes on from after a sign."""
    for sign in _SIGN.finditer(stem, 1):
        first = stem[: sign.start()]
        if first in stems and is_id(first):
            yield first


def _same_student(one: LoadedRecord, by_stem: Mapping[str, LoadedRecord]) -> str | None:
    mine = one.record
    for first in _beginnings(one.path.stem, by_stem):
        other = by_stem[first].record
        if mine and other and (other.name, other.born) == (mine.name, mine.born):
            return first
    return None
