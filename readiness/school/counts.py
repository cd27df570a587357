"""Counts over all students: where they get stuck, how long units take, how many are where.

A child is never a row here and a teacher never is. How sure a count is depends on how many
cases it is from, so that number is always beside it; fewer than ``FEW`` conclude nothing (C12).
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Iterator, Sequence
from itertools import pairwise
from statistics import median, quantiles
from typing import Final

from readiness.course.model import Course
from readiness.judging.history import known_on
from readiness.judging.remarks import unit_limit
from readiness.lazy import dataclass
from readiness.record.model import Record
from readiness.school.students import Judged
from readiness.terms import State, Verdict

__all__ = ["FEW", "VERDICTS", "Numbers", "Past", "Stay", "Where", "numbers", "past", "time", "where"]

FEW: Final = 5
"""Fewer cases conclude nothing, and are not shown to readers outside (common practice, no source)."""

VERDICTS: Final = (Verdict.READY, Verdict.LOOK_AGAIN, Verdict.NOT_YET, Verdict.PAUSED, Verdict.NOT_PLACED)
"""The verdicts in the order they are counted; taking something along is ready too."""


@dataclass(frozen=True)
class Where:
    """How many students are stuck on a skill, and how many show it only with help (Q42)."""

    skill: str
    unit: str
    stuck: int
    with_help: int


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
class Numbers:
    """How many students there are, in each unit, and with each verdict; None is no unit yet."""

    students: int
    units: tuple[tuple[str | None, int], ...]
    verdicts: tuple[tuple[str, int], ...]


def where(course: Course, judged: Sequence[Judged]) -> tuple[Where, ...]:
    """Return the skills students get stuck on most, then those most need help with.

    Paused students are left out: nothing is asked of them.
    """
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
    return tuple(sorted(rows, key=lambda row: (-row.stuck, -row.with_help)))


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
                band = known_on(course, record, begun.on).band_on(course, begun.on)
                yield start.unit, band.name, len(days)


def _stay(unit: str, band: str, days: Sequence[int], usual: int) -> Stay:
    low, _, high = quantiles(days, n=4, method="inclusive") if len(days) > 1 else (*days, *days, *days)
    return Stay(unit, band, len(days), float(median(days)), float(low), float(high), usual)


def numbers(course: Course, judged: Sequence[Judged]) -> Numbers:
    """Return how many students there are in all, in each unit and with each verdict."""
    units = Counter(one.answer.unit for one in judged)
    verdicts = Counter("ready" if one.answer.is_ready else one.answer.verdict for one in judged)
    by_unit: list[tuple[str | None, int]] = [(unit.id, units[unit.id]) for unit in course.units]
    return Numbers(
        len(judged),
        (*by_unit, (None, units[None])),
        tuple((verdict, verdicts[verdict]) for verdict in VERDICTS),
    )
