"""Where every box, row, column and line of a picture stands, in points of no unit.

Units are columns. Strands are rows that keep their order and run through the columns like
ribbons, as wide in each unit as they have skills there; a row of one fixed height for all units
would leave most of the sheet empty and the words too small to read. No colour, no language of
any picture format and no sentence is known here.
"""

from __future__ import annotations

import textwrap
from bisect import bisect_left
from collections import Counter
from collections.abc import Sequence
from functools import lru_cache
from itertools import permutations

from readiness.course.model import Skill, Strand, Unit
from readiness.lazy import dataclass
from readiness.pictures.formats import Shown
from readiness.pictures.lines import Drawing, DrawnLine, Item, Tracks, lay_tracks

__all__ = [
    "FOOT", "HEAD", "LINE_HEIGHT", "MARK", "PADDING", "POSTER", "SHEET", "Box", "Layout", "LayoutRow",
    "Measure", "UnitColumn", "lay_out_map",
]  # fmt: skip

# How high the things in a column stand: in their order, near what they are joined to.

_SWEEPS = 16
_HOME = 1.5
"""How much the level of its row matters to a box; a line to another box has 1."""
_STRAIGHT = 8.0
"""How much running straight matters to a line that passes a column."""


def _settle(
    tracks: Tracks, columns: Sequence[Sequence[int]], sizes: Sequence[float], homes: Sequence[float],
    top: float, bottom: float,
) -> list[float]:  # fmt: skip
    """Return the height of the middle of every item.

    Args:
        tracks: what is joined to what.
        columns: the items of each column from top to bottom.
        sizes: the room each item takes; homes: the level of the row it belongs to.
        top, bottom: between which everything has room.
    """
    middle = list(homes)
    for column in columns:
        _place(column, [(middle[number], 1.0) for number in column], sizes, top, bottom, middle)
    sides = (tracks.left,), (tracks.right,), (tracks.left, tracks.right)
    left, right, both = (_pulls(tracks.items, some, homes) for some in sides)
    for sweep in range(_SWEEPS):
        pulls = both if sweep >= _SWEEPS // 2 else right if sweep % 2 else left
        for column in columns if sweep % 2 == 0 else reversed(columns):
            wanted = []
            for number in column:
                fixed, weight, ends = pulls[number]
                goal = sum([middle[end] * each for end, each in ends], fixed)
                wanted.append((goal / weight, weight) if weight else (middle[number], 0.1))
            _place(column, wanted, sizes, top, bottom, middle)
    return middle


def _pulls(
    items: Sequence[Item], sides: Sequence[Sequence[Sequence[int]]], homes: Sequence[float]
) -> list[tuple[float, float, list[tuple[int, float]]]]:
    """Return what draws each item: its home times how much that matters, all that matters, other items."""
    found = []
    for number, item in enumerate(items):
        ends = [
            (end, 1.0 if item.is_box or items[end].is_box else _STRAIGHT)
            for side in sides
            for end in side[number]
        ]
        home = _HOME if item.is_box else 0.0
        found.append((home * homes[number], home + sum(each for _, each in ends), ends))
    return found


def _place(
    column: Sequence[int], wanted: Sequence[tuple[float, float]], sizes: Sequence[float],
    top: float, bottom: float, middle: list[float],
) -> None:  # fmt: skip
    """Put the items of a column as near to where they would like to be as their order allows.

    Each is moved up by the room of those above it; then keeping the order means not to fall.
    """
    above, goals = 0.0, []
    for number, (goal, weight) in zip(column, wanted, strict=True):
        goals.append((goal - above - sizes[number] / 2, weight))
        above += sizes[number]
    last, above = max(top, bottom - above), 0.0
    for number, height in zip(column, _rising(goals), strict=True):
        middle[number] = min(max(height, top), last) + above + sizes[number] / 2
        above += sizes[number]


def _rising(goals: Sequence[tuple[float, float]]) -> list[float]:
    """Return the numbers nearest to the goals, by weighted squares, that never fall.

    >>> _rising([(1.0, 1.0), (3.0, 1.0), (2.0, 1.0)])
    [1.0, 2.5, 2.5]
    """
    pools: list[tuple[float, float, int]] = []
    for goal, weight in goals:
        pool = (goal, weight, 1)
        while pools and pools[-1][0] > pool[0]:
            height, other, count = pools.pop()
            both = other + pool[1]
            pool = ((height * other + pool[0] * pool[1]) / both, both, count + pool[2])
        pools.append(pool)
    return [height for height, _, count in pools for _ in range(count)]


