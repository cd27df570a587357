"""What is said of a lesson that could not be noted: where it is kept, and how to note it later."""

from __future__ import annotations

from pathlib import Path

from readiness.record.noting import NewLesson
from readiness.words.grammar import date_words
from readiness.words.noting import pausing_words

__all__ = ["not_kept_words", "unnoted_words"]


def unnoted_words(why: str, student: str, lesson: NewLesson, kept: Path) -> str:
    """Return why a lesson is not noted, where it is kept, and how to go on.

    Args:
        why: what stood in the way.
        student: the id; lesson: what was entered.
        kept: the file it is kept in.
    """
    where = (
        f"Not noted yet, but kept as you typed it, for {date_words(lesson.on)}, in {kept}. Once that is "
        f"mended, `readiness note {student}` in a terminal goes on with it, and so does the lesson on the "
        "screens."
    )
    return "\n".join(filter(None, (why, where, pausing_words(student, lesson))))


def not_kept_words(why: str, why_not_kept: str, student: str, lesson: NewLesson) -> str:
    """Return why a lesson is neither noted nor kept, so that it is written down elsewhere."""
    told = [why, why_not_kept, "Please write it down and note it later.", pausing_words(student, lesson)]
    return "\n".join(filter(None, told))
