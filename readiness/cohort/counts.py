"""Counts over a network: how many are where, and which skills keep most students in their unit.

The counts of ``readiness.school``, made from arrays. No student is ever a row here. For a reader
outside, small counts are hidden by the same rule (``school.outside``).
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from readiness.cohort.judge import Judged
from readiness.cohort.kernel import VERDICTS
from readiness.cohort.tables import Array
from readiness.course.model import Course
from readiness.school import counts
from readiness.school.outside import Hidden, hide_small

__all__ = ["Keeps", "KeepsOutside", "keeps", "keeps_outside", "numbers"]


@dataclass(frozen=True, slots=True)
class Keeps:
    """How many students a skill keeps in their unit: tried and not there, or to be looked at."""

    skill: str
    unit: str
    gap: int
    look: int


@dataclass(frozen=True, slots=True)
class KeepsOutside:
    """:class:`Keeps` with what is hidden."""

    skill: str
    unit: str
    gap: Hidden
    look: Hidden


def numbers(judged: Sequence[Judged], course: Course) -> counts.Numbers:
    """Return how many students there are in all, in each unit and with each verdict."""
    units = _sum(
        [np.bincount(one.unit + 1, minlength=len(course.units) + 1) for one in judged], len(course.units) + 1
    )
    verdicts = _sum([np.bincount(one.verdict, minlength=len(VERDICTS)) for one in judged], len(VERDICTS))
    said = dict(zip(VERDICTS, verdicts, strict=True))
    said["ready"] += said["ready-taking-along"]
    by_unit = list(zip((None, *course.unit), units, strict=True))
    return counts.Numbers(
        sum(len(one.verdict) for one in judged),
        (*by_unit[1:], by_unit[0]),
        tuple((verdict, said[verdict]) for verdict in counts.VERDICTS),
    )


def _sum(rows: Sequence[Array], width: int) -> list[int]:
    """Return the sums of columns; zeros without any row."""
    return [int(total) for total in sum(rows, np.zeros(width, np.int64))]


def keeps(judged: Sequence[Judged], course: Course) -> tuple[Keeps, ...]:
    """Return the skills that keep students in their unit, the one of most students first.

    A student whom several skills keep counts with each of them. One whose lessons are paused
    counts too: what waits for them is the same.
    """
    skills = len(course.skills)
    gaps, looks = _sum([one.gap for one in judged], skills), _sum([one.look for one in judged], skills)
    rows = [
        Keeps(skill.id, skill.unit, gap, look)
        for skill, gap, look in zip(course.skills, gaps, looks, strict=True)
        if gap or look
    ]
    return tuple(sorted(rows, key=lambda row: (-row.gap - row.look, -row.gap)))


def keeps_outside(found: Sequence[Keeps], students: int) -> tuple[KeepsOutside, ...]:
    """Return the same for a reader outside, rows without anything to show left out.

    Args:
        found: the rows.
        students: how many students they are from.
    """
    rows = (
        KeepsOutside(one.skill, one.unit, _apart(one.gap, students), _apart(one.look, students))
        for one in found
    )
    return tuple(row for row in rows if (row.gap, row.look) != (None, None))


def _apart(count: int, students: int) -> Hidden:
    """Return a count, None where it or those it leaves are few."""
    return hide_small((count, students - count))[0][0]
