"""A crowd of imagined students, and how well each agrees with what was seen.

Every student of the crowd comes from somewhere on the course, is ahead in some strands and behind
in others, and has a *closed* set of skills: with each skill all that is under it (knowledge space
theory; Doignon and Falmagne 1985, International Journal of Man-Machine Studies 23:175-196). The
crowd stands for the belief before the first look. A look makes those students likelier who would
have answered so: a showing comes from somebody who has the skill, but now and then somebody who
has it slips, and somebody who has it not is lucky (the local independence model; Falmagne and
Doignon 2011, Learning Spaces). How often somebody slips is not supposed but averaged over: a beta
distribution, so that slips that were seen make further ones likelier (the beta-binomial).

One skill of the whole crowd is one integer, with a bit for each student, so that sums over the crowd
are a few operations on long integers. The crowd is always the same for one course; its size, and
so the work, depends on the number of skills alone. Knows numbers only, no student and no course.
"""

from __future__ import annotations

import random
from collections.abc import Iterable, Mapping, Sequence
from functools import cached_property, lru_cache
from itertools import pairwise
from math import exp, log
from typing import Final, NamedTuple

from readiness.course.model import Course, bits, union
from readiness.judging.states import entry_list
from readiness.lazy import dataclass

__all__ = [
    "ASSUMED", "Assumed", "Belief", "Crowd", "Footings", "Placed", "at_most_missing", "crowd_of",
    "footings",
]  # fmt: skip

# What placing supposes about looks and about students, in one table.
#
# All of it is common practice, no source: how often a look misleads, and how far what somebody
# can do usually spreads around the unit they come from. Nothing here is a rule of readiness, and
# nothing here is ever shown as a number about a child.


@dataclass(frozen=True)
class Assumed:
    """The numbers of placing. Common practice, no source, every one.

    Attributes:
        slips: how often somebody who has a skill does not show it in one look: the two numbers of a
            beta distribution, here 1 in 9 on average and seldom more than 1 in 3.
        lucky: how often somebody who has it not shows it all the same, in the same way.
        nearly: units at least so likely as this part of the likeliest one are nearly as likely; the
            earliest of them is the start, because too easy for a while is kinder than too hard.
        settled: how sure the start unit must be, one unit to either side, to stop asking.
        likely: how much of the belief the named range of start units holds.
        first_at_least, after_miss_at_least, at_least: how likely a look must be to come out well:
            the first one, one after something did not come, any.
        negligible: start units less likely than this are left out when the next look is chosen.
        least_gain: looks that tell less than so much (in bits) about the start unit are not asked.
        most_looks: the most things asked for in one lesson, the seat not counted; never more than twice
            as many as a check has, which is only a part of a lesson.
        most_compared: how many looks are compared when the next one is chosen.
    """

    slips: tuple[int, int] = (1, 8)
    lucky: tuple[int, int] = (1, 12)
    nearly: float = 0.5
    settled: float = 0.9
    likely: float = 0.9
    first_at_least: float = 0.6
    after_miss_at_least: float = 0.45
    at_least: float = 0.3
    least_gain: float = 0.01
    most_looks: int = 15
    most_compared: int = 200
    negligible: float = 1e-3


ASSUMED: Final = Assumed()


_SEED: Final = 20_251_204
_QUARTER: Final = 4
"""How fine the way through the course is counted: in quarters of a unit."""
_STRAND: Final = (4, 3)
"""How far a strand is ahead or behind, in quarters of a unit: the sum of even numbers of so many digits."""
_SKILL: Final = (3, 3)
"""How far a single skill is."""
_BEYOND: Final = 1
"""How many units beyond the last one the furthest students come from."""
_TOLD_APART: Final = 150
"""How many pairs of slips and lucky showings are followed: those with the fewest, where looks contradict."""
_NEGLIGIBLE: Final = 1e-5
"""Parts of the crowd with less of the belief than this are left out of sums."""

Number = list[int]
"""One number for each student of a crowd, its binary digits as sets of students, the least first."""


@dataclass(frozen=True)
class Placed:
    """What of a skill matters here: its strand, the number of its unit, and all that is under it."""

    strand: str
    unit: int
    under: int


@dataclass(frozen=True)
class Crowd:
    """Imagined students. ``having`` says by skill which of them have it; ``size`` how many there are."""

    size: int
    having: Mapping[int, int]

    @property
    def everybody(self) -> int:
        """All students."""
        return (1 << self.size) - 1


