"""Where a transfer student starts (rule R10).

For placing alone, one showing stands for what lies under it: a fair guess for a first
lesson, marked provisional, and never used to call anything secure.
"""

from __future__ import annotations

from readiness.course.model import Course, Plan, bits, union
from readiness.judging.answer import PlacingResult
from readiness.judging.deciding import entry_list
from readiness.judging.states import NEVER, States
from readiness.record.model import Record

__all__ = ["implied_by", "latest_showings", "place"]


def place(course: Course, record: Record, states: States) -> PlacingResult:
    """Climb from the first unit until more than may come along is missing (rule R10)."""
    plan, known, band = course.plan, states.known, states.band
    left_out = plan.optional[band.name] | known.set_aside
    shown, not_counting = latest_showings(states)
    implied = implied_by(plan, shown, not_counting)
    there = shown | implied | plan.always_look
    limit = band.whole("carry_limit")
    unit, patches, stopped_by = 0, 0, 0
    while unit + 1 < len(plan.unit_ids):
        missing = entry_list(plan, unit + 1, left_out) & ~there & ~patches
        if (patches | missing).bit_count() > limit:
            stopped_by = missing
            break
        patches |= missing
        unit += 1
    return PlacingResult(
        start_unit=plan.unit_ids[unit],
        patches=plan.names(patches),
        stopped_by=plan.names(stopped_by),
        always_look_open=plan.names(plan.always_look & ~shown & ~left_out),
        provisional=len(known.lesson_days) < 2 and not any(
            one.confirmed is not None and one.confirmed <= known.day for one in record.seen.placings
        ),
        implied=plan.names(implied & ~shown & ~left_out),
    )


def latest_showings(states: States) -> tuple[int, int]:
    """Return the skills whose latest note counts, and those whose latest note does not.

    A skill settled elsewhere, with no note since, counts as shown: its day was noted whole.
    """
    noted = [(1 << i, bool(one.misses)) for i, one in enumerate(states.folds) if one is not NEVER]
    return union(one for one, missed in noted if not missed), union(one for one, missed in noted if missed)


def implied_by(plan: Plan, shown: int, not_counting: int) -> int:
    """Return all that what was shown stands on, but what only shows by itself and what did not come."""
    return union(plan.ancestors[i] for i in bits(shown)) & ~not_counting & ~plan.must_be_seen
