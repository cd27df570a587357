"""Where every box, row, column and line of a picture stands, in points of no unit.

Units are columns. Strands are rows that keep their order and run through the columns like
ribbons, as wide in each unit as they have skills there; a row of one fixed height for all units
would leave most of the sheet empty and the words too small to read. No colour, no language of
any picture format and no sentence is known here.
"""

from __future__ import annotations

import textwrap
from collections.abc import Sequence
from dataclasses import dataclass

from readiness.course.model import Skill, Strand, Unit
from readiness.pictures.heights import settle
from readiness.pictures.lines import Line, draw_lines
from readiness.pictures.shown import Shown
from readiness.pictures.tracks import Tracks, lay_tracks
from readiness.pictures.untangle import order_columns, order_rows

__all__ = ["FOOT", "HEAD", "LINE_HEIGHT", "MARK", "PADDING", "Box", "Column", "Layout", "Row", "lay_out_map"]

LETTERS = 15
"""Letters that fit on one line of a box."""
LINE_HEIGHT = 15.0
PADDING = 4.0
MARK = 17.0
"""The strip at the left of a box that shows a student's state."""
WIDTH = 122.0
GAP = 13.0
"""Between two boxes, at least: an arrow from one to the next fits in."""
LABEL = 13.0
"""Over the first box of a row."""
TRACK = 8.0
WIDER = 2.4
"""How many times wider gaps and tracks become at most, where the sheet has room."""
MARGIN = 24.0
CHANNEL = 76.0
HEAD = 112.0
FOOT = 104.0
SHAPE = 1.4142
"""Width to height of a sheet of paper, lying."""


@dataclass(frozen=True, slots=True)
class Box:
    """A skill's box: its corner, its size and its name in lines."""

    skill: Skill
    x: float
    y: float
    width: float
    height: float
    words: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class Column:
    """A unit's column."""

    unit: Unit
    x: float
    width: float


@dataclass(frozen=True, slots=True)
class Row:
    """A strand's row: its upper and lower edge at every column, and where its name stands."""

    strand: Strand
    top: tuple[float, ...]
    bottom: tuple[float, ...]
    names: tuple[tuple[float, float], ...]


@dataclass(frozen=True)
class Layout:
    """The whole picture: a head for the names of the units, the columns, a foot for the legend."""

    width: float
    height: float
    columns: tuple[Column, ...]
    rows: tuple[Row, ...]
    boxes: tuple[Box, ...]
    lines: tuple[Line, ...]


def lay_out_map(shown: Shown) -> Layout:
    """Return the picture of what is shown."""
    return _Sheet(shown).layout()


