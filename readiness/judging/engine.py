"""The one entry point: judge a student on a day.

Puts the steps together in their order - what is known, the states, what decides, the
verdict, the reasons, the advice - and holds no rule of its own but the order of the
verdicts (rule R7). Pure: no file, no clock, no printing.
"""

from __future__ import annotations

from collections.abc import Sequence
from itertools import chain

from readiness.course.model import Course
from readiness.days import age_on
from readiness.judging.advice import chain_up, frees, one_thing, targets
from readiness.judging.answer import READY, Answer, PlacingResult
from readiness.judging.breaks import Gap, break_on, lessons_after
from readiness.judging.cautions import cautions_for
from readiness.judging.dates import earliest_date, holds_until
from readiness.judging.deciding import Deciding, blockers, decide, group_standing, verdict
from readiness.judging.findings import Finding
from readiness.judging.known import Known, known_on
from readiness.judging.looks import look_effects
from readiness.judging.placing import place
from readiness.judging.reasons import Reasons
from readiness.judging.remarks import lesson_days_in_unit, remarks
from readiness.judging.states import Standings, States, judge_states
from readiness.record.model import Record

__all__ = ["judge", "judge_known"]


def judge(course: Course, record: Record, on: int, planned: Sequence[int] = ()) -> Answer:
    """Return whether the student is ready for the next unit on a day, and why.

    Args:
        course: what is taught.
        record: what was seen; everything dated after ``on`` is ignored.
        on: the day asked about, a day number.
        planned: planned lesson days, day numbers; weekly lessons are assumed without.
    """
    course = course.on(on)
    return judge_known(course, record, known_on(course, record, on), planned)


def judge_known(
    course: Course, record: Record, known: Known, planned: Sequence[int] = ()
) -> Answer:
    """Return the answer for what is known, or supposed, on ``known.day``."""
    band = known.band_on(course, known.day)
    states = judge_states(course.plan, known, band, known.day)
    if known.unit is None:
        return _not_placed(course, record, known, states, planned)
    return _placed(course, record, known, states, known.unit, planned)


def _placed(
    course: Course, record: Record, known: Known, states: States, unit: int, planned: Sequence[int]
) -> Answer:
    plan, band = course.plan, states.band
    deciding = decide(plan, unit, band, known.set_aside)
    limit = band.whole("carry_limit")
    underlying = verdict(deciding, states, limit)
    gap = break_on(known.lesson_days, known.day, band.whole("break_weeks"))
    final = _final_verdict(known, underlying, gap)
    next_lesson = next(lessons_after(known.lesson_days, known.day, planned))
    found = Reasons(course, record, known, deciding, states).all(final, gap)
    work_on, look_first = _advice(course, known, deciding, states, final, next_lesson)
    open_rest = deciding.rest & ~states.secure
    shown = [i for i in (work_on,) if i is not None]
    goals = targets(deciding, states, limit) or deciding.skills & ~states.secure
    blocking = blockers(plan, deciding, states)
    return Answer(
        student=record.id,
        name=record.name,
        on=known.day,
        age=age_on(known.born, known.day),
        band=band.name,
        unit=plan.unit_ids[unit],
        next_unit=None if deciding.next_unit is None else plan.unit_ids[deciding.next_unit],
        verdict=final,
        underlying=underlying,
        deciding=plan.names(deciding.skills),
        rest=plan.names(deciding.rest),
        open_rest=plan.names(open_rest),
        standings=Standings(plan, known, states),
        groups=tuple(group_standing(plan, group, states) for group in deciding.groups),
        blockers=blocking,
        taken_along=plan.names(open_rest) if final == "ready-taking-along" else (),
        remarks=remarks(course, known, deciding, states),
        one_thing=None if work_on is None else plan.ids[work_on],
        frees=() if work_on is None else plan.names(frees(plan, deciding, states, work_on)),
        chain=() if work_on is None else tuple(plan.ids[i] for i in chain_up(plan, work_on, goals)),
        look_first=tuple(plan.ids[i] for i in look_first),
        earliest=_earliest(course, known, final, planned),
        holds_until=holds_until(course, known) if final in READY else None,
        lesson_days=lesson_days_in_unit(known),
        last_lesson=known.lesson_days[-1] if known.lesson_days else None,
        next_lesson=next_lesson,
        away=gap.kind if gap else None,
        away_days=gap.days if gap else None,
        findings=found,
        cautions=cautions_for(
            course, record, known.day,
            (
                *(plan.ids[i] for i in chain(shown, look_first)),
                *(one.skill for one in blocking if one.skill is not None),
                *plan.names(open_rest),
            ),
            found,
            paused=bool(known.holds),
            seat_open=bool(deciding.skills & plan.always_look & ~states.secure),
        ),
    )  # fmt: skip


def _final_verdict(known: Known, underlying: str, gap: Gap | None) -> str:
    """Lay the hold and the break over the verdict (rule R7)."""
    if known.holds:
        return "paused"
    return "look-again" if gap and underlying in READY else underlying


def _advice(
    course: Course, known: Known, deciding: Deciding, states: States, final: str, next_lesson: int
) -> tuple[int | None, tuple[int, ...]]:
    """Return the one thing and the look set; nothing to do is suggested under a hold."""
    if final == "paused":
        return None, ()
    looks = look_effects(course, known, deciding, states, next_lesson)
    limit = states.band.whole("carry_limit")
    work_on = None if final in READY else one_thing(course.plan, deciding, states, looks, limit)
    return work_on, looks.smallest(course.plan)


def _earliest(course: Course, known: Known, final: str, planned: Sequence[int]) -> int | None:
    if final in READY:
        return known.day
    return None if final == "paused" else earliest_date(course, known, planned)


def _not_placed(
    course: Course, record: Record, known: Known, states: States, planned: Sequence[int]
) -> Answer:
    plan, band = course.plan, states.band
    placing = place(course, record, known, band)
    work_on = None if known.holds else next(iter(placing.always_look_open), None)
    found = Reasons(course, record, known, decide(plan, 0, band, known.set_aside), states).not_placed()
    return Answer(
        student=record.id,
        name=record.name,
        on=known.day,
        age=age_on(known.born, known.day),
        band=band.name,
        unit=None,
        next_unit=None,
        verdict="paused" if known.holds else "not-placed",
        underlying="not-placed",
        deciding=(),
        rest=(),
        open_rest=(),
        standings=Standings(plan, known, states),
        groups=(),
        blockers=(),
        taken_along=(),
        remarks=(),
        one_thing=work_on,
        frees=(),
        chain=(),
        look_first=(),
        earliest=None,
        holds_until=None,
        lesson_days=None,
        last_lesson=known.lesson_days[-1] if known.lesson_days else None,
        next_lesson=next(lessons_after(known.lesson_days, known.day, planned)),
        away=None,
        away_days=None,
        findings=found,
        cautions=_placing_cautions(course, record, known, placing, found),
        placing=placing,
    )


def _placing_cautions(
    course: Course, record: Record, known: Known, placing: PlacingResult,
    found: tuple[Finding, ...],
) -> tuple[str, ...]:
    shown = (*placing.always_look_open, *placing.patches, *placing.stopped_by)
    return cautions_for(
        course, record, known.day, shown, found,
        paused=bool(known.holds), seat_open=bool(placing.always_look_open),
    )  # fmt: skip
