"""Changing a student's own particulars in a file that is there, as ``enrol`` wrote them or somebody by hand.

Only the words that change are put in place of others, in one step; every other byte stays. What was
agreed and who was told is added at the end, as every other entry is.
"""

from __future__ import annotations

import re
from collections.abc import Mapping
from dataclasses import asdict
from pathlib import Path
from typing import TYPE_CHECKING, Final

from readiness.record.append import add_blocks, entries_of, last_line, line, quoted, read_file, why_wrong
from readiness.record.marks import standing
from readiness.record.model import Record
from readiness.record.noting import unless_of_another
from readiness.toml import write as writing
from readiness.toml.locate import STRING, locate
from readiness.toml.write import Refusal, lines_into

if TYPE_CHECKING:
    from readiness.record.schema import StudentFile

__all__ = ["change_particulars"]

_TABLE: Final = "particulars"
_VALUE: Final = re.compile(STRING, re.DOTALL)


def change_particulars(
    record: Record, folder: Path, changed: Mapping[str, str], blocks: str = ""
) -> Refusal | None:
    """Put other particulars into a student's file; return why nothing was written, if so.

    Args:
        record: the student, as read when the change was asked for.
        changed: the new words by the names of ``Particulars``; empty words take the line out.
        blocks: what was agreed and who was told, to be added at the end.
    """
    path = record.own_path
    if not changed:
        return add_blocks(path, folder, blocks, unless_of_another(record))

    def edit(before: bytes) -> bytes | Refusal:
        file = read_file(path, before)
        if isinstance(file, str):
            return why_wrong(path, before, file)
        if refusal := unless_of_another(record)(file) or _changed_since(record, file, changed):
            return refusal
        after = before
        for name, words in changed.items():
            after = _with(after, name, words)
        if refusal := _no_longer_right(path, before, after, file, changed):
            return refusal
        added = entries_of(path, after, (blocks,)) if blocks else b""
        return added if isinstance(added, Refusal) else after + added

    return writing.replace(path, folder, edit)


def _changed_since(record: Record, file: StudentFile, changed: Mapping[str, str]) -> Refusal | None:
    """Refuse where somebody else has changed the same words meanwhile."""
    known = asdict(record.entire.particulars)
    if all(getattr(file.particulars, name) == known[name] for name in changed):
        return None
    return Refusal("changed", f"nothing was written: {record.path} was changed meanwhile; please look again.")


def _no_longer_right(
    path: Path, before: bytes, after: bytes, file: StudentFile, changed: Mapping[str, str]
) -> Refusal | None:
    """Refuse where the file would say anything else than these words more than before."""
    found = read_file(path, after)
    if isinstance(found, str):
        return why_wrong(path, before, found)
    from readiness.record.schema import ParticularsTable

    wanted = ParticularsTable.model_validate({**file.particulars.model_dump(), **changed})
    if found.model_dump() == file.model_copy(update={_TABLE: wanted}).model_dump():
        return None
    message = f"nothing was written: [{_TABLE}] in {path} is written in a way of its own; change it by hand."
    return Refusal("own-way", message)


def _with(before: bytes, name: str, words: str) -> bytes:
    """Return a file with other words under one name, where it has a table as this program writes it."""
    places = locate(text := standing(before).decode("utf-8-sig"))
    spot = places.spots.get((_TABLE, name))
    if (_TABLE,) not in places.headers:
        is_there = (_TABLE,) in places.spots or spot is not None
        added = "" if is_there or not words else f"\n[{_TABLE}]\n{line(name, words)}"
        return lines_into(before, last_line(text, places, 0), added) if added else before
    if spot is None:
        table = places.spots[_TABLE,].line
        return lines_into(before, last_line(text, places, table), line(name, words)) if words else before
    begin = _offset(before, spot.value_line, spot.value_column)
    raw = before.decode()
    value = _VALUE.match(raw, begin)
    assert value is not None
    if words:
        return f"{raw[:begin]}{quoted(words)}{raw[value.end() :]}".encode()
    rest = raw[value.end() :].partition("\n")[2]
    return f"{raw[: _offset(before, spot.line, 1)]}{rest}".encode()


def _offset(data: bytes, line: int, column: int) -> int:
    """Return where a place (from 1) is in the text of a file, its line ends as they are."""
    lines = data.decode().split("\n")
    return sum(len(one) + 1 for one in lines[: line - 1]) + column - 1
