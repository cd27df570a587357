"""The one entry point: judge a student on a day.

Puts the steps together in their order - what is known, the states, what decides, the
verdict, the reasons, the advice - and holds no rule of its own but the order of the
verdicts (rule R7). Pure: no file, no clock, no printing.
"""

from __future__ import annotations

from readiness.course.model import Course
from readiness.judging.answer import READY, AfterHold, Answer, Gap
from readiness.judging.asked import NotPlaced, Placed
from readiness.judging.breaks import after_hold, break_now
from readiness.judging.deciding import decide, verdict
from readiness.judging.known import Known, known_on
from readiness.judging.states import States, judge_states
from readiness.record.model import Record
from readiness.record.rhythm import NO_CALENDAR, Calendar

__all__ = ["judge", "judge_known"]


def judge(
    course: Course, record: Record, on: int, calendar: Calendar = NO_CALENDAR, lesson: int | None = None
) -> Answer:
    """Return whether the student is ready for the next unit on a day, and why.

    Args:
        course: what is taught.
        record: what was seen; everything dated after ``on`` is ignored.
        on: the day asked about, a day number.
        calendar: planned lesson days, rhythm and holidays; weekly lessons are assumed without.
        lesson: the lesson to look ahead to, ``on`` itself or later; the next to come without.
    """
    course = course.on(on)
    return judge_known(course, record, known_on(course, record, on, calendar), lesson)


def judge_known(course: Course, record: Record, known: Known, lesson: int | None = None) -> Answer:
    """Return the answer for what is known, or supposed, on ``known.day``."""
    band = known.band_on(course, known.day)
    states = judge_states(course.plan, known, band, known.day)
    ahead = known.next_lesson if lesson is None else lesson
    if known.unit is None:
        return NotPlaced(course, record, known, states, ahead).answer()
    return _placed(course, record, known, states, known.unit, ahead)


def _placed(
    course: Course, record: Record, known: Known, states: States, unit: int, ahead: int | None
) -> Answer:
    band = states.band
    deciding = decide(course.plan, unit, band, known.set_aside)
    underlying = verdict(deciding, states, band.whole("carry_limit"))
    gap = None if known.holds else break_now(known, band, known.day)
    after = None if known.holds else after_hold(course.plan, known, states)
    final = _final_verdict(known, underlying, gap, after)
    return Placed(course, record, known, states, ahead, deciding, underlying, gap, after, final).answer()


def _final_verdict(known: Known, underlying: str, gap: Gap | None, after: AfterHold | None) -> str:
    """Lay a hold, a break and what comes after a hold over the verdict (rule R7)."""
    if known.holds:
        return "paused"
    return "look-again" if (gap or after) and underlying in READY else underlying
