"""Two courses over the same students: whose answer changes, and by what.

Every student is judged twice, from the beginning, by each course; the differences of the two
answers are then named one by one. A student *changes* when the verdict, what blocks, what
comes along or where to start is another; when only the advice is (the one thing, dates), that is
told apart. Nothing is saved and nobody is compared with anybody else.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

from readiness.course.model import Course
from readiness.judging.answer import Answer
from readiness.judging.engine import judge
from readiness.planning.answer_changes import StudentChange, student_change
from readiness.record.model import Record
from readiness.record.rhythm import NO_CALENDAR, Calendar

__all__ = ["Comparison", "compare"]

Records = Mapping[str, tuple[Record, Record]]


@dataclass(frozen=True, slots=True)
class Comparison:
    """Two courses over some students, each list in the order given.

    Attributes:
        changed: students whose answer is another.
        advised: students whose answer stays while the advice is another.
        unchanged: the others.
    """

    on: int
    changed: tuple[StudentChange, ...]
    advised: tuple[StudentChange, ...]
    unchanged: tuple[Answer, ...]


def compare(
    old: Course, new: Course, records: Records, on: int, calendars: Mapping[str, Calendar] | None = None
) -> Comparison:
    """Return what a second course would change for some students.

    Args:
        old, new: the two courses.
        records: by student, the record as read with each of them.
        on: the day asked about.
        calendars: by student, what is known of the lessons.
    """
    dates = calendars or {}
    changes = []
    for id_, (before, after) in records.items():
        calendar = dates.get(id_, NO_CALENDAR)
        answers = judge(old, before, on, calendar), judge(new, after, on, calendar)
        changes.append(student_change(old, new, *answers, (before, after)))
    return Comparison(
        on,
        tuple(one for one in changes if one.is_decided),
        tuple(one for one in changes if one.reasons and not one.is_decided),
        tuple(one.before for one in changes if not one.reasons),
    )
