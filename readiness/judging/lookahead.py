"""What a look would settle: the effect of showing open skills alone at the next lesson.

Answers two questions (rules, "One thing" and "Look first"): which single showing settles
most, and which smallest set of showings settles all that showings can (``judging.cover``).

A showing acts on its own skill, which may become secure by it, and on the skills under it
that are secure but stale, which its use keeps warm (R5). It cannot do more, so each skill
has a fixed set of skills it settles, and the question is one of covering.
"""

from __future__ import annotations

from collections.abc import Iterable
from itertools import combinations

from readiness.course.model import Course, Plan, bits, union
from readiness.judging.cover import Cover, Want, smallest_cover
from readiness.judging.deciding import Deciding, decided_on, implied_by, latest_showings
from readiness.judging.history import ALONE, Known
from readiness.judging.states import States, fold
from readiness.lazy import dataclass
from readiness.terms import State

__all__ = [
    "Looks", "Want", "chain_up", "frees", "look_effects", "one_thing", "open_skills", "smallest_cover",
    "targets",
]  # fmt: skip


@dataclass(frozen=True)
class Looks:
    """What each open skill would settle if shown alone on ``day``.

    ``settles`` maps an open skill to the set of skills its showing makes secure; ``wants``
    are the deciding skills and entry groups that are not there without a showing, each
    with what is still missing; ``left_out`` are the skills that nobody asks for that day.
    """

    day: int
    settles: dict[int, int]
    wants: tuple[Want, ...]
    left_out: int

    def gained(self, skill: int) -> int:
        """Return how many deciding skills and groups a single showing settles."""
        return sum(want.is_met(self.settles[skill]) for want in self.wants)

    def most(self, plan: Plan, among: Iterable[int], count: int) -> tuple[int, ...]:
        """Return which so many of some skills settle most together; of equals as :meth:`smallest` does."""

        def worth(chosen: tuple[int, ...]) -> tuple[int, int, list[str]]:
            reached = union(self.settles.get(i, 0) for i in chosen)
            settled = sum(want.is_met(reached) for want in self.wants)
            return -settled, sum(plan.minutes[i] for i in chosen), sorted(plan.ids[i] for i in chosen)

        skills = tuple(among)
        return min(combinations(skills, min(count, len(skills))), key=worth)

    def smallest(self, plan: Plan) -> Cover:
        """Return the minimal look set; of equals the one with fewest minutes, then by id."""
        everything = union(self.settles.values())
        reachable = tuple(want for want in self.wants if want.is_met(everything))
        return smallest_cover(self.settles, reachable, plan)


def look_effects(course: Course, known: Known, day: int) -> Looks:
    """Work out what showings on ``day`` would settle; nothing is noted between.

    Age, deciding skills, groups, candidates and states are those of that day. The student is placed.
    """
    plan, (deciding, then) = course.plan, decided_on(course, known, day)
    band, days = then.band, plan.days
    spread, stale = band.whole("spread_days"), then.among(State.STALE) & ~plan.must_be_seen
    settles: dict[int, int] = {}
    for i in bits(open_skills(plan, deciding, then)):
        kind, settled = plan.kind[i], known.settled[plan.unit[i]]
        notes = (*then.evidence.get(i, ()), (day, ALONE, 0))
        shown = fold(notes, band.accepts[kind], days[i] or band.days_needed[kind], spread, settled)
        settles[i] = plan.ancestors[i] & stale | (1 << i if shown.secure_since is not None else 0)
    return Looks(day, settles, tuple(_wants(deciding, then)), deciding.left_out)


def open_skills(plan: Plan, deciding: Deciding, states: States) -> int:
    """Return the open skills that are no gap, of the units so far (rules, "Look first").

    Skills left out in this band are not asked for, except members of an unmet entry group,
    which keeps all its members (rule R7).
    """
    asked = plan.up_to[deciding.unit] & ~deciding.left_out | deciding.unmet_members(states)
    return asked & ~states.met & ~states.gaps


def _wants(deciding: Deciding, then: States) -> Iterable[Want]:
    for i in bits(deciding.skills & ~then.secure):
        yield Want(1 << i)
    for group in deciding.unmet(then):
        there = (group.members & then.met).bit_count()
        yield Want(group.members & ~then.met, group.at_least - there)


# The one thing to work on (rules, "One thing to work on").
#
# With a gap it is the lowest weak link under what is missing, because practice above a weak
# link strengthens nothing. Without one it is the look that settles most.


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
    groups = union(group.members for group in deciding.unmet(states) if group.is_gap(states))
    gaps = (deciding.skills | groups) & states.gaps & ~deciding.left_out
    if gaps:
        return gaps
    open_rest = deciding.rest & ~states.secure
    return open_rest & states.gaps if open_rest.bit_count() > carry_limit else 0


def _lowest_weak_link(plan: Plan, deciding: Deciding, states: States, goals: int) -> int:
    gathered = _gathered(plan, deciding, states, goals)
    lowest = [i for i in bits(gathered) if not plan.ancestors[i] & gathered]
    return min(
        lowest, key=lambda i: (-frees(plan, deciding, states, i).bit_count(), plan.minutes[i], plan.ids[i])
    )


def _gathered(plan: Plan, deciding: Deciding, states: States, goals: int) -> int:
    """Return the goals with all that is weak under them, and what they stand on that is not there yet."""
    weak = (states.gaps | states.wobbling) & ~deciding.left_out
    missing = _not_there(plan, states) & ~deciding.left_out
    gathered, waiting = 0, goals
    while waiting:
        gathered |= waiting
        found = union(plan.ancestors[i] & weak | plan.needs[i] & missing for i in bits(waiting))
        waiting = found & ~gathered
    return gathered


def _not_there(plan: Plan, states: States) -> int:
    """Return the skills that are building, and those never shown that nothing shown implies (R10)."""
    implied = implied_by(plan, *latest_showings(states))
    return states.among(State.BUILDING) | states.among(State.UNTRIED) & ~implied


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
