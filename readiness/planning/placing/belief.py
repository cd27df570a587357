"""What is believed about a student after some looks, exactly.

Before the first look some kinds of student are equally likely, each a weighting of the closed
sets (:mod:`.states`). A look multiplies the weights: a showing is likelier from somebody who has
the skill, but now and then somebody who has it slips, and somebody who has it not is lucky (the
local independence model of knowledge space theory; Falmagne and Doignon 2011, Learning Spaces).
The order of looks does not matter. Everything here is a sum over all closed sets; only
:meth:`Belief.draws` makes a selection, and draws from the exact belief.
"""

from __future__ import annotations

import random
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from functools import cached_property
from typing import Final

from readiness.planning.placing.states import ClosedSets, Weights

__all__ = ["Belief", "likelihoods"]

_NEGLIGIBLE: Final = 1e-6
"""Kinds of student less likely than this are left out of sums, which are exact but for that."""


def likelihoods(shown: bool, slip: float, lucky: float) -> tuple[float, float]:
    """Return how likely a look is for somebody without the skill, and with it."""
    return (lucky, 1 - slip) if shown else (1 - lucky, slip)


@dataclass(frozen=True)
class Belief:
    """A belief over the closed sets.

    Attributes:
        sets: the closed sets.
        kinds: weightings, each with what all closed sets weighed together before any look.
        seen: by skill, how likely what was seen is without the skill and with it.
    """

    sets: ClosedSets
    kinds: tuple[tuple[Weights, float], ...]
    seen: Mapping[int, tuple[float, float]]

    @classmethod
    def before(cls, sets: ClosedSets, kinds: Sequence[Weights]) -> Belief:
        """Return the belief before any look, all kinds of student equally likely."""
        return cls(sets, tuple((kind, sets.from_the_end(kind)[0][0]) for kind in kinds), {})

    def given(self, seen: Mapping[int, tuple[float, float]]) -> Belief:
        """Return the belief after looks; those at skills not among the sets say nothing."""
        known = set(self.sets.skills)
        told = {skill: both for skill, both in seen.items() if skill in known}
        return Belief(self.sets, self.kinds, {**self.seen, **told})

    @cached_property
    def _now(self) -> tuple[tuple[float, Weights, list[list[float]]], ...]:
        """The kinds still possible: chance, weights with what was seen, tables of the sums."""
        found = []
        for kind, total in self.kinds:
            weights = dict(kind)
            for skill, (without, having) in self.seen.items():
                out, kept = kind[skill]
                weights[skill] = (out * without, kept * having)
            tables = self.sets.from_the_end(weights)
            found.append((tables[0][0] / total, weights, tables))
        everything = sum(chance for chance, _, _ in found)
        return tuple(
            (chance / everything, weights, tables)
            for chance, weights, tables in found
            if chance > _NEGLIGIBLE * everything
        )

    def shares(self) -> dict[int, float]:
        """Return by skill how likely it is there."""
        found = dict.fromkeys(self.sets.skills, 0.0)
        for chance, weights, tables in self._now:
            for skill, share in self.sets.shares(weights, tables).items():
                found[skill] += chance * share
        return found

    def few_missing(self, of: int, most: int) -> float:
        """Return how likely at most ``most`` of the skills in ``of`` are missing."""
        return sum(
            chance * self.sets.with_few_missing(weights, tables, of, most) / tables[0][0]
            for chance, weights, tables in self._now
        )

    def draws(self, count: int, seed: int) -> list[int]:
        """Return closed sets drawn with their chances, always the same for one seed."""
        lots = random.Random(seed)  # noqa: S311 - a selection, no secret
        chances = [chance for chance, _, _ in self._now]
        size = len(self.sets.layers)
        return [
            self.sets.draw(weights, tables, [lots.random() for _ in range(size)])
            for _, weights, tables in lots.choices(self._now, chances, k=count)
        ]
