"""The cheapest set of things that brings one thing about, found exactly and with a proof.

A thing brings others with it (all it stands on) and may need some of a group. Which members
of the groups are cheapest cannot be seen one group at a time, because members share what lies
under them. So groups that share nothing are taken apart, and the rest is searched, depth first,
cutting off whatever provably costs more than the best set found. The proof is a bound from below:
every group that is still open must be met somehow, and costs are charged to such necessities,
never twice (dual ascent); where that is too low, prices see what groups share
(``planning.cheapest_bound``).

Sets compared are counted, never the time, so one question has one answer on every machine. Beyond
``MOST_SETS`` a solver is asked, if one is installed (the extra ``exact``); else the best set found is
returned, and said to be not proved.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from typing import Final

from readiness import solver
from readiness.course.plan import bits
from readiness.planning.cheapest_bound import Demand, Priced, Relaxed

__all__ = ["MOST_SETS", "Cheapest", "SomeOf", "Things", "cheapest"]

MOST_SETS: Final = 600
"""After so many sets compared the search is given up; the shipped course needs at most a few."""

ROUNDS: Final = 30
FIRST_ROUNDS: Final = 150
"""How often prices are raised for a set, and for the first."""


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
    """Return a cheapest set that has ``wanted``, all that comes with it, and its groups met.

    Groups that have nothing to do with each other are searched apart.
    """
    start, _ = _Search(things, things.groups, most).forced(_with_brought(things, 0, wanted), 0)
    chosen, at_least, compared = start, _cost(things, start), 0
    for groups in _apart(things, start):
        search = _Search(things, groups, most - compared)
        found = search.best_from(start)
        if not search.is_done:
            found = _solved(things, groups, start) or found
        chosen |= found.chosen
        at_least += found.at_least - _cost(things, start)
        compared += found.compared or search.compared
    cost = _cost(things, chosen)
    return Cheapest(chosen, cost, at_least, max(1, compared), at_least == cost)


def _cost(things: Things, chosen: int) -> int:
    return sum(things.cost[i] for i in bits(chosen))


def _with_brought(things: Things, chosen: int, more: int) -> int:
    """Return a set with more things in it and all that these bring."""
    for i in bits(more):
        chosen |= things.brings[i]
    return chosen


def _apart(things: Things, start: int) -> Iterator[tuple[SomeOf, ...]]:
    """Yield the open groups, with all that may open under them, such that no two lots share a thing."""
    lots: list[tuple[int, list[SomeOf]]] = []
    for group in _open(things.groups, start):
        within, groups = _within(things, group, start)
        near = [lot for lot in lots if lot[0] & within]
        lots = [lot for lot in lots if not lot[0] & within]
        for others, of in near:
            within, groups = within | others, [*of, *(one for one in groups if one not in of)]
        lots.append((within, groups))
    yield from (tuple(groups) for _, groups in lots)


def _within(things: Things, group: SomeOf, start: int) -> tuple[int, list[SomeOf]]:
    """Return all things that may come in for a group, and the groups of these."""
    groups = [group]
    within = _with_brought(things, 0, group.members) & ~start
    grown = True
    while grown:
        more = [one for one in things.groups if within >> one.owner & 1 and one not in groups]
        groups += more
        for one in more:
            within |= _with_brought(things, 0, one.members) & ~start
        grown = bool(more)
    return within, groups


def _open(groups: Iterable[SomeOf], chosen: int) -> Iterator[SomeOf]:
    """Yield the groups of what is chosen that are not met by it."""
    for group in groups:
        if chosen >> group.owner & 1 and (group.members & chosen).bit_count() < group.at_least:
            yield group


def _solved(things: Things, groups: Sequence[SomeOf], start: int) -> Cheapest | None:
    """Return a cheapest set by the solver; None where none is installed or it gives up."""
    if not solver.is_installed():
        return None
    program = solver.Program(len(things.cost))
    for i in bits(start):
        program.hold({i: 1}, 1)
    for i, brought in enumerate(things.brings):
        for j in bits(brought & ~(1 << i)):
            program.hold({j: 1, i: -1}, 0)
    for group in groups:
        program.hold(dict.fromkeys(bits(group.members), 1) | {group.owner: -group.at_least}, 0)
    found = program.least(dict(enumerate(things.cost)))
    if found is None:
        return None
    chosen = _needed(things, groups, start, sum(1 << i for i in found))
    return Cheapest(chosen, _cost(things, chosen), _cost(things, chosen), 0, proved=True)


def _needed(things: Things, groups: Sequence[SomeOf], start: int, found: int) -> int:
    """Return what of a set with all groups met is needed to meet them."""
    chosen = start
    while (group := next(_open(groups, chosen), None)) is not None:
        missing = group.at_least - (group.members & chosen).bit_count()
        for i in list(bits(group.members & found & ~chosen))[:missing]:
            chosen |= things.brings[i]
    return chosen


class _Search:
    """Branches on one open group at a time: this member, or without it the next."""

    def __init__(self, things: Things, groups: Sequence[SomeOf], most: int) -> None:
        self.things = things
        self.groups = groups
        self.most = most
        self.best: int | None = None
        self.best_cost = 0
        self.compared = 0
        self.is_done = False
        self.prices: dict[tuple[int, int], int] = {}
        self.groups_of: dict[int, list[SomeOf]] = {}
        for group in groups:
            self.groups_of.setdefault(group.owner, []).append(group)

    def best_from(self, start: int) -> Cheapest:
        """Return the best set found that has all of ``start``."""
        so_far = _cost(self.things, start)
        floor = so_far + max(self.bound(start, 0), self._priced(start, 0, so_far).at_least)
        self._run(start)
        assert self.best is not None
        at_least = self.best_cost if self.is_done else min(floor, self.best_cost)
        self.is_done = at_least == self.best_cost
        return Cheapest(self.best, self.best_cost, at_least, self.compared, self.is_done)

    def _run(self, start: int) -> None:
        """Search without recursion, so that many open groups overflow nothing."""
        waiting = [(start, 0)]
        while waiting and (self.best is None or self.compared < self.most):
            self.compared += 1
            waiting.extend(reversed(list(self._ways(*waiting.pop()))))
        self.is_done = not waiting

    def _ways(self, chosen: int, banned: int) -> Iterator[tuple[int, int]]:
        """Yield how to go on: nothing where a set is complete or cannot be cheaper than the best."""
        chosen, fits = self.forced(chosen, banned)
        so_far = _cost(self.things, chosen)
        if not fits or self._is_dear(so_far, self.bound(chosen, banned)):
            return
        group = self._narrowest(chosen, banned)
        if group is None:
            self.best, self.best_cost = chosen, so_far
            return
        priced = self._priced(chosen, banned, so_far)
        if self._is_dear(so_far, priced.at_least):
            return
        out = sum(
            1 << i for i, waste in priced.waste.items() if self._is_dear(so_far, priced.at_least + waste)
        )
        if out:
            yield chosen, banned | out
        else:
            yield from self._branches(group, chosen, banned, priced)

    def _is_dear(self, so_far: int, more: int) -> bool:
        """Return whether so much more is no cheaper than the best."""
        return self.best is not None and so_far + more >= self.best_cost

    def _priced(self, chosen: int, banned: int, so_far: int) -> Priced:
        """Return prices for a second bound, which sees what the members of several groups share."""
        demands = []
        for group in _open(self.groups, chosen):
            missing = group.at_least - (group.members & chosen).bit_count()
            able = tuple(self.able(group, chosen, banned))
            demands.append(Demand((group.owner, group.members), able, missing))
        members = sorted({i for demand in demands for i in demand.able})
        brought = {i: self.things.brings[i] & ~chosen for i in members}
        every = _with_brought(self.things, chosen, sum(1 << i for i in members))
        top = _cost(self.things, every) if self.best is None else self.best_cost
        rounds = ROUNDS if self.prices else FIRST_ROUNDS
        priced = Relaxed(demands, brought, self.things.cost).raised(top - so_far, rounds, self.prices)
        self.prices |= zip((demand.key for demand in demands), priced.prices, strict=True)
        return priced

    def able(self, group: SomeOf, chosen: int, banned: int) -> list[int]:
        """Return the members that may still be taken: none that is banned or brings what is."""
        brings = self.things.brings
        return [i for i in bits(group.members & ~chosen) if not brings[i] & ~chosen & banned]

    def forced(self, chosen: int, banned: int) -> tuple[int, bool]:
        """Take what there is no choice about; False where a group cannot be met any more."""
        changed = True
        while changed:
            changed = False
            for group in _open(self.groups, chosen):
                able = self.able(group, chosen, banned)
                missing = group.at_least - (group.members & chosen).bit_count()
                if len(able) < missing:
                    return chosen, False
                free = [i for i in able if self._is_free(i, chosen)]
                take = able if len(able) == missing else free[:missing]
                if take:
                    chosen = _with_brought(self.things, chosen, sum(1 << i for i in take))
                    changed = True
                    break
        return chosen, True

    def _is_free(self, i: int, chosen: int) -> bool:
        """Return whether taking a thing costs nothing and opens no group."""
        new = self.things.brings[i] & ~chosen
        return not any(self.things.cost[j] or j in self.groups_of for j in bits(new))

    def _narrowest(self, chosen: int, banned: int) -> SomeOf | None:
        """Return the open group with the fewest ways to meet it."""
        opened = list(_open(self.groups, chosen))
        return min(opened, key=lambda g: len(self.able(g, chosen, banned)), default=None)

    def _branches(self, group: SomeOf, chosen: int, banned: int, priced: Priced) -> Iterator[tuple[int, int]]:
        """Yield the ways to go on, the member of least waste first; each bans those tried before."""
        able = self.able(group, chosen, banned)
        for i in sorted(able, key=lambda i: (priced.waste[i], i)):
            yield _with_brought(self.things, chosen, 1 << i), banned
            banned |= 1 << i

    def bound(self, chosen: int, banned: int) -> int:
        """Return a cost that every way to meet the open groups has at least.

        Each necessity (a set of things of which some must be taken, whatever is chosen) is
        charged as much as is left of the cheapest of its things.
        """
        left = list(self.things.cost)
        total = 0
        for group in sorted(_open(self.groups, chosen), key=lambda g: len(self.able(g, chosen, banned))):
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
