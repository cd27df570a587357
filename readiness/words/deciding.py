"""A decision before it is kept: what was computed, and what moving on or staying would mean.

The choice is the teacher's, and both ways are told alike: nothing here persuades.
"""

from __future__ import annotations

from collections.abc import Mapping
from typing import Final

from readiness.course.model import Course
from readiness.judging.answer import Answer
from readiness.planning.deciding import unit_begun
from readiness.record.model import Decision, Record
from readiness.words.grammar import capital, date_words, tidy
from readiness.words.paused import hold_notice
from readiness.words.phrases import Phrases
from readiness.words.verdicts import verdict_words

__all__ = ["WHY_ASKED", "decided_before", "decided_words", "decision_question", "ways_words"]

WHY_ASKED: Final = {
    "no-reason": "This differs from what was computed. That is yours to decide; please say why.",
    "moved-already": "A move was decided today already. To go one unit further still, please say why.",
}
"""Said where a decision is kept only with a reason, by what the library refused."""


def ways_words(answer: Answer, course: Course, record: Record) -> tuple[str, ...]:
    """Return what was computed and what either decision would mean, one paragraph each."""
    say = Phrases(answer, course, record)
    ways = _ways(say, course)
    return (
        *filter(None, (hold_notice(record, answer.on), decided_before(answer, record))),
        f"Computed for {date_words(answer.on)}: {verdict_words(say)}.",
        f"To move on: {tidy(record.name)} {ways['move']}.",
        f"To stay: {tidy(record.name)} {ways['stay']}.",
        "You decide. What was computed and what you decide are both kept.",
    )


def decision_question(answer: Answer, course: Course, record: Record, decided: str) -> str:
    """Return the question before a decision is kept."""
    say = Phrases(answer, course, record)
    computed = f"Computed: {verdict_words(say)}."
    return f"{capital(tidy(record.name))} {_ways(say, course)[decided]}?\n\n{computed}"


def decided_before(answer: Answer, record: Record) -> str:
    """Return what was decided on the same day already, if anything was."""
    today = [one for one in record.decisions if one.on == answer.on]
    return f"Decided on {date_words(answer.on)} already: {decided_words(today[-1])}." if today else ""


def decided_words(decision: Decision) -> str:
    """Return what was decided, to follow "decided"; where a new student begins is no move.

    >>> decided_words(Decision(1, "unit-2", "ready", "move"))
    'to move on'
    >>> decided_words(Decision(1, "unit-2", "not-placed", "move"))
    'to begin in this unit'
    """
    if decision.is_start:
        return "to begin in this unit" if decision.decided == "move" else "to begin later"
    return "to move on" if decision.decided == "move" else "to stay"


def _ways(say: Phrases, course: Course) -> Mapping[str, str]:
    answer = say.answer
    begun = unit_begun(course, say.record, answer)
    moves = f"moves on to {say.unit(begun)}" if begun else "closes the last unit of the course"
    if answer.unit is None:
        assert begun is not None
        return {"move": f"begins with {say.unit(begun)}", "stay": "is not placed for now"}
    return {"move": moves, "stay": f"stays in {say.unit(answer.unit)}"}
