"""How far two people agree beyond what chance would give: Cohen's kappa.

A figure about the words of a criterion and never about a person. All sums are kept as whole
numbers up to the last division, so that the same notes give the same figure everywhere.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from fractions import Fraction

__all__ = ["kappa", "table_of", "weighted_kappa"]

Table = Sequence[Sequence[int]]
"""How often the first of two said row while the second said column."""


def table_of(pairs: Sequence[tuple[int, int]], levels: int) -> tuple[tuple[int, ...], ...]:
    """Return how often each two levels were given together.

    >>> table_of([(0, 0), (0, 1), (0, 1)], 2)
    ((1, 2), (0, 0))
    """
    counts = [[0] * levels for _ in range(levels)]
    for first, second in pairs:
        counts[first][second] += 1
    return tuple(map(tuple, counts))


def kappa(table: Table) -> float | None:
    """Return Cohen's kappa, None where chance alone would give full agreement, or there is no case.

    ``(po - pe) / (1 - pe)``: po is the share of agreement; pe the share that two people would
    reach who give each level as often as these two, without looking (Cohen 1960, Educational and
    Psychological Measurement 20:37-46; cited from memory).

    >>> kappa([[20, 5], [10, 15]])
    0.4
    """
    return _kappa(table, lambda row, column: int(row != column))


def weighted_kappa(table: Table) -> float | None:
    """Return Cohen's kappa for levels in an order: two levels apart counts twice as much as one.

    ``1 - sum(w * observed) / sum(w * expected)`` with the linear weights ``w = |row - column|``
    (Cohen 1968, Psychological Bulletin 70:213-220; cited from memory).
    """
    return _kappa(table, lambda row, column: abs(row - column))


def _kappa(table: Table, apart: Callable[[int, int], int]) -> float | None:
    """Return one minus observed over expected disagreement, which for plain kappa is the same."""
    rows = [sum(row) for row in table]
    columns = [sum(column) for column in zip(*table, strict=True)]
    both = [(i, j) for i in range(len(rows)) for j in range(len(columns))]
    observed = sum(apart(i, j) * table[i][j] for i, j in both)
    expected = sum(apart(i, j) * rows[i] * columns[j] for i, j in both)
    return None if expected == 0 else float(1 - Fraction(observed * sum(rows), expected))
