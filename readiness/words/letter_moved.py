"""What is said first after a decided move: that it was made, and to what; then what comes next.

Said until the next lesson, to whoever the letter is for. A move that was decided is told as
good news, whatever was computed on that day, and what stays open is told as something that
comes along. To the school nothing is added here: it reads the unit.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from readiness.judging.answer import GAP_STATES
from readiness.planning.letter import Moved, good_things
from readiness.words.doing import do, does, doing
from readiness.words.grammar import joined, quoted, tidy
from readiness.words.phrases import Phrases

__all__ = ["adult_moved", "child_moved", "family_moved"]

ALONG_AT_MOST = 3


def child_moved(say: Phrases, move: Moved) -> tuple[str, ...]:
    """Return what a child hears: two short sentences."""
    if move.unit is None:
        return ("You have come to the end of the whole course.", "Next time you choose what we play.")
    begun = "We have found where you begin" if move.is_start else "You have moved on"
    return (f"{begun}: now comes {quoted(say.course.unit[move.unit].name)}.", _child_next(say))


def _child_next(say: Phrases) -> str:
    skill = say.answer.one_thing
    if skill is None:
        return "Next time we find out together what is in it."
    asked = do(say.course.skill[skill].spoken)
    if say.standing(skill).state == "untried":
        return f"Next time we try this together: {asked}."
    return f"One thing comes along with us: {asked}."


def adult_moved(say: Phrases, move: Moved) -> Iterator[str]:
    """Yield what somebody grown, or nearly so, hears."""
    if move.unit is None:
        yield "You have closed the last unit of the course."
    else:
        yield f"You {'begin with' if move.is_start else 'have moved on to'} {say.unit(move.unit)}."
    if move.along:
        yield f"Still to practise on the way: {_doing(say, move.along[:ALONG_AT_MOST])}."
    skill = say.answer.one_thing
    if skill is not None and skill not in move.along and move.unit is not None:
        yield f"What comes next: {_doing(say, (skill,))}."


def family_moved(say: Phrases, move: Moved, named: str) -> Iterator[str]:
    """Yield what the family reads before what is to be done at home."""
    if move.unit is None:
        yield f"{named} has come to the end of the course, and I am glad about it."
    elif move.is_start:
        yield f"{named} begins with {say.unit(move.unit)}, and I am glad about it."
    else:
        yield f"{named} has moved on to {say.unit(move.unit)}, and I am glad about it."
    good = [skill for skill in good_things(say.course, say.answer) if skill not in move.along]
    if good:
        yield f"{named} {joined([does(say.course.skill[skill].spoken) for skill in good])}."
    yield from _family_next(say, move)


def _family_next(say: Phrases, move: Moved) -> Iterator[str]:
    if move.unit is None:
        yield "What comes after it we choose together."
        return
    along = move.along[:ALONG_AT_MOST]
    if along:
        things = "One thing comes" if len(along) == 1 else "Some things come"
        is_are = "is" if len(along) == 1 else "are"
        yield f"{things} along and {is_are} practised on the way: {_doing(say, along)}."
        return
    skill = say.answer.one_thing
    if skill is None:
        yield "What comes next is new, and we begin it bit by bit."
    elif say.standing(skill).state in GAP_STATES:
        yield f"One thing from before comes along: {_doing(say, (skill,))}."
    else:
        yield f"Next comes something to look at together: {_doing(say, (skill,))}."


def _doing(say: Phrases, skills: Sequence[str]) -> str:
    return joined([doing(tidy(say.course.skill[skill].spoken)) for skill in skills])
