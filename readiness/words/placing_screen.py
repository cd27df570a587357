"""A placing round told on a screen, where the look and what it comes to stand side by side.

The sentences are those of the command (``words.placing_round``), cut into the parts of a screen.
"""

from __future__ import annotations

from readiness.course.model import Course
from readiness.judging.answer import Answer
from readiness.planning.placing.round import PlacingRound
from readiness.record.model import Record
from readiness.words.grammar import counted
from readiness.words.placing_round import next_look_words, tell_round

__all__ = ["begin_words", "look_paragraphs", "room_words", "so_far_words"]

_ONE_LINE = 100_000
"""So wide that no paragraph is folded; the screen folds them."""
_FIRST = "Start here"


def look_paragraphs(now: PlacingRound, course: Course) -> tuple[str, ...]:
    """Return what is asked for, when it counts as shown and why it is asked; or why nothing is."""
    lines = next_look_words(now, course, _ONE_LINE).splitlines()
    return tuple(line.strip().removeprefix("- ") for line in lines)


def room_words(now: PlacingRound) -> str:
    """Return how many looks remain at most, this one among them; nothing where it is enough."""
    if now.next is None:
        return ""
    return f"At most {counted(now.room, 'more look')} today." if now.room > 1 else "The last look of today."


def begin_words(now: PlacingRound, student: str, course: Course) -> str:
    """Return how the unit is begun; nothing while a hold is open."""
    if now.stop == "paused":
        return ""
    number = course.unit[now.start].number
    return f"`readiness decide {student} move` begins unit {number}; with --unit another one. You decide."


def so_far_words(now: PlacingRound, answer: Answer, course: Course, record: Record, width: int = 80) -> str:
    """Return where the student starts so far and what that rests on.

    Args:
        now: the round; answer: the answer with the same showings.
        course, record: what is taught, and what was seen.
        width: the widest line.
    """
    sections = tell_round(now, answer, course, record, width).strip("\n").split("\n\n")
    told = [at for at, section in enumerate(sections) if section.startswith(_FIRST)]
    if told:
        return "\n\n".join(sections[told[0] : -1])
    return "Where to start is said after the first look that tells it." if now.next else ""
