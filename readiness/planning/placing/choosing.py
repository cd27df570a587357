"""Which look comes next in a placing round.

Each look is the one that tells most about the start unit, among those likely enough to come out
well, so that a child meets success early; of looks that tell nearly as much the easier one. Where
all looks together settle the unit and the notes alone still start elsewhere, the look comes that
turns most of what is only taken as there into something seen.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from math import log2, sqrt
from operator import mul
from typing import Final

from readiness.course.plan import bits
from readiness.planning.placing.evidence import Evidence

__all__ = ["Look", "confirming_look", "looks_on_paper", "next_look", "raising_look"]

_SAME: Final = 0.9
"""Looks that tell at least so much of what the best one tells are as good; the easier is asked."""


@dataclass(frozen=True, slots=True)
class Look:
    """What to ask for next. ``why`` is always-look, easy-first, halves, must-be-seen or confirm."""

    skills: tuple[str, ...]
    why: str


def next_look(now: Evidence) -> Look | None:
    """Return the look that tells most, None where nothing is left to ask."""
    if seat := now.seat:
        return Look(now.course.plan.names(seat), "always-look")
    return raising_look(now) if now.is_sure else _telling_look(now) or raising_look(now)


def _telling_look(now: Evidence) -> Look | None:
    """Return the look that tells most about the start unit, None where none tells anything."""
    told = dict(_told(now))
    best = max(told.values(), default=0.0)
    if best < now.assumed.least_gain:
        return None
    unit = now.course.plan.unit
    good = [i for i, gain in told.items() if gain >= _SAME * best]
    return _look(now, min(good, key=lambda i: (unit[i], -told[i], i)))


def confirming_look(now: Evidence) -> Look | None:
    """Return, in the second lesson, the look that settles most of what was only taken as there."""
    return raising_look(now) if now.lessons_before == 1 and now.room else None


def raising_look(now: Evidence) -> Look | None:
    """Return the look that brings the start of rule R10 furthest on, None with nothing taken to ask.

    Furthest is the latest unit; then the least missing beyond what may come along, over the units
    up to the one that all looks fit best; then the most that is settled; then the easier.
    """
    plan = now.course.plan
    able = [i for i in _able(now) if now.taken >> i & 1]
    most = max(able, key=lambda i: (*_brings(now, i), -plan.unit[i], -i), default=None)
    return None if most is None else Look((plan.ids[most],), "confirm")


def _brings(now: Evidence, i: int) -> tuple[int, int, int]:
    """Return how far on a showing brings the start of rule R10."""
    plan, asked_by = now.course.plan, now.footings.asked_by
    settled = (plan.ancestors[i] & ~plan.must_be_seen | 1 << i) & ~now.shown[1]
    there = now.there | settled
    missing = ((asked & ~there).bit_count() for asked in asked_by[: now.best + 1])
    beyond = sum(max(0, count - now.limit) for count in missing)
    return now.footings.start_of(there, now.limit), -beyond, (settled & now.taken).bit_count()


def _look(now: Evidence, i: int) -> Look:
    plan = now.course.plan
    first = not now.asked & now.footings.asked_by[-1]
    why = "easy-first" if first else "must-be-seen" if plan.must_be_seen >> i & 1 else "halves"
    return Look((plan.ids[i],), why)


def looks_on_paper(now: Evidence, count: int) -> tuple[str, ...]:
    """Return what to ask for where no answer can change what comes next, what tells most first.

    Each time it is what most lessens the doubts between a start unit and the one two units on: a doubt
    is the Bhattacharyya bound on the chance of taking the one for the other (Kailath 1967, IEEE
    Transactions on Communication Technology 15:52-60), and looks multiply their parts of it.
    """
    chances, shows = _answers(now)
    doubts = [sqrt(one * other) for one, other in _apart(chances)]
    alike = {i: _alike(chances, each) for i, each in shows.items()}
    chosen: list[int] = []
    while doubts and len(chosen) < min(count, len(alike)):
        able = [i for i in alike if i not in chosen]
        chosen.append(min(able, key=lambda i: (sum(map(mul, doubts, alike[i])), i)))
        doubts = list(map(mul, doubts, alike[chosen[-1]]))
    return tuple(now.course.plan.ids[i] for i in chosen)


def _alike(chances: Sequence[float], shows: Sequence[float]) -> list[float]:
    """Return how alike each start unit and the one two units on are in what they show, from 0 to 1."""
    rates = [show / chance for show, chance in zip(shows, chances, strict=True)]
    return [sqrt(one * other) + sqrt((1 - one) * (1 - other)) for one, other in _apart(rates)]


def _apart(each: Sequence[float]) -> Iterator[tuple[float, float]]:
    """Yield units two apart, or one where there are no more: give or take a unit is near enough."""
    return zip(each, each[min(2, len(each) - 1) :], strict=False) if len(each) > 1 else iter(())


def _answers(now: Evidence) -> tuple[list[float], dict[int, list[float]]]:
    """Return how likely each start unit is, and by skill how likely it is that one and a showing."""
    units = [now.belief.within(who) for who in now.footings.starts]
    units = [one for one in units if one[0] > now.assumed.negligible]
    shows = {i: [now.belief.shows(i, parts) for _, parts in units] for i in _able(now)}
    return [chance for chance, _ in units], shows


def _told(now: Evidence) -> Iterator[tuple[int, float]]:
    """Yield how much each look that may be asked tells about the start unit, in bits.

    That is how unlike those are, in what they would show, who would start in different units.
    """
    chances, shows = _answers(now)
    least = _least(now)
    for i in [i for i, each in shows.items() if sum(each) >= least] or list(shows):
        rest = sum(chance * _uncertain(show / chance) for chance, show in zip(chances, shows[i], strict=True))
        yield i, _uncertain(sum(shows[i])) - rest


def _able(now: Evidence) -> list[int]:
    """Return what may be asked: of the entry lists, not asked yet, of a strand that is open.

    In a course so wide that there is too much of that, what is least sure.
    """
    skills = now.course.skills
    able = [
        i
        for i in bits(now.footings.asked_by[-1] & ~now.asked)
        if skills[i].id not in now.left_alone and skills[i].strand not in now.strands_closed
    ]
    having, most = now.footings.crowd.having, now.assumed.most_compared
    if len(able) > most:
        able.sort(key=lambda i: abs(now.belief.share(having[i]) - 0.5))
    return sorted(able[:most])


def _least(now: Evidence) -> float:
    """Return how likely the next look must be to come out well."""
    asked = [i for i, _ in now.in_order() if now.footings.asked_by[-1] >> i & 1]
    if not asked:
        return now.assumed.first_at_least
    missed = now.shown[1] >> asked[-1] & 1
    return now.assumed.after_miss_at_least if missed else now.assumed.at_least


def _uncertain(chance: float) -> float:
    """Return the entropy of a yes or no, in bits."""
    if chance <= 0 or chance >= 1:
        return 0.0
    return -chance * log2(chance) - (1 - chance) * log2(1 - chance)
