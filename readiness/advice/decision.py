"""What a decision to move or to stay is about: the unit it closes or keeps, and the one a move begins.

The same for every way of deciding. It says nothing about whether one should: that is the teacher's.
"""

from __future__ import annotations

from readiness.advice.placing.presumed import start_of
from readiness.course.model import Course
from readiness.judging.answer import Answer
from readiness.record.model import Decision, Record

__all__ = ["decision_on", "may_be_placed", "unit_begun"]


def may_be_placed(record: Record, answer: Answer) -> bool:
    """Return whether a start may still be chosen: no unit has begun, or it was said and not decided.

    Until a second lesson beside those for placing it is provisional (rule R10).
    """
    days = {day for day in record.seen.lesson_days if day <= answer.on}
    is_decided = any(one.on <= answer.on for one in record.decisions)
    return answer.unit is None or (len(days - {one.on for one in record.placings}) < 2 and not is_decided)


def unit_begun(course: Course, record: Record, answer: Answer, begins: str | None = None) -> str | None:
    """Return the unit that a move begins; None in the last one, where it begins nothing.

    Args:
        course, record: what is taught, and what was seen; answer: the answer of the day.
        begins: the unit somebody chose; else, for a student who is not placed, the one that placing finds.
    """
    start = start_of(course, record, answer) if begins is None and answer.unit is None else None
    return begins or (start.start if start else answer.next_unit)


def decision_on(
    course: Course,
    record: Record,
    answer: Answer,
    decided: str,
    reason: str,
    begins: str | None = None,
    until: int | None = None,
) -> Decision:
    """Return the decision of a day, beside the verdict that was computed for it.

    Args:
        course, record, answer, begins: as for :func:`unit_begun`.
        decided: move or stay; reason: the teacher's words, may be empty.
        until: the last day of a stay; without it four lessons are meant (rule R11).
    """
    unit = begins or answer.unit or unit_begun(course, record, answer, begins)
    assert unit is not None
    return Decision(answer.on, unit, answer.verdict, decided, reason.strip(), until=until)
