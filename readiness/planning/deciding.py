"""What a decision to move or to stay is about: the unit it closes or keeps, and the one a move begins.

The same for every way of deciding. It says nothing about whether one should: that is the teacher's.
"""

from __future__ import annotations

from readiness.course.model import Course
from readiness.judging.answer import Answer
from readiness.record.model import Decision

__all__ = ["decision_on", "unit_begun"]


def unit_begun(course: Course, answer: Answer, begins: str | None = None) -> str | None:
    """Return the unit that a move begins; None in the last one, where it begins nothing.

    Args:
        course: what is taught; answer: the answer of the day.
        begins: for a student who is not placed, the unit somebody chose; else the one that
            placing finds.
    """
    if answer.unit is not None:
        return answer.next_unit
    return begins or (answer.placing.start_unit if answer.placing else course.units[0].id)


def decision_on(
    course: Course,
    answer: Answer,
    decided: str,
    reason: str,
    begins: str | None = None,
    until: int | None = None,
) -> Decision:
    """Return the decision of a day, beside the verdict that was computed for it.

    Args:
        course, answer, begins: as for :func:`unit_begun`.
        decided: move or stay; reason: the teacher's words, may be empty.
        until: the last day of a stay; without it four lessons are meant (rule R11).
    """
    unit = answer.unit or unit_begun(course, answer, begins)
    assert unit is not None
    return Decision(answer.on, unit, answer.verdict, decided, until, reason.strip())
