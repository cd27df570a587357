"""What the days of each skill come to: rules R2 and R3, one walk through the notes of each.

Nothing here knows how skills hang together, what fades, or which day it is.
"""

from __future__ import annotations

from collections.abc import Mapping
from typing import Final, NamedTuple

from readiness.course.model import Band
from readiness.course.plan import Plan, bits
from readiness.judging.known import Note

__all__ = ["NEVER", "Fold", "fold", "folds_of"]


class Fold(NamedTuple):
    """What the days of one skill come to (rule R3).

    Attributes:
        secure_since: None when not secure.
        have: length of the list of counting days.
        misses: days in a row, at the end, that did not count.
        slipped: whether it was ever secure and lost.
        last_count: the latest counting day in scope.
        last: the latest note in scope.
    """

    secure_since: int | None
    have: int
    misses: int
    slipped: bool
    last_count: int | None
    last: Note | None


NEVER: Final = Fold(None, 0, 0, False, None, None)
"""Neither noted nor settled."""


def fold(
    notes: tuple[Note, ...], accepts: int, needed: int, spread: int, settled: int | None
) -> Fold:
    """Go through the notes of one skill in order (rules R2 and R3).

    Args:
        notes: one a day, oldest first; at least one.
        accepts: the most help that still counts; needed: days needed; spread: days from
            the first to the last of them.
        settled: the day from which the skill is taken as secure; earlier notes are left out.
    """
    if settled is not None and notes[0][0] < settled:
        notes = tuple(note for note in notes if note[0] >= settled)
    secure_since = settled
    first = last_count = None
    have = misses = 0
    slipped = False
    for day, help_given, _ in notes:
        if help_given <= accepts:
            misses = 0
            have += 1
            last_count = day
            if first is None:
                first = day
            if secure_since is None and have >= needed and (needed == 1 or day - first >= spread):
                secure_since = day
        else:
            misses += 1
            if misses == 2 and secure_since is not None:
                secure_since, slipped = None, True
                have, first = 0, None
    return Fold(secure_since, have, misses, slipped, last_count, notes[-1] if notes else None)


def folds_of(
    plan: Plan, evidence: Mapping[int, tuple[Note, ...]], settled: tuple[int | None, ...], band: Band
) -> tuple[Fold, ...]:
    """Return what the days of every skill come to, by skill number."""
    spread, kind, unit, days = band.whole("spread_days"), plan.kind, plan.unit, plan.days
    accepts, needed = band.accepts, band.days_needed
    folds = [NEVER] * len(kind)
    for number, day in enumerate(settled):
        if day is not None:
            without_notes = Fold(day, 0, 0, False, None, None)
            for i in bits(plan.in_unit[number]):
                folds[i] = without_notes
    for i, notes in evidence.items():
        folds[i] = fold(notes, accepts[kind[i]], days[i] or needed[kind[i]], spread, settled[unit[i]])
    return tuple(folds)
