"""A lesson half entered, kept safe beside the student's file until it is noted or dropped.

After every answer the whole round so far is put in place in one step, so that a killed
program, a closed terminal or a flat battery costs nothing. What cannot be noted, because a file
has a mistake to mend first, is kept here too, as it was typed. It is no evidence: judging never
looks here.
"""

from __future__ import annotations

import json
from contextlib import suppress
from dataclasses import replace
from datetime import date
from pathlib import Path

from readiness.course.finding import find_skills
from readiness.course.model import Course
from readiness.days import iso
from readiness.files.writing import Refusal, put
from readiness.record.model import HELPS
from readiness.record.noting import FIELDS, NewLesson

__all__ = ["drop", "half_done_path", "keep", "keep_beside", "offered", "understood"]


def half_done_path(student_file: Path) -> Path:
    """Return where the half-entered lesson of a student file is kept."""
    return student_file.with_name(f".{student_file.stem}.half-done.json")


def keep(student_file: Path, lesson: NewLesson) -> Refusal | None:
    """Keep a half-entered lesson, in place of what was kept before."""
    refusal = put(half_done_path(student_file), json.dumps(_to_plain(lesson)).encode())
    if refusal is None:
        return None
    message = refusal.message.replace("nothing was written", "this round cannot be kept safe")
    return Refusal(refusal.id, message)


def keep_beside(student_file: Path, lesson: NewLesson) -> Refusal | None:
    """Keep a lesson together with what was half entered of the same day; nothing kept is lost."""
    before = offered(student_file)
    if before is None or before.is_empty:
        return keep(student_file, lesson)
    if before.on != lesson.on:
        message = f"this cannot be kept half entered: a lesson of {iso(before.on)} is kept there already."
        return Refusal("kept-already", message)
    both = replace(
        lesson,
        helps={**before.helps, **lesson.helps},
        not_tried=tuple(dict.fromkeys((*before.not_tried, *lesson.not_tried))),
        note="; ".join(dict.fromkeys(one for one in (before.note, lesson.note) if one)),
        remarks={**before.remarks, **lesson.remarks},
    )
    return keep(student_file, both)


def understood(course: Course, lesson: NewLesson) -> NewLesson:
    """Return what is kept with the ids that are meant; what the course does not know goes to the note."""
    helps, not_tried, remarks = dict[str, int](), list[str](), dict[str, str]()
    left: list[str] = []
    for typed, given in lesson.helps.items():
        helps |= dict.fromkeys(_meant(course, typed, FIELDS[given], left), given)
    for typed in lesson.not_tried:
        not_tried += _meant(course, typed, "not_tried", left)
    for typed, words in lesson.remarks.items():
        remarks |= dict.fromkeys(_meant(course, typed, words, left), words)
    note = "; ".join(one for one in (lesson.note, *left) if one)
    return replace(lesson, helps=helps, not_tried=tuple(not_tried), note=note, remarks=remarks)


def _meant(course: Course, typed: str, words: str, left: list[str]) -> list[str]:
    """Return the skills somebody typed; those nobody knows are put into words, added to ``left``."""
    found = [typed] if typed in course.skill else find_skills(course, typed)
    known = [one for one in found if isinstance(one, str)]
    if len(known) < len(found) or not found:
        left.append(f"{typed}: {words}")
    return known


def offered(student_file: Path) -> NewLesson | None:
    """Return the half-entered lesson that is kept, None without one or where it is unreadable."""
    try:
        plain = json.loads(half_done_path(student_file).read_text(encoding="utf-8"))
        return NewLesson(
            on=date.fromordinal(plain["on"]).toordinal(),
            helps={str(skill): HELPS.index(HELPS[given]) for skill, given in plain["helps"].items()},
            not_tried=tuple(map(str, plain["not_tried"])),
            by=str(plain["by"]),
            note=str(plain["note"]),
            remarks={str(skill): str(words) for skill, words in plain["remarks"].items()},
        )
    except (OSError, ValueError, LookupError, TypeError, AttributeError, OverflowError):
        return None


def drop(student_file: Path) -> None:
    """Forget the half-entered lesson; it has been noted, or is not wanted.

    Where nothing can be deleted it stays, and is offered again.
    """
    with suppress(OSError):
        half_done_path(student_file).unlink()


def _to_plain(lesson: NewLesson) -> dict[str, object]:
    return {
        "on": lesson.on,
        "helps": dict(lesson.helps),
        "not_tried": list(lesson.not_tried),
        "by": lesson.by,
        "note": lesson.note,
        "remarks": dict(lesson.remarks),
    }
