"""The one thing to work on (rules, "One thing to work on").

With a gap it is the lowest weak link under what is missing, because practice above a weak
link strengthens nothing. Without one it is the look that settles most.
"""

from __future__ import annotations

from functools import reduce
from operator import or_

from readiness.course.plan import Plan, bits
from readiness.judging.deciding import Deciding
from readiness.judging.looks import Looks, open_skills
from readiness.judging.placing import implied_by, latest_showings
from readiness.judging.states import States

__all__ = ["chain_up", "frees", "one_thing", "targets"]


def one_thing(
    plan: Plan, deciding: Deciding, states: States, looks: Looks | None, carry_limit: int
) -> int | None:
    """Return the skill to work on for a verdict that is not ready, None if there is none.

    Args:
        plan, deciding, states: as of the day asked about.
        looks: what showings at the next lesson would settle; None where no lesson is to come.
        carry_limit: how much of the rest may be unfinished.
    """
    goals = targets(deciding, states, carry_limit)
    if goals:
        return _lowest_weak_link(plan, deciding, states, goals)
    best = None if looks is None else _best_look(plan, looks)
    return _lowest_open(plan, deciding, states) if best is None else best


def targets(deciding: Deciding, states: States, carry_limit: int) -> int:
    """Return the gaps that stand in the way: deciding ones, else those of a rest too full."""
    groups = (group.members for group in deciding.unmet(states) if group.is_gap(states))
    gaps = (deciding.skills | reduce(or_, groups, 0)) & states.gaps & ~deciding.left_out
    if gaps:
        return gaps
    open_rest = deciding.rest & ~states.secure
    return open_rest & states.gaps if open_rest.bit_count() > carry_limit else 0


def _lowest_weak_link(plan: Plan, deciding: Deciding, states: States, goals: int) -> int:
    gathered = _gathered(plan, deciding, states, goals)
    lowest = [i for i in bits(gathered) if not plan.ancestors[i] & gathered]
    return min(
        lowest,
        key=lambda i: (-frees(plan, deciding, states, i).bit_count(), plan.minutes[i], plan.ids[i]),
    )


def _gathered(plan: Plan, deciding: Deciding, states: States, goals: int) -> int:
    """Return the goals with all that is weak under them, and what they stand on that is not there yet."""
    weak = (states.gaps | states.wobbling) & ~deciding.left_out
    missing = _not_there(plan, states) & ~deciding.left_out
    gathered, waiting = 0, goals
    while waiting:
        gathered |= waiting
        found = 0
        for i in bits(waiting):
            found |= plan.ancestors[i] & weak | plan.needs[i] & missing
        waiting = found & ~gathered
    return gathered


def _not_there(plan: Plan, states: States) -> int:
    """Return the skills that are building, and those never shown that nothing shown implies (R10)."""
    shown, not_counting = latest_showings(plan, states)
    implied = implied_by(plan, shown) & ~not_counting & ~plan.must_be_seen
    named = ((i, name) for i, name in enumerate(states.state) if name in ("building", "untried"))
    return sum(1 << i for i, name in named if name == "building" or not implied >> i & 1)


def frees(plan: Plan, deciding: Deciding, states: States, skill: int) -> int:
    """Return what waits for a skill: it and what stands on it, not secure, of this and the next unit."""
    here = plan.in_unit[deciding.unit]
    if deciding.next_unit is not None:
        here |= plan.in_unit[deciding.next_unit]
    waiting = here & ~states.secure & ~deciding.left_out
    return waiting & (plan.descendants[skill] | 1 << skill)


def _best_look(plan: Plan, looks: Looks) -> int | None:
    """Return the open skill whose showing settles most; one that is left out only where no other does."""
    for asked in (~looks.left_out, looks.left_out):
        gained = {i: looks.gained(i) for i in looks.settles if asked >> i & 1}
        if any(gained.values()):
            return min(gained, key=lambda i: (-gained[i], *_lowness(plan, i)))
    return None


def _lowest_open(plan: Plan, deciding: Deciding, states: States) -> int | None:
    """Return the open skill lowest in the graph that is waited for, as of the day asked about."""
    candidates = open_skills(plan, deciding, states)
    blocking = candidates & (deciding.skills | deciding.unmet_members(states))
    waiting = blocking & ~deciding.left_out or blocking or candidates & deciding.rest
    return min(bits(waiting), key=lambda i: _lowness(plan, i), default=None)


def _lowness(plan: Plan, i: int) -> tuple[int, int, str]:
    return plan.depth[i], plan.minutes[i], plan.ids[i]


def chain_up(plan: Plan, skill: int, goals: int) -> tuple[int, ...]:
    """Return a shortest chain of links from a skill up to one of ``goals``, both included.

    Searched downward from the goals, in graph order; empty when none leads there.
    """
    between = plan.descendants[skill] | 1 << skill
    above: dict[int, int | None] = dict.fromkeys(bits(goals & between))
    ring = list(above)
    while ring and skill not in above:
        found = {other: i for i in reversed(ring) for other in bits(plan.needs[i] & between)}
        ring = [other for other in found if other not in above]
        above |= {other: found[other] for other in ring}
    chain: list[int] = []
    step: int | None = skill if skill in above else None
    while step is not None:
        chain.append(step)
        step = above[step]
    return tuple(chain)
