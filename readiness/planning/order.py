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
in turn". It is found exactly: things that are alike in all this are interchangeable, so the
best way to go on depends only on how many of each kind are left and on what came last.
Nothing here knows a skill or a student.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from functools import cache

__all__ = ["ANYWHERE", "CAN_WAIT", "DECIDES", "Thing", "best_order"]

DECIDES, ANYWHERE, CAN_WAIT = range(3)
"""Ranks: what decides, what may stand anywhere between, what never stands before what decides."""


@dataclass(frozen=True, slots=True)
class Thing:
    """Something to put in order. ``whole`` names what it is a part of, empty for none."""

    rank: int
    hard: bool
    quiet: bool
    whole: str = ""


_Drawbacks = tuple[int, int, int, tuple[int, ...]]
"""What counts against an order, to be compared from left to right."""


def best_order(
    things: Sequence[Thing], before: Thing | None = None, after: Thing | None = None
) -> tuple[int, ...]:
    """Return the places in ``things`` in the best order.

    Args:
        things: what to order, what matters more first.
        before: what comes directly before all of them, if anything.
        after: what comes directly after.
    """
    kinds = list(dict.fromkeys(things))
    members = [[i for i, thing in enumerate(things) if thing == kind] for kind in kinds]
    total = len(things)

    @cache
    def rest(left: tuple[int, ...], last: Thing | None) -> _Drawbacks:
        if not any(left):
            hard, alike = _between(last, after)
            return hard, 0, alike, ()
        waits = any(count and kind.rank == DECIDES for count, kind in zip(left, kinds, strict=True))
        place = total - sum(left)
        ways = []
        for k, (count, kind) in enumerate(zip(left, kinds, strict=True)):
            if not count or (waits and kind.rank == CAN_WAIT):
                continue
            hard, early, alike, order = rest((*left[:k], count - 1, *left[k + 1 :]), kind)
            more_hard, more_alike = _between(last, kind)
            first = members[k][len(members[k]) - count]
            here = place if kind.rank == DECIDES else 0
            ways.append((hard + more_hard, early + here, alike + more_alike, (first, *order)))
        return min(ways)

    return rest(tuple(map(len, members)), before)[3]


def _between(one: Thing | None, two: Thing | None) -> tuple[int, int]:
    """Return whether two neighbours are both hard (or one whole), and both quiet or both moving."""
    if one is None or two is None:
        return 0, 0
    is_one_whole = one.whole != "" and one.whole == two.whole
    return int((one.hard and two.hard) or is_one_whole), int(one.quiet == two.quiet)
