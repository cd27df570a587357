"""The texts of whole lists: the roster, a look over a course, a second working-out.

In order of name, never in order of who is further; only a hold comes first, because it must
not be overlooked. Nothing is counted about a child.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from readiness.course.model import Course
from readiness.files.problems import Problem
from readiness.judging.answer import Answer
from readiness.words.grammar import VERDICT_WORDS, counted, date_words, listed, tidy, wrap

__all__ = ["tell_check", "tell_loose_ends", "tell_other_files", "tell_recheck", "tell_roster"]


def tell_roster(
    answers: Sequence[Answer], course: Course, on: int, title: str = "", width: int = 80
) -> str:
    """Return the studio in one list: an entry a student, holds first, else in the order given.

    An entry names the unit, the verdict, the one thing to work on and the latest lesson.
    """
    head = f"{tidy(title)}, {date_words(on)}" if title else f"Students on {date_words(on)}"
    lines = [*wrap(head, width), ""]
    names = [answer.name for answer in answers]
    for answer in sorted(answers, key=lambda one: one.verdict != "paused"):
        twice = names.count(answer.name) > 1
        who = f"{tidy(answer.name)} ({answer.student})" if twice else tidy(answer.name)
        lines += wrap(f"{who}: {_standing(answer, course)}", width)
        for detail in _details(answer, course):
            lines += wrap(detail, width, indent=4)
    if not answers:
        lines.append("No students yet.")
    return "\n".join(lines)


def _standing(answer: Answer, course: Course) -> str:
    """Return unit and verdict."""
    verdict = VERDICT_WORDS[answer.verdict]
    if answer.verdict == "paused":
        verdict = f"NO PLAYING, {verdict}"
    if answer.taken_along:
        verdict = f"{verdict} {counted(len(answer.taken_along), 'thing')}"
    if answer.unit is None:
        return verdict
    unit = course.unit[answer.unit]
    return f"unit {unit.number}, {tidy(unit.name)} - {verdict}"


def _details(answer: Answer, course: Course) -> list[str]:
    """Return the lines under a student: what comes along, the one thing, the latest lesson."""
    details = []
    if answer.taken_along:
        details.append(f"along: {_named(answer.taken_along, course)}")
    if answer.one_thing is not None:
        details.append(f"one thing: {_named((answer.one_thing,), course)}")
    details.append(_last_lesson(answer))
    return details


def _last_lesson(answer: Answer) -> str:
    """Return when the latest lesson was, and how long ago that is."""
    if answer.last_lesson is None:
        return "no lesson yet"
    days = answer.on - answer.last_lesson
    ago = f"{counted(days, 'day')} ago" if days else "that day"
    return f"last lesson: {date_words(answer.last_lesson, answer.on)} ({ago})"


def _named(skills: Sequence[str], course: Course) -> str:
    """Return the names of skills as a list."""
    return listed([tidy(course.skill[skill].name) for skill in skills])


def tell_other_files(count: int) -> str:
    """Return the line about student files that could not be read."""
    files = counted(count, "other student file has", "other student files have")
    return f"{files} problems; `readiness roster` lists {'it' if count == 1 else 'them'}."


def tell_check(course: Course | None, problems: Sequence[Problem]) -> str:
    """Return the last line of a look over a course."""
    found = [one.severity for one in problems]
    counts = listed([counted(found.count(s), s) for s in ("error", "warning") if s in found])
    if course is None:
        return f"{counts}: this course cannot be used until the errors are mended."
    size = f"{counted(len(course.skills), 'skill')} in {counted(len(course.units), 'unit')}"
    if not found:
        return f"{tidy(course.name)}: no problems ({size})."
    return f"{tidy(course.name)}: {counts}; the course can be used ({size})."


def tell_loose_ends(course: Course, skills: Sequence[str]) -> str:
    """Return the skills that no later skill names, unit by unit."""
    if not skills:
        return "Every skill before the last unit is named by a later one."
    lines = ["No later skill names these. That is often right; look whether a link was forgotten."]
    for skill in skills:
        place = course.skill[skill].place
        where = f"{place.file}:{place.line}: " if place else ""
        lines.append(f"{where}{skill} (unit {course.unit[course.skill[skill].unit].number})")
    return "\n".join(lines)


def tell_recheck(wrong: Mapping[str, Sequence[str]]) -> str:
    """Return whether answers follow from the files.

    Args:
        wrong: by student, the parts of the answer that do not follow; empty where all do.
    """
    lines = []
    for student, parts in wrong.items():
        if parts:
            lines.append(f"{student}: does not follow from the files: {', '.join(parts)}")
        else:
            lines.append(f"{student}: follows from the files")
    if len(wrong) > 1:
        off = sum(map(bool, wrong.values()))
        told = counted(len(wrong), "answer")
        lines.append(f"{told} worked out again: {'all follow' if not off else f'{off} do not follow'}.")
    return "\n".join(lines)
