"""When a way could be gone at the earliest, if no lesson begins more new skills than it should.

The reading: lessons go on in their rhythm. What was asked for before, or is probably there, is
shown alone in every lesson from the next one on. An untried skill is *begun* once all it stands on
is secure (in the same lesson already, if that is when it becomes so), and is shown alone from then
on; at most ``new_skills_per_lesson`` are begun in one lesson. Each needs its days and its spread,
in the band of the day. What is secure is supposed to be kept warm on the way.

Which skills to begin first is a question of order, and not every order is quickest. The day
found is compared with a bound that holds for every order; where they meet it is the earliest
there can be, and where they do not both are kept.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from functools import cached_property
from itertools import islice
from typing import Final

from readiness.course.model import Course
from readiness.course.plan import bits
from readiness.judging.folds import NEVER, Fold, fold
from readiness.judging.known import ALONE, Known, Note
from readiness.judging.states import States
from readiness.planning.cheapest import SomeOf

__all__ = ["Pace", "Timetable", "timetable"]

_MOST_LESSONS: Final = 600
_NEVER: Final = 10**9


@dataclass(frozen=True, slots=True)
class Timetable:
    """By skill number the lesson it is first asked for in, and the one in which it is secure.

    Lessons count from 0 here. ``last_day`` is None where it lies beyond the lessons reckoned.
    """

    first: Mapping[int, int]
    settled: Mapping[int, int]
    lessons: int | None
    last_day: int | None
    not_before: int | None

    def lessons_of(self, i: int) -> tuple[int | None, int | None]:
        """Return both lessons of a skill, counted from 1."""
        if self.last_day is None:
            return None, None
        return self.first[i] + 1, self.settled[i] + 1


@dataclass
class Pace:
    """What the dates are reckoned from: the skills ``taught``, the groups of each, and what is presumed."""

    course: Course
    known: Known
    states: States
    taught: int
    groups: Mapping[int, tuple[SomeOf, ...]]
    presumed: int = 0
    _settled: dict[tuple[int, int], int] = field(default_factory=dict)

    @cached_property
    def days(self) -> tuple[int, ...]:
        """The lessons to come."""
        return tuple(islice(self.known.lessons_to_come(), _MOST_LESSONS))

    @cached_property
    def room(self) -> tuple[int, ...]:
        """How many skills may be begun, by lesson."""
        return tuple(self.known.band_on(self.course, day).whole("new_skills_per_lesson") for day in self.days)

    def is_new(self, i: int) -> bool:
        """Return whether a skill has yet to be begun."""
        return self.states.state[i] == "untried" and not self.presumed >> i & 1

    def settled(self, i: int, first: int) -> int:
        """Return the lesson in which a skill is secure when shown alone from ``first`` on."""
        if first >= len(self.days):
            return _NEVER
        if (i, first) not in self._settled:
            self._settled[i, first] = self._work_out(i, first)
        return self._settled[i, first]

    def _work_out(self, i: int, first: int) -> int:
        if self._once_is_enough(i):
            return first
        notes = self.states.evidence.get(i, ())
        for lesson in range(first, len(self.days)):
            notes = (*notes, (self.days[lesson], ALONE, 0))
            shown, _ = self._folded(i, notes, lesson)
            if shown.secure_since is not None and shown.misses == 0:
                return lesson
        return _NEVER

    def showings(self, i: int, lesson: int) -> int:
        """Return how many showings a skill needs at least to be secure in a lesson, at the age of its day."""
        if self._once_is_enough(i):
            return 1
        before, needed = self._folded(i, self.states.evidence.get(i, ()), lesson)
        return max(1, needed - before.have)

    def _once_is_enough(self, i: int) -> bool:
        return self.states.state[i] in ("wobbling", "stale")

    def _folded(self, i: int, notes: tuple[Note, ...], lesson: int) -> tuple[Fold, int]:
        """Return what notes come to, and how many days are needed, by the band of a lesson."""
        plan, known = self.course.plan, self.known
        band, kind = known.band_on(self.course, self.days[lesson]), plan.kind[i]
        accepts, spread = band.accepts[kind], band.whole("spread_days")
        needed = plan.days[i] or band.days_needed[kind]
        return (fold(notes, accepts, needed, spread, known.settled[plan.unit[i]]) if notes else NEVER), needed

    def release(self, i: int, settled: Mapping[int, int]) -> int:
        """Return the first lesson in which a skill has its footing; it may be NEVER."""
        if not self.is_new(i):
            return 0
        wait = max((settled.get(j, _NEVER) for j in bits(self.below(i))), default=0)
        return max([wait, *(self._group_met(group, settled) for group in self.groups[i])])

    def below(self, i: int) -> int:
        """Return what must be secure before a skill is begun.

        That is all it stands on, and the members of a group of which none can be spared.
        """
        below = self.course.plan.ancestors[i]
        for group in self.groups[i]:
            coming = group.members & self.taught
            if (group.members & self.states.met).bit_count() + coming.bit_count() == group.at_least:
                below |= coming
        return below & self.taught

    def _group_met(self, group: SomeOf, settled: Mapping[int, int]) -> int:
        there = (group.members & self.states.met).bit_count()
        missing = group.at_least - there
        coming = sorted(settled.get(j, _NEVER) for j in bits(group.members & self.taught))
        return 0 if missing <= 0 else coming[missing - 1]


def timetable(pace: Pace, order: tuple[int, ...]) -> Timetable:
    """Return when each skill of a way is begun, and when all is secure at the earliest.

    Args:
        pace: what it is reckoned from.
        order: the skills, each after all it stands on.
    """
    if not order:
        return Timetable({}, {}, 0, pace.known.day, pace.known.day)
    free = _unhindered(pace, order)
    if max(free.values()) >= _NEVER:
        return Timetable({}, {}, None, None, None)
    bound = _bound(pace, order, free)
    if bound is None:
        return Timetable({}, {}, None, None, None)
    best = _in_turn(pace, order, _latest(pace, order, bound))
    for end in range(bound + 1, max(best[1].values())):
        if end >= max(best[1].values()):
            break
        best = min(best, _in_turn(pace, order, _latest(pace, order, end)), key=lambda t: max(t[1].values()))
    last = max(best[1].values())
    if last >= _NEVER:
        return Timetable({}, {}, None, None, pace.days[bound])
    return Timetable(best[0], best[1], last + 1, pace.days[last], pace.days[bound])


def _unhindered(pace: Pace, order: tuple[int, ...]) -> dict[int, int]:
    """Return when each could be secure if any number might be begun in a lesson."""
    settled: dict[int, int] = {}
    for i in order:
        settled[i] = pace.settled(i, pace.release(i, settled))
    return settled


def _latest(pace: Pace, order: tuple[int, ...], end: int) -> dict[int, int]:
    """Return the latest lesson in which each may be begun if all is to be secure by ``end``.

    Groups with a member to spare are left out of account, so these are never too early.
    """
    due = dict.fromkeys(order, end)
    latest: dict[int, int] = {}
    for i in reversed(order):
        latest[i] = _last_start(pace, i, due[i])
        for j in bits(pace.below(i) if pace.is_new(i) else 0):
            due[j] = min(due[j], latest[i])
    return latest


def _last_start(pace: Pace, i: int, due: int) -> int:
    """Return the latest first lesson with which a skill is secure by ``due``; -1 for none."""
    start = due
    while start >= 0 and pace.settled(i, start) > due:
        start -= 1
    return start


def _bound(pace: Pace, order: tuple[int, ...], free: Mapping[int, int]) -> int | None:
    """Return a lesson before which no order can be done.

    Only the earliest and latest beginnings and the room in each lesson are kept of the
    question; taking what is due first then decides it exactly.
    """
    released = {i: pace.release(i, free) for i in order if pace.is_new(i)}
    for end in range(max(free.values()), len(pace.days)):
        latest = _latest(pace, order, end)
        if all(latest[i] >= pace.release(i, free) for i in order) and _fits(pace, released, latest):
            return end
    return None


def _fits(pace: Pace, released: Mapping[int, int], latest: Mapping[int, int]) -> bool:
    waiting = dict(released)
    lesson = 0
    while waiting:
        if lesson >= len(pace.days):
            return False
        able = sorted((i for i, start in waiting.items() if start <= lesson), key=lambda i: (latest[i], i))
        for i in able[: pace.room[lesson]]:
            if latest[i] < lesson:
                return False
            del waiting[i]
        lesson += 1
    return True


def _in_turn(
    pace: Pace, order: tuple[int, ...], latest: Mapping[int, int]
) -> tuple[dict[int, int], dict[int, int]]:
    """Return first lessons and ends when, lesson by lesson, what is due first is begun first."""
    first: dict[int, int] = {i: 0 for i in order if not pace.is_new(i)}
    settled: dict[int, int] = {i: pace.settled(i, 0) for i in first}
    waiting = [i for i in order if pace.is_new(i)]
    lesson = 0
    while waiting and lesson < len(pace.days):
        room = pace.room[lesson]
        while room:
            able = [i for i in waiting if pace.release(i, settled) <= lesson]
            if not able:
                break
            i = min(able, key=lambda i: (latest[i], order.index(i)))
            waiting.remove(i)
            first[i], settled[i] = lesson, pace.settled(i, lesson)
            room -= 1
        lesson += 1
    return first, settled | dict.fromkeys(waiting, _NEVER)
