"""What an edit of the course is, in words, and what is different between two courses.

A refused edit has no words about students, because nobody is judged by a course that is
refused; who changes by one that is not is told in ``words.who_changes``.
"""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path
from typing import Final

from readiness.course.model import Course
from readiness.words.grammar import counted, date_words, listed, quoted, tidy, wrap
from readiness.words.page import Section, item
from readiness.workbench.differences import TEXTS, Difference
from readiness.workbench.edits import Add, Drop, Edit, Move, Retire, Set

__all__ = [
    "difference_section", "edit_words", "lost_words", "refusal_words", "skill_words", "value_words",
    "watching_words",
]  # fmt: skip

DIFFERENCES_AT_MOST: Final = 40


def edit_words(edit: Edit, course: Course | None) -> str:
    """Return one edit as a clause."""
    if isinstance(edit, Add):
        return f"{skill_words(course, edit.skill)} also stands on {skill_words(course, edit.before)}"
    if isinstance(edit, Drop):
        return f"{skill_words(course, edit.skill)} stands on {skill_words(course, edit.before)} no longer"
    if isinstance(edit, Move):
        unit = course.unit.get(edit.unit) if course else None
        place = f"unit {unit.number}, {tidy(unit.name)}" if unit else edit.unit
        return f"{skill_words(course, edit.skill)} is taught in {place}"
    if isinstance(edit, Retire):
        heirs = listed([skill_words(course, name) for name in edit.into])
        words = f"{skill_words(course, edit.skill)} is retired from {date_words(edit.day)} on"
        return f"{words}; {heirs} {'takes' if len(edit.into) == 1 else 'take'} its place" if heirs else words
    assert isinstance(edit, Set)
    return f"{'.'.join(edit.path)} is {value_words(edit.value)}{_was(edit, course)}"


def _was(edit: Set, course: Course | None) -> str:
    """Return what stands in the place of a set number now."""
    if course is None or edit.path[0] != "band" or edit.path[1] not in course.band:
        return ""
    now = course.band[edit.path[1]].numbers.get(".".join(edit.path[2:]))
    return "" if now is None else f"; now {value_words(now)}"


def value_words(value: object) -> str:
    """Return a value as the file has it."""
    if isinstance(value, bool):
        return str(value).lower()
    if isinstance(value, (list, tuple)):
        return f"[{', '.join(map(value_words, value))}]"
    return tidy(str(value))


def skill_words(course: Course | None, skill: str) -> str:
    """Return a skill's name with its id; the id alone where there is no such skill."""
    known = course.skill.get(skill) if course else None
    return f"{quoted(known.name)} ({skill})" if known and known.name != skill else f'"{skill}"'


def watching_words(folder: Path, students: int) -> str:
    """Return what is said when watching begins."""
    return (
        f"Watching {folder} with {counted(students, 'student')}. "
        "Save the course, and what changes is told here. Ctrl-C ends it."
    )


def refusal_words(errors: int, warnings: int) -> str:
    """Return the last line for a course that is refused."""
    more = f" (and {counted(warnings, 'warning')})" if warnings else ""
    return f"Refused for {counted(errors, 'error')}{more}: nobody is judged by it, and nothing was changed.\n"


def lost_words(count: int, width: int = 80) -> str:
    """Return that files name something the new course does not have, and the way out."""
    files = "1 student's file names" if count == 1 else f"{count} students' files name"
    words = (
        f"{files} something that is not in this course any more. A skill is retired, never deleted: "
        "put its table back with a line such as retired = 2026-09-01, and old decisions stay explainable."
    )
    return "\n".join(wrap(words, width))


def difference_section(found: Sequence[Difference], old: Course, new: Course) -> Section:
    """Return what is different between two courses, a long list cut."""
    lines = [item(f"{_difference(one, old, new)}{_where(one)}.") for one in found[:DIFFERENCES_AT_MOST]]
    if len(found) > DIFFERENCES_AT_MOST:
        lines.append(item(f"{len(found) - DIFFERENCES_AT_MOST} more; --json lists all."))
    return Section(f"What is different in the course: {counted(len(found), 'thing')}", tuple(lines))


def _where(one: Difference) -> str:
    if one.place is None:
        return ""
    before = "before: " if one.new is None else ""
    return f" ({before}{one.place.file.name}:{one.place.line})"


def _difference(one: Difference, old: Course, new: Course) -> str:
    course = new if one.subject in new.skill else old
    about = skill_words(course, one.subject)
    unit = _unit_words(new if one.subject in new.unit else old, one.subject)
    values = f"{value_words(one.old)} > {value_words(one.new)}"
    words = {
        "unit-added": f"new {unit}",
        "unit-gone": f"{unit} is gone",
        "unit-changed": f"{unit}: {one.what} {values}",
        "units-in-another-order": f"the units come in another order, from {unit} on",
        "skill-added": f"new skill {about}",
        "skill-gone": f"{about} is gone",
        "skill-moved": f"{about} is taught in {_unit_words(new, one.new)}, "
        f"before in {_unit_words(old, one.old)}",
        "link-added": f"{about} also stands on {skill_words(new, one.what)}",
        "link-dropped": f"{about} stands on {skill_words(old, one.what)} no longer",
        "groups-changed": f"{about}: other groups of which some come first",
        "band-added": f"new band {one.subject}",
        "band-gone": f"band {one.subject} is gone",
        "number-changed": f"{one.what} for band {one.subject}: {values}",
    }
    if one.id != "skill-changed":
        return words[one.id]
    if one.what in TEXTS:
        return f"{about}: another text in {one.what}"
    if one.what == "retired" and one.new is not None:
        return f"{about} is retired from {one.new} on"
    return f"{about}: {one.what} {values}"


def _unit_words(course: Course, unit: object) -> str:
    known = course.unit.get(str(unit))
    return f"unit {known.number}, {tidy(known.name)}" if known else str(unit)
