"""The cheapest set of things that brings one thing about, found exactly and with a proof.

A thing brings others with it (all it stands on) and may need some of a group. Which members
of the groups are cheapest cannot be seen one group at a time, because members share what lies
under them. So groups that share nothing are taken apart, and the rest is searched, depth first,
cutting off whatever provably costs more than the best set found. The proof is a bound from below:
every group that is still open must be met somehow, and costs are charged to such necessities,
never twice (dual ascent); where that is too low, prices see what groups share.

Sets compared are counted, never the time, so one question has one answer on every machine. Beyond
``MOST_SETS`` a solver is asked, if one is installed (the extra ``exact``); else the best set found is
returned, and said to be not proved.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence
from typing import Final

from readiness.course.model import SkillGroup, bits, union
from readiness.judging.cover import BinaryProgram, is_installed
from readiness.lazy import dataclass

__all__ = ["MOST_SETS", "Cheapest", "Demand", "Priced", "Relaxed", "Things", "cheapest"]

# What meeting the open groups costs at least, by prices: linear-programming duality, in whole numbers.
#
# Each member that is missing in a group has a price, and what several members bring with them is
# shared out among these. Whatever the prices and shares, no way to meet the groups costs less than
# the prices of all that is missing, less what some member or shared thing costs below its prices.
# Prices are raised by the subgradient method (Held and Karp 1971). What groups the members open in
# turn is left out of account, so the bound is never too high.

_FINEST: Final = 64
_IDLE: Final = 6


@dataclass(frozen=True)
class Demand:
    """``missing`` of the members in ``able`` are still to be taken; ``key`` says whose group it is."""

    key: tuple[int, int]
    able: tuple[int, ...]
    missing: int


@dataclass(frozen=True)
class Priced:
    """Prices and what follows from them.

    Attributes:
        at_least: what meeting all demands costs at least.
        prices: by demand; shares: by shared lot, of each of its users.
        waste: by member, what it costs beyond the prices of the demands it meets.
        lots: by shared lot, whether it costs less than its shares.
    """

    at_least: int
    prices: Sequence[int]
    shares: Sequence[Sequence[int]]
    waste: Mapping[int, int]
    lots: Sequence[bool]


class Relaxed:
    """The open groups by themselves: who can meet them, what each costs alone and what some share."""

    def __init__(self, demands: Sequence[Demand], brought: Mapping[int, int], cost: Sequence[int]) -> None:
        self.demands = demands
        users: dict[int, tuple[int, ...]] = {}
        for i, things in brought.items():
            for thing in bits(things):
                users[thing] = (*users.get(thing, ()), i)
        lots: dict[tuple[int, ...], int] = {}
        for thing, of in users.items():
            lots[of] = lots.get(of, 0) + cost[thing]
        self.lots = [(of, price) for of, price in lots.items() if price and len(of) > 1]
        alone = {i: price for (i, *others), price in lots.items() if not others}
        self.own = dict.fromkeys(brought, 0) | alone

    def raised(self, goal: int, rounds: int, known: Mapping[tuple[int, int], int]) -> Priced:
        """Return prices for a bound of ``goal``, or the best found in some rounds from ``known`` ones."""
        now = self.priced(*self._beginning(known))
        best, stride, idle = now, 2 * _FINEST, 0
        for _ in range(rounds):
            if best.at_least >= goal or not stride:
                break
            now = self._moved(now, stride * (goal - now.at_least + goal // 50 + 1))
            idle += 1
            if now.at_least > best.at_least:
                best, idle = now, 0
            elif idle >= _IDLE:
                now, stride, idle = best, stride // 2, 0
        return best

    def _beginning(self, known: Mapping[tuple[int, int], int]) -> tuple[list[int], list[list[int]]]:
        """Return equal shares, and for each demand without a known price that of its cheapest part."""
        shares = [[price // len(of)] * len(of) for of, price in self.lots]
        full, met = self._with_shares(shares), dict.fromkeys(self.own, 0)
        for demand in self.demands:
            for i in demand.able:
                met[i] += 1
        return [
            known.get(demand.key, min(full[i] // met[i] for i in demand.able)) for demand in self.demands
        ], shares

    def _with_shares(self, shares: Sequence[Sequence[int]]) -> dict[int, int]:
        full = dict(self.own)
        for (of, _), some in zip(self.lots, shares, strict=True):
            for i, share in zip(of, some, strict=True):
                full[i] += share
        return full

    def priced(self, prices: Sequence[int], shares: Sequence[Sequence[int]]) -> Priced:
        """Return what follows from prices and shares."""
        waste = self._with_shares(shares)
        total = 0
        for demand, price in zip(self.demands, prices, strict=True):
            total += price * demand.missing
            for i in demand.able:
                waste[i] -= price
        over = [price - sum(some) for (_, price), some in zip(self.lots, shares, strict=True)]
        total += sum(one for one in (*waste.values(), *over) if one < 0)
        return Priced(total, prices, shares, waste, [one < 0 for one in over])

    def _moved(self, now: Priced, pace: int) -> Priced:
        """Return prices moved the way the bound rises."""
        taken = {i: one < 0 for i, one in now.waste.items()}
        slopes = [demand.missing - sum(taken[i] for i in demand.able) for demand in self.demands]
        of_shares = [[taken[i] - has for i in of] for (of, _), has in zip(self.lots, now.lots, strict=True)]
        norm = sum(one * one for one in slopes) + sum(one * one for some in of_shares for one in some)
        by = _FINEST * max(1, norm)

        def moved(values: Sequence[int], slopes: Sequence[int]) -> list[int]:
            return [max(0, one + pace * slope // by) for one, slope in zip(values, slopes, strict=True)]

        shares = [moved(*pair) for pair in zip(now.shares, of_shares, strict=True)]
        return self.priced(moved(now.prices, slopes), shares)


MOST_SETS: Final = 600
"""After so many sets compared the search is given up; the shipped course needs at most a few."""

ROUNDS: Final = 30
FIRST_ROUNDS: Final = 150
"""How often prices are raised for a set, and for the first."""


@dataclass(frozen=True)
class Things:
    """What there is to choose from, by number.

    Attributes:
        cost: what each costs, 0 or more.
        brings: by thing, itself and all that comes with it, over any number of links.
        groups: whoever takes an owner takes enough of its members; without rings, as in a checked course.
    """

    cost: tuple[int, ...]
    brings: tuple[int, ...]
    groups: tuple[SkillGroup, ...]


@dataclass(frozen=True)
class Cheapest:
    """A cheapest set and how it is known to be one.

    Attributes:
        chosen: the set, with everything it brings.
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
    start, _ = _SetSearch(things, things.groups, most).forced(_with_brought(things, 0, wanted), 0)
    chosen, at_least, compared = start, _cost(things, start), 0
    for groups in _apart(things, start):
        search = _SetSearch(things, groups, most - compared)
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
    return chosen | union(things.brings[i] for i in bits(more))


