"""Lists and short texts: the studio in one list, and what the checks found.

A list of students is an order of names, never an order of children: nobody is put before
anybody for what they can do. A pause is in capital letters, because it must not be overlooked.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence
from types import MappingProxyType
from typing import Final

from readiness.course.model import Course
from readiness.judging.answer import Answer
from readiness.terms import Verdict
from readiness.toml.problems import Problem, errors
from readiness.words.brief import called, namesakes, plain_verdict
from readiness.words.empty import ENROL
from readiness.words.grammar import capital, counted, date_words, listed, tidy, wrap
from readiness.words.layout import Paragraph, Section, cells, columns, lay_out

__all__ = [
    "check_words", "doctor_words", "mended_words", "other_file_words", "problem_count", "recheck_words",
    "roster_words",
]  # fmt: skip

NAME_WIDTH: Final = 14
"""A longer name stands on a line of its own."""


def roster_words(
    answers: Sequence[Answer],
    course: Course,
    width: int = 80,
    reminders: Mapping[str, Sequence[str]] = MappingProxyType({}),
    broken: int = 0,
    starts: Mapping[str, str] = MappingProxyType({}),
    *,
    full: bool = True,
) -> str:
    """Return the studio as a list, a line a student, in the order given.

    Args:
        answers: one for each student, in order of name.
        course: what they were judged by.
        width: the widest line.
        reminders: sentences by student, such as that a promise is overdue.
        broken: how many files of students cannot be read.
        starts: by student, where one who is not placed starts so far.
        full: with the last lesson, the unit and the one thing.
    """
    if not answers:
        return _lines(_nobody(broken), width)
    shared = namesakes(answer.name for answer in answers)
    names = [called(answer.name, answer.student, shared) for answer in answers]
    short = ["" if cells(name) > NAME_WIDTH else name for name in names]
    facts = [(_unit(answer, course), _verdict(answer, course)) for answer in answers]
    rows = columns([(name, *fact) for name, fact in zip(short, facts, strict=True)], 0)
    told: list[Paragraph] = []
    for answer, name, row in zip(answers, names, rows, strict=True):
        told += [*([] if row.lead.startswith(name) else [Paragraph(name)]), row]
        told += [Paragraph(capital(one), 4) for one in reminders.get(answer.student, ())]
        told += [Paragraph(start, 4)] if (start := starts.get(answer.student)) else []
        told.append(Paragraph(" ".join(_beside(answer, course)), 4, more=True))
    last = f"Why, and what is next: `readiness why ID`{'' if full else '   More: --full'}"
    return lay_out([Section("", tuple(told)), Section("", (Paragraph(last),))], width, full=full)


def _nobody(broken: int) -> str:
    """Return that nobody can be listed, and what to do."""
    if not broken:
        return f"No students yet. The first one: {ENROL}"
    if broken == 1:
        return "The one student file cannot be read yet. What to correct stands below; nothing in it is lost."
    return f"None of the {broken} student files can be read yet. What to correct stands below."


def _lines(text: str, width: int) -> str:
    return "".join(f"{line}\n" for line in wrap(text, width))


def _unit(answer: Answer, course: Course) -> str:
    return f"unit {course.unit[answer.unit].number}" if answer.unit is not None else ""


def _verdict(answer: Answer, course: Course) -> str:
    """Return the verdict; a pause in capital letters, because it must not be overlooked."""
    words = plain_verdict(answer, course)
    return words.upper() if answer.verdict == Verdict.PAUSED else words


def _beside(answer: Answer, course: Course) -> Iterator[str]:
    """Yield the last lesson, the unit, and the one thing; paused, nothing to work on."""
    yield _last_lesson(answer)
    if answer.unit is not None:
        yield f"{capital(tidy(course.unit[answer.unit].name))}."
    if answer.one_thing is not None and answer.verdict != Verdict.PAUSED:
        yield f"Start here: {tidy(course.skill[answer.one_thing].name)}."


def _last_lesson(answer: Answer) -> str:
    if answer.last_lesson is None:
        return "No lesson yet."
    ago = answer.on - answer.last_lesson
    return f"Last lesson {counted(ago, 'day')} ago." if ago else "Lesson that day."


def check_words(course: Course | None, problems: Iterable[Problem]) -> str:
    """Return the last line of a check: what is there, or how many problems."""
    found = tuple(problems)
    if found or course is None:
        return f"{problem_count(found)}.\n"
    links = sum(len(skill.stands_on) for skill in course.skills)
    parts = [
        counted(len(course.skills), "skill"),
        counted(len(course.units), "unit"),
        counted(links, "link"),
        counted(len(course.bands), "age"),
    ]
    return f"No problems: {listed(parts)}.\n"


def doctor_words(found: Sequence[Problem], mended: Sequence[str], width: int = 80) -> str:
    """Return what a look over a studio comes to, and what can be corrected at once.

    Args:
        found: the problems; mended: the ids of those that need no person.
        width: the widest line.
    """
    if not found:
        return _lines("Nothing to correct. `readiness check` looks at the course.", width)
    safe = sum(one.id in mended for one in found)
    told = f"{counted(len(found), 'thing', 'things')} to correct."
    if safe:
        told += f" `readiness doctor --fix` corrects {safe} of them; `readiness doctor --undo` goes back."
    return _lines(told, width)


def mended_words(left: Sequence[Problem], width: int = 80) -> str:
    """Return that what was safe is mended, and how much is left."""
    by_hand = f"{counted(len(left), 'thing is', 'things are')} left to correct by hand"
    rest = by_hand if left else "Nothing is left"
    return _lines(f"Corrected. {rest}. `readiness doctor --undo` takes it back.", width)


def problem_count(problems: Sequence[Problem]) -> str:
    """Return how many errors and warnings there are.

    >>> problem_count(())
    'no problems'
    """
    wrong = len(errors(problems))
    odd = len(problems) - wrong
    parts = [counted(wrong, "error")] if wrong else []
    parts += [counted(odd, "warning")] if odd else []
    return listed(parts) or "no problems"


def other_file_words(count: int) -> str:
    """Return that files of other students could not be read, and where to see which."""
    files = counted(count, "other student file has", "other student files have")
    return f"{files} problems; `readiness roster` lists {'it' if count == 1 else 'them'}."


_UNCHECKED = {
    "size": "whether a smaller set of looks would do",
    "order": "whether another set of that size takes fewer minutes",
}


def recheck_words(
    student: str,
    on: int,
    differ: Sequence[str],
    unchecked: Iterable[tuple[str, str]] = (),
    width: int = 80,
) -> str:
    """Return whether an answer follows from the files, and what of it could not be checked.

    Args:
        student, on: whom and which day the answer is about.
        differ: the keys of the answer that do not follow.
        unchecked: as in :class:`readiness.judging.recheck.Checked`.
        width: the widest line.
    """
    about = f"the answer about {tidy(student)} on {date_words(on)}"
    left = [f"{key}: {_UNCHECKED[what]}" for key, what in unchecked]
    if differ:
        lines = wrap(f"Not confirmed: {about} does not follow from the files.", width)
        lines += _items(differ, width) + (["Not checked:"] if left else [])
    elif left:
        lines = wrap(f"Checked but for this: {about} follows from the files. Not checked:", width)
    else:
        lines = wrap(f"Checked: {about} follows from the files, key by key.", width)
    return "\n".join([*lines, *_items(left, width)]) + "\n"


def _items(items: Iterable[str], width: int) -> list[str]:
    return [line for item in items for line in wrap(tidy(item), width, indent=2, lead="- ")]