# In which order things stand in a column, so that few lines cross.
#
# The rows stay: boxes of one strand stay together, and the strands have the same order in every
# column. What may be chosen is the order of the rows, of the boxes of a strand within a column,
# and where a passing line runs. First each thing goes to the mean height of what it is joined to,
# sweeping to and fro; then every thing in turn is tried at every place of its column and stays
# at the best (the barycentre and sifting heuristics of layered drawing, from memory). No chance is
# involved: the same course always gives the same picture.

_ORDERING_SWEEPS = 6
_ROUNDS = 4
_STEPS = 6_000_000
"""How much may be tried in one picture, as ``_effort`` counts; the shipped courses take half of it."""


def _order_rows(tracks: Tracks, rows: int) -> tuple[int, ...]:
    """Return the rows in an order that keeps joined ones near each other.

    Each row in turn is moved to where all links together are shortest, until none moves.
    """
    steps = [pair for pairs in tracks.lines.values() for pair in pairs if tracks.items[pair[1]].is_box]
    joined: Counter[tuple[int, int]] = Counter()
    for before, after in (*steps, *((one, other) for one, other, _ in tracks.inside)):
        one, other = tracks.items[before].strand, tracks.items[after].strand
        joined[min(one, other), max(one, other)] += 1

    def length(order: Sequence[int]) -> int:
        at = dict(zip(order, range(rows), strict=True))
        return sum([many * abs(at[one] - at[other]) for (one, other), many in joined.items()])

    order = list(range(rows))
    best, before_ = length(order), -1
    while best != before_:
        before_ = best
        for one in range(rows):
            rest = [other for other in order if other != one]
            tried = [[*rest[:at], one, *rest[at:]] for at in range(rows)]
            lengths = [*map(length, tried)]
            if min(lengths) < best:
                best = min(lengths)
                order = tried[lengths.index(best)]
    return tuple(order)


