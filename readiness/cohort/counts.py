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
from readiness.course.model import Course
from readiness.lazy import dataclass
from readiness.school import counts
from readiness.school.disclosure import Hidden, apart, in_course_order
from readiness.terms import Verdict

__all__ = ["Keeps", "KeepsOutside", "Tally", "keeps", "keeps_outside", "numbers", "tally"]


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


class Tally:
    """Counts that grow part by part, so that no part has to stay in memory.

    They are for whoever looks after the network; for others ``school.disclosure`` hides what is small.
    """

    def __init__(self, course: Course) -> None:
        self._course = course
        self._units = np.zeros(len(course.units) + 1, np.int64)
        self._verdicts = np.zeros(len(VERDICTS), np.int64)
        self._gap, self._look = (np.zeros(len(course.skills), np.int64) for _ in range(2))

    def add(self, part: Judged | Unreadable) -> None:
        """Count a part; one that could not be read is not counted."""
        if isinstance(part, Judged):
            self._units += np.bincount(part.unit + 1, minlength=len(self._units))
            self._verdicts += np.bincount(part.verdict, minlength=len(VERDICTS))
            self._gap += part.gap
            self._look += part.look

    @property
    def numbers(self) -> counts.Numbers:
        """How many students there are in all, in each unit and with each verdict."""
        said = dict(zip(VERDICTS, self._verdicts.tolist(), strict=True))
        said[Verdict.READY] += said[Verdict.READY_TAKING_ALONG]
        by_unit = list(zip((None, *self._course.unit), self._units.tolist(), strict=True))
        verdicts = tuple((verdict, said[verdict]) for verdict in counts.VERDICTS)
        return counts.Numbers(int(self._verdicts.sum()), (*by_unit[1:], by_unit[0]), verdicts)

    @property
    def keeps(self) -> tuple[Keeps, ...]:
        """The skills that keep students in their unit, the one of most students first.

        A student whom several skills keep counts with each of them. One whose lessons are paused
        counts too: what waits for them is the same.
        """
        found = zip(self._course.skills, self._gap.tolist(), self._look.tolist(), strict=True)
        rows = [Keeps(skill.id, skill.unit, gap, look) for skill, gap, look in found if gap or look]
        return tuple(sorted(rows, key=lambda row: (-row.gap - row.look, -row.gap)))


def tally(parts: Iterable[Judged | Unreadable], course: Course) -> Tally:
    """Return the counts over some parts."""
    counted = Tally(course)
    for part in parts:
        counted.add(part)
    return counted


def numbers(parts: Iterable[Judged | Unreadable], course: Course) -> counts.Numbers:
    """Return :attr:`Tally.numbers` of some parts."""
    return tally(parts, course).numbers


def keeps(parts: Iterable[Judged | Unreadable], course: Course) -> tuple[Keeps, ...]:
    """Return :attr:`Tally.keeps` of some parts."""
    return tally(parts, course).keeps


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
