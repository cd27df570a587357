"""A lesson that was begun to be entered and not noted yet, as the list of students tells it."""

from __future__ import annotations

from typing import Final

from readiness.record.noting import NewLesson
from readiness.words.brief import noted_line
from readiness.words.grammar import date_words

__all__ = ["HALF_ENTERED", "half_entered_words"]

HALF_ENTERED: Final = "half done"
"""In the column that says how long ago the last lesson was."""


def half_entered_words(lesson: NewLesson) -> str:
    """Return that a lesson is half entered, and the key that goes on with it."""
    return f"Half entered, {date_words(lesson.on)}: {noted_line(lesson)}. Key l goes on with it."
