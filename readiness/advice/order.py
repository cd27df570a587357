"""In which order a handful of things is asked for or done: the best order there is.

What is best is fixed here, for the check sheet and the lesson plan alike. Of all orders in
which nothing that can wait stands before something that decides, the one that has, compared
in this sequence,

1. the fewest hard things directly after hard ones (or parts of the same thing directly after
   each other);
2. the things that decide earliest (the smallest sum of their places);
3. the fewest quiet things after quiet ones and moving ones after moving ones;
4. the earlier things of the list first.

So where the rules of the trade pull apart, "blockers before nice-to-haves" always holds,
"never two hard ones in a row" beats "as early as possible", and both beat "quiet and moving
in turn". It is found exactly: things that are alike in all this are interchangeable, so of all
ways to begin only the best one counts for each number of things left of each kind and each last
thing. Where these are too many, as in a lesson of days, only the most promising ways are followed,
and that is said. Nothing here knows a skill or a student.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from typing import Final, NamedTuple

from readiness.lazy import dataclass

__all__ = ["Order", "Thing", "best_order"]

DECIDES, ANYWHERE, CAN_WAIT = range(3)
"""Ranks: what decides, what may stand anywhere between, what never stands before what decides."""

_STEPS: Final = 600_000
"""How many ways to go on are looked at, in all, before only the most promising are followed."""


@dataclass(frozen=True)
class Thing:
    """Something to put in order. ``whole`` names what it is a part of, empty for none."""

    rank: int
    hard: bool
    quiet: bool
    whole: str = ""


class Order(NamedTuple):
    """Places in the best order. ``proved`` is false where not all orders were compared."""

    places: tuple[int, ...]
    proved: bool


class _Way(NamedTuple):
    """A way to begin: what counts against it, compared from the left, and how it came about."""

    hard: int
    early: int
    alike: int
    turn: int
    place: int
    parent: _Way | None


_Ways = dict[tuple[int, int], _Way]
"""The best way for what is left, a number of things for each kind in one integer, and the last kind."""


def best_order(things: Sequence[Thing], before: Thing | None = None, after: Thing | None = None) -> Order:
    """Return the places in ``things`` in the best order.

    Args:
        things: what to order, what matters more first.
        before: what comes directly before all of them, if anything.
        after: what comes directly after.
    """
    kinds = tuple(dict.fromkeys(things))
    members: dict[Thing, list[int]] = {kind: [] for kind in kinds}
    for i, thing in enumerate(things):
        members[thing].append(i)
    search = _OrderSearch((*kinds, before), tuple(members.values()), len(things).bit_length())
    left = sum(len(own) << k * search.bits for k, own in enumerate(search.members))
    ways: _Ways = {(left, len(kinds)): _Way(0, 0, 0, 0, 0, None)}
    width = max(1, _STEPS // max(1, len(things) * len(kinds)))
    proved = True
    for place in range(len(things)):
        ways = _best(search.longer(ways, place))
        proved = proved and len(ways) <= width
        ways = dict(sorted(ways.items(), key=lambda one: one[1][:5])[:width])
    return Order(_places(min(search.ended(ways, after))), proved)


def _best(longer: Iterable[tuple[tuple[int, int], _Way]]) -> _Ways:
    found: _Ways = {}
    for state, way in longer:
        if state not in found or way < found[state]:
            found[state] = way
    return found


def _places(way: _Way | None) -> tuple[int, ...]:
    places: list[int] = []
    while way is not None and way.parent is not None:
        places.append(way.place)
        way = way.parent
    return tuple(reversed(places))


class _OrderSearch(NamedTuple):
    """The kinds of things, then what came before all of them; the places of each kind; bits of a number."""

    kinds: tuple[Thing | None, ...]
    members: tuple[list[int], ...]
    bits: int

    def longer(self, ways: _Ways, place: int) -> Iterator[tuple[tuple[int, int], _Way]]:
        """Yield every way with one thing more; of ways alike, the one with earlier things wins."""
        order = sorted(ways.values(), key=lambda way: way[3:5])
        turns = {id(way): turn for turn, way in enumerate(order)}
        for (left, last), way in ways.items():
            for k, kind, thing in self._open(left):
                hard, alike = _between(self.kinds[last], kind)
                early = place if kind.rank == DECIDES else 0
                yield (
                    (left - (1 << k * self.bits), k),
                    _Way(way.hard + hard, way.early + early, way.alike + alike, turns[id(way)], thing, way),
                )

    def _open(self, left: int) -> list[tuple[int, Thing, int]]:
        """Return what may come next: its kind and the first thing of it that is left."""
        some = (1 << self.bits) - 1
        found = [
            (k, kind, own[-count])
            for k, (kind, own) in enumerate(zip(self.kinds, self.members, strict=False))
            if kind is not None and (count := left >> k * self.bits & some)
        ]
        waits = any(kind.rank == DECIDES for _, kind, _ in found)
        return [one for one in found if not (waits and one[1].rank == CAN_WAIT)]

    def ended(self, ways: _Ways, after: Thing | None) -> Iterator[_Way]:
        for (_, last), way in ways.items():
            hard, alike = _between(self.kinds[last], after)
            yield way._replace(hard=way.hard + hard, alike=way.alike + alike)


def _between(one: Thing | None, two: Thing | None) -> tuple[int, int]:
    """Return whether two neighbours are both hard (or one whole), and both quiet or both moving."""
    if one is None or two is None:
        return 0, 0
    is_one_whole = one.whole != "" and one.whole == two.whole
    return int((one.hard and two.hard) or is_one_whole), int(one.quiet == two.quiet)