class _Columns:
    """The items of each column; ``rows``: the strands from top to bottom."""

    def __init__(self, tracks: Tracks, rows: Sequence[int]) -> None:
        self.tracks = tracks
        self.row = {strand: at for at, strand in enumerate(rows)}
        self.columns = [sorted(column, key=self._first_place) for column in tracks.columns]
        self.at = [0] * len(tracks.items)
        self.inside: list[list[tuple[int, int]]] = [[] for _ in self.columns]
        for a, b, _ in tracks.inside:
            self.inside[tracks.items[a].column].append((a, b))
        self.steps, self.suffices = _STEPS, True
        self.best_among: dict[int, list[list[int]]] = {}
        """By column, itself and those beside it as they were when nothing in it moved any more."""
        for column in range(len(self.columns)):
            self._number(column)

    def _first_place(self, number: int) -> tuple[int, bool, int]:
        item = self.tracks.items[number]
        return self.row[item.strand], not item.is_box, number

    def _number(self, column: int) -> None:
        for at, number in enumerate(self.columns[column]):
            self.at[number] = at

    def order(self) -> tuple[tuple[tuple[int, ...], ...], bool]:
        """Return the best order found, from top to bottom, and whether the steps sufficed."""
        there = range(1, len(self.columns))
        back = range(len(self.columns) - 2, -1, -1)
        for _ in range(_ORDERING_SWEEPS):
            before = [*self.columns]
            for column in there:
                self._to_mean(column, self.tracks.left)
            for column in back:
                self._to_mean(column, self.tracks.right)
            if before == self.columns:
                break
        for _ in range(_ROUNDS):
            moved = [self._sift(column) for column in (*there, *back)]
            if not any(moved):
                break
        return tuple(map(tuple, self.columns)), self.suffices

    def _to_mean(self, column: int, side: Sequence[Sequence[int]]) -> None:
        """Put a column in the order of the mean heights on one side, the rows kept."""
        mean = {}
        for number in self.columns[column]:
            ends = side[number] or (number,)
            mean[number] = sum(map(self._height, ends)) / len(ends)
        items = self.tracks.items
        boxes = [number for number in self.columns[column] if items[number].is_box]
        passing = [number for number in self.columns[column] if not items[number].is_box]
        boxes.sort(key=lambda number: (self.row[items[number].strand], mean[number]))
        passing.sort(key=mean.__getitem__)
        merged: list[int] = []
        for number in boxes:
            while passing and mean[passing[0]] < mean[number]:
                merged.append(passing.pop(0))
            merged.append(number)
        self.columns[column] = [*merged, *passing]
        self._number(column)

    def _height(self, number: int) -> float:
        return (self.at[number] + 0.5) / len(self.columns[self.tracks.items[number].column])

    def _sift(self, column: int) -> bool:
        """Try every item of a column at every place it may have, if steps are left; say whether one moved."""
        effort, around = self._effort(column), self.columns[max(column - 1, 0) : column + 2]
        if around == self.best_among.get(column):
            return False
        if effort > self.steps:
            self.suffices = False
            return False
        self.steps -= effort
        crossings, inside = self._pairs(column), self.inside[column]
        moved = False
        for number in tuple(self.columns[column]):
            moved |= self._best_place(column, number, crossings, inside)
        self._number(column)
        if not moved:
            self.best_among[column] = around
        return moved

    def _effort(self, column: int) -> int:
        """Return about how many steps it takes to sift a column."""
        count, inside = len(self.columns[column]), len(self.inside[column])
        sides = (self.tracks.left, self.tracks.right)
        ends = sum(sum(len(side[number]) for number in self.columns[column]) ** 2 for side in sides)
        return ends + count**2 * (2 + (count + inside**2 if inside else 0))

    def _pairs(self, column: int) -> dict[tuple[int, int], int]:
        """Return how many lines cross for each two items when the first stands above the second."""
        order = self.columns[column]
        crossings = dict.fromkeys(permutations(order, 2), 0)
        for side in (self.tracks.left, self.tracks.right):
            ends = [(n, sorted(self.at[end] for end in side[n])) for n in order if side[n]]
            for (u, mine), (v, theirs) in permutations(ends, 2):
                crossings[u, v] += sum([bisect_left(theirs, end) for end in mine])
        return crossings

    def _best_place(
        self, column: int, number: int, crossings: dict[tuple[int, int], int], inside: list[tuple[int, int]]
    ) -> bool:
        order = self.columns[column]
        now = order.index(number)
        rest = [*order[:now], *order[now + 1 :]]
        low, high = self._room(rest, number)
        cost = sum(crossings[number, other] for other in rest[low:])
        cost += sum(crossings[other, number] for other in rest[:low])
        costs = {}
        for at in range(low, high + 1):
            costs[at] = cost + (self._arcs([*rest[:at], number, *rest[at:]], inside) if inside else 0)
            if at < high:
                cost += crossings[rest[at], number] - crossings[number, rest[at]]
        best = min(costs, key=lambda at: (costs[at], at != now, abs(at - now), at))
        self.columns[column] = [*rest[:best], number, *rest[best:]]
        return best != now

    def _room(self, rest: list[int], number: int) -> tuple[int, int]:
        """Return the first and last place an item may have among the others of its column."""
        item = self.tracks.items[number]
        if not item.is_box:
            return 0, len(rest)
        others = [(at, self.tracks.items[number]) for at, number in enumerate(rest)]
        rows = [(at, self.row[other.strand]) for at, other in others if other.is_box]
        mine = self.row[item.strand]
        above = max((at + 1 for at, row in rows if row < mine), default=0)
        below = min((at for at, row in rows if row > mine), default=len(rest))
        return above, below

    def _arcs(self, order: list[int], inside: list[tuple[int, int]]) -> int:
        """Return how many lines cross the links within a column, which run along its left side."""
        at = {number: place for place, number in enumerate(order)}
        entering = [0]
        for number in order:
            entering.append(entering[-1] + len(self.tracks.left[number]))
        spans = sorted(tuple(sorted((at[a], at[b]))) for a, b in inside)
        through = sum(entering[b] - entering[a + 1] for a, b in spans)
        return through + sum(a < c < b < d for i, (a, b) in enumerate(spans) for c, d in spans[i + 1 :])


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
HEAD = 112.0
FOOT = 104.0


@dataclass(frozen=True)
class Measure:
    """How wide the margin of a sheet and the way between two columns are, and its width to its height."""

    margin: float
    channel: float
    shape: float


