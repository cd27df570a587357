"""The search for the smallest cover of one part: bounds from linear programming, then branching.

Three questions in turn, each the same kind: is there a cover of fewer skills; is there one of so many skills
with fewer minutes; is there one of so many skills and minutes that has this skill, which comes first by its
id? Each is answered by depth-first search. What keeps it short is a price for each want (``Bound``): what a
skill costs beyond the prices of what it settles is waste, and where the waste is more than there is to spare,
the skill is out. Prices are whole numbers, so that nothing is rounded. They are found by the subgradient
method (Held and Karp 1971), textbook linear-programming duality: whatever the prices, the bound holds.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import field
from typing import Final

from readiness.course.model import bits, union
from readiness.lazy import dataclass

__all__ = [
    "UNIT", "Bound", "Component", "BestCover", "Search", "SearchState", "Spent", "Steps", "best_cover",
    "size_bound",
]  # fmt: skip

UNIT: Final = 2**7 * 3**4 * 5 * 7
"""What one skill costs in a bound of the size: a number that many sizes of sets divide."""

_ROUNDS: Final = 150
_PER_MINUTE: Final = 64
_FINEST: Final = 64
_IDLE: Final = 8


class Spent(Exception):  # noqa: N818 - not an error: a search has had its share
    """So many steps were taken as were allowed."""


@dataclass
class Steps:
    """How many steps are left."""

    left: int

    def take(self) -> None:
        """Take one step.

        Raises:
            Spent: there is none left.
        """
        self.left -= 1
        if self.left < 0:
            raise Spent


class _Sums(dict[int, int]):
    """By set of things the sum of their prices, worked out once."""

    def __init__(self, prices: Sequence[int]) -> None:
        self.prices = prices

    def __missing__(self, things: int) -> int:
        self[things] = total = sum(self.prices[e] for e in bits(things))
        return total


@dataclass(frozen=True)
class Opened:
    """What is still wanted.

    Attributes:
        singles, alone: the things wanted alone, as bits and by number.
        groups: of each unmet group its number, its things and how many of them.
    """

    singles: int
    alone: tuple[int, ...]
    groups: tuple[tuple[int, int, int], ...]

    @property
    def things(self) -> int:
        """Return the things that bring an unmet want nearer."""
        return self.singles | union(members for _, members, _ in self.groups)


class Component:
    """A covering question by small numbers: skills in the order of their ids, things to settle as bits.

    Attributes:
        reach: by skill, the things its showing settles.
        minutes: by skill, above the fewest any has: of sets of one size this changes no order.
        singles: the things that are each wanted alone; columns: by thing, the skills that settle it.
        groups: some things and how many of them are wanted.
    """

    def __init__(
        self, reach: Sequence[int], minutes: Sequence[int], singles: int, groups: Sequence[tuple[int, int]]
    ) -> None:
        least = min(minutes)
        self.reach = tuple(reach)
        self.minutes = tuple(one - least for one in minutes)
        self.singles = singles
        self.groups = tuple(groups)
        self.columns = [
            sum(1 << i for i, mask in enumerate(self.reach) if mask >> e & 1)
            for e in range(singles.bit_length())
        ]

    def opened(self, secure: int) -> Opened:
        """Return what is still wanted."""
        groups = (
            (number, members & ~secure, at_least - (members & secure).bit_count())
            for number, (members, at_least) in enumerate(self.groups)
        )
        singles = self.singles & ~secure
        return Opened(singles, tuple(bits(singles)), tuple(group for group in groups if group[2] > 0))

    def helpers(self, masks: Mapping[int, int], opened: Opened) -> dict[int, int] | None:
        """Return who of some skills helps each open want, as bits; None where they cannot meet one.

        Things wanted alone by number, groups as -1, -2 and so on.
        """
        able = union(1 << i for i in masks)
        helpers = {e: self.columns[e] & able for e in opened.alone}
        for number, members, missing in opened.groups:
            together = union(masks.values()) & members
            among = union(1 << i for i, mask in masks.items() if mask & members)
            helpers[-1 - number] = among if together.bit_count() >= missing else 0
        return helpers if all(helpers.values()) else None

    def weigh(self, chosen: Sequence[int]) -> int:
        """Return the minutes of a set, above the fewest."""
        return sum(self.minutes[i] for i in chosen)

    def some_cover(self) -> tuple[int, ...]:
        """Return a cover to begin with, the skill that settles most first."""
        chosen: list[int] = []
        secure = 0
        while need := self.opened(secure).things:
            gains = [(mask & need).bit_count() for mask in self.reach]
            chosen.append(min(range(len(gains)), key=lambda i: (-gains[i], self.minutes[i], i)))
            secure |= self.reach[chosen[-1]]
        return tuple(chosen)


@dataclass
class Bound:
    """Prices of what is wanted, which show that no cover costs little.

    A skill costs ``each`` and ``per_minute`` for each of its minutes.

    Attributes:
        prices: by thing that is wanted alone; group_prices: by group, for each that is missing.
    """

    each: int
    per_minute: int
    prices: list[int]
    group_prices: list[int]
    sums: _Sums = field(init=False)

    def __post_init__(self) -> None:
        self.sums = _Sums(self.prices)

    def waste(self, part: Component, masks: Mapping[int, int], opened: Opened) -> list[int]:
        """Return by skill what it costs beyond the prices of what it settles; below 0 for a gain."""
        each, per_minute, minutes, sums, singles = (
            self.each, self.per_minute, part.minutes, self.sums, opened.singles,
        )  # fmt: skip
        waste = [each + per_minute * minutes[i] - sums[mask & singles] for i, mask in masks.items()]
        for number, members, missing in opened.groups:
            price = self.group_prices[number]
            for at, mask in enumerate(masks.values()):
                waste[at] -= price * min(missing, (mask & members).bit_count())
        return waste

    def at_least(self, waste: list[int], opened: Opened) -> int:
        """Return what everything that meets the open wants costs at least."""
        groups = sum(self.group_prices[number] * missing for number, _, missing in opened.groups)
        return sum(self.prices[e] for e in opened.alone) + groups + sum(one for one in waste if one < 0)


def size_bound(part: Component, size: int, steps: Steps) -> Bound:
    """Return prices to show that ``size`` skills are too few, or nearly so.

    Each want begins at the share it has in the largest of its helpers.
    """
    prices = [0] * max(part.reach).bit_length()
    group_prices = [UNIT] * len(part.groups)
    for e in bits(part.singles):
        prices[e] = UNIT
    for mask in part.reach:
        of_groups = [min(n, (mask & members).bit_count()) for members, n in part.groups]
        share = UNIT // max(1, (mask & part.singles).bit_count() + sum(of_groups))
        for e in bits(mask & part.singles):
            prices[e] = min(prices[e], share)
        for number, count in enumerate(of_groups):
            group_prices[number] = min(group_prices[number], share) if count else group_prices[number]
    return _raised(part, Bound(UNIT, 0, prices, group_prices), size, 0, steps)


def minutes_bound(part: Component, of_size: Bound, size: int, minutes: int, steps: Steps) -> Bound:
    """Return prices to show that so many minutes are too few for ``size`` skills, or nearly so."""
    each = 4 * _PER_MINUTE * max(1, minutes // size)
    prices, group_prices = (
        [price * each // UNIT for price in some] for some in (of_size.prices, of_size.group_prices)
    )
    return _raised(part, Bound(each, _PER_MINUTE, prices, group_prices), size, minutes, steps)


def _raised(part: Component, bound: Bound, size: int, minutes: int, steps: Steps) -> Bound:
    """Raise a bound by the subgradient method, until size and minutes prove too few or for some rounds."""
    masks, opened = dict(enumerate(part.reach)), part.opened(0)
    best, least, stride, idle = bound, None, 2 * _FINEST, 0
    for _ in range(_ROUNDS):
        steps.take()
        waste = bound.waste(part, masks, opened)
        spare = bound.each * size + bound.per_minute * minutes - bound.at_least(waste, opened)
        idle += 1
        if least is None or spare < least:
            best, least, idle = bound, spare, 0
        if spare < 0 or not stride:
            break
        if idle >= _IDLE:
            bound, stride, idle = best, stride // 2, 0
        else:
            gainful = [i for i, one in enumerate(waste) if one < 0]
            bound = _moved(part, bound, opened, gainful, stride * (spare + bound.each // 50 + 1), size)
    return best


def _moved(
    part: Component, bound: Bound, opened: Opened, gainful: Sequence[int], pace: int, size: int
) -> Bound:
    """Return prices moved the way the bound rises: up what gainful skills do not settle, down the rest."""
    slopes = [opened.singles >> e & 1 for e in range(len(bound.prices))]
    of_groups = [0] * len(bound.group_prices)
    for number, _, missing in opened.groups:
        of_groups[number] = missing
    for i in gainful:
        for e in bits(part.reach[i] & opened.singles):
            slopes[e] -= 1
        for number, members, missing in opened.groups:
            of_groups[number] -= min(missing, (part.reach[i] & members).bit_count())
    slope = len(gainful) - size if bound.per_minute else 0
    norm = _FINEST * (sum(one * one for one in (*slopes, *of_groups)) + slope * slope)

    def moved(prices: Sequence[int], by: Sequence[int]) -> list[int]:
        return [max(0, price + pace * one // max(1, norm)) for price, one in zip(prices, by, strict=True)]

    [each] = moved([bound.each], [slope])
    return Bound(each, bound.per_minute, moved(bound.prices, slopes), moved(bound.group_prices, of_groups))


@dataclass(frozen=True)
class SearchState:
    """How far a search has come: what is settled, by which skills, and which others may be taken."""

    secure: int
    chosen: tuple[int, ...]
    able: tuple[int, ...]


@dataclass(frozen=True)
class Ways:
    """How to go on: who helps one want, and which of these need no trying.

    Attributes:
        want: a thing wanted alone; of groups -1, -2 and so on. None where nothing is wanted any more.
        tried: the helpers to try, each without those before it.
        same: helpers that settle no more than one tried before them and are no shorter.
        able: who may be taken beside.
    """

    want: int | None
    tried: tuple[int, ...] = ()
    same: Mapping[int, int] = field(default_factory=dict)
    able: tuple[int, ...] = ()


class Search:
    """Depth-first search for covers of at most ``size`` skills and ``minutes`` minutes."""

    def __init__(
        self, part: Component, bounds: Sequence[Bound], size: int, minutes: int | None, steps: Steps
    ) -> None:
        self.part, self.bounds, self.size, self.steps = part, bounds, size, steps
        self.minutes = part.weigh(range(len(part.reach))) if minutes is None else minutes

    def begin(self, chosen: tuple[int, ...], able: Sequence[int]) -> SearchState:
        """Return the state in which only ``chosen`` is taken."""
        return SearchState(union(self.part.reach[i] for i in chosen), chosen, tuple(able))

    def covers(self, begin: SearchState) -> Iterator[tuple[int, ...]]:
        """Yield covers; whoever asks may lower ``size`` and ``minutes`` in between.

        Raises:
            Spent: too many steps were taken.
        """
        waiting = [begin]
        while waiting:
            self.steps.take()
            state = waiting.pop()
            ways = self.ways(state)
            if ways is not None and ways.want is None:
                yield state.chosen
            elif ways is not None:
                waiting.extend(reversed(self.after(state, ways)))

    def after(self, state: SearchState, ways: Ways) -> list[SearchState]:
        """Return the states to go on with, the most promising first."""
        reach, out, states = self.part.reach, set(ways.same), []
        for i in ways.tried:
            out.add(i)
            able = tuple(other for other in ways.able if other not in out)
            states.append(SearchState(state.secure | reach[i], (*state.chosen, i), able))
        return states

    def ways(self, state: SearchState) -> Ways | None:
        """Return how to go on, None where nothing that is small enough can come of it."""
        opened = self.part.opened(state.secure)
        size, minutes = self.size - len(state.chosen), self.minutes - self.part.weigh(state.chosen)
        if size < 0 or minutes < 0:
            return None
        need = opened.things
        if not need:
            return Ways(None)
        masks = {i: mask for i in state.able if (mask := self.part.reach[i] & need)}
        spoilt = dict.fromkeys(masks, 0)
        for bound in self.bounds:
            waste = bound.waste(self.part, masks, opened)
            spare = bound.each * size + bound.per_minute * minutes - bound.at_least(waste, opened)
            if spare < 0:
                return None
            pairs = zip(masks.items(), waste, strict=True)
            spoilt = {i: spoilt[i] + one * UNIT // (spare + 1) for (i, _), one in pairs if one <= spare}
            masks = {i: masks[i] for i in spoilt}
        return self._fork(masks, opened, spoilt)

    def _fork(self, masks: Mapping[int, int], opened: Opened, spoilt: Mapping[int, int]) -> Ways | None:
        """Return the ways to meet the want that leaves least choice, None where one cannot be met."""
        helpers = self.part.helpers(masks, opened)
        if helpers is None:
            return None
        least = min(one.bit_count() for one in helpers.values())
        narrow = [want for want, one in helpers.items() if one.bit_count() == least]
        want = max(narrow, key=lambda want: (sum(spoilt[i] for i in bits(helpers[want])), -want))
        minutes = self.part.minutes
        tried: list[int] = []
        same: dict[int, int] = {}
        for i in sorted(bits(helpers[want]), key=lambda i: (spoilt[i], i)):
            of = next((k for k in tried if not masks[i] & ~masks[k] and minutes[k] <= minutes[i]), None)
            if of is None:
                tried.append(i)
            else:
                same[i] = of
        return Ways(want, tuple(tried), same, tuple(masks))


@dataclass
class BestCover:
    """The best cover so far, and whether it is known to be the best."""

    cover: tuple[int, ...]
    proved: bool = False


def best_cover(part: Component, steps: Steps) -> BestCover:
    """Return the smallest cover; of equals that with fewest minutes, then the first by its ids."""
    found, every = BestCover(part.some_cover()), range(len(part.reach))
    try:
        size = size_bound(part, len(found.cover) - 1, steps)
        smaller = Search(part, (size,), len(found.cover) - 1, None, steps)
        for found.cover in smaller.covers(smaller.begin((), every)):
            smaller.size = len(found.cover) - 1
        count, minutes = len(found.cover), part.weigh(found.cover)
        both = (size, minutes_bound(part, size, count, minutes - 1, steps))
        shorter = Search(part, both, count, minutes - 1, steps)
        for found.cover in shorter.covers(shorter.begin((), every)):
            shorter.minutes = part.weigh(found.cover) - 1
        _make_first(part, found, both, steps)
    except Spent:
        return found
    found.proved = True
    return found


def _make_first(part: Component, found: BestCover, bounds: Sequence[Bound], steps: Steps) -> None:
    """Take skill after skill, in the order of the ids, if an equally good cover has it."""
    search = Search(part, bounds, len(found.cover), part.weigh(found.cover), steps)
    taken: tuple[int, ...] = ()
    for i in range(len(part.reach)):
        if i not in found.cover:
            begin = search.begin((*taken, i), range(i + 1, len(part.reach)))
            cover = next(search.covers(begin), None)
            if cover is None:
                continue
            found.cover = cover
        taken = (*taken, i)
        if len(taken) == len(found.cover):
            return
