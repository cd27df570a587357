"""In which order things stand in a column, so that few lines cross.

The rows stay: boxes of one strand stay together, and the strands have the same order in every
column. What may be chosen is the order of the rows, of the boxes of a strand within a column,
and where a passing line runs. First each thing goes to the mean height of what it is joined to,
sweeping to and fro; then every thing in turn is tried at every place of its column and stays
at the best (the barycentre and sifting heuristics of layered drawing, from memory). No chance is
involved: the same course always gives the same picture.
"""

from __future__ import annotations

from collections.abc import Sequence

from readiness.pictures.tracks import Tracks

__all__ = ["order_columns", "order_rows"]

_SWEEPS = 6
_ROUNDS = 4


def order_rows(tracks: Tracks, rows: int) -> tuple[int, ...]:
    """Return the rows in an order that keeps joined ones near each other.

    Each row in turn is moved to where all links together are shortest, until none moves.
    """
    weight = [[0] * rows for _ in range(rows)]
    steps = [pair for pairs in tracks.lines.values() for pair in pairs if tracks.items[pair[1]].is_box]
    for before, after in (*steps, *((one, other) for one, other, _ in tracks.inside)):
        _join(weight, tracks.items[before].strand, tracks.items[after].strand)
    order = list(range(rows))
    best, before_ = _length(order, weight), -1
    while best != before_:
        before_ = best
        for one in range(rows):
            rest = [other for other in order if other != one]
            tried = [[*rest[:at], one, *rest[at:]] for at in range(rows)]
            shortest = min(tried, key=lambda each: _length(each, weight))
            if _length(shortest, weight) < best:
                order, best = shortest, _length(shortest, weight)
    return tuple(order)


def _join(weight: list[list[int]], one: int, other: int) -> None:
    if one != other:
        weight[one][other] += 1
        weight[other][one] += 1


def _length(order: Sequence[int], weight: list[list[int]]) -> int:
    return sum(
        weight[one][other] * (b - a)
        for a, one in enumerate(order)
        for b, other in enumerate(order[a + 1 :], a + 1)
    )


def order_columns(tracks: Tracks, rows: Sequence[int]) -> tuple[tuple[int, ...], ...]:
    """Return the items of each column from top to bottom.

    Args:
        tracks: what there is.
        rows: the strands in their order from top to bottom.
    """
    return _Columns(tracks, rows).order()


class _Columns:
    def __init__(self, tracks: Tracks, rows: Sequence[int]) -> None:
        self.tracks = tracks
        self.row = {strand: at for at, strand in enumerate(rows)}
        self.columns = [sorted(column, key=self._first_place) for column in tracks.columns]
        self.at = [0] * len(tracks.items)
        for column in range(len(self.columns)):
            self._number(column)

    def _first_place(self, number: int) -> tuple[int, bool, int]:
        item = self.tracks.items[number]
        return self.row[item.strand], not item.is_box, number

    def _number(self, column: int) -> None:
        for at, number in enumerate(self.columns[column]):
            self.at[number] = at

    def order(self) -> tuple[tuple[int, ...], ...]:
        """Return the best order found."""
        there = range(1, len(self.columns))
        back = range(len(self.columns) - 2, -1, -1)
        for _ in range(_SWEEPS):
            for column in there:
                self._to_mean(column, self.tracks.left)
            for column in back:
                self._to_mean(column, self.tracks.right)
        for _ in range(_ROUNDS):
            moved = [self._sift(column) for column in (*there, *back)]
            if not any(moved):
                break
        return tuple(map(tuple, self.columns))

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
        column = self.columns[self.tracks.items[number].column]
        return (self.at[number] + 0.5) / len(column)

    def _sift(self, column: int) -> bool:
        """Try every item of a column at every place it may have; say whether one moved."""
        crossings = self._pairs(column)
        inside = [(a, b) for a, b, _ in self.tracks.inside if self.tracks.items[a].column == column]
        moved = False
        for number in tuple(self.columns[column]):
            moved |= self._best_place(column, number, crossings, inside)
        self._number(column)
        return moved

    def _pairs(self, column: int) -> dict[tuple[int, int], int]:
        """Return how many lines cross for each two items when the first stands above the second."""
        order = self.columns[column]
        sides = (self.tracks.left, self.tracks.right)
        ends = {n: [[self.at[end] for end in side[n]] for side in sides] for n in order}
        return {
            (u, v): sum(
                a > b for mine, theirs in zip(ends[u], ends[v], strict=True) for a in mine for b in theirs
            )
            for u in order
            for v in order
            if u != v
        }

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


