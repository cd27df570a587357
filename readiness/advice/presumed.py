"""What is probably there for a student who was placed, though nobody has seen enough of it here.

Rule R10 lets a showing stand for what lies under it, for placing, and all looks together tell what
else of the units before the start is probably there. Nothing is secure by that (rule R5), and a
plan would teach such things as new. So they are named here, to be looked at in passing, and they
carry what stands on them until then. It ends by itself: what was looked at and did not come is out
of it, and what is settled needs it no more.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

from readiness.course.model import Course, union
from readiness.judging.answer import Answer
from readiness.judging.deciding import entry_list, implied_by, latest_showings, place
from readiness.judging.history import known_on
from readiness.judging.states import States, judge_states
from readiness.lazy import dataclass
from readiness.record.model import Record
from readiness.terms import State

if TYPE_CHECKING:
    from readiness.advice.placing_round import PlacingRound

__all__ = ["Claim", "claim", "likely_before", "presumed", "presumed_in", "start_of", "was_placed"]

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
    shown, did_not_come = latest_showings(states)
    begun = min((plan.unit_index[one.unit] for one in record.unit_starts if one.on <= known.day), default=0)
    likely = likely_before(course, record, states, begun)
    there = implied_by(plan, shown, did_not_come) | likely & ~plan.must_be_seen & ~did_not_come
    return there & states.among(State.UNTRIED, State.BUILDING)


def likely_before(course: Course, record: Record, states: States, unit: int) -> int:
    """Return what was not asked for of the units before this one and all looks make likely (a set)."""
    plan, (shown, did_not_come) = course.plan, latest_showings(states)
    asked = shown | did_not_come | states.known.set_aside | plan.optional[states.band.name]
    earlier = union(1 << i for i, at in enumerate(plan.unit) if at < unit)
    unasked = earlier & ~(asked | plan.safety | plan.always_look)
    if not unasked:
        return 0
    from readiness.advice.placing_round import likely_of  # here, since a crowd takes time to imagine

    return likely_of(unasked, course, record, states.known.day)


def start_of(course: Course, record: Record, answer: Answer) -> PlacingRound | None:
    """Return where a student who is not placed starts, as every answer says it; None for any other."""
    if answer.placing is None:
        return None
    from readiness.advice.placing_round import placing_round  # here, since few are being placed

    return placing_round(course, record, answer.on)


# Whether somebody stands where they say: the entry list of a unit, held against what was seen.


@dataclass(frozen=True)
class Claim:
    """What the units up to one ask for on entering it, each skill in one list, in graph order.

    Attributes:
        lists: shown, implied (something shown builds on it, rule R10), missing (it was asked for and
            did not come) and not_asked (nothing is known of it).
        limit: how much may be missing to start there.
        strands: by strand that asks for something, these four lists.
    """

    unit: str
    lists: dict[str, tuple[str, ...]]
    limit: int
    strands: dict[str, dict[str, tuple[str, ...]]]


def claim(course: Course, record: Record, on: int, unit: str) -> Claim:
    """Hold the claim that somebody can start in a unit against what was seen up to a day."""
    course = course.on(on)
    plan, known = course.plan, known_on(course, record, on)
    band = known.band_on(course, on)
    states, left_out = judge_states(plan, known, band, on), plan.optional[band.name] | known.set_aside
    asked = union(entry_list(plan, number, left_out) for number in range(plan.unit_index[unit] + 1))
    shown, did_not_come = latest_showings(states)
    implied = plan.set_of(place(course, record, states).implied) & ~shown
    sets = {
        "shown": asked & shown,
        "implied": asked & implied,
        "missing": asked & did_not_come,
        "not_asked": asked & ~shown & ~implied & ~did_not_come,
    }
    strands = {
        strand.id: plan.set_of(skill.id for skill in course.skills if skill.strand == strand.id) & asked
        for strand in course.strands
    }

    def lists(within: int) -> dict[str, tuple[str, ...]]:
        return {name: plan.names(one & within) for name, one in sets.items()}

    by_strand = {strand: lists(mine) for strand, mine in strands.items() if mine}
    return Claim(unit, lists(asked), band.whole("carry_limit"), by_strand)
