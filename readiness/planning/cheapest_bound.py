"""What meeting the open groups costs at least, by prices: linear-programming duality, in whole numbers.

Each member that is missing in a group has a price, and what several members bring with them is
shared out among these. Whatever the prices and shares, no way to meet the groups costs less than
the prices of all that is missing, less what some member or shared thing costs below its prices.
Prices are raised by the subgradient method (Held and Karp 1971). What groups the members open in
turn is left out of account, so the bound is never too high.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Final

from readiness.course.plan import bits

__all__ = ["Demand", "Priced", "Relaxed"]

_FINEST: Final = 64
_IDLE: Final = 6


@dataclass(frozen=True, slots=True)
class Demand:
    """``missing`` of the members in ``able`` are still to be taken; ``key`` says whose group it is."""

    key: tuple[int, int]
    able: tuple[int, ...]
    missing: int


@dataclass(frozen=True, slots=True)
class Priced:
    """Prices and what follows from them.

    Attributes:
        at_least: what meeting all demands costs at least.
        prices: by demand; shares: by shared lot, of each of its users.
        waste: by member, what it costs beyond the prices of the demands it meets.
        lots: by shared lot, whether it costs less than its shares.
    """

    at_least: int
    prices: list[int]
    shares: list[list[int]]
    waste: dict[int, int]
    lots: list[bool]


class Relaxed:
    """The open groups by themselves: who can meet them, what each costs alone and what some share."""

    def __init__(self, demands: Sequence[Demand], brought: Mapping[int, int], cost: Sequence[int]) -> None:
        self.demands = demands
        self.own = dict.fromkeys(brought, 0)
        users: dict[int, tuple[int, ...]] = {}
        for i, things in brought.items():
            for thing in bits(things):
                users[thing] = (*users.get(thing, ()), i)
        lots: dict[tuple[int, ...], int] = {}
        for thing, of in users.items():
            lots[of] = lots.get(of, 0) + cost[thing]
        self.lots = [(of, price) for of, price in lots.items() if price and len(of) > 1]
        for of, price in lots.items():
            if len(of) == 1:
                self.own[of[0]] = price

    def raised(self, goal: int, rounds: int, known: Mapping[tuple[int, int], int]) -> Priced:
        """Return prices for a bound of ``goal``, or the best found in some rounds.

        ``known`` are prices by demand to begin with, from a question much like this one.
        """
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

    def priced(self, prices: list[int], shares: list[list[int]]) -> Priced:
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
