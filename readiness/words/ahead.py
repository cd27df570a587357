"""What the next lesson may settle, in three lines: if all that is looked at first comes, if one, if none.

Each is the answer of that lesson, worked out like any other with those showings supposed.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping

from readiness.judging.answer import Answer
from readiness.judging.what_if import SHOW, what_if
from readiness.terms import Help, Verdict
from readiness.words.phrases import Phrases

__all__ = ["ahead_lines", "ready_if_all_come"]

LOOKS_AT_MOST = 2
"""Of more looks only whether all come is told: which of them come has too many answers for three lines."""


def ahead_lines(say: Phrases) -> Iterator[str]:
    """Yield what the next lesson may settle; nothing where nothing is looked at first."""
    answer, look = say.answer, say.answer.look_first
    if not look or answer.next_lesson is None or answer.verdict == Verdict.PAUSED:
        return
    words = {1: ("it comes", "it does not come"), 2: ("both come", "neither comes")}
    every, none = words.get(len(look), ("all come", ""))
    yield f"If {every}: {_outcome(say)}."
    if len(look) > LOOKS_AT_MOST or not ready_if_all_come(say):
        return
    if len(look) == LOOKS_AT_MOST:
        yield f"If one: {_one_of_two(say)}."
    skill = answer.one_thing
    second = skill is not None and len(say.to_try(skill)) > 1
    yield f"If {none}: stay in this unit, and try {'the second activity' if second else 'another way in'}."


def ready_if_all_come(say: Phrases) -> bool:
    """Return whether the next lesson ends with a yes if all that is looked at first comes."""
    look = say.answer.look_first
    return bool(look) and _supposed(say, dict.fromkeys(look, Help.ALONE)).is_ready


def _supposed(say: Phrases, helps: Mapping[str, Help]) -> Answer:
    changes = {SHOW + skill: str(given) for skill, given in helps.items()}
    return what_if(say.course, say.record, say.answer.on, changes, say.answer.calendar)[0]


def _outcome(say: Phrases) -> str:
    """Return what is answered in that lesson: ready, or that no lesson settles more."""
    if not ready_if_all_come(say):
        return "that is all one lesson can settle"
    number = say.course.unit[say.answer.next_unit].number if say.answer.next_unit else 0
    return f"ready {f'for unit {number}' if number else 'to finish the course'} that day"


def _one_of_two(say: Phrases) -> str:
    """Return when the other one of two looks may come, the later day where it matters which."""
    first, second = say.answer.look_first
    both = (_supposed(say, {first: Help.ALONE}), _supposed(say, {second: Help.ALONE}))
    days = [one.earliest for one in both if one.earliest is not None]
    return f"the other on {say.day(max(days))} at the earliest" if days else "the other in a later lesson"
