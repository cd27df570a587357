"""Lists and short texts: the studio in one list, and what the checks found.

A list of students is an order of names, never an order of children: nobody is put before
anybody for what they can do. A hold is in capital letters, because it must not be overlooked.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence
from types import MappingProxyType

from readiness.course.model import Course
from readiness.judging.answer import Answer
from readiness.terms import Verdict
from readiness.toml.problems import Problem, errors
from readiness.words.brief import plain_verdict
from readiness.words.empty import ENROL
from readiness.words.grammar import capital, counted, date_words, listed, quoted, tidy, wrap
from readiness.words.names import called, namesakes

__all__ = [
    "check_words", "doctor_words", "mended_words", "other_file_words", "problem_count", "recheck_words",
    "roster_words",
]  # fmt: skip

NAME_WIDTH = 14


def roster_words(
    answers: Sequence[Answer],
    course: Course,
    width: int = 80,
    reminders: Mapping[str, Sequence[str]] = MappingProxyType({}),
    broken: int = 0,
    starts: Mapping[str, str] = MappingProxyType({}),
) -> str:
    """Return the studio as a list, in the order given.

    Args:
        answers: one for each student, in order of name.
        course: what they were judged by.
        width: the widest line.
        reminders: sentences by student, such as that a promise is overdue.
        broken: how many files of students cannot be read.
        starts: by student, where one who is not placed starts so far.
    """
    if not answers:
        return _lines(_nobody(broken), width)
    shared = namesakes(answer.name for answer in answers)
    names = [called(answer.name, answer.student, shared) for answer in answers]
    column = min(NAME_WIDTH, max(map(len, names))) + 2
    lines: list[str] = []
    for answer, name in zip(answers, names, strict=True):
        lines += _entry(answer, name, course, column, width, starts.get(answer.student, ""))
        for reminder in reminders.get(answer.student, ()):
            lines += wrap(capital(reminder), width, lead=" " * column)
    return "".join(f"{line}\n" for line in lines)


def _nobody(broken: int) -> str:
    """Return that nobody can be listed, and what to do."""
    if not broken:
        return f"No students yet. The first one: {ENROL}"
    if broken == 1:
        return "The one student file cannot be read yet. What to mend stands below; nothing in it is lost."
    return f"None of the {broken} student files can be read yet. What to mend stands below; nothing is lost."


def _lines(text: str, width: int) -> str:
    return "".join(f"{line}\n" for line in wrap(text, width))


def _entry(answer: Answer, name: str, course: Course, column: int, width: int, start: str) -> list[str]:
    """Return one student: the verdict beside the name, unit and one thing under it."""
    lead = f"{name:<{column}}" if len(name) < column else ""
    lines = [] if lead else wrap(name, width)
    for text in (f"{plain_verdict(answer, course)}; {_last_lesson(answer)}", *_place(answer, course, start)):
        lines += wrap(text, width, lead=lead or " " * column)
        lead = ""
    return lines


def _last_lesson(answer: Answer) -> str:
    if answer.last_lesson is None:
        return "no lesson yet"
    ago = answer.on - answer.last_lesson
    if ago == 0:
        return "lesson that day"
    return f"last lesson {counted(ago, 'day')} ago"


def _place(answer: Answer, course: Course, start: str) -> Iterator[str]:
    """Yield the unit, or the start so far, and the one thing; while paused no thing to work on."""
    words = "no starting unit yet"
    if answer.unit is not None:
        words = f"unit {course.unit[answer.unit].number}, {tidy(course.unit[answer.unit].name)}"
    thing = ""
    if answer.one_thing is not None and answer.verdict != Verdict.PAUSED:
        thing = f"one thing: {quoted(course.skill[answer.one_thing].name)}"
    yield from filter(None, (start, thing) if start else ("; ".join(filter(None, (words, thing))),))


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
        counted(len(course.bands), "age band"),
    ]
    return f"No problems: {listed(parts)}.\n"


def doctor_words(found: Sequence[Problem], mended: Sequence[str], width: int = 80) -> str:
    """Return what a look over a studio comes to, and what can be mended at once.

    Args:
        found: the problems; mended: the ids of those that need no person.
        width: the widest line.
    """
    if not found:
        return _lines("Nothing to mend. `readiness check` looks the course over.", width)
    safe = sum(one.id in mended for one in found)
    told = f"{counted(len(found), 'thing', 'things')} to mend."
    if safe:
        told += f" `readiness doctor --fix` mends {safe} of them; `readiness doctor --undo` takes that back."
    return _lines(told, width)


def mended_words(left: Sequence[Problem], width: int = 80) -> str:
    """Return that what was safe is mended, and how much is left."""
    by_hand = f"{counted(len(left), 'thing is', 'things are')} left to mend by hand"
    rest = by_hand if left else "Nothing is left"
    return _lines(f"Mended. {rest}. `readiness doctor --undo` takes it back.", width)


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
