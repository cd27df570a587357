"""What is said around the lesson of the day: how a thing was shown last, what was understood, what is odd.

Short, because it is read while a child waits.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from typing import Final

from readiness.course.model import Course
from readiness.days import iso
from readiness.judging.answer import Answer
from readiness.record.model import Lesson, Record
from readiness.record.noting import NewLesson
from readiness.words.english import HELP_WORDS
from readiness.words.grammar import (
    capital,
    counted,
    date_words,
    listed,
    number_words,
    quoted,
    tidy,
    together,
    uncapital,
)
from readiness.words.noting import CROSSED_OUT, turn_words
from readiness.words.paused import hold_notice
from readiness.words.phrases import Phrases

__all__ = [
    "HURTS", "KEY_SAID", "NOTHING_NOTED", "NOTHING_SHOWN",
    "NOTHING_THERE", "NOT_THERE", "NO_PAUSE", "OTHER", "WHOSE", "corrected_words", "entry_words",
    "far_words", "fine_words", "last_words", "lessons_words", "moved_words",
    "no_such_lesson_words", "not_noted_words", "odd_words", "understood_words",
]  # fmt: skip

HURTS: Final = (
    "Stop playing now. Do not play through pain. Type what was said and a pause is opened with it; "
    "Enter alone goes back."
)
NO_PAUSE: Final = "No pause was opened. Where something hurts, `readiness pause` opens one at any time."
OTHER: Final = "a few letters of the skill: "
NOT_THERE: Final = "Key + asks again."
NOTHING_NOTED: Final = "Nothing was noted."
KEY_SAID: Final[Mapping[str, str]] = {
    "left": "not asked", "pass": "as it was", "back": "back", "apart": "one by one", "other": "another",
    "stop": "stop here", "done": "stop here",
}  # fmt: skip
"""What is said at once of what a key did, by the ids of ``advice.offer.KEYS``."""
NOTHING_THERE: Final[Mapping[int | str, str]] = {
    "back": "Nothing to take back.",
    "apart": "There is nothing to take apart here.",
    "fine": "No glance is left open.",
    "line": "There is no such line.",
}
"""What is said where a key found nothing to do, by the same ids."""
WHOSE: Final = "y for {name}, another student's id for that one, Enter for nobody yet: "
NOTHING_SHOWN: Final = "Nothing was shown and no word said, so nothing was noted."


def last_words(last: Mapping[str, tuple[int, int] | None]) -> str:
    """Return how a thing, or the things of one glance, were shown last; ``last`` is by name, help and day.

    >>> last_words({"Lifts the wrist": (1, 739215)})
    'last with a reminder, 25 November'
    >>> last_words({"Feet supported": (1, 739218), "Sits tall": (0, 739218)})
    'last without help, but feet supported with a reminder'
    >>> last_words({"Feet supported": (1, 739218), "Sits tall": None, "Loose shoulders": None})
    'last with a reminder: 1 of 3; 2 never asked'
    """
    found = {name: one for name, one in last.items() if one is not None}
    if not found:
        return "new"
    if len(last) == 1:
        ((given, day),) = found.values()
        return f"last {HELP_WORDS[given]}, {date_words(day, day)}"
    least = min(given for given, _ in found.values())
    other = [(uncapital(tidy(name)), given) for name, (given, _) in found.items() if given != least]
    if never := len(last) - len(found):
        some = f"last {HELP_WORDS[least]}: {len(found) - len(other)} of {len(last)}"
        groups = together((HELP_WORDS[given], name) for name, given in other).items()
        rest = (f"{how}: {listed(names)}" for how, names in groups)
        return "; ".join([some, *rest, f"{never} never asked"])
    more = [f"{name} {HELP_WORDS[given]}" for name, given in other]
    return f"last {HELP_WORDS[least]}{', but ' + listed(more) if more else ''}"


def fine_words(count: int) -> str:
    """Return that what is looked at in every check was fine."""
    return f"looked at and fine: {counted(count, 'small thing')}"


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


def no_such_lesson_words(record: Record, day: int) -> str:
    """Return that no lesson is noted for a day, and on which days near it one is."""
    near = sorted({one.on for one in record.lessons}, key=lambda one: abs(one - day))[:3]
    those = f"; near it are those of {listed([date_words(one) for one in sorted(near)])}" if near else ""
    see = f"`readiness shown {record.id}` shows the latest"
    return f"no lesson of {tidy(record.name)} is noted for {date_words(day)}{those}; {see}."


def not_noted_words(course: Course, record: Record, day: int, skill: str) -> str:
    """Return that a skill was not noted on a day, and where to see what was."""
    name, see = quoted(course.skill[skill].name), f"`readiness shown {record.id} --on {iso(day)}`"
    return f"{name} is not noted for {date_words(day)}; {see} says what is."


def corrected_words(
    before: Answer, after: Phrases, given: Mapping[str, int], lessons: Sequence[Lesson]
) -> Iterator[str]:
    """Yield what no longer counts, how it was instead, and what that makes of the verdict.

    ``given``: by skill what was wrong, and the help it took in truth, -1 where that was not said; ``lessons``
    are those of the day.
    """
    course, record, on = after.course, after.record, after.answer.on
    told = [
        f"{tidy(course.skill[one.skill].name)}, noted {HELP_WORDS[one.help]}"
        for lesson in lessons
        for one in lesson.showings
        if not given or one.skill in given
    ]
    known = {skill: how for skill, how in given.items() if how in range(len(HELP_WORDS))}
    what = "; ".join(dict.fromkeys(told)) if given else f"all that was noted ({counted(len(told), 'thing')})"
    yield hold_notice(record, on)
    noted = f"Corrected for {tidy(record.name)}, {date_words(on)}: {what}"
    yield f"{noted}. It stays in the file and no longer counts."
    yield from understood_words(course, NewLesson(on, known))
    yield turn_words("As it was noted", before, "Now", after)
    yield f"A slip? `readiness undo {record.id}` takes this back."


_KINDS: Final[Mapping[str, str]] = {
    "placing": "a placing lesson", "task": "a task for home", "promise": "a promise",
    "told": "who was told what", "alternative": "what is agreed in place of a skill",
}  # fmt: skip


def entry_words(text: str) -> str:
    """Return what an entry that is no lesson holds: its kind and its words, as they stand."""
    kind = next((words for name, words in _KINDS.items() if f"[[{name}]]" in text), "an entry")
    rows = (row for row in text.splitlines() if row.startswith(("text =", "what =")))
    return ": ".join([kind, *(row.partition(" = ")[2].strip('"') for row in rows)])


def lessons_words(lessons: Sequence[Lesson]) -> str:
    """Return which lessons were moved: their days, and how many things."""
    day = listed([date_words(one) for one in sorted({lesson.on for lesson in lessons})])
    return f"{day}, {counted(sum(len(one.showings) for one in lessons), 'thing')}"


def moved_words(what: str, turns: Sequence[tuple[Answer, Phrases]]) -> Iterator[str]:
    """Yield what went from one student to another, and what that makes of both verdicts.

    ``what`` was moved, in words; ``turns``: of the first and of the other student, before and after.
    """
    here, there = (now.record for _, now in turns)
    yield from (hold_notice(now.record, now.answer.on) for _, now in turns)
    yield f"Moved from {tidy(here.name)} to {tidy(there.name)}: {what}."
    for was, now in turns:
        yield f"{tidy(now.record.name)}. {turn_words('Before', was, 'Now', now)}"
    yield CROSSED_OUT
    yield f"A slip? `readiness undo {there.id}` takes this back in both files."
