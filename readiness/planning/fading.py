"""What turns stale in the coming days, over all skills of a student, and what keeps it fresh.

A skill is kept fresh by showing it, or by using it in something that stands on it (rule R5). So
beside each skill stand the pieces and tasks that use it, and for all of them together the
smallest set of things to play, found exactly. Nobody is asked to play under a hold; there only what
is done without playing keeps fresh, and only what is like it (rule R1a).
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final

from readiness.course.model import Course
from readiness.course.plan import Plan, bits
from readiness.judging.answer import GAP_STATES
from readiness.judging.cover import Want, smallest_cover
from readiness.judging.deciding import decide
from readiness.judging.known import Known, known_on
from readiness.judging.states import States, judge_states
from readiness.planning.character import resting_skills
from readiness.record.model import Record

__all__ = ["DAYS", "Fading", "FadingSkill", "fading"]

DAYS: Final = 14
"""So far ahead as rule R8 looks."""
USES_AT_MOST: Final = 3


@dataclass(frozen=True, slots=True)
class FadingSkill:
    """A skill that turns stale soon.

    Attributes:
        skill: the skill; last_seen: when; fresh_until: its last fresh day.
        decides: whether it decides about the next unit.
        kept_by: what uses it and is known, pieces first; empty: it must be looked at itself.
        task: whether a home task now open is for it or for something that uses it.
    """

    skill: str
    last_seen: int
    fresh_until: int
    decides: bool
    kept_by: tuple[str, ...]
    task: bool


@dataclass(frozen=True, slots=True)
class Fading:
    """What fades from a day on: the soonest first.

    Attributes:
        on, until: the first and the last day looked at.
        skills: what turns stale, the soonest first.
        play: the smallest set of things to show that keeps all of it fresh; none while paused.
        paused: whether a hold is open.
    """

    on: int
    until: int
    skills: tuple[FadingSkill, ...]
    play: tuple[str, ...]
    paused: bool


def fading(course: Course, record: Record, on: int, days: int = DAYS) -> Fading:
    """Return what of a student's skills turns stale within some days.

    Args:
        course, record: what is taught, and what was seen.
        on: the day asked about.
        days: how far to look.
    """
    course = course.on(on)
    plan, known = course.plan, known_on(course, record, on)
    states = judge_states(plan, known, known.band_on(course, on), on)
    left_out = known.set_aside | plan.optional[states.band.name]
    fresh_until = {
        i: seen + states.band.fresh_days[plan.fade[i]]
        for i in bits((states.secure | states.wobbling) & ~left_out)
        if (seen := states.last_seen[i]) is not None
    }
    soon = {i for i, last in fresh_until.items() if on <= last < on + days}
    known_things = _known_things(course, record, known, states, left_out)
    settles = _settles(plan, known_things, soon, plan.quiet if known.holds else -1)
    reached = {i for i in soon if any(kept >> i & 1 for kept in settles.values())}
    tasks = {t.for_skill for t in record.tasks if t.given <= on and t.days_reported is None}
    deciding = 0 if known.unit is None else decide(plan, known.unit, states.band, known.set_aside).skills
    return Fading(
        on,
        on + days,
        tuple(
            FadingSkill(
                plan.ids[i],
                fresh_until[i] - states.band.fresh_days[plan.fade[i]],
                fresh_until[i],
                bool(deciding >> i & 1),
                (uses := _uses(course, i, settles))[:USES_AT_MOST],
                bool(tasks & {plan.ids[i], *uses}),
            )
            for i in sorted(soon, key=lambda i: (fresh_until[i], i))
        ),
        () if known.holds else smallest_cover(settles, _wants(reached), plan).ids,
        bool(known.holds),
    )


def _known_things(course: Course, record: Record, known: Known, states: States, left_out: int) -> int:
    """Return what can simply be played or shown: nothing untried, in no gap, nothing that rests."""
    plan = course.plan
    resting = plan.set_of(resting_skills(course, record, known.day))
    shown = sum(1 << i for i, name in enumerate(states.state) if name not in GAP_STATES | {"untried"})
    return shown & ~left_out & ~resting


def _settles(plan: Plan, things: int, soon: set[int], free: int) -> dict[int, int]:
    """Return, by thing, the fading skills that showing it keeps fresh (rule R5), of those under no hold."""
    wanted = sum(1 << i for i in soon) & free
    reach = {i: (plan.ancestors[i] & ~plan.must_be_seen | 1 << i) & wanted for i in bits(things & free)}
    return {i: reached for i, reached in reach.items() if reached}


def _wants(skills: set[int]) -> tuple[Want, ...]:
    return tuple(Want(1 << i) for i in sorted(skills))


def _uses(course: Course, i: int, settles: dict[int, int]) -> tuple[str, ...]:
    """Return what uses a skill: pieces first, then what keeps most, then what was taught last."""
    plan = course.plan
    uses = sorted(
        (other for other, kept in settles.items() if other != i and kept >> i & 1),
        key=lambda o: (not course.skills[o].piece, -settles[o].bit_count(), -plan.unit[o], plan.ids[o]),
    )
    return tuple(plan.ids[other] for other in uses)
