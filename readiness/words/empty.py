"""What is said where there is nothing to show, and what a teacher can do instead.

One sentence that there is nothing, one with the next step. Nobody is told off for it.
"""

from __future__ import annotations

from pathlib import Path
from typing import Final

from readiness.days import iso
from readiness.record.model import Hold, Record
from readiness.words.grammar import counted, date_words, tidy

__all__ = [
    "ENROL", "mend_course_words", "mend_words", "no_hold_words", "no_lesson_words", "no_student_words",
    "undo_words",
]  # fmt: skip

ENROL: Final = "`readiness enrol ID --name NAME --born YYYY-MM`"


def no_student_words(folder: Path | None) -> str:
    """Return that a studio has no student file, and how the first is made."""
    return f"there are no student files in {folder}. The first one: {ENROL}"


def mend_words(student: str, count: int) -> str:
    """Return that a student's file must be corrected first, below the list of what is wrong."""
    return (
        f"please correct the {'mistake' if count == 1 else 'mistakes'} above in {student}.toml and ask "
        "again; half a file is no answer. Nothing in it is lost or changed."
    )


def mend_course_words(count: int) -> str:
    """Return that the course, or the studio's own file, must be corrected first."""
    return (
        f"{counted(count, 'mistake')} to correct first, as said above. Nothing about any student is lost or "
        "changed. Then ask again."
    )


def no_lesson_words(record: Record, day: int) -> str:
    """Return that no lesson is noted up to a day, and where to look or how to note one."""
    student = record.id
    later = min((lesson.on for lesson in record.lessons if lesson.on > day), default=None)
    instead = (
        f"What to look at in the first: `readiness sheet {student}`; afterwards, `readiness note {student}` "
        "keeps what was seen."
    )
    if later is not None:
        instead = f"The first is of {date_words(later)}: `readiness shown {student} --on {iso(later)}`"
    elif any(hold.is_open(day) for hold in record.holds):
        instead = f"What comes first: `readiness why {student}`"
    return f"no lesson of {tidy(record.name)} is noted up to {date_words(day)}. {instead}"


def no_hold_words(record: Record, day: int, part: str = "") -> str:
    """Return that there is no pause of a part of the body (of any by default), and what can be done."""
    holds = [hold for hold in record.entire.holds if part in ("", hold.part)]
    since = next((hold for hold in reversed(holds) if hold.is_open(day)), None)
    none = f"{tidy(record.name)} is not paused{f' ({part})' if part else ''} on {date_words(day)}."
    told = f"{none}{_other_hold(holds, day)}" if since is None else _closed_later(record, since, day)
    return f"{told} Where things stand: `readiness why {record.id}`"


def _other_hold(holds: list[Hold], day: int) -> str:
    """Return which pause came after a day, or was the last before it."""
    if later := [hold.opened for hold in holds if hold.opened > day]:
        return f" A later pause began on {date_words(min(later))}: give the day it ended with --on."
    closed = [hold.closed for hold in holds if hold.closed is not None]
    return f" The last pause ended on {date_words(max(closed))}." if closed else ""


def _closed_later(record: Record, hold: Hold, day: int) -> str:
    """Return that a pause has its end already, and how one ended by mistake is corrected."""
    assert hold.closed is not None
    return (
        f"the pause of {tidy(record.name)} ({hold.part}) was still open on {date_words(day)}. It ended on "
        f"{date_words(hold.closed)}, by {tidy(hold.closed_by)}. If that was a slip: "
        f"`readiness undo {record.id}` pauses again where nothing was noted since. Otherwise: "
        f"`readiness pause {record.id} --part {hold.part} --words \"...\"`."
    )


def undo_words(message: str, record: Record, path: Path) -> str:
    """Return why nothing was taken back, and how what is there is changed by hand."""
    seen = f"`readiness shown {record.id}` says what was noted last"
    leave = f"`readiness forget {record.id}` is for a student who should not be here"
    return f"{message} You can change it yourself in {path}; {seen if record.lessons else leave}."
