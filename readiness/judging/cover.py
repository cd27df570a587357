"""The smallest set of showings that meets all wants, exactly, within a fixed number of steps.

Of sets of one size the one with fewest teaching minutes, then the first by its ids in alphabetical
order. That is a weighted covering question. First it is made smaller: showings that another does
as much as, wants that another includes, choices without a choice, parts that have nothing to do
with each other. What is left is searched (``judging.cover_search``), size, minutes and ids in turn.

The steps of the search are counted, never the time, so one question has one answer on every
machine. What takes more than ``MOST_STEPS`` goes to an exact solver where one is installed (the
extra ``exact``, ``judging.cover_exact``); else the best set found is returned as not proved.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, field
from functools import cached_property
from typing import Any, Final

from readiness.course.plan import Plan, bits
from readiness.judging.cover_exact import solved
from readiness.judging.cover_search import Found, Part, Steps, best_cover

__all__ = ["MOST_STEPS", "Cover", "Piece", "Reduced", "Want", "reduced", "smallest_cover"]

MOST_STEPS: Final = 25_000
"""So many steps are searched, ten times what made-up questions of 45 techniques and 120 pieces take."""


@dataclass(frozen=True, slots=True)
class Want:
    """At least ``at_least`` of a set of skills are to become secure."""

    skills: int
    at_least: int = 1

    def is_met(self, secure: int) -> bool:
        """Return whether enough of them are."""
        return (self.skills & secure).bit_count() >= self.at_least


@dataclass(frozen=True)
class Cover:
    """A set of skills that meets all wants, and how it is known to be the smallest.

    Attributes:
        skills: by number, in the order of the graph.
        proved: whether it is certain that none is smaller, nor of its size shorter or earlier by id.
        steps: how many steps the search took.
        settles, wants, plan: the question.
    """

    skills: tuple[int, ...]
    proved: bool
    steps: int
    settles: Mapping[int, int] = field(repr=False)
    wants: tuple[Want, ...] = field(repr=False)
    plan: Plan = field(repr=False)

    @property
    def ids(self) -> tuple[str, ...]:
        """The ids of the skills, in the order of the graph."""
        return tuple(self.plan.ids[i] for i in self.skills)

    @cached_property
    def proof(self) -> dict[str, Any] | None:
        """What confirms without a search that no set is smaller; see ``judging.cover_proof``."""
        from readiness.judging.cover_proof import prove

        return prove(self.settles, self.wants, self.plan, self.skills) if self.proved else None


def smallest_cover(
    settles: Mapping[int, int], wants: tuple[Want, ...], plan: Plan, most: int = MOST_STEPS
) -> Cover:
    """Return the smallest set of skills that together meet all wants, exactly.

    Args:
        settles: what each skill makes secure.
        wants: each can be met by all skills together.
        plan: for minutes and ids, which break ties.
        most: how many steps are searched before the proof is given up.
    """
    rest = reduced(settles, wants, plan)
    steps = Steps(most)
    chosen, proved = list(rest.taken), True
    for piece in rest.pieces(plan):
        found = _solve(piece.part, steps)
        chosen += (piece.skills[i] for i in found.cover)
        proved = proved and found.proved
    return Cover(tuple(sorted(chosen)), proved, most - max(0, steps.left), settles, wants, plan)


def _solve(part: Part, steps: Steps) -> Found:
    found = best_cover(part, steps)
    return found if found.proved else solved(part) or found


@dataclass(frozen=True, slots=True)
class Piece:
    """A part that has nothing to do with the others: its skills in the order of their ids, its wants.

    Wants that one more skill meets come first; they are the things 0, 1, 2 of the part.
    """

    part: Part
    skills: tuple[int, ...]
    wants: tuple[int, ...]


@dataclass
class Reduced:
    """A question made smaller, with the smallest set of the whole kept in sight.

    Attributes:
        wants: all wants there were.
        reach: by skill that may be taken, what it settles.
        waiting: the numbers of the wants that still count.
        taken: skills that are in every smallest set left; secure: what they settle.
        made: what was done: ("take", skill, want), ("drop", skill, other) or ("leave", want, other).
    """

    wants: tuple[Want, ...]
    reach: dict[int, int]
    waiting: list[int]
    taken: list[int] = field(default_factory=list)
    secure: int = 0
    made: list[tuple[str, int, int]] = field(default_factory=list)

    def missing(self, want: int) -> int:
        """Return how many of a want are missing."""
        one = self.wants[want]
        return one.at_least - (one.skills & self.secure).bit_count()

    def members(self, want: int) -> int:
        """Return what of a want is not settled."""
        return self.wants[want].skills & ~self.secure

    def helpers(self, want: int) -> list[int]:
        """Return who brings a want nearer."""
        members = self.members(want)
        return [i for i, mask in self.reach.items() if mask & members]

    def take_needed(self) -> bool:
        """Take the skills without which a want cannot be met; return whether there was one."""
        for want in self.waiting:
            members, missing = self.members(want), self.missing(want)
            helpers = self.helpers(want)
            if len(helpers) > missing and missing == 1:
                continue
            for i in helpers:
                others = 0
                for other in helpers:
                    others |= self.reach[other] & members if other != i else 0
                if others.bit_count() < missing:
                    self._take(i, want)
                    return True
        return False

    def _take(self, i: int, want: int) -> None:
        self.made.append(("take", i, want))
        self.taken.append(i)
        self.secure |= self.reach.pop(i)
        self.waiting = [want for want in self.waiting if self.missing(want) > 0]

    def drop_dominated(self, plan: Plan) -> bool:
        """Leave out skills for which another does as much and would win every tie.

        ``{a: xy, b: x}`` with ``a`` shorter than ``b``  ->  ``{a: xy}``
        """
        need = 0
        for want in self.waiting:
            need |= self.members(want)
        useful = {i: mask & need for i, mask in self.reach.items() if mask & need}
        kept: dict[int, int] = {}
        before = len(self.made)
        for i in sorted(useful, key=lambda i: (plan.minutes[i], plan.ids[i])):
            other = next((k for k, mask in kept.items() if not useful[i] & ~mask), None)
            if other is None:
                kept[i] = useful[i]
            else:
                self.made.append(("drop", i, other))
        self.reach = {i: self.reach[i] for i in kept}
        return len(self.made) > before

    def leave_included(self) -> bool:
        """Leave out wants that are met by whatever meets another; return whether there was one."""
        able = {want: frozenset(self.helpers(want)) for want in self.waiting}
        kept: list[int] = []
        before = len(self.made)
        for want in sorted(self.waiting, key=lambda want: (len(able[want]), want)):
            other = (
                next((k for k in kept if able[k] <= able[want]), None) if self.missing(want) == 1 else None
            )
            if other is None:
                kept.append(want)
            else:
                self.made.append(("leave", want, other))
        self.waiting = sorted(kept)
        return len(self.made) > before

    def pieces(self, plan: Plan) -> Iterator[Piece]:
        """Yield the parts that share no skill, in the order of their first wants."""
        able = {want: set(self.helpers(want)) for want in self.waiting}
        while able:
            first = min(able)
            skills, wants = able.pop(first), [first]
            while linked := [want for want, helpers in able.items() if helpers & skills]:
                for want in linked:
                    skills |= able.pop(want)
                wants += linked
            yield self._piece(sorted(wants), skills, plan)

    def _piece(self, wants: Sequence[int], among: set[int], plan: Plan) -> Piece:
        skills = sorted(among, key=lambda i: plan.ids[i])
        alone = [want for want in wants if self.missing(want) == 1]
        groups = [want for want in wants if self.missing(want) > 1]
        of_groups = 0
        for want in groups:
            of_groups |= self.members(want)
        place = {skill: len(alone) + at for at, skill in enumerate(bits(of_groups))}

        def things(mask: int) -> int:
            met = sum(1 << at for at, want in enumerate(alone) if mask & self.members(want))
            return met + sum(1 << place[skill] for skill in bits(mask & of_groups))

        part = Part(
            [things(self.reach[i]) for i in skills],
            [plan.minutes[i] for i in skills],
            (1 << len(alone)) - 1,
            [(things(self.members(want)) >> len(alone) << len(alone), self.missing(want)) for want in groups],
        )
        return Piece(part, tuple(skills), (*alone, *groups))


def reduced(settles: Mapping[int, int], wants: tuple[Want, ...], plan: Plan) -> Reduced:
    """Make a question smaller for as long as anything can be left out or has to be taken."""
    rest = Reduced(wants, dict(settles), [j for j, want in enumerate(wants) if not want.is_met(0)])
    while rest.take_needed() or rest.drop_dominated(plan) or rest.leave_included():
        pass
    return rest
