"""What is said when playing is noted for a day on which a hold is open.

Stop playing comes first. What was seen is kept, and none of it is called a step forward.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from readiness.course.model import Course
from readiness.record.model import Record
from readiness.words.grammar import listed, quoted, wrap
from readiness.words.paused import hold_notice

__all__ = ["ask_words", "played_words"]

_NAMES = 4
"""So many skills are named; more are only counted."""


def ask_words(course: Course, record: Record, day: int, played: Sequence[str], width: int = 80) -> str:
    """Return the question before noting, with its keys."""
    names = _names(course, played)
    what = (
        f"This would note {names}, which is not done while the hold is open. If it was played all the same: "
        "please stop playing now."
    )
    told = (
        hold_notice(record, day) or f"A hold is open that concerns {names}.",
        what,
        "y note it as it was seen   any other key: do not note it, keep it for later",
    )
    return "".join(f"{line}\n" for text in told for line in wrap(text, width))


def played_words(course: Course, played: Sequence[str], *, was_noted: bool = True) -> Iterator[str]:
    """Yield what comes first where playing was noted under a hold, or would be; nothing where none was."""
    if played:
        noted = "was noted" if was_noted else "would be noted"
        yield (
            f"A hold is open, and {_names(course, played)} {noted}: please stop playing now, and do not "
            "play through pain. It is kept as it was seen, and none of it is called a step forward while "
            "the hold is open."
        )


def _names(course: Course, skills: Sequence[str]) -> str:
    words = [quoted(course.skill[skill].name) for skill in skills[:_NAMES]]
    more = len(skills) - _NAMES
    return listed([*words, *([f"{more} more"] if more > 0 else [])])