def crowd_of(skills: Mapping[int, Placed], units: int, size: int) -> Crowd:
    """Imagine a crowd for all ``skills`` that matter, by number."""
    lots = random.Random(_SEED)  # noqa: S311 - a selection, no secret
    everybody = (1 << size) - 1
    even = lots.getrandbits(size) & lots.getrandbits(size)
    level = _spread(size, (units + _BEYOND) * _QUARTER)
    reach = {
        strand: _sum(level, _around(lots, size, even, _STRAND))
        for strand in sorted({one.strand for one in skills.values()})
    }
    having: dict[int, int] = {}
    for i in sorted(skills, key=lambda i: (skills[i].under.bit_count(), i)):
        one = skills[i]
        far = _sum(reach[one.strand], _around(lots, size, even, _SKILL))
        enough = one.unit * _QUARTER + _QUARTER // 2 + _middle(_STRAND) + _middle(_SKILL)
        have = _at_least(far, enough, everybody)
        for below in bits(one.under & ~union(skills[i].under for i in bits(one.under))):
            have &= having[below]
        having[i] = have
    return Crowd(size, having)


def _spread(size: int, end: int) -> Number:
    """Return the numbers from 0 up to ``end`` spread evenly over a crowd, in order."""
    firsts = [-(-number * size // end) for number in range(end + 1)]  # the first place of each number
    runs = [(number, firsts[number + 1] - firsts[number]) for number in reversed(range(end))]
    return [
        int("".join(("1" if number >> digit & 1 else "0") * places for number, places in runs), 2)
        for digit in range(end.bit_length())
    ]


def _middle(digits: tuple[int, int]) -> int:
    """Return the middle of the sum of two numbers of so many binary digits, rounded down."""
    return sum((1 << count) - 1 for count in digits) // 2


def _around(lots: random.Random, size: int, even: int, digits: tuple[int, int]) -> Number:
    """Return a number around the middle for each student, exactly the middle for the ``even`` ones."""
    one, two = ([lots.getrandbits(size) & ~even for _ in range(count)] for count in digits)
    middle = _middle(digits)
    return _sum(_sum(one, two), [even if middle >> digit & 1 else 0 for digit in range(middle.bit_length())])


def _sum(left: Number, right: Number) -> Number:
    """Add two numbers digit by digit, for all students at once."""
    carry, found = 0, []
    for place in range(max(len(left), len(right))):
        a = left[place] if place < len(left) else 0
        b = right[place] if place < len(right) else 0
        found.append(a ^ b ^ carry)
        carry = a & b | carry & (a ^ b)
    return [*found, carry]


def _at_least(number: Number, least: int, everybody: int) -> int:
    """Return whose number is at least so much."""
    if least >> len(number):
        return 0
    above, same = 0, everybody
    for digit in reversed(range(len(number))):
        if least >> digit & 1:
            same &= number[digit]
        else:
            above |= same & number[digit]
            same &= ~number[digit]
    return above | same


def at_most_missing(crowd: Crowd, lists: Sequence[int], most: int) -> tuple[int, ...]:
    """Return, list by list, who lacks at most ``most`` skills of this list and all before it."""
    count: Number = []
    counted, few, found = 0, crowd.everybody, []
    for asked in lists:
        for i in bits(asked & ~counted):
            count = _sum(count, [crowd.everybody & ~crowd.having[i]])
            count = count if count[-1] else count[:-1]
        counted |= asked
        few &= ~_at_least(count, most + 1, crowd.everybody) if count else few
        found.append(few)
    return tuple(found)


class Part(NamedTuple):
    """Students alike in what was seen: the weight of one, who they are, how often they slip or are lucky."""

    weight: float
    who: int
    slip: float
    lucky: float


@dataclass(frozen=True)
class Belief:
    """What is believed after some looks.

    Attributes:
        seen: by skill, whether it was shown.
        assumed: what is supposed about slips and luck.
    """

    crowd: Crowd
    seen: Mapping[int, bool]
    assumed: Assumed

    @cached_property
    def parts(self) -> tuple[Part, ...]:
        """The crowd in parts that are alike in what was seen; the weights of all students add up to one."""
        told = [(i, shown) for i, shown in sorted(self.seen.items()) if i in self.crowd.having]
        showings = sum(shown for _, shown in told)
        odd = {
            who: ((slips, showings - luck), (luck, len(told) - showings - slips))
            for (slips, luck), who in self._told_apart(told).items()
        }
        slip, lucky = self.assumed.slips, self.assumed.lucky
        logs = {who: _log_chance(held, slip) + _log_chance(not_, lucky) for who, (held, not_) in odd.items()}
        most = max(logs.values())
        raw = [
            (exp(logs[who] - most), who, _next_chance(held, slip), _next_chance(not_, lucky))
            for who, (held, not_) in odd.items()
        ]
        total = sum(weight * who.bit_count() for weight, who, *_ in raw)
        return tuple(
            Part(weight / total, who, slip_, lucky_)
            for weight, who, slip_, lucky_ in raw
            if weight * who.bit_count() > _NEGLIGIBLE * total
        )

    def _told_apart(self, told: Iterable[tuple[int, bool]]) -> dict[tuple[int, int], int]:
        """Return who would have slipped so often and been lucky so often."""
        odd = {(0, 0): self.crowd.everybody}
        for i, shown in told:
            expected = self.crowd.having[i] if shown else ~self.crowd.having[i]
            after: dict[tuple[int, int], int] = {}
            for (slips, luck), who in odd.items():
                strange = (slips, luck + 1) if shown else (slips + 1, luck)
                for one, some in (((slips, luck), who & expected), (strange, who & ~expected)):
                    if some:
                        after[one] = after.get(one, 0) | some
            odd = dict(sorted(after.items(), key=lambda one: (sum(one[0]), one[0]))[:_TOLD_APART])
        return odd

    def share(self, who: int) -> float:
        """Return how likely it is one of these students."""
        return sum(part.weight * (who & part.who).bit_count() for part in self.parts)

    def within(self, who: int) -> tuple[float, tuple[Part, ...]]:
        """Return how likely it is one of these students, and the parts of the crowd among them."""
        inside = tuple(part._replace(who=who & part.who) for part in self.parts if who & part.who)
        return sum(part.weight * part.who.bit_count() for part in inside), inside

    def shows(self, i: int, parts: Iterable[Part]) -> float:
        """Return how much of these parts shows a skill when asked for it."""
        have = self.crowd.having[i]
        return sum(
            one.weight
            * (one.lucky * one.who.bit_count() + (1 - one.slip - one.lucky) * (have & one.who).bit_count())
            for one in parts
        )


def _log_chance(happened: tuple[int, int], spread: tuple[int, int]) -> float:
    """Return how likely something happened so often and so often not (the beta-binomial), as a logarithm."""
    (yes, no), (one, other) = happened, spread
    return (
        sum(log(one + n) for n in range(yes))
        + sum(log(other + n) for n in range(no))
        - sum(log(one + other + n) for n in range(yes + no))
    )


def _next_chance(happened: tuple[int, int], spread: tuple[int, int]) -> float:
    """Return how likely it happens the next time."""
    return (spread[0] + happened[0]) / (sum(spread) + sum(happened))


# Which skills placing asks about, and what it believes of them before the first look.
#
# Where a student starts depends on the entry lists alone (rule R10). Under a skill lies what the
# links say, except that nothing implies a ``must_be_seen`` skill, as in R10. Always-look skills are
# looked at by themselves and not among these.

_CROWD: Final = 32_768
"""How many students are imagined."""

_STEPS: Final = 20_000_000
"""How many skills of imagined students are worked out at most: in a wide course the crowd is smaller."""


@dataclass(frozen=True)
class Footings:
    """What the units of a course stand on, for placing.

    Attributes:
        asked_by: by unit number, all that units up to it ask for on entering (sets of skills).
        starts: by unit number, which of them would start there.
    """

    asked_by: tuple[int, ...]
    crowd: Crowd
    starts: tuple[int, ...]

    @property
    def is_whole(self) -> bool:
        """Whether the crowd is as large as usual; it is smaller where a course has very many skills."""
        return self.crowd.size == _CROWD

    def start_of(self, there: int, limit: int) -> int:
        """Return the number of the unit in which somebody with exactly ``there`` starts (R10)."""
        unit = 0
        while unit + 1 < len(self.asked_by) and (self.asked_by[unit + 1] & ~there).bit_count() <= limit:
            unit += 1
        return unit


def footings(course: Course, left_out: int, limit: int) -> Footings:
    """Return what placing asks about in a course, but for ``left_out``; ``limit`` may come along open."""
    plan = course.plan
    asked, lists = 0, []
    for unit in range(len(plan.unit_ids)):
        asked |= entry_list(plan, unit, left_out) & ~plan.always_look
        lists.append(asked)
    every = plan.set_of(skill.id for skill in course.skills if skill.id not in course.gone)
    every &= ~left_out & ~plan.always_look
    skills = tuple(
        (i, Placed(course.skills[i].strand, plan.unit[i], plan.ancestors[i] & every & ~plan.must_be_seen))
        for i in bits(every)
    )
    return _imagined(skills, tuple(lists), limit)


@lru_cache(maxsize=8)
def _imagined(skills: tuple[tuple[int, Placed], ...], lists: tuple[int, ...], limit: int) -> Footings:
    crowd = crowd_of(dict(skills), len(lists), min(_CROWD, max(64, _STEPS // max(1, len(skills)))))
    reached = (*at_most_missing(crowd, lists, limit), 0)
    return Footings(lists, crowd, tuple(here & ~beyond for here, beyond in pairwise(reached)))
