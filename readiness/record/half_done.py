"""A lesson half entered, kept safe beside the student's file until it is noted or dropped.

After every answer the whole round so far is put in place in one step, so that a killed
program, a closed terminal or a flat battery costs nothing. It is no evidence: judging never
looks here.
"""

from __future__ import annotations

import json
from contextlib import suppress
from datetime import date
from pathlib import Path

from readiness.files.writing import Refusal, put
from readiness.record.model import HELPS
from readiness.record.noting import NewLesson

__all__ = ["drop", "half_done_path", "keep", "offered"]


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
