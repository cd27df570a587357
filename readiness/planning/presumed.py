"""What is probably there for a student who was placed, though nobody has seen enough of it here.

Rule R10 lets a showing stand for what lies under it, for placing, and all looks together tell what
else of the units before the start is probably there. Nothing is secure by that (rule R5), and a
plan would teach such things as new. So they are named here, to be looked at in passing, and they
carry what stands on them until then. It ends by itself: what was looked at and did not come is out
of it, and what is settled needs it no more.
"""

from __future__ import annotations

from readiness.course.model import Course
from readiness.judging.answer import Answer
from readiness.judging.known import known_on
from readiness.judging.placing import implied_by, latest_showings
from readiness.judging.states import judge_states
from readiness.planning.placing.round import likely_before
from readiness.record.model import Record

__all__ = ["presumed", "was_placed"]


def was_placed(course: Course, record: Record, on: int) -> bool:
    """Return whether a student came by a placing, or began further on than in the first unit."""
    begun = min((one for one in record.unit_starts if one.on <= on), key=lambda one: one.on, default=None)
    if begun is None:
        return False
    began_later = begun.unit != course.plan.unit_ids[0]
    return began_later or any(one.on <= on for one in record.placings)


def presumed(course: Course, record: Record, answer: Answer) -> frozenset[str]:
    """Return what something shown stands on, or all looks make likely, and what is not settled.

    What was asked for and did not come is not among it. Empty for a student who began in the first unit
    without a placing: there everything was taught here.
    """
    if answer.unit is not None and not was_placed(course, record, answer.on):
        return frozenset()
    plan, known = course.plan, known_on(course, record, answer.on)
    states = judge_states(plan, known, course.band[answer.band], answer.on)
    shown, did_not_come = latest_showings(plan, states)
    begun = [plan.unit_index[one.unit] for one in record.unit_starts if one.on <= answer.on]
    under = implied_by(plan, shown)
    under |= likely_before(course, record, answer.on, min(begun)) if begun else 0
    return frozenset(
        skill
        for skill in plan.names(under & ~plan.must_be_seen & ~did_not_come)
        if answer.standings[skill].state in ("untried", "building")
    )
