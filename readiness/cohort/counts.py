"""Counts over a network: how many are where, and which skills keep most students in their unit.

The counts of ``readiness.school``, made from arrays. No student is ever a row here. For a reader
outside, small counts are hidden by the same rule (``school.disclosure``).
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence

import numpy as np

from readiness.cohort.columns import Unreadable
from readiness.cohort.judge import Judged
from readiness.cohort.kernel import VERDICTS
from readiness.cohort.tables import Array
from readiness.course.model import Course
from readiness.lazy import dataclass
from readiness.school import counts
from readiness.school.disclosure import Hidden, apart, in_course_order
from readiness.terms import Verdict

__all__ = ["Keeps", "KeepsOutside", "keeps", "keeps_outside", "numbers"]


@dataclass(frozen=True)
class Keeps:
    """How many students a skill keeps in their unit: tried and not there, or to be looked at."""

    skill: str
    unit: str
    gap: int
    look: int


@dataclass(frozen=True)
class KeepsOutside:
    """:class:`Keeps` with what is hidden."""

    skill: str
    unit: str
    gap: Hidden
    look: Hidden


def numbers(parts: Iterable[Judged | Unreadable], course: Course) -> counts.Numbers:
    """Return how many students there are in all, in each unit and with each verdict.

    They are for whoever looks after the network; for others ``school.disclosure.numbers_outside``
    hides what is small. Parts that could not be read are not counted.
    """
    judged = _read(parts)
    units = _sum(
        [np.bincount(one.unit + 1, minlength=len(course.units) + 1) for one in judged], len(course.units) + 1
    )
    verdicts = _sum([np.bincount(one.verdict, minlength=len(VERDICTS)) for one in judged], len(VERDICTS))
    said = dict(zip(VERDICTS, verdicts, strict=True))
    said[Verdict.READY] += said[Verdict.READY_TAKING_ALONG]
    by_unit = list(zip((None, *course.unit), units, strict=True))
    return counts.Numbers(
        sum(len(one.verdict) for one in judged),
        (*by_unit[1:], by_unit[0]),
        tuple((verdict, said[verdict]) for verdict in counts.VERDICTS),
    )


def _sum(rows: Sequence[Array], width: int) -> list[int]:
    """Return the sums of columns; zeros without any row."""
    return [int(total) for total in sum(rows, np.zeros(width, np.int64))]


def _read(parts: Iterable[Judged | Unreadable]) -> list[Judged]:
    return [one for one in parts if isinstance(one, Judged)]


def keeps(parts: Iterable[Judged | Unreadable], course: Course) -> tuple[Keeps, ...]:
    """Return the skills that keep students in their unit, the one of most students first.

    A student whom several skills keep counts with each of them. One whose lessons are paused
    counts too: what waits for them is the same. Parts that could not be read are not counted.
    """
    judged = _read(parts)
    skills = len(course.skills)
    gaps, looks = _sum([one.gap for one in judged], skills), _sum([one.look for one in judged], skills)
    rows = [
        Keeps(skill.id, skill.unit, gap, look)
        for skill, gap, look in zip(course.skills, gaps, looks, strict=True)
        if gap or look
    ]
    return tuple(sorted(rows, key=lambda row: (-row.gap - row.look, -row.gap)))


def keeps_outside(found: Sequence[Keeps], course: Course, students: int) -> tuple[KeepsOutside, ...]:
    """Return the same for a reader outside, rows without anything to show left out.

    The rows are in the order of the course: one by their counts would tell the hidden ones.

    Args:
        found: the rows; course: gives the order.
        students: how many students they are from.
    """
    rows = (
        KeepsOutside(one.skill, one.unit, apart(one.gap, students), apart(one.look, students))
        for one in in_course_order(found, course)
    )
    return tuple(row for row in rows if (row.gap, row.look) != (None, None))
