"""The links of a picture as lines: smooth from column to column, straight past a column.

All links that leave one skill are one line that parts on the way. Each link enters its box at a place of its
own, in the order the links come from above, so that two never end in one point. A link between two skills of
one unit runs along the left side of the column, or straight down where the two are neighbours.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence

from readiness.lazy import dataclass
from readiness.pictures.formats import Shown

__all__ = ["Curve", "Drawing", "DrawnLine", "Item", "Tracks", "lay_tracks"]

# Skills and lines in columns, before anything has a place. Each unit is a column. A line that runs past a
# column passes it on a track of its own, so that it never runs through a box; all lines that leave one skill
# share their tracks and part only where they must. This is the layered drawing of Sugiyama, Tagawa and Toda
# (1981), from memory, with the columns given by the units.


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
    lines: Mapping[tuple[str, bool], tuple[tuple[int, int], ...]]


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


Point = tuple[float, float]

BEND = 9.0
"""How far from its column the nearest link along its side runs."""
LANE = 5.0
SIDE = 30.0
"""How far from the left side of its boxes a link between two neighbours runs."""


@dataclass(frozen=True)
class Curve:
    """A piece of a line from one point to another.

    Attributes:
        pull: how far it goes on sideways before it bends; 0 is a straight piece.
        land: the same at its end.
        after: the skill whose box it ends at, where it does.
        bulge: it turns back to the side it came from (a link within one column).
    """

    start: Point
    end: Point
    pull: float = 0.0
    land: float = 0.0
    after: str = ""
    bulge: bool = False

    def controls(self) -> tuple[Point, Point]:
        """Return the two points that bend the piece, as a cubic curve has them."""
        (x1, y1), (x2, y2) = self.start, self.end
        if self.bulge:
            return (x1 - self.pull, y1), (x2 - self.land, y2)
        return (x1 + self.pull, y1), (x2 - self.land, y2)


@dataclass(frozen=True)
class DrawnLine:
    """Everything drawn for the links that leave one skill (``some``: as one of a group)."""

    before: str
    some: bool
    curves: tuple[Curve, ...]


class Drawing:
    """Every line of a picture.

    Args:
        tracks: what is joined to what.
        columns: the items of each column from top to bottom.
        left: the left side of each column; width: of all.
        middle: the height of the middle of every item; heights: of the boxes.
    """

    def __init__(
        self, tracks: Tracks, columns: Sequence[Sequence[int]], left: Sequence[float], width: float,
        middle: Sequence[float], heights: Sequence[float],
    ) -> None:  # fmt: skip
        self.tracks, self.left, self.width = tracks, left, width
        self.middle, self.heights = middle, heights
        self.place = {number: at for column in columns for at, number in enumerate(column)}
        self.lane_of = self._lanes()
        self.doors = self._doors()
        self.bends = self._bends()

    def lines(self) -> tuple[DrawnLine, ...]:
        """Return the lines, those of one skill together."""
        found: dict[tuple[str, bool], list[Curve]] = {}
        for line, steps in self.tracks.lines.items():
            found.setdefault(line, []).extend(self._steps(steps))
        for before, after, some in self.tracks.inside:
            found.setdefault((self.tracks.items[before].skill, some), []).append(self._inside(before, after))
        return tuple(DrawnLine(skill, some, tuple(curves)) for (skill, some), curves in found.items())

    def _steps(self, steps: Sequence[tuple[int, int]]) -> list[Curve]:
        curves = []
        for one, other in steps:
            start = (self.left[self.tracks.items[one].column] + self.width, self.middle[one])
            item = self.tracks.items[other]
            near = self.left[item.column]
            end = (near, self.doors[one, other] if item.is_box else self.middle[other])
            across, early = end[0] - start[0], self.bends[one, other]
            after = item.skill if item.is_box else ""
            curves.append(Curve(start, end, across * early, across * (1 - early), after))
            if not item.is_box:
                curves.append(Curve(end, (near + self.width, end[1])))
        return curves

    def _bends(self) -> dict[tuple[int, int], float]:
        """Return how soon each line bends between two columns, so that their steep parts lie apart.

        Of the lines that go down the lowest bends first, of those that go up the highest: then
        none runs across the beginning of another.
        """
        bends = {}
        joined = [pair for pairs in self.tracks.lines.values() for pair in pairs]
        for column in range(len(self.left) - 1):
            steps = [pair for pair in joined if self.tracks.items[pair[0]].column == column]
            for down in (True, False):
                same = [(a, b) for a, b in steps if (self.middle[b] > self.middle[a]) == down]
                starts = sorted({self.middle[a] for a, _ in same}, reverse=down)
                rank = {start: at / max(1, len(starts) - 1) for at, start in enumerate(starts)}
                bends.update({(a, b): 0.22 + 0.56 * rank[self.middle[a]] for a, b in same})
        return bends

    def _inside(self, before: int, after: int) -> Curve:
        item = self.tracks.items[after]
        x = self.left[item.column]
        if (before, after) not in self.lane_of:
            side = 0.5 if self.middle[before] < self.middle[after] else -0.5
            start = (x + SIDE, self.middle[before] + side * self.heights[before])
            return Curve(start, (x + SIDE, self.middle[after] - side * self.heights[after]), after=item.skill)
        pull = (BEND + LANE * self.lane_of[before, after]) * 4 / 3
        start, end = ((x, self.doors[pair]) for pair in ((after, before), (before, after)))
        return Curve(start, end, pull, pull, item.skill, bulge=True)

    def _lanes(self) -> dict[tuple[int, int], int]:
        """Return the lane of every link along a column, short ones nearest, so that no two share one."""
        spans = {}
        for a, b, _ in self.tracks.inside:
            first, last = sorted((self.place[a], self.place[b]))
            if last - first > 1:
                spans[a, b] = last - first, self.tracks.items[a].column, first, last
        lanes: dict[tuple[int, int], int] = {}
        taken: dict[int, list[int]] = {}  # by column, the places each lane runs along, as bits
        for pair in sorted(spans, key=spans.__getitem__):
            _, column, first, last = spans[pair]
            there, places = taken.setdefault(column, []), (2 << last) - (1 << first)
            lane = next((at for at, other in enumerate(there) if not other & places), len(there))
            there += [0] * (lane == len(there))
            there[lane] |= places
            lanes[pair] = lane
        return lanes

    def _doors(self) -> dict[tuple[int, int], float]:
        """Return the height at which a line enters a box; for links along a column also where it leaves.

        Keys are (from, box). From above to below: links along the column from above, the lines
        from the left in their order, links along the column from below.
        """
        coming: dict[int, list[tuple[int, float, int]]] = {}
        for one, ends in enumerate(self.tracks.right):
            for other in ends:
                if self.tracks.items[other].is_box:
                    coming.setdefault(other, []).append((1, self.middle[one], one))
        for before, after in self.lane_of:
            for one, other in ((before, after), (after, before)):
                side = 0 if self.place[one] < self.place[other] else 2
                coming.setdefault(other, []).append((side, -self.middle[one], one))
        doors = {}
        for box, lines in coming.items():
            step = min(7.0, (self.heights[box] - 6) / len(lines))
            for at, (_, _, one) in enumerate(sorted(lines)):
                doors[one, box] = self.middle[box] + (at - (len(lines) - 1) / 2) * step
        return doors
