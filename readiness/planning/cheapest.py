"""The cheapest set of things that brings one thing about, found exactly and with a proof.

A thing brings others with it (all it stands on) and may need some of a group. Which members
of the groups are cheapest cannot be seen one group at a time, because members share what lies
under them. So it is searched, depth first, cutting off whatever provably costs more than the
best set found. The proof is a bound from below: every group that is still open must be met
somehow, and costs are charged to such necessities, never twice (dual ascent). Where the
search is stopped before it is done, the answer says that nothing was proved.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from typing import Final

from readiness.course.plan import bits

__all__ = ["MOST_SETS", "Cheapest", "SomeOf", "Things", "cheapest"]

MOST_SETS: Final = 200_000
"""After so many sets compared the search is given up as not proved."""


@dataclass(frozen=True, slots=True)
class SomeOf:
    """Whoever takes ``owner`` takes at least ``at_least`` of ``members`` (a set of bits)."""

    owner: int
    at_least: int
    members: int


@dataclass(frozen=True, slots=True)
class Things:
    """What there is to choose from, by number.

    Attributes:
        cost: what each costs, 0 or more.
        brings: by thing, itself and all that comes with it, over any number of links.
        groups: without rings, as in a checked course.
    """

    cost: tuple[int, ...]
    brings: tuple[int, ...]
    groups: tuple[SomeOf, ...]


@dataclass(frozen=True, slots=True)
class Cheapest:
    """A cheapest set and how it is known to be one.

    Attributes:
        chosen: the set, with everything it brings.
        cost: what it costs.
        at_least: no set costs less than this.
        compared: how many sets were compared.
        proved: whether nothing cheaper exists.
    """

    chosen: int
    cost: int
    at_least: int
    compared: int
    proved: bool


def cheapest(things: Things, wanted: int, most: int = MOST_SETS) -> Cheapest:
    """Return a cheapest set that has ``wanted``, all that comes with it, and its groups met."""
    search = _Search(things, most)
    start = search.with_brought(0, wanted)
    floor = search.cost(start) + search.bound(start, 0)
    search.run(start)
    assert search.best is not None
    at_least = search.best_cost if search.is_done else min(floor, search.best_cost)
    proved = at_least == search.best_cost
    return Cheapest(search.best, search.best_cost, at_least, search.compared, proved)


class _Search:
    """Branches on one open group at a time: this member, or without it the next."""

    def __init__(self, things: Things, most: int) -> None:
        self.things = things
        self.most = most
        self.best: int | None = None
        self.best_cost = 0
        self.compared = 0
        self.is_done = False
        self.groups_of: dict[int, list[SomeOf]] = {}
        for group in things.groups:
            self.groups_of.setdefault(group.owner, []).append(group)

    def cost(self, chosen: int) -> int:
        """Return what a set costs."""
        return sum(self.things.cost[i] for i in bits(chosen))

    def with_brought(self, chosen: int, more: int) -> int:
        """Return a set with more things in it and all that these bring."""
        for i in bits(more):
            chosen |= self.things.brings[i]
        return chosen

    def run(self, start: int) -> None:
        """Search without recursion, so that many open groups overflow nothing."""
        waiting = [(start, 0)]
        while waiting and (self.best is None or self.compared < self.most):
            chosen, banned = waiting.pop()
            self.compared += 1
            chosen, fits = self._forced(chosen, banned)
            if not fits:
                continue
            so_far = self.cost(chosen)
            if self.best is not None and so_far + self.bound(chosen, banned) >= self.best_cost:
                continue
            group = self._narrowest(chosen, banned)
            if group is None:
                self.best, self.best_cost = chosen, so_far
                continue
            waiting.extend(reversed(list(self._branches(group, chosen, banned))))
        self.is_done = not waiting

    def open(self, chosen: int) -> Iterator[SomeOf]:
        """Yield the groups of what is chosen that are not met by it."""
        for i in bits(chosen):
            for group in self.groups_of.get(i, ()):
                if (group.members & chosen).bit_count() < group.at_least:
                    yield group

    def able(self, group: SomeOf, chosen: int, banned: int) -> list[int]:
        """Return the members that may still be taken: none that is banned or brings what is."""
        brings = self.things.brings
        return [i for i in bits(group.members & ~chosen) if not brings[i] & ~chosen & banned]

    def _forced(self, chosen: int, banned: int) -> tuple[int, bool]:
        """Take what there is no choice about; False where a group cannot be met any more."""
        changed = True
        while changed:
            changed = False
            for group in self.open(chosen):
                able = self.able(group, chosen, banned)
                missing = group.at_least - (group.members & chosen).bit_count()
                if len(able) < missing:
                    return chosen, False
                free = [i for i in able if self._is_free(i, chosen)]
                take = able if len(able) == missing else free[:missing]
                if take:
                    chosen = self.with_brought(chosen, sum(1 << i for i in take))
                    changed = True
                    break
        return chosen, True

    def _is_free(self, i: int, chosen: int) -> bool:
        """Return whether taking a thing costs nothing and opens no group."""
        new = self.things.brings[i] & ~chosen
        return not any(self.things.cost[j] or j in self.groups_of for j in bits(new))

    def _narrowest(self, chosen: int, banned: int) -> SomeOf | None:
        """Return the open group with the fewest ways to meet it."""
        opened = list(self.open(chosen))
        return min(opened, key=lambda g: len(self.able(g, chosen, banned)), default=None)

    def _branches(self, group: SomeOf, chosen: int, banned: int) -> Iterator[tuple[int, int]]:
        """Yield the ways to go on, the cheapest member first; each bans those tried before."""
        able = self.able(group, chosen, banned)
        for i in sorted(able, key=lambda i: (self._price(i, chosen, banned), i)):
            yield self.with_brought(chosen, 1 << i), banned
            banned |= 1 << i

    def _price(self, i: int, chosen: int, banned: int) -> int:
        """Return what taking a thing costs at least, with the groups it opens."""
        new = self.with_brought(chosen, 1 << i)
        return self.cost(new & ~chosen) + self.bound(new, banned)

    def bound(self, chosen: int, banned: int) -> int:
        """Return a cost that every way to meet the open groups has at least.

        Each necessity (a set of things of which some must be taken, whatever is chosen) is
        charged as much as is left of the cheapest of its things.
        """
        left = list(self.things.cost)
        total = 0
        for group in sorted(self.open(chosen), key=lambda g: len(self.able(g, chosen, banned))):
            while cut := self._necessity(group, chosen, banned, left, 0):
                charge = min(left[i] for i in bits(cut))
                total += charge
                for i in bits(cut):
                    left[i] -= charge
        return total

    def _necessity(self, group: SomeOf, chosen: int, banned: int, left: Sequence[int], deep: int) -> int:
        """Return things with cost left of which one at least must be taken, 0 for none.

        Of n members of which k are missing, one at least of any n - k + 1 is taken.
        """
        able = self.able(group, chosen, banned)
        missing = group.at_least - (group.members & chosen).bit_count()
        cuts = []
        allowed = missing - 1
        for i in able:
            cut = self._cut(i, chosen, banned, left, deep)
            if cut:
                cuts.append(cut)
            elif allowed:
                allowed -= 1
            else:
                return 0
        kept = sorted(cuts, key=lambda cut: -min(left[i] for i in bits(cut)))[: len(cuts) - allowed]
        result = 0
        for cut in kept:
            result |= cut
        return result

    def _cut(self, i: int, chosen: int, banned: int, left: Sequence[int], deep: int) -> int:
        """Return things with cost left of which one must be taken if ``i`` is, 0 for none."""
        new = self.things.brings[i] & ~chosen
        dear = max(bits(new), key=lambda j: (left[j], j), default=None)
        if dear is not None and left[dear]:
            return 1 << dear
        if deep >= _DEEPEST:
            return 0
        after = chosen | new
        for j in bits(new):
            for group in self.groups_of.get(j, ()):
                if (group.members & after).bit_count() < group.at_least:
                    cut = self._necessity(group, after, banned, left, deep + 1)
                    if cut:
                        return cut
        return 0


_DEEPEST: Final = 4
"""How many groups under each other the bound follows; deeper ones only make it lower."""