POSTER = Measure(24.0, 76.0, 1.4142)
"""A sheet of paper lying on its side."""
SHEET = Measure(6.0, 60.0, 0.75)
"""A unit on a sheet of paper that stands."""


@dataclass(frozen=True)
class Box:
    """A skill's box: its corner, its size and its name in lines."""

    skill: Skill
    x: float
    y: float
    width: float
    height: float
    words: tuple[str, ...]


@dataclass(frozen=True)
class UnitColumn:
    """A unit's column."""

    unit: Unit
    x: float
    width: float


@dataclass(frozen=True)
class LayoutRow:
    """A strand's row: its upper and lower edge at every column, and where its name stands."""

    strand: Strand
    top: tuple[float, ...]
    bottom: tuple[float, ...]
    names: tuple[tuple[float, float], ...]


@dataclass(frozen=True)
class Layout:
    """The whole picture: a head for the names of the units, the columns, a foot for the legend.

    ``suffices``: whether the steps sufficed to try every order that was to be tried.
    """

    width: float
    height: float
    columns: tuple[UnitColumn, ...]
    rows: tuple[LayoutRow, ...]
    boxes: tuple[Box, ...]
    lines: tuple[DrawnLine, ...]
    suffices: bool


@lru_cache(maxsize=4096)
def _lines(name: str) -> tuple[str, ...]:
    """Return a name in lines of a box; on the sheets of a course a skill comes again and again."""
    return tuple(textwrap.wrap(" ".join(name.split()), LETTERS)) or ("",)


class _Sheet:
    """The steps from what is shown to places."""

    def __init__(self, shown: Shown, measure: Measure) -> None:
        self.shown = shown
        self.tracks: Tracks = lay_tracks(shown)
        self.rows = _order_rows(self.tracks, len(shown.strands))
        self.columns, self.suffices = _Columns(self.tracks, self.rows).order()
        self.bands = self._bands()
        self.named = self._named()
        margin = MARK if shown.states else 0.0
        self.words = [_lines(skill.name) for skill in shown.skills]
        self.box_width = WIDTH + margin
        step = self.box_width + measure.channel
        self.left = [measure.margin + step * at for at in range(len(self.columns))]
        self.width = 2 * measure.margin + step * len(self.columns) - measure.channel
        self.height = max(HEAD + self._fullest(1.0) + FOOT, self.width / measure.shape)
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
        middle = _settle(
            self.tracks, self.columns, self.sizes, self._homes(), HEAD + GAP / 2, self.height - FOOT
        )
        boxes = tuple(self._box(number, middle) for number in range(len(self.shown.skills)))
        centres = [*(box.y + box.height / 2 for box in boxes), *middle[len(boxes) :]]
        return Layout(
            width=self.width,
            height=self.height,
            columns=tuple(
                UnitColumn(*at, self.box_width) for at in zip(self.shown.units, self.left, strict=True)
            ),
            rows=tuple(self._row(at, boxes, middle) for at in range(len(self.rows))),
            boxes=boxes,
            lines=Drawing(
                self.tracks, self.columns, self.left, self.box_width, centres, [box.height for box in boxes]
            ).lines(),
            suffices=self.suffices,
        )

    def _homes(self) -> list[float]:
        """Return the level of the row of every item: rows share the height as they share the boxes."""
        room = [0.0] * len(self.rows)
        for number, size in enumerate(self.sizes):
            room[self.bands[number]] += size
        scale = (self.height - HEAD - FOOT) / (sum(room) or 1)
        level = [HEAD + scale * (sum(room[:at]) + room[at] / 2) for at in range(len(room))]
        return [level[band] for band in self.bands]

    def _box(self, number: int, middle: Sequence[float]) -> Box:
        x = self.left[self.tracks.items[number].column]
        y = middle[number] + (self.sizes[number] - GAP * self.wider) / 2 - self._high(number)
        skill = self.shown.skills[number]
        return Box(skill, x, y, self.box_width, self._high(number), self.words[number])

    def _row(self, row: int, boxes: Sequence[Box], middle: Sequence[float]) -> LayoutRow:
        mine = [boxes[n] for n in sorted(self.named) if self.bands[n] == row]
        return LayoutRow(
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


def lay_out_map(shown: Shown, measure: Measure = POSTER) -> Layout:
    """Return the picture of what is shown."""
    return _Sheet(shown, measure).layout()