class _Sheet:
    """The steps from what is shown to places."""

    def __init__(self, shown: Shown) -> None:
        self.shown = shown
        self.tracks: Tracks = lay_tracks(shown)
        self.rows = order_rows(self.tracks, len(shown.strands))
        self.columns = order_columns(self.tracks, self.rows)
        self.bands = self._bands()
        self.named = self._named()
        margin = MARK if shown.states else 0.0
        self.words = [tuple(textwrap.wrap(" ".join(s.name.split()), LETTERS)) or ("",) for s in shown.skills]
        self.box_width = WIDTH + margin
        self.left = [MARGIN + (self.box_width + CHANNEL) * at for at in range(len(self.columns))]
        self.width = 2 * MARGIN + (self.box_width + CHANNEL) * len(self.columns) - CHANNEL
        self.height = max(HEAD + self._fullest(1.0) + FOOT, self.width / SHAPE)
        self.wider = min(WIDER, max(1.0, self._most_room()))
        self.sizes = [self._size(number, self.wider) for number in range(len(self.tracks.items))]

    def _fullest(self, wider: float) -> float:
        return max((sum(self._size(n, wider) for n in column) for column in self.columns), default=0.0)

    def _most_room(self) -> float:
        """Return how many times wider gaps and tracks may be in the fullest column."""
        boxes, room = self._fullest(0.0), self.height - HEAD - FOOT
        between = self._fullest(1.0) - boxes
        return (room - boxes) / between if between > 0 else WIDER

    def _size(self, number: int, wider: float) -> float:
        if not self.tracks.items[number].is_box:
            return TRACK * wider
        return self._high(number) + GAP * wider + (LABEL if number in self.named else 0)

    def _high(self, number: int) -> float:
        return len(self.words[number]) * LINE_HEIGHT + 2 * PADDING

    def _bands(self) -> list[int]:
        """Return the row of every item, counted from the top.

        A passing line is in the row it comes from as far as its place between boxes allows.
        """
        row = {strand: at for at, strand in enumerate(self.rows)}
        items = self.tracks.items
        bands = [row[item.strand] for item in items]
        for column in self.columns:
            highest = 0
            for place, number in enumerate(column):
                below = (bands[n] for n in column[place + 1 :] if items[n].is_box)
                if not items[number].is_box:
                    bands[number] = min(max(bands[number], highest), next(below, len(self.rows) - 1))
                highest = bands[number]
        return bands

    def _named(self) -> set[int]:
        """Return the boxes over which the name of their row stands: where it begins, or comes back."""
        named, there = set(), set[int]()
        for column in self.columns:
            boxes = [n for n in column if self.tracks.items[n].is_box]
            first = {self.bands[n]: n for n in reversed(boxes)}
            named |= {n for band, n in first.items() if band not in there}
            there = set(first)
        return named

    def layout(self) -> Layout:
        """Return the picture."""
        middle = settle(
            self.tracks, self.columns, self.sizes, self._homes(), HEAD + GAP / 2, self.height - FOOT
        )
        boxes = tuple(self._box(number, middle) for number in range(len(self.shown.skills)))
        centres = [*(box.y + box.height / 2 for box in boxes), *middle[len(boxes) :]]
        return Layout(
            width=self.width,
            height=self.height,
            columns=tuple(
                Column(unit, x, self.box_width) for unit, x in zip(self.shown.units, self.left, strict=True)
            ),
            rows=tuple(self._row(at, boxes, middle) for at in range(len(self.rows))),
            boxes=boxes,
            lines=draw_lines(
                self.tracks, self.columns, self.left, self.box_width, centres, [box.height for box in boxes]
            ),
        )

    def _homes(self) -> list[float]:
        """Return the level of the row of every item: rows share the height as they share the boxes."""
        room = [0.0] * len(self.rows)
        for number, size in enumerate(self.sizes):
            room[self.bands[number]] += size
        whole = self.height - HEAD - FOOT
        scale = whole / (sum(room) or 1)
        level = [HEAD + scale * (sum(room[:at]) + room[at] / 2) for at in range(len(room))]
        return [level[band] for band in self.bands]

    def _box(self, number: int, middle: Sequence[float]) -> Box:
        x = self.left[self.tracks.items[number].column]
        y = middle[number] + (self.sizes[number] - GAP * self.wider) / 2 - self._high(number)
        skill = self.shown.skills[number]
        return Box(skill, x, y, self.box_width, self._high(number), self.words[number])

    def _row(self, row: int, boxes: Sequence[Box], middle: Sequence[float]) -> Row:
        mine = [boxes[n] for n in sorted(self.named) if self.bands[n] == row]
        return Row(
            strand=self.shown.strands[self.rows[row]],
            top=tuple(self._edge(column, row, middle) for column in self.columns),
            bottom=tuple(self._edge(column, row + 1, middle) for column in self.columns),
            names=tuple((box.x, box.y - 4) for box in mine),
        )

    def _edge(self, column: Sequence[int], row: int, middle: Sequence[float]) -> float:
        """Return where a row begins in a column: half-way between what is above it and what is below."""
        over = [middle[n] + self.sizes[n] / 2 for n in column if self.bands[n] < row]
        under = [middle[n] - self.sizes[n] / 2 for n in column if self.bands[n] >= row]
        top, bottom = max(over, default=HEAD), min(under, default=self.height - FOOT)
        if not over:
            return bottom - GAP / 2
        return top + GAP / 2 if not under else (top + bottom) / 2
