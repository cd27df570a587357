"""Saying that something was noted wrongly, and taking a lesson to the student whose it was.

A correction is an entry of its own, also long after: it names the notes as they were made, so that it
means the same wherever a merge puts it. The notes stay in the file; whoever reads it leaves them out before
anything is judged, so to judging they were never there. Nothing here knows a clock.
"""

from __future__ import annotations

import secrets
from collections.abc import Iterable, Mapping, Sequence
from collections.abc import Set as AbstractSet
from datetime import date
from pathlib import Path
from typing import Final

from readiness.record.append import add_blocks, block
from readiness.record.model import SHOWN, Lesson, Record
from readiness.record.moves import Step, carry_out, moved_line
from readiness.record.noting import NewLesson, lesson_text, unless_of_another
from readiness.toml.write import Refusal

__all__ = ["as_new", "correct", "move_lessons", "stays"]


def correct(
    record: Record, folder: Path, skills: Sequence[str], instead: NewLesson, on: int, why: str = ""
) -> Refusal | None:
    """Say that notes of a day were wrong, and how it was instead, in one entry.

    Args:
        record, folder: whose file, and the students folder.
        skills: what was noted wrongly; nothing for all the lessons of the day.
        instead: of that day, how it was in truth, as far as that is known, and who says so.
        on: the day on which it is said; why: a few words.
    """
    of, by = instead.on, instead.by
    lessons = [lesson for lesson in record.lessons if lesson.on == of]
    if skills:
        blocks = [_correction(on, of, _noted(lessons, skills), by, why)]
    else:
        blocks = [_correction(on, of, _noted([one], None), by, why, whole=True) for one in lessons]
    blocks += [lesson_text(instead)] * bool(instead.helps)
    return add_blocks(record.own_path, folder, "\n".join(blocks), unless_of_another(record))


def _noted(lessons: Iterable[Lesson], skills: Sequence[str] | None) -> dict[str, list[str]]:
    """Return, by list of a lesson, what was noted; of some skills alone, or of all."""
    shown = [one for lesson in lessons for one in lesson.showings if skills is None or one.skill in skills]
    return {name: [one.skill for one in shown if one.help == given] for given, name in enumerate(SHOWN)}


def _correction(
    on: int, of: int, noted: Mapping[str, list[str]], by: str, why: str, *, whole: bool = False
) -> str:
    days = [("on", date.fromordinal(on)), ("of", date.fromordinal(of)), ("whole", whole or None)]
    return block("correction", [*days, *noted.items(), ("by", by), ("why", why)])


def as_new(lesson: Lesson) -> NewLesson:
    """Return a lesson of a file as one to be noted."""
    alike = {name: value for name, value in vars(lesson).items() if name not in ("showings", "line")}
    return NewLesson(helps={one.skill: one.help for one in lesson.showings}, **alike)


_STAYS: Final = {
    "decision": "a decision rests on the verdict of {name}; `readiness undo {id}` takes it back, then "
    "`readiness decide {other}` makes one.",
    "unit_start": "the start of a unit is {name}'s own; `readiness undo {id}` takes it back.",
    "hold": "a pause is not moved: `readiness pause {other}` opens one there first, then an adult takes "
    "this one out the same day: `readiness undo {id} --by NAME --why WORDS`.",
    "correction": "a correction is about the notes of {name}; `readiness undo {id}` takes it back.",
    "consent": "a consent is the family's own answer: ask for it and note it with `readiness consent "
    "{other}`, and the right one with `readiness consent {id}`.",
    "above": "what was noted last answers an older entry of {name}; `readiness undo {id}` takes it back, "
    "then it can be noted for {other}.",
}
"""What is not taken to another student, and why, by the kind of its block."""


def stays(kinds: AbstractSet[str], record: Record, other: Record) -> list[Refusal]:
    """Return why an entry is not taken to another student; nothing where it can be."""
    names = {"name": record.name, "id": record.id, "other": other.id}
    found = [Refusal("stays", why.format(**names)) for kind, why in _STAYS.items() if kind in kinds]
    if "task" in kinds and any(hold.closed is None for hold in other.entire.holds):
        found.append(Refusal("on-hold", f"{other.name} is paused: no home task during a pause."))
    return found


def move_lessons(
    record: Record, other: Record, folder: Path, lessons: Sequence[Lesson], on: int
) -> Refusal | None:
    """Take lessons to another student's file: in both files, or in neither.

    Args:
        record: in whose file they are; other: whose they were.
        folder: the students folder; lessons: of the first file.
        on: the day on which it is done.
    """
    why, link = "noted for the wrong student", moved_line(secrets.token_hex(4))
    there = [_correction(on, one.on, _noted([one], None), "", why, whole=True) for one in lessons]
    here = [lesson_text(as_new(one)) for one in lessons]
    return carry_out(folder, [
        Step(other.own_path.name, add="\n".join(here) + link),
        Step(record.own_path.name, add="\n".join(there) + link),
    ])  # fmt: skip
