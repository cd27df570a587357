"""How high the things in a column stand: in their order, near what they are joined to."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from readiness.pictures.tracks import Tracks

__all__ = ["settle"]

_SWEEPS = 16
_HOME = 1.5
"""How much the level of its row matters to a box; a line to another box has 1."""
_STRAIGHT = 8.0
"""How much running straight matters to a line that passes a column."""


def settle(
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
        _place(column, {number: (middle[number], 1.0) for number in column}, sizes, top, bottom, middle)
    both = (tracks.left, tracks.right)
    for sweep in range(_SWEEPS):
        sides = both if sweep >= _SWEEPS // 2 else both[sweep % 2 :][:1]
        for column in columns if sweep % 2 == 0 else reversed(columns):
            wanted = {number: _wanted(number, sides, middle, homes, tracks) for number in column}
            _place(column, wanted, sizes, top, bottom, middle)
    return middle


def _wanted(
    number: int, sides: Sequence[Sequence[Sequence[int]]], middle: Sequence[float], homes: Sequence[float],
    tracks: Tracks,
) -> tuple[float, float]:  # fmt: skip
    """Return the height an item would like, and how much it matters."""
    items = tracks.items
    goals = [(homes[number], _HOME)] if items[number].is_box else []
    for side in sides:
        for end in side[number]:
            both_pass = not (items[number].is_box or items[end].is_box)
            goals.append((middle[end], _STRAIGHT if both_pass else 1.0))
    if not goals:
        return middle[number], 0.1
    weight = sum(each for _, each in goals)
    return sum(goal * each for goal, each in goals) / weight, weight


def _place(
    column: Sequence[int], wanted: Mapping[int, tuple[float, float]], sizes: Sequence[float],
    top: float, bottom: float, middle: list[float],
) -> None:  # fmt: skip
    """Put the items of a column as near to where they would like to be as their order allows.

    Each is moved up by the room of those above it; then keeping the order means not to fall.
    """
    above, goals = 0.0, []
    for number in column:
        goal, weight = wanted[number]
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
