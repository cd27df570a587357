"""The earliest possible date, and how long a ready verdict holds (rules, section 4).

Both replay the rules on days ahead with supposed showings, or with none. They say what the
rules allow, never what a child will do.
"""

from __future__ import annotations

from collections.abc import Sequence
from itertools import islice

from readiness.course.model import Band, Course
from readiness.course.plan import bits
from readiness.judging.answer import READY
from readiness.judging.breaks import break_on, lessons_after
from readiness.judging.deciding import Deciding, decide, verdict
from readiness.judging.known import Known
from readiness.judging.states import States, judge_states

__all__ = ["earliest_date", "holds_until"]

MOST_LESSONS = 52


def earliest_date(course: Course, known: Known, planned: Sequence[int]) -> int | None:
    """Return the first lesson on which the student could be ready, None if not within 52.

    At each lesson everything asked for that is not secure is supposed to be shown alone.
    The student is placed and not ready today.
    """
    supposed = known
    for day in islice(lessons_after(known.lesson_days, known.day, planned), MOST_LESSONS):
        band, deciding, states = _judged(course, supposed, day)
        asked = deciding.skills | deciding.rest | deciding.group_members
        supposed = supposed.with_showings(bits(asked & ~states.met), day)
        if _may_move(course, supposed, band, day):
            return day
    return None


def _judged(course: Course, known: Known, day: int) -> tuple[Band, Deciding, States]:
    assert known.unit is not None
    band = known.band_on(course, day)
    deciding = decide(course.plan, known.unit, band, known.set_aside)
    return band, deciding, judge_states(course.plan, known, band, day)


def _may_move(course: Course, known: Known, band: Band, day: int) -> bool:
    if break_on(known.lesson_days, day, band.whole("break_weeks")):
        return False
    return _is_ready(course, known, day)


def _is_ready(course: Course, known: Known, day: int) -> bool:
    band, deciding, states = _judged(course, known, day)
    return verdict(deciding, states, band.whole("carry_limit")) in READY


def holds_until(course: Course, known: Known) -> int | None:
    """Return the last day on which a ready verdict still stands with nothing new noted.

    None when it never lapses. Between two birthdays that change the band only fading can
    end it, so only the days on which something turns stale are looked at.
    """
    start: int | None = known.day
    while start is not None:
        end = known.next_band_day(course, start)
        for day in (start, *_fading_days(course, known, start)):
            if end is not None and day >= end:
                break
            if not _is_ready(course, known, day):
                return day - 1
        start = end
    return None


def _fading_days(course: Course, known: Known, start: int) -> list[int]:
    """Return the days after ``start`` on which a skill turns stale in the band of ``start``."""
    band, deciding, states = _judged(course, known, start)
    asked = deciding.skills | deciding.rest | deciding.group_members
    days = set()
    for i in bits(asked):
        seen = states.last_seen[i]
        if seen is not None:
            days.add(seen + band.fresh_days[course.plan.fade[i]] + 1)
    return sorted(day for day in days if day > start)
