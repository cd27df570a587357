"""All closed sets of skills at once, without ever listing them.

A set is *closed* when with each skill it has everything under it; a course of some dozens of
skills has billions of such sets (knowledge space theory: the states; Doignon and Falmagne 1985,
International Journal of Man-Machine Studies 23:175-196). Going through the skills one at a time,
prerequisites first, all that matters of what was left out so far is which later skills it
rules out. Sets that agree in that are kept together, so sums over all closed sets take as many
steps as there are such classes: thousands instead of billions, and exact.

Knows numbers and links only, no student and no course.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Final

from readiness.course.plan import bits

__all__ = ["MOST_CLASSES", "ClosedSets", "Weights", "closed_sets"]

MOST_CLASSES: Final = 20_000
"""Where one more skill would make more classes than this, the skill is left out."""

_WIDTH: Final = 12
"""How many orders are followed side by side while looking for a good one."""

Weights = Mapping[int, tuple[float, float]]
"""By skill, the weight of leaving it out and of having it; a set weighs their product."""


@dataclass(frozen=True, slots=True)
class _Layer:
    """One skill: for each class before it, the class after it without the skill and with it.

    ``having`` is -1 where something under the skill is missing. ``size`` counts the classes after.
    """

    skill: int
    without: tuple[int, ...]
    having: tuple[int, ...]
    size: int


@dataclass(frozen=True)
class ClosedSets:
    """The closed sets of some skills, compiled.

    Attributes:
        layers: one a skill, in an order in which prerequisites come first.
        left_out: the skills left out because they would have made too many classes.
    """

    layers: tuple[_Layer, ...]
    left_out: int

    @property
    def skills(self) -> tuple[int, ...]:
        """The skills, in the order of the layers."""
        return tuple(layer.skill for layer in self.layers)

    @property
    def classes(self) -> int:
        """How many classes there are in all layers: the work of one sum."""
        return sum(layer.size for layer in self.layers)

    def count(self) -> int:
        """Return how many closed sets there are."""
        ones: list[int] = [1]
        for layer in self.layers:
            after = [0] * layer.size
            for number, without, having in zip(ones, layer.without, layer.having, strict=True):
                after[without] += number
                if having >= 0:
                    after[having] += number
            ones = after
        return sum(ones)

    def from_the_end(self, weights: Weights) -> list[list[float]]:
        """Return, before each layer and at the end, the weight of all ways to go on from a class.

        The first list has one number, the weight of all closed sets together.
        """
        tables: list[list[float]] = [[1.0]]
        for layer in reversed(self.layers):
            after, (out, kept) = tables[-1], weights[layer.skill]
            tables.append([
                out * after[without] + (kept * after[having] if having >= 0 else 0.0)
                for without, having in zip(layer.without, layer.having, strict=True)
            ])  # fmt: skip
        tables.reverse()
        return tables

    def shares(self, weights: Weights, tables: Sequence[Sequence[float]]) -> dict[int, float]:
        """Return by skill the share of the weight that lies on sets having it."""
        total = tables[0][0]
        before: list[float] = [1.0]
        found: dict[int, float] = {}
        for layer, rest in zip(self.layers, tables[1:], strict=True):
            out, kept = weights[layer.skill]
            after = [0.0] * layer.size
            with_it = 0.0
            for weight, without, having in zip(before, layer.without, layer.having, strict=True):
                after[without] += weight * out
                if having >= 0:
                    after[having] += weight * kept
                    with_it += weight * kept * rest[having]
            before = after
            found[layer.skill] = with_it / total
        return found

    def with_few_missing(
        self, weights: Weights, from_the_end: Sequence[Sequence[float]], of: int, most: int
    ) -> float:
        """Return the weight of the closed sets that lack at most ``most`` of the skills in ``of``.

        Args:
            weights: as above; from_the_end: its tables, which hold where nothing is counted yet.
            of: the skills that are counted.
            most: how many may be missing.
        """
        counted = [at for at, layer in enumerate(self.layers) if of >> layer.skill & 1]
        last = counted[-1] + 1 if counted else 0
        tables: list[Sequence[float]] = [from_the_end[last]] * (most + 1)
        for layer in reversed(self.layers[:last]):
            out, kept = weights[layer.skill]
            lacking = [[0.0] * layer.size, *tables[:-1]] if of >> layer.skill & 1 else tables
            tables = [
                [
                    out * less[without] + (kept * after[having] if having >= 0 else 0.0)
                    for without, having in zip(layer.without, layer.having, strict=True)
                ]
                for after, less in zip(tables, lacking, strict=True)
            ]
        return tables[most][0]

    def draw(self, weights: Weights, tables: Sequence[Sequence[float]], lots: Sequence[float]) -> int:
        """Return one closed set drawn with the chances of the weights.

        Args:
            weights, tables: as above.
            lots: one number from 0 up to 1 for each skill.
        """
        here = found = 0
        for layer, rest, lot in zip(self.layers, tables[1:], lots, strict=True):
            out, kept = weights[layer.skill]
            without, having = layer.without[here], layer.having[here]
            with_it = kept * rest[having] if having >= 0 else 0.0
            if lot * (with_it + out * rest[without]) < with_it:
                found |= 1 << layer.skill
                here = having
            else:
                here = without
        return found


def closed_sets(under: Mapping[int, int], most: int = MOST_CLASSES) -> ClosedSets:
    """Compile the closed sets of some skills.

    Args:
        under: by skill, all that lies under it, over any number of links.
        most: the most classes of one layer.
    """
    above = dict.fromkeys(under, 0)
    for skill, below in under.items():
        for other in bits(below):
            above[other] |= 1 << skill
    classes: dict[int, int] = {0: 0}
    layers: list[_Layer] = []
    left_out = 0
    for skill in _order(under, above):
        after: dict[int, int] = {}
        gone = ~(1 << skill | left_out)
        without = [after.setdefault((ruled_out | above[skill]) & gone, len(after)) for ruled_out in classes]
        having = [
            -1 if ruled_out >> skill & 1 else after.setdefault(ruled_out & gone, len(after))
            for ruled_out in classes
        ]
        if len(after) > most:
            left_out |= 1 << skill
            continue
        layers.append(_Layer(skill, tuple(without), tuple(having), len(after)))
        classes = after
    return ClosedSets(tuple(layers), left_out)


def _order(under: Mapping[int, int], above: Mapping[int, int]) -> tuple[int, ...]:
    """Return the skills, prerequisites first, so that few classes are open at a time.

    Classes are at most two to the power of the different sets that what is done may still
    rule out; the orders with the smallest sums of these are followed.
    """
    beams: list[tuple[float, int, tuple[int, ...]]] = [(0.0, 0, ())]
    for _ in under:
        best: dict[int, tuple[float, int, tuple[int, ...]]] = {}
        for cost, done, order in beams:
            for skill in under:
                if done >> skill & 1 or under[skill] & ~done:
                    continue
                now = done | 1 << skill
                pending = {above[other] & ~now for other in (*order, skill)} - {0}
                new = (cost + 2.0 ** len(pending), now, (*order, skill))
                if now not in best or new < best[now]:
                    best[now] = new
        beams = sorted(best.values())[:_WIDTH]
    return beams[0][2]
