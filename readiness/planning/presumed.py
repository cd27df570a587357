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
from readiness.judging.states import States, judge_states
from readiness.planning.placing.round import likely_before
from readiness.record.model import Record

__all__ = ["presumed", "presumed_in", "was_placed"]


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
    known = known_on(course, record, answer.on)
    states = judge_states(course.plan, known, course.band[answer.band], answer.on)
    return frozenset(course.plan.names(presumed_in(course, record, states)))


def presumed_in(course: Course, record: Record, states: States) -> int:
    """Return the same as a set of skills, from states that are known already."""
    plan, known = course.plan, states.known
    if known.unit is not None and not was_placed(course, record, known.day):
        return 0
    shown, did_not_come = latest_showings(plan, states)
    begun = [plan.unit_index[one.unit] for one in record.unit_starts if one.on <= known.day]
    under = implied_by(plan, shown)
    under |= likely_before(course, record, known.day, min(begun)) if begun else 0
    unsettled = sum(1 << i for i, name in enumerate(states.state) if name in ("untried", "building"))
    return under & unsettled & ~plan.must_be_seen & ~did_not_come
