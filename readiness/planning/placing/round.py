"""A placing round: which look comes next, when it is enough, and where the student starts so far.

In one lesson or two. The always-look items come first, as one glance. Then each look is the one
that tells most about the start unit, among those likely enough to come out well, so that a child
meets success early; of looks that tell nearly as much the easier one. A strand in which two
things in a row clearly did not come is left alone.

The start is the unit that all looks together fit best, with the units it may also be, and with what
is *taken as there* for it although it was neither seen nor implied; units, never a number. Every
answer about a student who is not placed takes it from here. Beside it stands the start of rule R10,
which counts as missing what was not asked, so that it comes later only when much was seen. While
the two are more than a unit apart, what is asked for is what settles most of what is taken as there.
It is enough when the start unit is settled, give or take one, by both readings, or when the lesson
is full; more than two lessons are never asked for. Answers are supposed, never written, here.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from typing import Final

from readiness.course.model import Course
from readiness.judging.answer import PlacingResult
from readiness.judging.known import known_on
from readiness.planning.character import resting_skills
from readiness.planning.placing.assumed import ASSUMED, Assumed
from readiness.planning.placing.choosing import (
    Look,
    confirming_look,
    looks_on_paper,
    next_look,
    raising_look,
)
from readiness.planning.placing.evidence import Evidence
from readiness.record.model import Record

__all__ = ["LESSONS", "Look", "PlacingRound", "likely_before", "looks_ahead", "placing_round"]

LESSONS: Final = 2
"""Placing never takes more lessons (common practice, no source)."""


@dataclass(frozen=True, slots=True)
class PlacingRound:
    """Where a placing round stands.

    Attributes:
        next: the next look, None when it is enough.
        stop: why it is enough: settled, lesson-full, two-lessons, nothing-left, paused; empty
            while something is to be asked.
        start: the unit to start in: all looks together fit it best.
        fits: the units from which most of the belief does not exclude a start, in order.
        result: what rule R10 says, from the notes and the answers so far.
        seat_unseen: the always-look items that were never asked for.
        raises: what to ask for to see whether a later unit fits; empty where nothing would.
        seen: what was shown, without the always-look items.
        taken: what is taken as there for that start, neither seen nor implied; patches: what did
            not come of it, or probably would not.
        strands_closed: strands left alone after two clear misses in a row.
        looks: how many things were asked for so far; room: how many more fit this lesson.
        whole: whether as many students were imagined as usual; fewer where a course has thousands
            of skills.
    """

    next: Look | None
    stop: str
    start: str
    fits: tuple[str, ...]
    result: PlacingResult
    seat_unseen: tuple[str, ...]
    raises: tuple[str, ...]
    seen: tuple[str, ...]
    taken: tuple[str, ...]
    patches: tuple[str, ...]
    strands_closed: tuple[str, ...]
    looks: int
    room: int
    whole: bool


def placing_round(
    course: Course,
    record: Record,
    on: int,
    helps: Mapping[str, int] | None = None,
    not_tried: Iterable[str] = (),
    assumed: Assumed = ASSUMED,
) -> PlacingRound:
    """Return where a placing round stands, and the next look.

    Args:
        course: what is taught; record: what was seen so far, in earlier lessons too.
        on: the day of the lesson.
        helps: the answers given in this lesson and not noted yet: by skill id, an index into
            HELPS, in the order of asking.
        not_tried: skills to leave alone today.
        assumed: what is supposed about looks and students.
    """
    return _stand(_evidence(course, record, on, helps or {}, not_tried, assumed))


def looks_ahead(course: Course, record: Record, on: int, count: int) -> tuple[str, ...]:
    """Return what to ask for in a placing lesson, noted on paper, what tells most first.

    Args:
        course, record, on: as for :func:`placing_round`.
        count: how many things at most.
    """
    return looks_on_paper(_evidence(course, record, on, {}, (), ASSUMED), count)


def likely_before(course: Course, record: Record, on: int, unit: int) -> int:
    """Return what was not asked for of the units before this one and all looks make likely (a set)."""
    now = _evidence(course, record, on, {}, (), ASSUMED)
    plan = now.course.plan
    if not unit or not now.asked & now.footings.asked_by[-1]:
        return 0
    having = now.footings.crowd.having
    return sum(
        1 << i
        for i, who in having.items()
        if plan.unit[i] < unit and not (plan.safety | now.asked) >> i & 1 and now.belief.share(who) >= 0.5
    )


def _evidence(
    course: Course,
    record: Record,
    on: int,
    helps: Mapping[str, int],
    not_tried: Iterable[str],
    assumed: Assumed,
) -> Evidence:
    course = course.on(on)
    known = known_on(course, record, on)
    for skill, help_ in helps.items():
        known = known.with_showings([course.plan.index[skill]], on, help_)
    resting = resting_skills(course, record, on)
    return Evidence(course, record, known, {*not_tried, *resting}, tuple(helps), assumed)


def _stand(now: Evidence) -> PlacingRound:
    """Return where a round stands."""
    plan = now.course.plan
    best = now.best
    stop = _enough(now)
    look = confirming_look(now) if stop == "settled" else None if stop else next_look(now)
    entry = now.footings.asked_by[-1]
    raising = raising_look(now) if best > plan.unit_index[now.result.start_unit] else None
    return PlacingRound(
        next=look,
        stop="" if look else stop or "nothing-left",
        start=plan.unit_ids[best],
        fits=tuple(plan.unit_ids[unit] for unit in _range(now, best)),
        result=now.result,
        seat_unseen=plan.names(now.seat_unseen),
        raises=raising.skills if raising else (),
        seen=plan.names(now.shown[0] & ~plan.always_look),
        taken=plan.names(now.taken),
        patches=plan.names(now.footings.asked_by[best] & ~now.there & ~now.taken),
        strands_closed=tuple(sorted(now.strands_closed)),
        looks=(now.asked & entry).bit_count(),
        room=now.room,
        whole=now.footings.is_whole,
    )


def _enough(now: Evidence) -> str:
    """Return why it is enough, empty while it is not."""
    if now.known.holds:
        return "paused"
    if now.seat:
        return ""
    if now.is_sure and now.readings_agree:
        return "settled"
    if now.lessons_before >= LESSONS or (now.lessons_before == LESSONS - 1 and not now.room):
        return "two-lessons"
    return "" if now.room else "lesson-full"


def _range(now: Evidence, best: int) -> range:
    """Return the fewest units next to each other that hold most of the belief."""
    first, last = best, best + 1
    while sum(now.chances[first:last]) < now.assumed.likely:
        below = now.chances[first - 1] if first else -1.0
        above = now.chances[last] if last < len(now.chances) else -1.0
        first, last = (first - 1, last) if below >= above else (first, last + 1)
    return range(first, last)
