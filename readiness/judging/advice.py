"""The one thing to work on (rules, "One thing to work on").

With a gap it is the lowest weak link under what is missing, because practice above a weak
link strengthens nothing. Without one it is the look that settles most.
"""

from __future__ import annotations

from readiness.course.plan import Plan, bits
from readiness.judging.deciding import Deciding
from readiness.judging.looks import Looks, open_skills
from readiness.judging.states import States

__all__ = ["chain_up", "frees", "one_thing", "targets"]


def one_thing(
    plan: Plan, deciding: Deciding, states: States, looks: Looks, carry_limit: int
) -> int | None:
    """Return the skill to work on for a verdict that is not ready, None if there is none."""
    goals = targets(deciding, states, carry_limit)
    if goals:
        return _lowest_weak_link(plan, deciding, states, goals)
    return _best_look(plan, deciding, states, looks)


def targets(deciding: Deciding, states: States, carry_limit: int) -> int:
    """Return the gaps that stand in the way: deciding ones, else those of a rest too full."""
    gaps = (deciding.skills | deciding.unmet_members(states)) & states.gaps
    if gaps:
        return gaps
    open_rest = deciding.rest & ~states.secure
    return open_rest & states.gaps if open_rest.bit_count() > carry_limit else 0


def _lowest_weak_link(plan: Plan, deciding: Deciding, states: States, goals: int) -> int:
    shaky = (states.gaps | states.wobbling) & ~deciding.left_out
    under = goals
    for i in bits(goals):
        under |= plan.ancestors[i] & shaky
    lowest = [i for i in bits(under) if not plan.ancestors[i] & shaky]
    return min(
        lowest,
        key=lambda i: (-frees(plan, deciding, states, i).bit_count(), plan.minutes[i], plan.ids[i]),
    )


def frees(plan: Plan, deciding: Deciding, states: States, skill: int) -> int:
    """Return what waits for a skill: it and what stands on it, not secure, of this and the next unit."""
    here = plan.in_unit[deciding.unit]
    if deciding.next_unit is not None:
        here |= plan.in_unit[deciding.next_unit]
    waiting = here & ~states.secure & ~deciding.left_out
    return waiting & (plan.descendants[skill] | 1 << skill)


def _best_look(plan: Plan, deciding: Deciding, states: States, looks: Looks) -> int | None:
    """Return the open skill whose showing settles most, else the lowest open one that waits."""
    gained = {i: looks.gained(i) for i in looks.settles}
    if any(gained.values()):
        return min(gained, key=lambda i: (-gained[i], *_lowness(plan, i)))
    candidates = open_skills(plan, deciding, states)
    blocking = candidates & (deciding.skills | deciding.unmet_members(states))
    waiting = blocking or candidates & deciding.rest
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
