"""What is probably there for a student who was placed, though nobody has seen enough of it here.

Rule R10 lets a showing stand for what lies under it, for placing, and all looks together tell what
else of the units before the start is probably there. Nothing is secure by that (rule R5), and a
plan would teach such things as new. So they are named here, to be looked at in passing, and they
carry what stands on them until then. It ends by itself: what was looked at and did not come is out
of it, and what is settled needs it no more.
"""

from __future__ import annotations

from readiness.advice.placing.round import likely_before
from readiness.course.model import Course
from readiness.judging.answer import Answer
from readiness.judging.deciding import entry_list
from readiness.judging.history import known_on
from readiness.judging.placing import implied_by, latest_showings, place
from readiness.judging.states import States, judge_states
from readiness.lazy import dataclass
from readiness.record.model import Record
from readiness.terms import State

__all__ = ["Claim", "claim", "presumed", "presumed_in", "was_placed"]


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
    unsettled = sum(1 << i for i, name in enumerate(states.state) if name in (State.UNTRIED, State.BUILDING))
    return under & unsettled & ~plan.must_be_seen & ~did_not_come


# Whether somebody stands where they say: the entry list of a unit, held against what was seen.


@dataclass(frozen=True)
class Claim:
    """What the units up to one ask for on entering it, each skill in one list, in graph order.

    Attributes:
        unit: the unit that was claimed.
        shown, implied: what was shown, and what something shown builds on (rule R10).
        missing: what was asked for and did not come; not_asked: what nothing is known of.
        limit: how much may be missing to start there.
        strands: by strand that asks for something, these four lists.
    """

    unit: str
    shown: tuple[str, ...]
    implied: tuple[str, ...]
    missing: tuple[str, ...]
    not_asked: tuple[str, ...]
    limit: int
    strands: tuple[tuple[str, dict[str, tuple[str, ...]]], ...]

    @property
    def lists(self) -> dict[str, tuple[str, ...]]:
        """The four lists by name."""
        return {
            "shown": self.shown,
            "implied": self.implied,
            "missing": self.missing,
            "not_asked": self.not_asked,
        }


def claim(course: Course, record: Record, on: int, unit: str) -> Claim:
    """Hold the claim that somebody can start in a unit against what was seen up to a day."""
    course = course.on(on)
    plan, known = course.plan, known_on(course, record, on)
    states = judge_states(plan, known, known.band_on(course, on), on)
    band = states.band
    left_out = plan.optional[band.name] | known.set_aside
    asked = 0
    for number in range(plan.unit_index[unit] + 1):
        asked |= entry_list(plan, number, left_out)
    shown, did_not_come = latest_showings(plan, states)
    implied = plan.set_of(place(course, record, states).implied) & ~shown
    sets = {
        "shown": asked & shown,
        "implied": asked & implied,
        "missing": asked & did_not_come,
        "not_asked": asked & ~shown & ~implied & ~did_not_come,
    }
    of = {
        strand.id: plan.set_of(skill.id for skill in course.skills if skill.strand == strand.id) & asked
        for strand in course.strands
    }
    return Claim(
        unit=unit,
        **{name: plan.names(one) for name, one in sets.items()},
        limit=band.whole("carry_limit"),
        strands=tuple(
            (strand, {name: plan.names(one & mine) for name, one in sets.items()})
            for strand, mine in of.items()
            if mine
        ),
    )