def _apart(things: Things, start: int) -> Iterator[tuple[SkillGroup, ...]]:
    """Yield the open groups, with all that may open under them, such that no two lots share a thing."""
    lots: list[tuple[int, list[SkillGroup]]] = []
    for group in _open(things.groups, start):
        within, groups = _within(things, group, start)
        near = [lot for lot in lots if lot[0] & within]
        lots = [lot for lot in lots if not lot[0] & within]
        for others, of in near:
            within, groups = within | others, [*of, *(one for one in groups if one not in of)]
        lots.append((within, groups))
    yield from (tuple(groups) for _, groups in lots)


def _within(things: Things, group: SkillGroup, start: int) -> tuple[int, list[SkillGroup]]:
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


def _open(groups: Iterable[SkillGroup], chosen: int) -> Iterator[SkillGroup]:
    """Yield the groups of what is chosen that are not met by it."""
    for group in groups:
        if chosen >> group.owner & 1 and group.missing(chosen) > 0:
            yield group


def _solved(things: Things, groups: Sequence[SkillGroup], start: int) -> Cheapest | None:
    """Return a cheapest set by the solver; None where none is installed or it gives up."""
    if not is_installed():
        return None
    program = BinaryProgram(len(things.cost))
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


def _needed(things: Things, groups: Sequence[SkillGroup], start: int, found: int) -> int:
    """Return what of a set with all groups met is needed to meet them."""
    chosen = start
    while (group := next(_open(groups, chosen), None)) is not None:
        for i in list(bits(group.members & found & ~chosen))[: group.missing(chosen)]:
            chosen |= things.brings[i]
    return chosen


