"""The way to a skill or a unit: what is still to secure, cheapest in teaching minutes, and since when.

How the rule ("Way to a skill or unit T") is read where it is silent:

* T and everything it stands on, over any number of links, also under what is secure already,
  is to be secure. Of each group of these, enough members are, with all *they* stand on.
* What is set aside, or optional at this age, costs nothing and is not asked for; what lies
  under it is. As a member of a group an optional skill counts only once it is secure, at its
  price. A skill asked for by name is asked for, optional or not.
* ``building``, ``wobbling`` and ``stale`` cost a minute for each showing still needed, one at least, and
  so does what is probably there for a student who was placed (``planning.presumed``): it is looked at,
  not taught.
* Of ways with equal minutes the one with fewest skills.

What is cheapest is found exactly (``planning.cheapest``), when it can be in ``planning.way_dates``.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from graphlib import TopologicalSorter
from typing import Final

from readiness.course.model import Course
from readiness.course.plan import Plan, bits
from readiness.judging.answer import days_missing
from readiness.judging.known import Known, known_on
from readiness.judging.states import States, judge_states
from readiness.planning.cheapest import MOST_SETS, SomeOf, Things, cheapest
from readiness.planning.presumed import presumed_in
from readiness.planning.way_dates import Pace, Timetable, timetable
from readiness.planning.way_values import Choice, Way, WayStep
from readiness.record.model import Record
from readiness.record.rhythm import NO_CALENDAR, Calendar

__all__ = ["way_to"]

_SHOWN_BEFORE: Final = ("building", "wobbling", "stale")


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
        on: the day asked about.
        target: the id of a skill or of a unit of the course.
        calendar: planned lesson days, rhythm and holidays; weekly lessons are assumed without.
        most: how many sets are compared before giving up the proof.
    """
    course = course.on(on)
    known = known_on(course, record, on, calendar)
    band = known.band_on(course, on)
    states = judge_states(course.plan, known, band, on)
    asked = _Asked(course.plan, known, states, target, presumed_in(course, record, states))
    found = cheapest(asked.things(), asked.wanted, most)
    order = asked.in_order(found.chosen)
    pace = asked.pace(course, found.chosen)
    times = None if known.holds else timetable(pace, order)
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
    )  # fmt: skip


@dataclass(frozen=True)
class _Asked:
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
        """The number of skills."""
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
            SomeOf(group.owner, group.at_least, _union(map(self._secure, bits(group.members))))
            for of_unit in plan.groups
            for group in of_unit
        )
        return Things(
            cost=(*(0 if self.optional >> i & 1 else price[i] for i in range(n)), *price),
            brings=(*brings, *(brought | 1 << (n + i) for i, brought in enumerate(brings))),
            groups=tuple(groups),
        )

    def taught(self, chosen: int) -> int:
        """Return the skills of a set that are still to be made secure."""
        everything = (1 << self.n) - 1
        return (chosen & everything & ~self.optional | chosen >> self.n) & ~self.states.met

    def in_order(self, chosen: int) -> tuple[int, ...]:
        """Return what is to be taught so that each comes after all it stands on.

        Where the links leave a choice: the earlier unit, then the order of the file.
        """
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

    def _groups_of(self, i: int) -> Iterator[SomeOf]:
        for group in self.plan.groups[self.plan.unit[i]]:
            if group.owner == i:
                yield SomeOf(i, group.at_least, group.members)

    def step(self, i: int, times: Timetable | None, pace: Pace) -> WayStep:
        """Return one skill of the way."""
        first, settled = times.lessons_of(i) if times else (None, None)
        days = self.days(i) if settled is None else pace.showings(i, settled - 1)
        likely = bool(self.presumed >> i & 1) and self.states.state[i] == "untried"
        return WayStep(self.plan.ids[i], self.states.state[i], self.minutes(i), days, first, settled, likely)

    def choices(self, chosen: int) -> Iterator[Choice]:
        """Yield the groups of which some member is taught and another is not."""
        taught = self.taught(chosen)
        there = taught | self.states.met
        for i in bits(chosen & (1 << self.n) - 1):
            for group in self._groups_of(i):
                if group.members & taught and group.members & ~there:
                    names = self.plan.names
                    yield Choice(
                        self.plan.ids[i], group.at_least, names(group.members), names(group.members & there)
                    )

    def pace(self, course: Course, chosen: int) -> Pace:
        """Return what the dates are reckoned from."""
        taught = self.taught(chosen)
        groups = {i: tuple(self._groups_of(i)) for i in bits(taught)}
        return Pace(course, self.known, self.states, taught, groups, self.presumed)


def _union(sets: Iterable[int]) -> int:
    result = 0
    for one in sets:
        result |= one
    return result
