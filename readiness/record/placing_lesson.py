"""Noting a placing lesson: the lesson and, in the same entry, that it was one."""

from __future__ import annotations

from datetime import date
from pathlib import Path

from readiness.course.model import Course
from readiness.files.writing import Refusal
from readiness.record.append import add_blocks
from readiness.record.blocks import block
from readiness.record.model import Record
from readiness.record.noting import NewLesson, check_lesson, lesson_text, unless_of_another

__all__ = ["note_placing_lesson", "placing_lesson_text"]


def note_placing_lesson(
    course: Course, record: Record, lesson: NewLesson, folder: Path, today: int
) -> tuple[Refusal, ...]:
    """Check a placing lesson and add it to the student's file; empty when it is safely there.

    Args:
        course, record: what is taught, and the student.
        lesson: what was shown; folder: the students folder.
        today: the latest day a lesson can have had.
    """
    assert record.path is not None
    wrong = check_lesson(course, record, lesson, (*lesson.helps, *lesson.not_tried), today)
    if wrong:
        return wrong
    text = lesson_text(lesson)
    if not any(one.on == lesson.on for one in record.placings):
        text = placing_lesson_text(lesson.on, text)
    refusal = add_blocks(record.path, folder, text, unless_of_another(record))
    return () if refusal is None else (refusal,)


def placing_lesson_text(on: int, lesson: str) -> str:
    """Return a lesson's block behind the one that says that it was a placing lesson."""
    return block("placing", [("on", date.fromordinal(on))]) + "\n" + lesson
