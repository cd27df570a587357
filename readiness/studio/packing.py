"""What was seen of a student as bytes, and back: small, quick, and nothing that could be run.

The blocks are JSON, the notes are columns of whole numbers in the order of bytes of the machine:
the skills noted and how many notes each has, then the day, line and help of every note.
"""

from __future__ import annotations

import json
from array import array
from collections.abc import Mapping, Sequence
from dataclasses import fields
from typing import Any, Final

from readiness.record.model import (
    BandChoice,
    Decision,
    Hold,
    Placing,
    Promise,
    SetAside,
    Settled,
    UnitStart,
)
from readiness.record.rhythm import Rhythm
from readiness.record.seen import Note, Seen

__all__ = ["pack", "unpack"]

_BLOCKS: Final[Mapping[str, type[Any]]] = {
    "unit_starts": UnitStart,
    "settled": Settled,
    "holds": Hold,
    "set_aside": SetAside,
    "band_choices": BandChoice,
    "decisions": Decision,
    "promises": Promise,
    "placings": Placing,
}
_FIELDS: Final = {name: tuple(field.name for field in fields(made)) for name, made in _BLOCKS.items()}


def pack(seen: Seen, number: Mapping[str, int]) -> bytes:
    """Return what was seen as bytes.

    Args:
        seen: what was seen.
        number: a number for every skill.
    """
    blocks: dict[str, object] = {
        name: [[getattr(one, field) for field in _FIELDS[name]] for one in getattr(seen, name)]
        for name in _BLOCKS
    }
    rhythm = None if seen.rhythm is None else [seen.rhythm.weekday, seen.rhythm.weeks]
    head = json.dumps([seen.born, rhythm, seen.lesson_lines, blocks], separators=(",", ":")).encode()
    notes = [note for of_skill in seen.notes.values() for note in of_skill]
    days, helps, lines = zip(*notes, strict=True) if notes else ((), (), ())
    columns = (
        array("i", [number[skill] for skill in seen.notes]),
        array("i", map(len, seen.notes.values())),
        array("i", days),
        array("i", lines),
        array("B", helps),
    )
    sizes = array("i", [len(head), len(seen.notes), len(notes)])
    return b"".join((sizes.tobytes(), head, *(column.tobytes() for column in columns)))


def unpack(data: bytes, skills: Sequence[str]) -> Seen:
    """Return what was seen; ``skills`` by their numbers."""
    sizes = array("i")
    first = 3 * sizes.itemsize
    sizes.frombytes(data[:first])
    head, many, count = sizes
    born, rhythm, lesson_lines, blocks = json.loads(data[first : first + head])
    return Seen(
        born=born,
        rhythm=None if rhythm is None else Rhythm(*rhythm),
        **{name: tuple([made(*one) for one in blocks[name]]) for name, made in _BLOCKS.items()},
        lesson_lines=tuple(map(tuple, lesson_lines)),
        lesson_days=tuple(sorted({day for day, _ in lesson_lines})),
        notes=_notes(data[first + head :], many, count, skills),
    )


def _notes(data: bytes, many: int, count: int, skills: Sequence[str]) -> dict[str, tuple[Note, ...]]:
    columns = []
    at = 0
    for kind, size in (("i", many), ("i", many), ("i", count), ("i", count), ("B", count)):
        column = array(kind)
        end = at + size * column.itemsize
        column.frombytes(data[at:end])
        columns.append(column)
        at = end
    noted, counts, days, lines, helps = columns
    rows = list(zip(days, helps, lines, strict=True))
    found: dict[str, tuple[Note, ...]] = {}
    at = 0
    for skill, of_skill in zip(noted, counts, strict=True):
        found[skills[skill]] = tuple(rows[at : at + of_skill])
        at += of_skill
    return found