class _SetSearch:
    """Branches on one open group at a time: this member, or without it the next."""

    def __init__(self, things: Things, groups: Sequence[SkillGroup], most: int) -> None:
        self.things = things
        self.groups = groups
        self.most = most
        self.best: int | None = None
        self.best_cost = 0
        self.compared = 0
        self.is_done = False
        self.prices: dict[tuple[int, int], int] = {}
        self.groups_of: dict[int, list[SkillGroup]] = {}
        for group in groups:
            self.groups_of.setdefault(group.owner, []).append(group)

    def best_from(self, start: int) -> Cheapest:
        """Return the best set found that has all of ``start``."""
        so_far = _cost(self.things, start)
        floor = so_far + max(self.bound(start, 0), self._priced(start, 0, so_far).at_least)
        waiting = [(start, 0)]
        while waiting and (self.best is None or self.compared < self.most):
            self.compared += 1
            waiting.extend(reversed(list(self._ways(*waiting.pop()))))
        self.is_done = not waiting
        assert self.best is not None
        at_least = self.best_cost if self.is_done else min(floor, self.best_cost)
        self.is_done = at_least == self.best_cost
        return Cheapest(self.best, self.best_cost, at_least, self.compared, self.is_done)

    def _ways(self, chosen: int, banned: int) -> Iterator[tuple[int, int]]:
        """Yield how to go on: nothing where a set is complete or cannot be cheaper than the best."""
        chosen, fits = self.forced(chosen, banned)
        so_far = _cost(self.things, chosen)
        if not fits or self._is_dear(so_far, self.bound(chosen, banned)):
            return
        opened = list(_open(self.groups, chosen))
        group = min(opened, key=lambda g: len(self.able(g, chosen, banned)), default=None)
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
            # the member of least waste first; each bans those tried before
            for i in sorted(self.able(group, chosen, banned), key=lambda i: (priced.waste[i], i)):
                yield _with_brought(self.things, chosen, 1 << i), banned
                banned |= 1 << i

    def _is_dear(self, so_far: int, more: int) -> bool:
        """Return whether so much more is no cheaper than the best."""
        return self.best is not None and so_far + more >= self.best_cost

    def _priced(self, chosen: int, banned: int, so_far: int) -> Priced:
        """Return prices for a second bound, which sees what the members of several groups share."""
        demands = []
        for group in _open(self.groups, chosen):
            able = tuple(self.able(group, chosen, banned))
            demands.append(Demand((group.owner, group.members), able, group.missing(chosen)))
        members = sorted({i for demand in demands for i in demand.able})
        brought = {i: self.things.brings[i] & ~chosen for i in members}
        every = _with_brought(self.things, chosen, sum(1 << i for i in members))
        top = _cost(self.things, every) if self.best is None else self.best_cost
        rounds = ROUNDS if self.prices else FIRST_ROUNDS
        priced = Relaxed(demands, brought, self.things.cost).raised(top - so_far, rounds, self.prices)
        self.prices |= zip((demand.key for demand in demands), priced.prices, strict=True)
        return priced

    def able(self, group: SkillGroup, chosen: int, banned: int) -> list[int]:
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
                missing = group.missing(chosen)
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

    def _necessity(self, group: SkillGroup, chosen: int, banned: int, left: Sequence[int], deep: int) -> int:
        """Return things with cost left of which one at least must be taken, 0 for none.

        Of n members of which k are missing, one at least of any n - k + 1 is taken.
        """
        able = self.able(group, chosen, banned)
        cuts = []
        allowed = group.missing(chosen) - 1
        for i in able:
            cut = self._cut(i, chosen, banned, left, deep)
            if cut:
                cuts.append(cut)
            elif allowed:
                allowed -= 1
            else:
                return 0
        return union(sorted(cuts, key=lambda cut: -min(left[i] for i in bits(cut)))[: len(cuts) - allowed])

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
                if group.missing(after) > 0:
                    cut = self._necessity(group, after, banned, left, deep + 1)
                    if cut:
                        return cut
        return 0


_DEEPEST: Final = 4
"""How many groups under each other the bound follows; deeper ones only make it lower."""
