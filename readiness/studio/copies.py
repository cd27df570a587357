"""Second copies of one student's file, as shared folders make them.

Where two people save at once, or a folder is synchronised half-way, there are suddenly two
files: ``temwa.toml`` and ``temwa (conflicted copy).toml``; who copies a file by hand gets ``Copy of
temwa.toml``. Read as students they would be two children, each with half of the notes. So a copy is
never judged: it is named, and says what to do. Which of the two is right is not guessed.
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

_WORD: Final = r"(?:conflict\w*|cop(?:y|ies|ie|ia)|kopi[ea]|cópia|duplicate|backup)(?![^\W\d_])"
"""What programs of several languages call a copy (common practice, no source)."""
_SAYS_SO: Final = re.compile(rf"[\W_](?:.*[\W_])?{_WORD}", re.IGNORECASE)
_SAYS_SO_FIRST: Final = re.compile(rf"(?:.*[\W_])?{_WORD}(?:[\W_].*)?[\W_]", re.IGNORECASE)
_OF: Final = re.compile(rf"{_WORD}(?: ?\(\d+\))?[\W_]+(?:(?:of|de|von|di)[\W_]+)?", re.IGNORECASE)
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

    A copy is known by its name, or, where the name could be a student's, by having in it that of a
    student of the same name and birth date.
    """
    by_stem = {one.path.stem: one for one in loaded}
    return tuple(_named(stem, one, by_stem) for stem, one in by_stem.items())


def _named(stem: str, one: LoadedRecord, by_stem: Mapping[str, LoadedRecord]) -> LoadedRecord:
    if is_id(stem) and not any(_inside(stem, by_stem)):
        return one
    first = _original(stem, by_stem) or _same_student(one, by_stem)
    short = _short_name(stem)
    if first is None and (is_id(stem) or short is None):
        return one
    name = f"{first or short}.toml"
    message = f"this looks like a second copy of {name}, made by hand or by a shared folder"
    place = Place(one.path, 1, 1)
    other = Place(one.path.with_name(name), 1, 1) if first else None
    hint = (_HINT if first else _ALONE).format(name=name)
    problem = Problem(COPY, "error", place, message, hint, other, "the other")
    return LoadedRecord(None, (problem,), one.path, one.text)


def _short_name(stem: str) -> str | None:
    """Return the name without what says that it is a copy; None where nothing in it does."""
    if begins := _OF.match(stem):
        return stem[begins.end() :].strip(" ()") or stem
    says_so = _SAYS_SO.search(stem)
    return None if says_so is None else stem[: says_so.start()].strip(" (")


def _original(stem: str, stems: Mapping[str, object] | set[str]) -> str | None:
    """Return the file that a name says it is a copy of, the longest name that fits."""
    fitting = (first for before, first, after in _inside(stem, stems) if _says_copy(before, after))
    return max(fitting, key=len, default=None)


def _says_copy(before: str, after: str) -> bool:
    """Return whether what stands around the name of a student says that the file is a copy."""
    first, last = _SAYS_SO_FIRST.fullmatch(before), _SAYS_SO.match(after)
    counted = _COUNTED.fullmatch(after)
    return bool((first or not before) and (last or counted or not after) and (first or last or counted))


def _inside(stem: str, stems: Mapping[str, object] | set[str]) -> Iterator[tuple[str, str, str]]:
    """Yield the ids that stand in a longer name between signs, with what is before and after each."""
    signs = [sign.start() for sign in _SIGN.finditer(stem)]
    for begin in (0, *(at + 1 for at in signs)):
        for end in (*(at for at in signs if at > begin), len(stem)):
            first = stem[begin:end]
            if first != stem and first in stems and is_id(first):
                yield stem[:begin], first, stem[end:]


def _same_student(one: LoadedRecord, by_stem: Mapping[str, LoadedRecord]) -> str | None:
    """Return the student of the same name and birth date whose id is part of this file's name."""
    mine = one.record
    for _, first, _ in _inside(one.path.stem, by_stem):
        other = by_stem[first].record
        if mine and other and (other.name, other.born) == (mine.name, mine.born):
            return first
    return None
