"""Which skills placing asks about, and what it believes of them before the first look.

Where a student starts depends on the entry lists alone (rule R10), so the belief is over the
closed sets of the skills on them: all that decides, and no more. Under them lies what the links
say, except that nothing implies a ``must_be_seen`` skill, as in R10. Always-look skills are
looked at by themselves and not among these.

Before the first look, each unit is equally likely to be the one a student comes from.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from functools import lru_cache
from itertools import pairwise
from math import exp
from typing import Final

from readiness.course.model import Course
from readiness.course.plan import Plan, bits
from readiness.judging.deciding import entry_list
from readiness.planning.placing.assumed import ASSUMED, Assumed
from readiness.planning.placing.belief import Belief
from readiness.planning.placing.states import ClosedSets, Weights, closed_sets

__all__ = ["Footings", "footings"]

_NEVER: Final = 1e-6
"""Where a unit is reached less often than this, no later one is asked about."""


@dataclass(frozen=True)
class Footings:
    """What the units of a course stand on, for placing.

    Attributes:
        asked_by: by unit number, all that units up to it ask for on entering (sets of skills).
        start: the belief before any look.
    """

    asked_by: tuple[int, ...]
    start: Belief

    @property
    def sets(self) -> ClosedSets:
        """The closed sets."""
        return self.start.sets

    def start_of(self, there: int, limit: int) -> int:
        """Return the number of the unit in which somebody with exactly ``there`` starts (R10)."""
        unit = 0
        while unit + 1 < len(self.asked_by) and (self.asked_by[unit + 1] & ~there).bit_count() <= limit:
            unit += 1
        return unit

    def start_chances(self, belief: Belief, limit: int) -> tuple[float, ...]:
        """Return by unit how likely it is the one to start in."""
        reached = [1.0]
        for asked in self.asked_by[1:]:
            reached.append(belief.few_missing(asked, limit) if reached[-1] > _NEVER else 0.0)
        return tuple(here - beyond for here, beyond in pairwise([*reached, 0.0]))


def footings(course: Course, left_out: int, assumed: Assumed = ASSUMED) -> Footings:
    """Return what placing asks about in a course, without the skills in ``left_out``."""
    plan = course.plan
    asked, lists = 0, []
    for unit in range(len(plan.unit_ids)):
        asked |= entry_list(plan, unit, left_out) & ~plan.always_look
        lists.append(asked)
    under = tuple((i, plan.ancestors[i] & asked & ~plan.must_be_seen) for i in bits(asked))
    sets = _compiled(under)
    kept = sum(1 << skill for skill in sets.skills)
    return Footings(tuple(one & kept for one in lists), Belief.before(sets, _kinds(plan, sets, assumed)))


@lru_cache(maxsize=8)
def _compiled(under: tuple[tuple[int, int], ...]) -> ClosedSets:
    return closed_sets(dict(under))


def _kinds(plan: Plan, sets: ClosedSets, assumed: Assumed) -> Sequence[Weights]:
    """Return a weighting for each unit a student may come from."""
    kinds = []
    for unit in range(len(plan.unit_ids)):
        odds = {i: exp(assumed.slope * (unit - plan.unit[i] - 0.5)) for i in sets.skills}
        kinds.append({i: (1 / (1 + one), one / (1 + one)) for i, one in odds.items()})
    return kinds
