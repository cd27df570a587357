"""A picture's skills and lines in columns, before anything has a place.

Each unit is a column. A line that runs past a column passes it on a track of its own, so that
it never runs through a box; all lines that leave one skill share their tracks and part only
where they must. This is the layered drawing of Sugiyama, Tagawa and Toda (1981), from memory,
with the columns given by the units.
"""

from __future__ import annotations

from collections.abc import Iterable

from readiness.lazy import dataclass
from readiness.pictures.shown import Shown

__all__ = ["Item", "Tracks", "lay_tracks"]


@dataclass(frozen=True)
class Item:
    """Something that takes room in a column: a skill's box, or the track of a passing line.

    Attributes:
        skill: the skill of the box, or the one the passing line comes from.
        column: counted from 0.
        strand: the row the box is in, or the row the line comes from, as an index.
    """

    skill: str
    column: int
    strand: int
    is_box: bool


@dataclass(frozen=True)
class Tracks:
    """Items by number, boxes first in the order of the file.

    Attributes:
        columns: the items of each column, not in any order yet.
        left, right: by item, what it is joined to in the column before and after.
        inside: the links within one column, as pairs of boxes.
        lines: by (skill, some): the pairs of items its line joins, from left to right.
    """

    items: tuple[Item, ...]
    columns: tuple[tuple[int, ...], ...]
    left: tuple[tuple[int, ...], ...]
    right: tuple[tuple[int, ...], ...]
    inside: tuple[tuple[int, int, bool], ...]
    lines: dict[tuple[str, bool], tuple[tuple[int, int], ...]]


def lay_tracks(shown: Shown) -> Tracks:
    """Return the boxes, and the tracks of every line that passes a column."""
    column = {unit.id: number for number, unit in enumerate(shown.units)}
    row = {strand.id: number for number, strand in enumerate(shown.strands)}
    items = [Item(one.id, column[one.unit], row[one.strand], is_box=True) for one in shown.skills]
    box = {item.skill: number for number, item in enumerate(items)}
    inside = []
    targets: dict[tuple[str, bool], list[int]] = {}
    for link in shown.links:
        before, after = box[link.before], box[link.after]
        if items[before].column == items[after].column:
            inside.append((before, after, link.some))
        else:
            targets.setdefault((link.before, link.some), []).append(after)
    lines = {line: tuple(_line(items, box[line[0]], ends)) for line, ends in targets.items()}
    joined = [pair for pairs in lines.values() for pair in pairs]
    return Tracks(
        items=tuple(items),
        columns=tuple(
            tuple(number for number, item in enumerate(items) if item.column == at) for at in column.values()
        ),
        left=_sides(len(items), ((b, a) for a, b in joined)),
        right=_sides(len(items), joined),
        inside=tuple(inside),
        lines=lines,
    )


def _line(items: list[Item], start: int, ends: list[int]) -> Iterable[tuple[int, int]]:
    """Yield the steps of a line, column by column, adding a track wherever it goes on."""
    last = max(items[end].column for end in ends)
    at = start
    for column in range(items[start].column + 1, last + 1):
        yield from ((at, end) for end in ends if items[end].column == column)
        if column < last:
            items.append(Item(items[start].skill, column, items[start].strand, is_box=False))
            yield at, len(items) - 1
            at = len(items) - 1


def _sides(count: int, pairs: Iterable[tuple[int, int]]) -> tuple[tuple[int, ...], ...]:
    """Return, by item, what it is joined to on one side."""
    found: list[list[int]] = [[] for _ in range(count)]
    for one, other in pairs:
        found[one].append(other)
    return tuple(map(tuple, found))
