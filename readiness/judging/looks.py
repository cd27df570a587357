"""What a look would settle: the effect of showing open skills alone at the next lesson.

Answers two questions (rules, "One thing" and "Look first"): which single showing settles
most, and which smallest set of showings settles all that showings can. The second is found
exactly, by branch and bound over what remains to be settled; it is never a greedy guess.

A showing acts on its own skill, which may become secure by it, and on the skills under it
that are secure but stale, which its use keeps warm (R5). It cannot do more, so each skill
has a fixed set of skills it settles, and the question is one of covering.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass

from readiness.course.model import Course
from readiness.course.plan import Plan, bits
from readiness.judging.deciding import Deciding, decide
from readiness.judging.folds import fold
from readiness.judging.known import ALONE, Known
from readiness.judging.states import States, judge_states

__all__ = ["Looks", "Want", "look_effects", "open_skills", "smallest_cover"]


@dataclass(frozen=True, slots=True)
class Want:
    """At least ``at_least`` of a set of skills are to become secure."""

    skills: int
    at_least: int = 1

    def is_met(self, secure: int) -> bool:
        """Return whether enough of them are."""
        return (self.skills & secure).bit_count() >= self.at_least


@dataclass(frozen=True, slots=True)
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

    def smallest(self, plan: Plan) -> tuple[int, ...]:
        """Return the minimal look set; of equals the one with fewest minutes, then by id."""
        everything = 0
        for reached in self.settles.values():
            everything |= reached
        reachable = tuple(want for want in self.wants if want.is_met(everything))
        return smallest_cover(self.settles, reachable, plan)


def look_effects(course: Course, known: Known, day: int) -> Looks:
    """Work out what showings on ``day`` would settle; nothing is noted between.

    Age, deciding skills, groups, candidates and states are those of that day. The student is placed.
    """
    assert known.unit is not None
    plan, band = course.plan, known.band_on(course, day)
    deciding, then = decide(plan, known.unit, band, known.set_aside), judge_states(plan, known, band, day)
    spread, days = band.whole("spread_days"), plan.days
    stale = sum(1 << i for i, name in enumerate(then.state) if name == "stale") & ~plan.must_be_seen
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


def smallest_cover(settles: dict[int, int], wants: tuple[Want, ...], plan: Plan) -> tuple[int, ...]:
    """Return the smallest set of skills that together meet all wants, exactly.

    Args:
        settles: what each skill makes secure.
        wants: each can be met by all skills together.
        plan: for minutes and ids, which break ties.

    Of sets of one size the one with fewest teaching minutes, then the first by its ids in
    alphabetical order.
    """
    relevant = 0
    for want in wants:
        relevant |= want.skills
    useful = {i: reached & relevant for i, reached in settles.items() if reached & relevant}
    search = _Search(_undominated(useful, plan), wants, plan)
    search.run(0, (), frozenset())
    return search.best


def _undominated(useful: dict[int, int], plan: Plan) -> dict[int, int]:
    """Leave out skills for which another does as much and would win every tie.

    ``{a: xy, b: x}`` with ``a`` shorter than ``b``  ->  ``{a: xy}``
    """
    order = sorted(useful, key=lambda i: (plan.minutes[i], plan.ids[i]))
    kept: dict[int, int] = {}
    for i in order:
        if not any(useful[i] & ~reached == 0 for reached in kept.values()):
            kept[i] = useful[i]
    return kept


class _Search:
    """Depth-first branch and bound: branch on the want with fewest skills left to meet it."""

    def __init__(self, settles: dict[int, int], wants: tuple[Want, ...], plan: Plan) -> None:
        self.settles = settles
        self.wants = wants
        self.plan = plan
        self.best: tuple[int, ...] = ()
        self.best_key: tuple[int, int, tuple[str, ...]] | None = None

    def run(self, secure: int, chosen: tuple[int, ...], banned: frozenset[int]) -> None:
        """Try all ways to go on from ``chosen`` that use none of ``banned``."""
        waiting = [want for want in self.wants if not want.is_met(secure)]
        if not waiting:
            self._offer(chosen)
            return
        helpers = [self._helpers(want, secure, chosen, banned) for want in waiting]
        if not self._may_win(chosen, waiting, helpers, secure):
            return
        narrow = min(helpers, key=len)
        for i in narrow:
            self.run(secure | self.settles[i], (*chosen, i), banned)
            banned |= {i}

    def _helpers(
        self, want: Want, secure: int, chosen: tuple[int, ...], banned: frozenset[int]
    ) -> list[int]:
        """Return the skills that bring a want nearer, those that settle most first."""
        missing = want.skills & ~secure
        able = [i for i, reached in self.settles.items() if reached & missing and i not in banned]
        return sorted(
            (i for i in able if i not in chosen),
            key=lambda i: (-(self.settles[i] & ~secure).bit_count(), self.plan.minutes[i], self.plan.ids[i]),
        )

    def _may_win(
        self, chosen: tuple[int, ...], waiting: list[Want], helpers: list[list[int]], secure: int
    ) -> bool:
        """Return whether going on could still beat or tie-break the best set found.

        Wants with no helper in common each need showings of their own: their number and
        their cheapest minutes bound what is to come from below.
        """
        taken: set[int] = set()
        more = minutes = 0
        for want, able in sorted(zip(waiting, helpers, strict=True), key=lambda pair: len(pair[1])):
            if not able:
                return False
            if taken.isdisjoint(able):
                taken.update(able)
                more += self._at_least(want, able, secure)
                minutes += min(self.plan.minutes[i] for i in able)
        if self.best_key is None:
            return True
        so_far = sum(self.plan.minutes[i] for i in chosen)
        return (len(chosen) + more, so_far + minutes) <= self.best_key[:2]

    def _at_least(self, want: Want, able: list[int], secure: int) -> int:
        """Return how many showings a want needs at least: missing skills over the best reach."""
        missing = want.at_least - (want.skills & secure).bit_count()
        reach = max((self.settles[i] & want.skills & ~secure).bit_count() for i in able)
        return -(-missing // reach)

    def _offer(self, chosen: tuple[int, ...]) -> None:
        plan = self.plan
        ids = tuple(sorted(plan.ids[i] for i in chosen))
        key = (len(chosen), sum(plan.minutes[i] for i in chosen), ids)
        if self.best_key is None or key < self.best_key:
            self.best_key = key
            self.best = tuple(sorted(chosen))
