"""Whether somebody stands where they say: the entry list of a unit, held against what was seen."""

from __future__ import annotations

from dataclasses import dataclass

from readiness.course.model import Course
from readiness.judging.deciding import entry_list
from readiness.judging.known import known_on
from readiness.judging.placing import latest_showings, place
from readiness.judging.states import judge_states
from readiness.record.model import Record

__all__ = ["Claim", "claim"]


@dataclass(frozen=True, slots=True)
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
