"""Where a transfer student starts (rule R10).

For placing alone, one showing stands for what lies under it: a fair guess for a first
lesson, marked provisional, and never used to call anything secure.
"""

from __future__ import annotations

from readiness.course.model import Band, Course
from readiness.course.plan import bits
from readiness.judging.answer import PlacingResult
from readiness.judging.deciding import entry_list
from readiness.judging.known import Known
from readiness.record.model import Record

__all__ = ["latest_showings", "place"]


def place(course: Course, record: Record, known: Known, band: Band) -> PlacingResult:
    """Climb from the first unit until more than may come along is missing (rule R10)."""
    plan = course.plan
    left_out = plan.optional[band.name] | known.set_aside
    shown, not_counting = latest_showings(course, known, band)
    implied = _implied(course, shown) & ~not_counting & ~plan.must_be_seen
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
        provisional=len(known.lesson_days) < 2 and not _confirmed(record, known.day),
        implied=plan.names(implied & ~shown & ~left_out),
    )


def latest_showings(course: Course, known: Known, band: Band) -> tuple[int, int]:
    """Return the skills whose latest note counts, and those whose latest note does not.

    A skill settled elsewhere, with no note since, counts as shown: its day was noted whole.
    """
    shown = not_counting = 0
    plan = course.plan
    for i, (kind, unit) in enumerate(zip(plan.kind, plan.unit, strict=True)):
        settled = known.settled[unit]
        latest = known.notes.get(i, ())[-1:]
        if latest and (settled is None or latest[0][0] >= settled):
            if latest[0][1] <= band.accepts[kind]:
                shown |= 1 << i
            else:
                not_counting |= 1 << i
        elif settled is not None:
            shown |= 1 << i
    return shown, not_counting


def _implied(course: Course, shown: int) -> int:
    implied = 0
    for i in bits(shown):
        implied |= course.plan.ancestors[i]
    return implied


def _confirmed(record: Record, day: int) -> bool:
    return any(one.confirmed is not None and one.confirmed <= day for one in record.seen.placings)
