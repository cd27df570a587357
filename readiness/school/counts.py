"""Counts over all students: where they get stuck, how long units take, where two differ, what outsiders see.

A child is never a row here and a teacher never is. How sure a count is depends on how many
cases it is from, so that number is always beside it; fewer than ``FEW`` conclude nothing (C12).

What a reader outside may see of the counts: nothing under five, and nothing that gives it away.

A count is also given away by the total it is missing from. So where one is hidden, another is
hidden with it, and the total only stands where at least two different counts could be behind
every hidden one. No names: there is no way to ask for them here.

And it is given away by a table of another day: 55 and then 54 of 65 is one child. So there is one
table a month, that of its first day, and who came since is not in it. Why not the last table kept
beside the studio, and hidden what differs by little: it would know only what was published from
that copy of the folder, it would be one more file about children, and from month to month most
counts differ by few, so nothing would be left. What is taken from one month's table by that of the
next is what happened in a month; who gets both is told so on the page. It cannot help that somebody
is forgotten, or that a note of an earlier day is added, between two tables of one month.

Two lesson blocks of one day in one student's file, noted by different people, are two readings
of the same check. What they differ in is counted by skill, so that the words of its criterion can
be made better. Who noted what is not kept: nothing here can become a score of a teacher. What two
noted in one check hangs together, so a figure needs several checks on several days.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Callable, Iterable, Iterator, Sequence
from dataclasses import replace
from datetime import date
from fractions import Fraction
from itertools import combinations, pairwise
from statistics import median, quantiles
from typing import Any, Final, Generic, TypeVar

from readiness.course.model import Course
from readiness.judging.history import known_on
from readiness.judging.reasons import unit_limit
from readiness.lazy import dataclass, fields_of
from readiness.record.model import HELPS, Record, Showing
from readiness.school.students import Judged
from readiness.terms import State, Verdict

__all__ = [
    "FEW", "VERDICTS", "Criterion", "Hidden", "Moderation", "Numbers", "OfSkill", "OutsideCount", "Past",
    "Stay", "Where", "hide_small", "kappa", "list_outside", "moderation", "numbers", "numbers_outside",
    "past", "published_day", "rows_outside", "table_of", "there_on", "time", "time_outside",
    "weighted_kappa", "where",
]  # fmt: skip

FEW: Final = 5
"""Fewer cases conclude nothing, and are not shown to readers outside (common practice, no source)."""

VERDICTS: Final = (Verdict.READY, Verdict.LOOK_AGAIN, Verdict.NOT_YET, Verdict.PAUSED, Verdict.NOT_PLACED)
"""The verdicts in the order they are counted; taking something along is ready too."""


Hidden = int | None
"""A count, None where it is hidden."""
C = TypeVar("C", bound=Hidden)


@dataclass(frozen=True)
class OfSkill:
    """What is counted of a skill; every further field is a count."""

    skill: str
    unit: str


@dataclass(frozen=True)
class Where(OfSkill):
    """How many students are stuck on a skill, and how many show it only with help (Q42)."""

    stuck: Hidden
    with_help: Hidden


@dataclass(frozen=True)
class Stay:
    """How long a unit takes at an age (Q54), in lesson days.

    ``low`` and ``high`` hold the middle half of the cases between them; ``usual`` is what the
    course says. ``band`` is the age band at the beginning of the unit.
    """

    unit: str
    band: str
    cases: int
    middle: float
    low: float
    high: float
    usual: int


@dataclass(frozen=True)
class Past:
    """How long a unit took at an age, and how many of the cases went over its limit (Q43).

    ``limit`` is in lesson days, those of ``max_unit_factor``; ``over`` took more.
    """

    stay: Stay
    limit: int
    over: int


@dataclass(frozen=True)
class Numbers(Generic[C]):
    """How many students there are, in each unit, and with each verdict; None is no unit yet."""

    students: C
    units: tuple[tuple[str | None, C], ...]
    verdicts: tuple[tuple[str, C], ...]


def where(course: Course, judged: Sequence[Judged]) -> tuple[Where, ...]:
    """Return what students get stuck on most, then need help with most; who is paused is left out."""
    answers = [one.answer for one in judged if one.answer.verdict != Verdict.PAUSED]
    stuck = Counter(r.skill for answer in answers for r in answer.remarks if r.id == "stuck")
    helped = Counter(
        skill
        for answer in answers
        for skill in {*answer.deciding, *answer.rest}
        if answer.standings[skill].state == State.WITH_HELP
    )
    rows = [
        Where(skill.id, skill.unit, stuck[skill.id], helped[skill.id])
        for skill in course.skills
        if stuck[skill.id] or helped[skill.id]
    ]
    return tuple(sorted(rows, key=lambda row: (-stuck[row.skill], -helped[row.skill])))


def time(course: Course, records: Iterable[Record], on: int) -> tuple[Stay, ...]:
    """Return how long each unit took, by the age band of its beginning, in the order of the course."""
    found = _lengths(course, records, on)
    return tuple(
        _stay(unit.id, band.name, sorted(found[unit.id, band.name]), unit.lesson_weeks)
        for unit in course.units
        for band in course.bands
        if (unit.id, band.name) in found
    )


def past(course: Course, records: Iterable[Record], on: int, unit: str) -> tuple[Past, ...]:
    """Return how long one unit took, by age band, and how many cases took more than its limit."""
    found, weeks = _lengths(course, records, on), course.unit[unit].lesson_weeks
    limits = {band.name: unit_limit(band.number("max_unit_factor"), weeks) for band in course.bands}
    return tuple(
        Past(_stay(unit, band, sorted(days), weeks), limit, sum(each > limit for each in days))
        for band, limit in limits.items()
        if (days := found.get((unit, band)))
    )


def _lengths(course: Course, records: Iterable[Record], on: int) -> dict[tuple[str, str], list[int]]:
    """Return the lesson days of every stay, by unit and band."""
    found: dict[tuple[str, str], list[int]] = {}
    for record in records:
        for unit, band, days in _stays(course, record, on):
            found.setdefault((unit, band), []).append(days)
    return found


def _stays(course: Course, record: Record, on: int) -> Iterator[tuple[str, str, int]]:
    """Yield each unit that was left for a later one, the band when it began, and its lesson days.

    Units of which no lesson is noted here were taught elsewhere and tell nothing.
    """
    starts = sorted((start for start in record.seen.unit_starts if start.on <= on), key=lambda one: one.on)
    begun = None
    for start, after in pairwise(starts):
        begun = begun if begun is not None and begun.unit == start.unit else start
        if course.unit[after.unit].number > course.unit[start.unit].number:
            days = [day for day in record.seen.lesson_days if begun.on <= day < after.on]
            if days:
                yield start.unit, known_on(course, record, begun.on).band_on(course, begun.on).name, len(days)


def _stay(unit: str, band: str, days: Sequence[int], usual: int) -> Stay:
    low, _, high = quantiles(days, n=4, method="inclusive") if len(days) > 1 else (*days, *days, *days)
    return Stay(unit, band, len(days), float(median(days)), float(low), float(high), usual)


def numbers(course: Course, judged: Sequence[Judged]) -> Numbers[int]:
    """Return how many students there are in all, in each unit and with each verdict."""
    units = Counter(one.answer.unit for one in judged)
    verdicts = Counter("ready" if one.answer.is_ready else one.answer.verdict for one in judged)
    by_unit: list[tuple[str | None, int]] = [(unit.id, units[unit.id]) for unit in course.units]
    return Numbers(
        len(judged),
        (*by_unit, (None, units[None])),
        tuple((verdict, verdicts[verdict]) for verdict in VERDICTS),
    )


@dataclass(frozen=True)
class OutsideCount:
    """How many students are on a list, of how many."""

    count: Hidden
    of: Hidden


def published_day(day: int) -> int:
    """Return the day that a reader outside gets the table of: the first of the month.

    >>> date.fromordinal(published_day(date(2025, 12, 24).toordinal())).isoformat()
    '2025-12-01'
    """
    return date.fromordinal(day).replace(day=1).toordinal()


def there_on(record: Record, day: int) -> bool:
    """Return whether a student had come by a day: something is dated by then, or nothing is at all."""
    seen = record.entire.seen
    days = [
        *seen.lesson_days,
        *(one.on for one in seen.unit_starts),
        *(one.on for one in seen.settled),
        *(one.on for one in seen.placings),
        *(one.opened for one in seen.holds),
    ]
    return not days or min(days) <= day


def hide_small(counts: Sequence[int]) -> tuple[tuple[Hidden, ...], Hidden]:
    """Return the parts of a whole, small ones hidden, and their total.

    >>> hide_small((3, 40, 20))
    ((None, 40, None), 63)
    >>> hide_small((2, 1))
    ((None, None), None)
    """
    hidden = {i for i, count in enumerate(counts) if count < FEW}
    while hidden and len(hidden) < len(counts) and _give_away([counts[i] for i in hidden]):
        least = min(count for i, count in enumerate(counts) if i not in hidden)
        hidden |= {i for i, count in enumerate(counts) if count == least}
    total = sum(counts)
    gives_away = total < FEW or (hidden and len(counts) < 2)
    parts = tuple(None if i in hidden else count for i, count in enumerate(counts))
    return parts, None if gives_away else total


def _give_away(hidden: Sequence[int]) -> bool:
    """Return whether hidden counts follow from their sum, for one who knows that they are small."""
    largest = FEW - 1
    return len(hidden) < 2 or sum(hidden) < FEW or all(count == largest for count in hidden)


def numbers_outside(found: Numbers[int]) -> Numbers[Hidden]:
    """Return how many students are where, without what is small.

    Who is in no unit yet is counted among the verdicts alone: told in both tables, a small count
    hidden in one of them would follow from the other.
    """
    placed = [(unit, count) for unit, count in found.units if unit is not None]
    units, _ = hide_small([count for _, count in placed])
    verdicts, total = hide_small([count for _, count in found.verdicts])
    return Numbers(
        total,
        tuple((unit, count) for (unit, _), count in zip(placed, units, strict=True)),
        tuple(zip(VERDICTS, verdicts, strict=True)),
    )


def list_outside(found: Numbers[int], students: int, verdict: str | None = None) -> OutsideCount:
    """Return how many students are on a list.

    Args:
        found: the numbers of the same day.
        students: how many students are on it.
        verdict: the verdict that all on it have, if it is all of them: then the count is the
            one :func:`numbers_outside` shows, or two answers would give one another away.
    """
    if verdict is not None:
        numbers = numbers_outside(found)
        return OutsideCount(dict(numbers.verdicts)[verdict], numbers.students)
    (count, _), total = hide_small((students, found.students - students))
    return OutsideCount(count, total)


R = TypeVar("R", bound=OfSkill)


def rows_outside(found: Sequence[R], course: Course, students: int) -> tuple[R, ...]:
    """Return rows about skills with what is hidden, those without anything to show left out.

    A count is hidden where it or those it leaves are few. The rows are in the order of the course: one by
    their counts would tell the hidden ones.

    Args:
        found: the rows; course: gives the order.
        students: how many students they are from.
    """
    order = {skill: i for i, skill in enumerate(course.skill)}
    rows = []
    for one in sorted(found, key=lambda row: order[row.skill]):
        counts = ((name, count) for name, count in fields_of(one) if isinstance(count, int))
        shown: dict[str, Any] = {name: hide_small((n, students - n))[0][0] for name, n in counts}
        rows += [replace(one, **shown)] * any(count is not None for count in shown.values())
    return tuple(rows)


def time_outside(found: Sequence[Stay]) -> tuple[Stay, ...]:
    """Return how long units take, without those of few cases."""
    return tuple(one for one in found if one.cases >= FEW)


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
    counts = Counter(pairs)
    return tuple(tuple(counts[first, second] for second in range(levels)) for first in range(levels))


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
    """Return how the notes of two about one check compare, ``since`` a day (None: all) ``until`` the last."""
    found: list[tuple[_Check, str, Pair]] = []
    for record in records:
        for day, readings in _co_noted(record, since, until):
            for one, other in combinations(readings, 2):  # what one left out says nothing
                both = one.keys() & other.keys()
                found += (((record.id, day), skill, (one[skill], other[skill])) for skill in both)
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


def _co_noted(record: Record, since: int | None, until: int) -> Iterator[tuple[int, list[dict[str, int]]]]:
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


def _criterion(skill: str, found: list[tuple[_Check, str, Pair]]) -> Criterion:
    pairs = [pair for _, _, pair in found]
    checks = {check for check, _, _ in found}
    apart = [abs(first - second) for first, second in pairs]
    return Criterion(
        skill, len(checks), len({day for _, day in checks}), len(pairs), apart.count(0), apart.count(1),
        tuple(sorted(Counter((min(pair), max(pair)) for pair in pairs).items())),
    )  # fmt: skip
