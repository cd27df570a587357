"""The one entry point: judge a student on a day.

Puts the steps together in their order - what is known, the states, what decides, the
verdict, the reasons, the advice - and holds no rule of its own but the order of the
verdicts (rule R7). Pure: no file, no clock, no printing.
"""

from __future__ import annotations

from collections.abc import Sequence

from readiness.course.model import Course
from readiness.judging.answer import READY, Answer
from readiness.judging.asked import Ahead, NotPlaced, Placed
from readiness.judging.breaks import Gap, break_on
from readiness.judging.deciding import decide, verdict
from readiness.judging.known import Known, known_on
from readiness.judging.states import States, judge_states
from readiness.record.model import Record

__all__ = ["judge", "judge_known"]


def judge(
    course: Course, record: Record, on: int, planned: Sequence[int] = (), lesson: int | None = None
) -> Answer:
    """Return whether the student is ready for the next unit on a day, and why.

    Args:
        course: what is taught.
        record: what was seen; everything dated after ``on`` is ignored.
        on: the day asked about, a day number.
        planned: planned lesson days, day numbers; weekly lessons are assumed without.
        lesson: the lesson to look ahead to, ``on`` itself or later; the next of the rhythm without.
    """
    course = course.on(on)
    return judge_known(course, record, known_on(course, record, on), planned, lesson)


def judge_known(
    course: Course, record: Record, known: Known, planned: Sequence[int] = (), lesson: int | None = None
) -> Answer:
    """Return the answer for what is known, or supposed, on ``known.day``."""
    band = known.band_on(course, known.day)
    states = judge_states(course.plan, known, band, known.day)
    ahead = Ahead(tuple(planned), lesson)
    if known.unit is None:
        return NotPlaced(course, record, known, states, ahead).answer()
    return _placed(course, record, known, states, known.unit, ahead)


def _placed(
    course: Course, record: Record, known: Known, states: States, unit: int, ahead: Ahead
) -> Answer:
    band = states.band
    deciding = decide(course.plan, unit, band, known.set_aside)
    underlying = verdict(deciding, states, band.whole("carry_limit"))
    gap = break_on(known.lesson_days, known.day, band.whole("break_weeks"))
    final = _final_verdict(known, underlying, gap)
    return Placed(course, record, known, states, ahead, deciding, underlying, gap, final).answer()


def _final_verdict(known: Known, underlying: str, gap: Gap | None) -> str:
    """Lay the hold and the break over the verdict (rule R7)."""
    if known.holds:
        return "paused"
    return "look-again" if gap and underlying in READY else underlying
