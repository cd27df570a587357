"""A verdict in words: in the few a list has room for, and with all it opens.

In the last unit of a course there is nothing to move on to; there a yes closes the unit. And after
the first lesson of a unit nobody is told to strengthen what was hardly begun.
"""

from __future__ import annotations

from readiness.judging.answer import Answer
from readiness.words.grammar import VERDICT_WORDS, date_words, listed
from readiness.words.phrases import Phrases

__all__ = ["plain_verdict", "verdict_words"]


def plain_verdict(answer: Answer) -> str:
    """Return a verdict in a few words."""
    words = VERDICT_WORDS[answer.verdict]
    if answer.waits_by_decision and answer.decision is not None:
        decided = date_words(answer.decision.on, answer.on)
        return f"ready to move on; on {decided} it was decided to stay for now"
    if answer.verdict == "not-yet" and (answer.lesson_days or 0) < 2 and answer.unit is not None:
        return "not yet: this unit has just begun"
    if answer.is_ready and answer.next_unit is None:
        return words.replace("to move on", "to close this unit, the last of the course")
    return words


def verdict_words(say: Phrases) -> str:
    """Return the verdict in words, with the unit it opens and what comes along."""
    answer, words = say.answer, plain_verdict(say.answer)
    if not answer.may_move:
        return words
    if answer.next_unit is not None:
        words = words.replace("move on", f"move on to {say.unit(answer.next_unit)}")
    names = listed([say.name(skill) for skill in answer.taken_along])
    return f"{words} {names}" if answer.taken_along else words
