"""What is known in a placing round: the looks so far, and what they come to.

Everything follows from the record up to a day and the answers not noted yet. What to ask next
and when it is enough are decided elsewhere. Skills are numbers here, sets of skills are bits.
"""

from __future__ import annotations

from collections.abc import Set as AbstractSet
from dataclasses import dataclass
from functools import cached_property
from typing import Final

from readiness.course.model import Band, Course
from readiness.course.plan import bits
from readiness.judging.answer import PlacingResult
from readiness.judging.known import Known
from readiness.judging.placing import latest_showings, place
from readiness.judging.states import States, judge_states
from readiness.planning.placing.assumed import Assumed
from readiness.planning.placing.crowd import Belief
from readiness.planning.placing.footings import Footings, footings
from readiness.record.model import Record

__all__ = ["Evidence"]

_CLEAR: Final = 2
"""From this help on ("after being shown") a look that did not count is a clear miss."""


@dataclass(frozen=True)
class Evidence:
    """The looks of a placing round on one day.

    Attributes:
        known: what is known, with the answers of today.
        left_alone: ids of skills not to ask for today.
        answered: ids of what was answered today, in the order of asking.
    """

    course: Course
    record: Record
    known: Known
    left_alone: AbstractSet[str]
    answered: tuple[str, ...]
    assumed: Assumed

    @cached_property
    def band(self) -> Band:
        """The band of the day."""
        return self.known.band_on(self.course, self.known.day)

    @cached_property
    def limit(self) -> int:
        """How much may come along unfinished."""
        return self.band.whole("carry_limit")

    @cached_property
    def left_out(self) -> int:
        """What is not asked for: optional at this age, or set aside."""
        return self.course.plan.optional[self.band.name] | self.known.set_aside

    @cached_property
    def footings(self) -> Footings:
        """What the units stand on, and the belief before any look."""
        return footings(self.course, self.left_out, self.limit)

    @cached_property
    def _states(self) -> States:
        return judge_states(self.course.plan, self.known, self.band, self.known.day)

    @cached_property
    def shown(self) -> tuple[int, int]:
        """What was shown last time it was asked for, and what was not."""
        return latest_showings(self.course.plan, self._states)

    @cached_property
    def belief(self) -> Belief:
        """The belief after all looks."""
        shown, not_shown = self.shown
        looks = dict.fromkeys(bits(shown), True) | dict.fromkeys(bits(not_shown), False)
        return Belief(self.footings.crowd, looks, self.assumed)

    @cached_property
    def chances(self) -> tuple[float, ...]:
        """By unit, how likely it is the one to start in."""
        return tuple(map(self.belief.share, self.footings.starts))

    @cached_property
    def best(self) -> int:
        """The earliest unit that all looks fit nearly best, never before the start of rule R10."""
        strict = self.course.plan.unit_index[self.result.start_unit]
        if not self.asked & self.footings.asked_by[-1]:
            return strict
        least = self.assumed.nearly * max(self.chances)
        return max(strict, next(unit for unit, chance in enumerate(self.chances) if chance >= least))

    @cached_property
    def result(self) -> PlacingResult:
        """What rule R10 says from the notes and answers alone."""
        return place(self.course, self.record, self._states)

    @cached_property
    def there(self) -> int:
        """What was seen or is implied by it."""
        return self.shown[0] | self.course.plan.set_of(self.result.implied)

    @cached_property
    def taken(self) -> int:
        """What the start unit asks for, is likely there, and was neither seen nor implied."""
        open_ = self.footings.asked_by[self.best] & ~self.there & ~self.shown[1]
        having = self.footings.crowd.having
        return sum(1 << i for i in bits(open_) if self.belief.share(having[i]) >= 0.5)

    @property
    def is_sure(self) -> bool:
        """Whether all looks together settle the start unit, give or take one."""
        near = self.chances[max(0, self.best - 1) : self.best + 2]
        return sum(near) >= self.assumed.settled

    @property
    def readings_agree(self) -> bool:
        """Whether the notes alone (rule R10) and all looks together start within a unit of each other."""
        return abs(self.best - self.course.plan.unit_index[self.result.start_unit]) <= 1

    @property
    def asked(self) -> int:
        """What was asked for at any time."""
        return self.shown[0] | self.shown[1]

    @cached_property
    def room(self) -> int:
        """How many more things fit this lesson, the glance at the seat among them."""
        plan = self.course.plan
        today = {i for i, notes in self.known.notes.items() if notes[-1][0] == self.known.day}
        seat = {i for i in today if plan.always_look >> i & 1}
        used = len(today - seat)
        most = min(self.assumed.most_looks, 2 * self.band.whole("check_items_max") - 1)
        return max(0, most - used) + bool(self.seat)

    @property
    def seat_unseen(self) -> int:
        """The always-look items that were never asked for."""
        return self.course.plan.always_look & ~self.asked & ~self.left_out

    @property
    def seat(self) -> int:
        """Those of them that are still to be asked for today."""
        return self.seat_unseen & ~self.course.plan.set_of(self.left_alone)

    @property
    def lessons_before(self) -> int:
        """How many lessons there were before this day."""
        return sum(day < self.known.day for day in self.known.lesson_days)

    @cached_property
    def strands_closed(self) -> frozenset[str]:
        """The strands in which the last two things asked clearly did not come."""
        latest: dict[str, list[bool]] = {}
        for i, help_ in self.in_order():
            miss = bool(self.shown[1] >> i & 1) and help_ >= _CLEAR
            latest.setdefault(self.course.skills[i].strand, []).append(miss)
        return frozenset(strand for strand, misses in latest.items() if misses[-2:] == [True, True])

    def in_order(self) -> list[tuple[int, int]]:
        """Return what was asked with its latest help, in order: by day, then as answered or as taught."""
        plan = self.course.plan
        turn = {plan.index[skill]: at for at, skill in enumerate(self.answered)}
        noted = [(notes[-1][0], turn.get(i, -1), plan.unit[i], i) for i, notes in self.known.notes.items()]
        return [(i, self.known.notes[i][-1][1]) for *_, i in sorted(noted)]
