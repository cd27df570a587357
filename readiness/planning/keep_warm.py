"""The three showings before a break that keep most fresh until the day back.

What is maximised, in this order: (1) deciding skills and members of entry groups that are
settled on the day back, (2) skills of the units so far that are, (3) those of (1) that are
used at all, (4) those of (2) that are. Of equals the fewest showings, then the fewest teaching
minutes, then the ids in alphabetical order. Found exactly, by branch and bound: what a showing
does (rule R5, its own skill and what it keeps warm) does not depend on the others, so several
do what each does.

Only what is settled already is asked for; a list before a holiday begins nothing new. The
items looked at in every check are left out, because they are looked at in any case.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise, takewhile
from typing import Final

from readiness.course.model import Course
from readiness.course.plan import Plan, bits
from readiness.judging.answer import Answer
from readiness.judging.deciding import Deciding, decide
from readiness.judging.known import Known, known_on
from readiness.judging.states import judge_states
from readiness.planning.character import resting_skills
from readiness.planning.lesson_day import lessons_to_come
from readiness.record.model import Record
from readiness.record.rhythm import Event

__all__ = ["Ahead", "KeepWarm", "break_ahead", "break_between", "keep_warm", "near_break"]

MOST: Final = 3
"""How many things a keep-warm list has. Common practice, no source."""
SOON: Final = 42
"""Days within which a break in the calendar is told of without being asked. Common practice, no source."""


@dataclass(frozen=True, slots=True)
class Ahead:
    """A break to come: the last lesson before it (None: none is left) and the first one after."""

    name: str
    first: int
    lesson: int | None
    back: int


@dataclass(frozen=True, slots=True)
class KeepWarm:
    """What to show in the last lesson before a break.

    Attributes:
        ahead: the break.
        skills: at most three, in graph order.
        kept: of the deciding skills, those that are fresh on the day back thanks to the list;
            kept_more: other skills of the units so far of which that holds.
        used: the skills that are shown or used by it at all.
        due: deciding skills that are due on the day back all the same.
    """

    ahead: Ahead
    skills: tuple[str, ...]
    kept: tuple[str, ...]
    kept_more: tuple[str, ...]
    used: tuple[str, ...]
    due: tuple[str, ...]


def break_ahead(
    record: Record, answer: Answer, break_weeks: int, events: Sequence[Event]
) -> Ahead | None:
    """Return the nearest break of the calendar that is soon and long enough to be one (rule R7)."""
    stretches = [(one.name, one.first, one.last) for one in events if one.last > one.first > answer.on]
    gaps = [day for day in answer.calendar.planned if day > answer.on]
    stretches += [("", day + 1, after - 1) for day, after in pairwise(gaps)]
    for name, first, last in sorted(stretches, key=lambda one: one[1:]):
        ahead = break_between(record, answer, first, last, name)
        if ahead is None:
            continue
        away = ahead.back - (ahead.lesson or first)
        if first - answer.on <= SOON and away >= answer.calendar.break_days(break_weeks):
            return ahead
    return None


def break_between(
    record: Record, answer: Answer, first: int, last: int, name: str = ""
) -> Ahead | None:
    """Return the break from ``first`` to ``last``, None where no lesson comes after it.

    The lessons before and after it are those of the calendar.
    """
    back = next((day for day in lessons_to_come(record, answer) if day > last), None)
    if back is None:
        return None
    before = [
        *([answer.on] if answer.last_lesson == answer.on < first else []),
        *takewhile(lambda day: day < first, lessons_to_come(record, answer)),
    ]
    return Ahead(name, first, before[-1] if before else None, back)


def near_break(course: Course, record: Record, answer: Answer, events: Sequence[Event]) -> KeepWarm | None:
    """Return the list for the next break of the calendar, None where none is near."""
    weeks = course.on(answer.on).band[answer.band].whole("break_weeks")
    ahead = break_ahead(record, answer, weeks, events)
    return None if ahead is None else keep_warm(course, record, answer, ahead)


def keep_warm(course: Course, record: Record, answer: Answer, ahead: Ahead) -> KeepWarm:
    """Return the best list for a break; empty under a hold, or where no unit has begun."""
    course = course.on(answer.on)
    known = known_on(course, record, answer.on)
    if known.unit is None or answer.verdict == "paused":
        return KeepWarm(ahead, (), (), (), (), ())
    plan = course.plan
    band = known.band_on(course, ahead.back)
    deciding = decide(plan, known.unit, band, known.set_aside)
    scope = plan.up_to[known.unit] & ~deciding.left_out
    without = judge_states(plan, known, band, ahead.back).secure & scope
    offered = _offered(course, known, deciding, ahead, resting_skills(course, record, answer.on))
    chosen = _best(offered, deciding.skills | deciding.group_members, without, plan)
    fresh = used = 0
    for i in chosen:
        fresh |= offered[i].fresh
        used |= offered[i].used
    gained = fresh & ~without
    asked = deciding.skills | deciding.group_members
    return KeepWarm(
        ahead,
        plan.names(sum(1 << i for i in chosen)),
        plan.names(gained & asked),
        plan.names(gained & ~asked),
        plan.names(used),
        plan.names(deciding.skills & ~(fresh | without) & _settled(plan, known, course, ahead)),
    )


@dataclass(frozen=True, slots=True)
class _Effect:
    """What one showing does: ``fresh`` is settled on the day back, ``used`` is shown or used."""

    fresh: int
    used: int


def _settled(plan: Plan, known: Known, course: Course, ahead: Ahead) -> int:
    """Return what is settled in the last lesson, fresh or due."""
    day = ahead.lesson or known.day
    folds = judge_states(plan, known, known.band_on(course, day), day).folds
    return sum(1 << i for i, one in enumerate(folds) if one.secure_since is not None)


def _offered(
    course: Course, known: Known, deciding: Deciding, ahead: Ahead, resting: frozenset[str]
) -> dict[int, _Effect]:
    """Return every showing that could be on the list, with what it does."""
    plan, day = course.plan, ahead.lesson or known.day
    band, scope = known.band_on(course, ahead.back), plan.up_to[deciding.unit] & ~deciding.left_out
    settled = _settled(plan, known, course, ahead)
    able = settled & scope & ~plan.always_look & ~plan.set_of(resting)
    effects = {}
    for i in bits(able):
        then = judge_states(plan, known.with_showings([i], day), band, ahead.back)
        used = plan.ancestors[i] & ~plan.must_be_seen & settled | 1 << i
        effects[i] = _Effect(then.secure & scope, used & scope)
    return effects


def _best(offered: dict[int, _Effect], asked: int, without: int, plan: Plan) -> tuple[int, ...]:
    """Return the best list, exactly."""
    search = _Search(offered, asked, plan)
    search.run(list(offered), (), without, 0)
    return search.best


class _Search:
    """Depth first; what is left out of account adds at most what each adds alone."""

    def __init__(self, offered: dict[int, _Effect], asked: int, plan: Plan) -> None:
        self.offered, self.asked, self.plan = offered, asked, plan
        self.best: tuple[int, ...] = ()
        self.best_key: tuple[object, ...] | None = None

    def worth(self, fresh: int, used: int) -> tuple[int, int, int, int]:
        """Return the four numbers that are maximised."""
        asked = self.asked
        return (
            (fresh & asked).bit_count(),
            fresh.bit_count(),
            (used & asked).bit_count(),
            used.bit_count(),
        )

    def run(self, able: list[int], chosen: tuple[int, ...], fresh: int, used: int) -> None:
        """Try all ways to go on from ``chosen`` with some of ``able``."""
        here = self.worth(fresh, used)
        self._offer(chosen, here)
        places = MOST - len(chosen)
        if not places:
            return
        adds = {i: self._adds(i, fresh, used, here) for i in able}
        able = sorted((i for i in able if any(adds[i])), key=lambda i: adds[i], reverse=True)
        for at, i in enumerate(able):
            if not self._may_win(here, [adds[other] for other in able[at:]], places):
                return
            effect = self.offered[i]
            self.run(able[at + 1 :], (*chosen, i), fresh | effect.fresh, used | effect.used)

    def _adds(self, i: int, fresh: int, used: int, here: tuple[int, ...]) -> tuple[int, ...]:
        effect = self.offered[i]
        after = self.worth(fresh | effect.fresh, used | effect.used)
        return tuple(new - old for new, old in zip(after, here, strict=True))

    def _may_win(self, here: tuple[int, ...], adds: list[tuple[int, ...]], places: int) -> bool:
        """Return whether the best of each number alone could still reach the best list."""
        most = [
            now + sum(sorted(column, reverse=True)[:places])
            for now, column in zip(here, zip(*adds, strict=True), strict=True)
        ]
        return self.best_key is None or tuple(-number for number in most) <= self.best_key[:4]

    def _offer(self, chosen: tuple[int, ...], here: tuple[int, ...]) -> None:
        ids = tuple(sorted(self.plan.ids[i] for i in chosen))
        minutes = sum(self.plan.minutes[i] for i in chosen)
        key = (*(-number for number in here), len(chosen), minutes, ids)
        if self.best_key is None or key < self.best_key:
            self.best, self.best_key = tuple(sorted(chosen)), key
