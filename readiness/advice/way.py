"""The way to a skill or a unit: what is still to secure, cheapest in teaching minutes, and since when.

How the rule ("Way to a skill or unit T") is read where it is silent:

* T and everything it stands on, over any number of links, also under what is secure already,
  is to be secure. Of each group of these, enough members are, with all *they* stand on.
* What is set aside, or optional at this age, costs nothing and is not asked for; what lies
  under it is. As a member of a group an optional skill counts only once it is secure, at its
  price. A skill asked for by name is asked for, optional or not.
* ``building``, ``wobbling`` and ``stale`` cost a minute for each showing still needed, one at least, and so
  does what is probably there for a student who was placed (``advice.ground``): it is looked at, not taught.
* Of ways with equal minutes the one with fewest skills.

What is cheapest is found exactly (``advice.min_cost``).
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import field, replace
from functools import cached_property
from graphlib import TopologicalSorter
from itertools import accumulate, islice
from typing import Final

from readiness.advice.ground import presumed_in
from readiness.advice.min_cost import MOST_SETS, Things, cheapest
from readiness.advice.skill_traits import resting_skills
from readiness.course.model import Course, Plan, SkillGroup, bits, union
from readiness.judging.answer import days_missing
from readiness.judging.history import ALONE, Known, Note, known_on
from readiness.judging.lookahead import break_on
from readiness.judging.states import NEVER, Fold, States, fold, judge_states
from readiness.lazy import dataclass
from readiness.record.model import Record
from readiness.record.rhythm import LAST_LESSONS, NO_CALENDAR, Calendar, season_from
from readiness.terms import State

__all__ = ["DateBasis", "GroupChoice", "Timetable", "Way", "WayStep", "timetable", "way_to"]

# A way to a skill or a unit, as values: what is still to secure, in order, and since when it could be.


@dataclass(frozen=True)
class WayStep:
    """One skill still to secure.

    Attributes:
        state: its state on the day asked about.
        minutes: teaching minutes; for what was shown before, one for each day needed as things are.
        days: how many showings without help it needs at least, at the age at which it is settled.
        lesson: the lesson (1 is the next) in which it is first asked for, None where no lessons
            are reckoned; settled: the lesson in which it can be secure at the earliest.
        probably_there: whether it was never asked for and something shown stands on it, so that it is
            looked at and not taught.
    """

    skill: str
    state: State
    minutes: int
    days: int
    lesson: int | None = None
    settled: int | None = None
    probably_there: bool = False


@dataclass(frozen=True)
class GroupChoice:
    """Where some of a group are enough: ``taken`` is the cheapest on the whole, of ``of``."""

    owner: str
    at_least: int
    of: tuple[str, ...]
    taken: tuple[str, ...]


@dataclass(frozen=True)
class Way:
    """The cheapest way to ``target`` (a skill or a unit) as things are on a day.

    Attributes:
        steps: in teachable order.
        minutes: of all steps; at_least: no other way takes fewer.
        proved: whether it is certain that there is no cheaper way; compared: the number of
            sets that were compared to know.
        begins: how many new skills are begun in one lesson at most.
        lessons: how many lessons until all is secure at the earliest.
        earliest: the day of the last of them, None while paused or while a step rests, and where it lies
            too far away.
        not_before: the same day where it is proved to be the earliest there can be, else a
            day before which it cannot be.
        is_placed, is_paused: whether a unit was begun, and whether a hold is open.
        rests: the steps that wait, because a part of the body is on hold for another course.
        beside: what is not on the way to a unit, as that does not build on it, and is not secure of the
            units before. So a later unit may be reached sooner; of the way to a skill it is empty.
    """

    student: str
    name: str
    target: str
    is_unit: bool
    on: int
    band: str
    steps: tuple[WayStep, ...]
    choices: tuple[GroupChoice, ...]
    minutes: int
    at_least: int
    proved: bool
    compared: int
    begins: int
    lessons: int | None
    earliest: int | None
    not_before: int | None
    is_placed: bool
    is_paused: bool
    rests: tuple[str, ...]
    beside: tuple[str, ...]


# When a way could be gone at the earliest, if no lesson begins more new skills than it should.
#
# The reading: lessons go on in their rhythm. What was asked for before, or is probably there, is
# shown alone in every lesson from the next one on. An untried skill is *begun* once all it stands on
# is secure (in the same lesson already, if that is when it becomes so), and is shown alone from then
# on; at most ``new_skills_per_lesson`` are begun in one lesson, and none in the first after a break
# (rule R7) or the last two before a big day or a long break (``record.rhythm``). Each needs its days and
# its spread, in the band of the day. What is secure is supposed to be kept warm on the way.
#
# Which skills to begin first is a question of order, and not every order is quickest. The day
# found is compared with a bound that holds for every order; where they meet it is the earliest
# there can be, and where they do not both are kept.

_MOST_LESSONS: Final = 600
_NEVER: Final = 10**9


@dataclass(frozen=True)
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
        return (None, None) if self.last_day is None else (self.first[i] + 1, self.settled[i] + 1)


@dataclass
class DateBasis:
    """What the dates are reckoned from: the skills ``taught``, the groups of each, and what is presumed."""

    course: Course
    known: Known
    states: States
    taught: int
    groups: Mapping[int, tuple[SkillGroup, ...]]
    presumed: int = 0
    _settled: dict[tuple[int, int], int] = field(default_factory=dict)
    _below: dict[int, tuple[int, ...]] = field(default_factory=dict)

    @cached_property
    def days(self) -> tuple[int, ...]:
        """The lessons to come."""
        return tuple(islice(self.known.lessons_to_come(), _MOST_LESSONS))

    @cached_property
    def room(self) -> tuple[int, ...]:
        """How many skills may be begun, by lesson."""
        return tuple(self._room(at) for at in range(len(self.days)))

    def _room(self, at: int) -> int:
        """Return it for one: none in the first after a break, or the last before a big day or long break."""
        day, calendar = self.days[at], self.known.calendar
        band = self.known.band_on(self.course, day)
        before = self.days[at - 1 : at] if at else self.known.lesson_days[-1:]
        is_back = break_on(before, day, calendar.break_days(band.whole("break_weeks")))
        waits = is_back or season_from(self.days[at : at + LAST_LESSONS + 1], calendar)
        return 0 if waits else band.whole("new_skills_per_lesson")

    def is_new(self, i: int) -> bool:
        """Return whether a skill has yet to be begun."""
        return self.states.state[i] == State.UNTRIED and not self.presumed >> i & 1

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
        return self.states.state[i] in (State.WOBBLING, State.STALE)

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
        wait = max((settled.get(j, _NEVER) for j in self.below(i)), default=0)
        return max([wait, *(self._group_met(group, settled) for group in self.groups[i])])

    def below(self, i: int) -> tuple[int, ...]:
        """Return what must be secure before a skill: all it stands on, members that a group cannot spare."""
        if i not in self._below:
            self._below[i] = tuple(bits(self._work_out_below(i)))
        return self._below[i]

    def _work_out_below(self, i: int) -> int:
        below = self.course.plan.ancestors[i]
        for group in self.groups[i]:
            coming = group.members & self.taught
            if coming.bit_count() == group.missing(self.states.met):
                below |= coming
        return below & self.taught

    def _group_met(self, group: SkillGroup, settled: Mapping[int, int]) -> int:
        missing = group.missing(self.states.met)
        coming = sorted(settled.get(j, _NEVER) for j in bits(group.members & self.taught))
        return 0 if missing <= 0 else coming[missing - 1]


def timetable(pace: DateBasis, order: tuple[int, ...]) -> Timetable:
    """Return when each skill of a way is begun, and when all is secure at the earliest.

    Args:
        order: the skills, each after all it stands on.
    """
    if not order:
        return Timetable({}, {}, 0, pace.known.day, pace.known.day)
    free: dict[int, int] = {}
    for i in order:
        free[i] = pace.settled(i, pace.release(i, free))
    bound = None if max(free.values()) >= _NEVER else _bound(pace, order, free)
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


def _latest(pace: DateBasis, order: tuple[int, ...], end: int) -> dict[int, int]:
    """Return the latest lesson in which each may be begun if all is to be secure by ``end``.

    Groups with a member to spare are left out of account, so these are never too early.
    """
    due = dict.fromkeys(order, end)
    latest: dict[int, int] = {}
    for i in reversed(order):
        latest[i] = next((start for start in range(due[i], -1, -1) if pace.settled(i, start) <= due[i]), -1)
        for j in pace.below(i) if pace.is_new(i) else ():
            due[j] = min(due[j], latest[i])
    return latest


def _bound(pace: DateBasis, order: tuple[int, ...], free: Mapping[int, int]) -> int | None:
    """Return a lesson before which no order can be done.

    Only the earliest and latest beginnings and the room in each lesson are kept of the
    question; taking what is due first then decides it exactly.
    """
    release = {i: pace.release(i, free) for i in order}
    released = {i: lesson for i, lesson in release.items() if pace.is_new(i)}
    begun = (at for at, room in enumerate(accumulate(pace.room)) if room >= len(released))
    for end in range(max(next(begun, len(pace.days)), *free.values()), len(pace.days)):
        latest = _latest(pace, order, end)
        if all(latest[i] >= release[i] for i in order) and _fits(pace, released, latest):
            return end
    return None


def _fits(pace: DateBasis, released: Mapping[int, int], latest: Mapping[int, int]) -> bool:
    waiting = set(released)
    for lesson, room in enumerate(pace.room):
        able = sorted((i for i in waiting if released[i] <= lesson), key=lambda i: (latest[i], i))[:room]
        if any(latest[i] < lesson for i in able):
            return False
        waiting.difference_update(able)
        if not waiting:
            break
    return not waiting


def _in_turn(
    pace: DateBasis, order: tuple[int, ...], latest: Mapping[int, int]
) -> tuple[dict[int, int], dict[int, int]]:
    """Return first lessons and ends when, lesson by lesson, what is due first is begun first."""
    first: dict[int, int] = {i: 0 for i in order if not pace.is_new(i)}
    settled: dict[int, int] = {i: pace.settled(i, 0) for i in first}
    waiting = [i for i in order if pace.is_new(i)]
    for lesson, room in enumerate(pace.room):
        for _ in range(room if waiting else 0):
            footed = (i for i in waiting if all(j in settled for j in pace.below(i)))
            able = [i for i in footed if pace.release(i, settled) <= lesson]
            if not able:
                break
            i = min(able, key=lambda i: (latest[i], order.index(i)))
            waiting.remove(i)
            first[i], settled[i] = lesson, pace.settled(i, lesson)
    return first, settled | dict.fromkeys(waiting, _NEVER)


_SHOWN_BEFORE: Final = (State.BUILDING, State.WOBBLING, State.STALE)


def way_to(
    course: Course,
    record: Record,
    on: int,
    target: str,
    calendar: Calendar = NO_CALENDAR,
    most: int = MOST_SETS,
) -> Way:
    """Return the cheapest way to a skill or a unit.

    Args:
        course: what is taught; record: what was seen.
        calendar: planned lesson days, rhythm and holidays; weekly lessons are assumed without.
        most: how many sets are compared before giving up the proof.
    """
    course = course.on(on)
    known = known_on(course, record, on, calendar)
    band = known.band_on(course, on)
    states = judge_states(course.plan, known, band, on)
    asked = _WayAsked(course.plan, known, states, target, presumed_in(course, record, states))
    found = cheapest(asked.things(), asked.wanted, most)
    order = asked.in_order(found.chosen)
    pace = asked.pace(course, found.chosen)
    resting = resting_skills(course, record, on)
    rests = tuple(skill for skill in map(course.plan.ids.__getitem__, order) if skill in resting)
    times = None if known.holds or rests else timetable(pace, order)
    return Way(
        student=record.id,
        name=record.name,
        target=target,
        is_unit=asked.is_unit,
        on=on,
        band=band.name,
        steps=tuple(asked.step(i, times, pace) for i in order),
        choices=tuple(asked.choices(found.chosen)),
        minutes=sum(map(asked.minutes, order)),
        at_least=found.at_least // asked.scale,
        proved=found.proved,
        compared=found.compared,
        begins=band.whole("new_skills_per_lesson"),
        lessons=times.lessons if times else None,
        earliest=times.last_day if times else None,
        not_before=times.not_before if times else None,
        is_placed=known.unit is not None,
        is_paused=bool(known.holds),
        rests=rests,
        beside=course.plan.names(asked.beside(found.chosen)),
    )  # fmt: skip


@dataclass(frozen=True)
class _WayAsked:
    """The question in numbers.

    An optional skill ``i`` costs nothing where a link names it. Made secure it is its own twin,
    ``n + i``, at its price.
    """

    plan: Plan
    known: Known
    states: States
    target: str
    presumed: int = 0

    @property
    def is_unit(self) -> bool:
        """Whether the target is a unit; a skill of the same id comes first."""
        return self.target not in self.plan.index

    @property
    def n(self) -> int:
        return len(self.plan.ids)

    @property
    def scale(self) -> int:
        """What a minute costs; each skill costs one beside, so that fewer win a tie."""
        return self.n + 1

    @property
    def optional(self) -> int:
        """The skills optional at this age that are not there already."""
        return self.plan.optional[self.states.band.name] & ~self.states.met

    @property
    def wanted(self) -> int:
        """The skill asked for, or those of the unit that are asked for at this age."""
        if not self.is_unit:
            return self._secure(self.plan.index[self.target])
        return self.plan.in_unit[self.plan.unit_index[self.target]] & ~self.optional

    def _secure(self, i: int) -> int:
        return 1 << (i + self.n if self.optional >> i & 1 else i)

    def days(self, i: int) -> int:
        """Return how many showings without help a skill still needs at least."""
        needed = self.plan.days[i] or self.states.band.days_needed[self.plan.kind[i]]
        return days_missing(self.states.state[i], self.states.folds[i].have, needed)

    def minutes(self, i: int) -> int:
        """Return what it costs to make a skill secure."""
        if self.states.met >> i & 1:
            return 0
        is_looked_at = self.states.state[i] in _SHOWN_BEFORE or self.presumed >> i & 1
        return self.days(i) if is_looked_at else self.plan.minutes[i]

    def things(self) -> Things:
        """Return the question for :func:`cheapest`."""
        n, plan = self.n, self.plan
        price = [self.minutes(i) * self.scale + 1 if not self.states.met >> i & 1 else 0 for i in range(n)]
        brings = [plan.ancestors[i] | 1 << i for i in range(n)]
        groups = (
            replace(group, members=union(map(self._secure, bits(group.members))))
            for of_unit in plan.groups
            for group in of_unit
        )
        return Things(
            cost=(*(0 if self.optional >> i & 1 else price[i] for i in range(n)), *price),
            brings=(*brings, *(brought | 1 << (n + i) for i, brought in enumerate(brings))),
            groups=tuple(groups),
        )

    def taught(self, chosen: int) -> int:
        everything = (1 << self.n) - 1
        return (chosen & everything & ~self.optional | chosen >> self.n) & ~self.states.met

    def beside(self, chosen: int) -> int:
        """Return what is asked for of the units before a unit, and neither secure nor on the way to it."""
        unit = 0 if not self.is_unit else self.plan.unit_index[self.target]
        earlier = union(self.plan.in_unit[:unit])
        return earlier & ~(self.optional | self.states.met | self.taught(chosen))

    def in_order(self, chosen: int) -> tuple[int, ...]:
        """Return what is to be taught, each after all it stands on; else by unit, then as in the file."""
        taught = self.taught(chosen)
        sorter = TopologicalSorter({i: tuple(bits(self.comes_before(i, taught))) for i in bits(taught)})
        sorter.prepare()
        order: list[int] = []
        ready: list[int] = []
        while sorter.is_active():
            ready = sorted([*ready, *sorter.get_ready()], key=lambda i: (self.plan.unit[i], i))
            order.append(ready.pop(0))
            sorter.done(order[-1])
        return tuple(order)

    def comes_before(self, i: int, taught: int) -> int:
        """Return what of ``taught`` a skill stands on, members of groups included."""
        lower = self.plan.ancestors[i]
        for j in (*bits(lower), i):
            for group in self._groups_of(j):
                lower |= group.members
        return lower & taught

    def _groups_of(self, i: int) -> Iterator[SkillGroup]:
        return (group for group in self.plan.groups[self.plan.unit[i]] if group.owner == i)

    def step(self, i: int, times: Timetable | None, pace: DateBasis) -> WayStep:
        first, settled = times.lessons_of(i) if times else (None, None)
        days = self.days(i) if settled is None else pace.showings(i, settled - 1)
        likely = bool(self.presumed >> i & 1) and self.states.state[i] == State.UNTRIED
        return WayStep(self.plan.ids[i], self.states.state[i], self.minutes(i), days, first, settled, likely)

    def choices(self, chosen: int) -> Iterator[GroupChoice]:
        taught = self.taught(chosen)
        there = taught | self.states.met
        for i in bits(chosen & (1 << self.n) - 1):
            for group in self._groups_of(i):
                if group.members & taught and group.members & ~there:
                    names = self.plan.names
                    yield GroupChoice(
                        self.plan.ids[i], group.at_least, names(group.members), names(group.members & there)
                    )

    def pace(self, course: Course, chosen: int) -> DateBasis:
        """Return what the dates are reckoned from."""
        taught = self.taught(chosen)
        groups = {i: tuple(self._groups_of(i)) for i in bits(taught)}
        return DateBasis(course, self.known, self.states, taught, groups, self.presumed)
