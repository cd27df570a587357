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
    mistakes = "mistake" if count == 1 else "mistakes"
    return (
        f"please correct the {mistakes} above in {student}.toml and ask again; half a file is no answer. "
        "Nothing in it is lost or changed."
    )


def mend_course_words(count: int) -> str:
    """Return that the course, or the studio's own file, must be corrected first."""
    return (
        f"{counted(count, 'mistake')} to correct first, as said above. Nothing about any student is lost or "
        "changed. Then ask again."
    )


def no_lesson_words(record: Record, day: int) -> str:
    """Return that no lesson is noted up to a day, and where to look or how to note one."""
    return f"no lesson of {tidy(record.name)} is noted up to {date_words(day)}. {_instead(record, day)}"


def _instead(record: Record, day: int) -> str:
    student = record.id
    later = min((lesson.on for lesson in record.lessons if lesson.on > day), default=None)
    if later is not None:
        return f"The first is of {date_words(later)}: `readiness shown {student} --on {iso(later)}`"
    if any(hold.is_open(day) for hold in record.holds):
        return f"What comes first: `readiness why {student}`"
    return (
        f"What to look at in the first: `readiness sheet {student}`; afterwards, `readiness note {student}` "
        "keeps what was seen."
    )


def no_hold_words(record: Record, day: int, part: str = "") -> str:
    """Return that there is no pause, what there was, and what can be done.

    Args:
        record: the student's record; day: the day asked about.
        part: the part of the body asked about; any by default.
    """
    name, kind = tidy(record.name), f" ({part})" if part else ""
    holds = [hold for hold in record.entire.holds if part in ("", hold.part)]
    later = min((hold.opened for hold in holds if hold.opened > day), default=None)
    told = [f"{name} is not paused{kind} on {date_words(day)}."]
    if since := next((hold for hold in reversed(holds) if hold.is_open(day)), None):
        told = [_closed_later(record, since, day)]
    elif later is not None:
        told.append(f"A later pause began on {date_words(later)}: give the day it ended with --on.")
    elif closed := [hold.closed for hold in holds if hold.closed is not None]:
        told.append(f"The last pause ended on {date_words(max(closed))}.")
    told.append(f"Where things stand: `readiness why {record.id}`")
    return " ".join(told)


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
    seen = (
        f"; `readiness shown {record.id}` says what was noted last" if record.lessons
        else f"; `readiness forget {record.id}` is for a student who should not be here"
    )  # fmt: skip
    return f"{message} You can change it yourself in {path}{seen}."
