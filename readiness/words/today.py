"""What is said around the lesson of the day: how a thing was shown last, what was understood, what is odd.

Short, because it is read while a child waits.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from typing import Final

from readiness.course.model import Course
from readiness.judging.answer import Answer
from readiness.record.model import Record
from readiness.record.noting import NewLesson
from readiness.words.english import HELP_WORDS
from readiness.words.grammar import capital, counted, date_words, listed, number_words, tidy

__all__ = [
    "HURTS", "NOTHING_NOTED", "NOTHING_SHOWN", "NOT_THERE", "NO_PAUSE", "OTHER", "WHOSE", "far_words",
    "fine_words", "last_words", "odd_words", "understood_words",
]  # fmt: skip

HURTS: Final = (
    "Stop playing now. Do not play through pain. Type what was said and a pause is opened with it; "
    "Enter alone goes back."
)
NO_PAUSE: Final = "No pause was opened. Where something hurts, `readiness pause` opens one at any time."
OTHER: Final = "a few letters of the skill: "
NOT_THERE: Final = "Key + asks again."
NOTHING_NOTED: Final = "Nothing was noted."
WHOSE: Final = "y for {name}, another student's id for that one, Enter for nobody yet: "
NOTHING_SHOWN: Final = "Nothing was shown and no word said, so nothing was noted."


def last_words(last: Mapping[str, tuple[int, int] | None]) -> str:
    """Return how a thing, or the things of one glance, were shown last; ``last`` is by name, help and day.

    >>> last_words({"Lifts the wrist": (1, 739218)})
    'last with a reminder, 25 November'
    >>> last_words({"Feet supported": (1, 739218), "Sits tall": (0, 739218)})
    'last without help, but feet supported with a reminder'
    """
    found = {name: one for name, one in last.items() if one is not None}
    if not found:
        return "new"
    if len(last) == 1:
        ((given, day),) = found.values()
        return f"last {HELP_WORDS[given]}, {date_words(day, day)}"
    least = min(given for given, _ in found.values())
    other = ((name, given) for name, (given, _) in found.items() if given != least)
    more = [f"{capital_off(name)} {HELP_WORDS[given]}" for name, given in other]
    return f"last {HELP_WORDS[least]}{', but ' + listed(more) if more else ''}"


def capital_off(name: str) -> str:
    """Return a name as it stands within a sentence."""
    return tidy(name)[:1].lower() + tidy(name)[1:]


def fine_words(count: int) -> str:
    """Return that what is looked at in every check was fine."""
    return f"looked at and fine: {counted(count, 'small thing')}" if count else "no glance is left open"


def understood_words(course: Course, lesson: NewLesson) -> Iterator[str]:
    """Yield what was understood of what was typed, a line for each help that was given."""
    for given, words in enumerate(HELP_WORDS):
        if names := [tidy(course.skill[one].name) for one, how in lesson.helps.items() if how == given]:
            yield f"{capital(words)}: {'; '.join(names)}."
    if lesson.not_tried:
        yield f"Not asked: {'; '.join(tidy(course.skill[one].name) for one in lesson.not_tried)}."


def odd_words(odd: Sequence[str]) -> str:
    """Return what is odd about a day, with the keys."""
    return "\n".join([*odd, "y note it all the same   any other key: note nothing"])


def far_words(course: Course, record: Record, answer: Answer, far: Sequence[str]) -> str:
    """Return that most of a lesson lies far from a student's unit, as a question."""
    units = sorted({course.unit[course.skill[one].unit].number for one in far})
    where = f"unit{'s' if len(units) > 1 else ''} {listed([str(one) for one in units])}"
    here = course.unit[answer.unit].number if answer.unit else 0
    told = f"{capital(number_words(len(far)))} skills of {where}"
    return f"{told}; {tidy(record.name)} is in unit {here}: for whom is this?"
