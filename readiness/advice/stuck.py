"""What holds other things up, and whether it is stuck or only takes its time.

For each weak skill how much of this and the next unit waits for it, how it went over the
days it was tried, and how long the unit has lasted with weeks without a lesson counted out.
What takes time and gets better is no trouble; what was tried often and does not change asks
for another way (rule R8). Nothing here measures a student.
"""

from __future__ import annotations

from collections.abc import Iterator
from typing import Final

from readiness.course.model import Course, bits
from readiness.judging.answer import Answer
from readiness.judging.deciding import Deciding, decided_on
from readiness.judging.history import Known, known_on
from readiness.judging.lookahead import frees
from readiness.judging.remarks import is_stuck, unit_limit
from readiness.judging.states import States
from readiness.lazy import dataclass
from readiness.record.model import Record
from readiness.terms import State

__all__ = ["Pace", "Standstill", "Weak", "standstill"]

LATEST: Final = 3
"""The tries that count as the latest ones (rule R8)."""


@dataclass(frozen=True)
class Weak:
    """A skill that is a gap or has had an off day.

    Attributes:
        waiting: what of this and the next unit is not settled and is it or stands on it.
        tries: days in a row, at the end, that did not count; first, last: of those days.
        early, late: the least help in the earlier ones and in the latest three (an index into
            HELPS); None without any.
        stuck: tried often enough with no change (rule R8).
        decides: whether it alone keeps the student in the unit.
    """

    skill: str
    state: State
    waiting: tuple[str, ...]
    tries: int
    first: int | None
    last: int | None
    early: int | None
    late: int | None
    stuck: bool
    decides: bool

    @property
    def improves(self) -> bool | None:
        """Whether the latest tries needed less help; None where there is nothing to compare with."""
        return None if self.early is None or self.late is None else self.late < self.early


@dataclass(frozen=True)
class Pace:
    """How long the unit has lasted, in lessons that took place.

    ``without`` counts the weeks since the unit began that had no lesson; ``least`` and ``most``
    are the numbers below and above which a note is made. ``short`` are skills of which more
    days are asked for.
    """

    lessons: int
    without: int
    usual: int
    least: int
    most: int
    short: tuple[str, ...]


@dataclass(frozen=True)
class Standstill:
    """The weak skills, those most things wait for first, and the pace; None without a unit."""

    weak: tuple[Weak, ...]
    pace: Pace | None


def standstill(course: Course, record: Record, answer: Answer) -> Standstill:
    """Return what holds other things up on the day of an answer."""
    course = course.on(answer.on)
    known = known_on(course, record, answer.on)
    if known.unit is None or known.unit_start is None:
        return Standstill((), None)
    deciding, states = decided_on(course, known, answer.on)
    weak = sorted(_weak(course, deciding, states), key=lambda one: -len(one.waiting))
    return Standstill(tuple(weak), _pace(course, known, answer, states))


def _weak(course: Course, deciding: Deciding, states: States) -> Iterator[Weak]:
    plan = course.plan
    shaky = (states.gaps | states.wobbling) & plan.up_to[deciding.unit] & ~deciding.left_out
    for i in bits(shaky):
        tries = states.folds[i].misses
        row = states.evidence[i][-tries:] if tries else ()
        helps = tuple(note[1] for note in row)
        yield Weak(
            skill=plan.ids[i],
            state=states.state[i],
            waiting=plan.names(frees(plan, deciding, states, i)),
            tries=tries,
            first=row[0][0] if row else None,
            last=row[-1][0] if row else None,
            early=min(helps[:-LATEST], default=None),
            late=min(helps[-LATEST:], default=None),
            stuck=is_stuck(helps, states.band.whole("stuck_tries")),
            decides=bool((deciding.skills | deciding.unmet_members(states)) >> i & 1),
        )


def _pace(course: Course, known: Known, answer: Answer, states: States) -> Pace:
    assert known.unit is not None
    assert known.unit_start is not None
    band, weeks = states.band, course.units[known.unit].lesson_weeks
    days = [day for day in known.lesson_days if day >= known.unit_start]
    with_lesson = {(day - known.unit_start) // 7 for day in days}
    so_far = (answer.on - known.unit_start) // 7 + 1
    asked = (*answer.deciding, *answer.rest)
    return Pace(
        lessons=answer.lesson_days or 0,
        without=so_far - len(with_lesson),
        usual=weeks,
        least=unit_limit(band.number("min_unit_factor"), weeks),
        most=unit_limit(band.number("max_unit_factor"), weeks),
        short=tuple(skill for skill in asked if answer.standings[skill].state == State.BUILDING),
    )
