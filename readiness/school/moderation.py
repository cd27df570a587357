"""Where two teachers who noted the same check came to different levels.

Two lesson blocks of one day in one student's file, noted by different people, are two readings
of the same check. What they differ in is counted by skill, so that the words of its criterion can
be made better. Who noted what is not kept: nothing here can become a score of a teacher. What two
noted in one check hangs together, so a figure needs several checks on several days.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator, Sequence
from fractions import Fraction
from itertools import combinations

from readiness.course.model import Course
from readiness.lazy import dataclass
from readiness.record.model import HELPS, Record, Showing
from readiness.school.counts import FEW

__all__ = ["Criterion", "Moderation", "kappa", "moderation", "table_of", "weighted_kappa"]

# How far two people agree beyond what chance would give: Cohen's kappa.
#
# A figure about the words of a criterion and never about a person. All sums are kept as whole
# numbers up to the last division, so that the same notes give the same figure everywhere.

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


Pair = tuple[int, int]
"""Two levels of help given for one skill in one check, indexes into HELPS."""

_Check = tuple[str, int]
"""The student and the day."""


@dataclass(frozen=True)
class Criterion:
    """How two readings of one skill compare.

    Attributes:
        pairs: how often two noted it; checks, days: in how many checks, on how many days.
        levels: every two levels that were given, the one with less help first, with how often.
    """

    skill: str
    checks: int
    days: int
    pairs: int
    agreed: int
    one_apart: int
    levels: tuple[tuple[Pair, int], ...]

    @property
    def too_few(self) -> bool:
        """Whether it rests on too little to conclude anything."""
        return min(self.checks, self.days) < FEW


@dataclass(frozen=True)
class Moderation:
    """All co-noted skills, and how far the readings agree beyond chance over all of them.

    Attributes:
        checks: how many checks were noted by two; days: on how many different days.
        criteria: those with most disagreement first; with an equal share the one with more cases,
            then in the order of the course.
        kappa, weighted: None where there is nothing to tell, and where it would rest on too few
            checks or days.
    """

    checks: int
    days: int
    pairs: int
    agreed: int
    kappa: float | None
    weighted: float | None
    criteria: tuple[Criterion, ...]

    @property
    def too_few(self) -> bool:
        """Whether it rests on too little to conclude anything."""
        return min(self.checks, self.days) < FEW


def moderation(course: Course, records: Iterable[Record], since: int | None, until: int) -> Moderation:
    """Return how the notes of two about the same checks compare.

    Args:
        course: what is taught.
        records: the students, as this course sees them.
        since: the first day looked at, None for all; until: the last.
    """
    found: list[tuple[_Check, str, Pair]] = []
    for record in records:
        for day, readings in _co_noted(record, since, until):
            both = (pair for two in combinations(readings, 2) for pair in _compared(*two))
            found += (((record.id, day), skill, pair) for skill, pair in both)
    table = table_of([pair for _, _, pair in found], len(HELPS))
    criteria = (_criterion(skill.id, [one for one in found if one[1] == skill.id]) for skill in course.skills)
    noted = [one for one in criteria if one.pairs]
    checks = {check for check, _, _ in found}
    days = {day for _, day in checks}
    enough = min(len(checks), len(days)) >= FEW
    return Moderation(
        len(checks), len(days), len(found),
        sum(table[i][i] for i in range(len(HELPS))),
        kappa(table) if enough else None,
        weighted_kappa(table) if enough else None,
        tuple(sorted(noted, key=lambda one: (one.agreed / one.pairs, -one.pairs))),
    )  # fmt: skip


def _co_noted(
    record: Record, since: int | None, until: int
) -> Iterator[tuple[int, list[dict[str, int]]]]:
    """Yield each day that two or more people noted, with what each saw.

    In the order of their initials, so that it does not matter who wrote first.
    """
    days: dict[int, dict[int, list[Showing]]] = {}
    for on, by, showings in record.seen.lessons():
        if by and (since is None or on >= since) and on <= until:
            days.setdefault(on, {}).setdefault(by, []).extend(showings)
    for day, people in sorted(days.items()):
        if len(people) > 1:
            yield day, [_reading(people[by]) for by in sorted(people)]


def _reading(showings: Iterable[Showing]) -> dict[str, int]:
    """Return what one person noted on a day: of several notes the one with most help (rule R1)."""
    seen: dict[str, int] = {}
    for showing in showings:
        seen[showing.skill] = max(showing.help, seen.get(showing.skill, 0))
    return seen


def _compared(first: dict[str, int], second: dict[str, int]) -> Iterator[tuple[str, Pair]]:
    """Yield what both noted; what one left out says nothing."""
    for skill in first.keys() & second.keys():
        yield skill, (first[skill], second[skill])


def _criterion(skill: str, found: list[tuple[_Check, str, Pair]]) -> Criterion:
    pairs = [pair for _, _, pair in found]
    checks = {check for check, _, _ in found}
    levels: dict[Pair, int] = {}
    for first, second in pairs:
        both = (min(first, second), max(first, second))
        levels[both] = levels.get(both, 0) + 1
    apart = [abs(first - second) for first, second in pairs]
    days = {day for _, day in checks}
    return Criterion(
        skill, len(checks), len(days), len(pairs), apart.count(0), apart.count(1),
        tuple(sorted(levels.items())),
    )  # fmt: skip
