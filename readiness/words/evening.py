"""One screen for the evening: who comes, what is not noted yet, what is due, who waits, what ends.

For the teacher alone: it names children. What would not fit is counted, and where to ask for it is said.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from typing import Final

from readiness.course.model import Course
from readiness.days import iso
from readiness.school.evening import Comes, Ends, Evening, NotNoted
from readiness.school.students import Promised, Ready
from readiness.terms import Verdict
from readiness.words.brief import noted_line
from readiness.words.english import VERDICT_BRIEF
from readiness.words.grammar import date_words, tidy
from readiness.words.layout import Paragraph, Section, item, lay_out
from readiness.words.school_rows import who

__all__ = ["tell_evening"]

_MOST: Final = 5
"""So many rows a section has in the short answer."""
_COMING: Final = 12


def tell_evening(found: Evening, course: Course, width: int = 80, *, full: bool = False) -> str:
    """Return the screen.

    Args:
        found: what there is to say; course: what is taught.
        width: the widest line; full: with every row.
    """
    day = date_words(found.on)
    head = day if found.last == found.on else f"{day} to {date_words(found.last, found.on)}"
    coming = [item(_comes(one, course, found)) for one in found.comes] or [item("Nobody is expected.")]
    rows = {
        "Not noted yet": [_not_noted(one, found.on) for one in found.not_noted],
        "Promised, or due for an answer": [_due(one, found.on) for one in found.due],
        "Waits for your decision": [_waits(one, found.on) for one in found.waits],
        "Ends": [_ends(one, found.on) for one in found.ends],
    }
    sections = [
        Section("", (Paragraph(head),)),
        Section("Comes", _first(coming, _COMING, full=full)),
        *(Section(title, _first([*map(item, told)], full=full)) for title, told in rows.items()),
    ]
    return lay_out(sections, width, full=full)


def _first(rows: Sequence[Paragraph], most: int = _MOST, *, full: bool) -> tuple[Paragraph, ...]:
    """Return the first rows and how many more there are; one more than fits is shown instead."""
    if full or len(rows) <= most + 1:
        return tuple(rows)
    return (*rows[:most], item(f"{len(rows) - most} more: --full"))


def _comes(one: Comes, course: Course, found: Evening) -> str:
    return ". ".join(_parts(one, course, found)) + "."


def _parts(one: Comes, course: Course, found: Evening) -> Iterator[str]:
    day = "" if found.last == found.on else f"{date_words(one.on, found.on)}, "
    if one.verdict == Verdict.PAUSED:
        yield f"{day}{who(one.name, one.student)}: PAUSED, no playing"
    else:
        thing = f"; {tidy(course.skill[one.one_thing].name)}" if one.one_thing else ""
        yield f"{day}{who(one.name, one.student)}: {VERDICT_BRIEF[one.verdict]}{thing}"
    if one.is_back:
        yield "The first lesson after a break"
    if one.is_noted:
        yield "Noted"


def _not_noted(one: NotNoted, on: int) -> str:
    name, day = who(one.name, one.student), date_words(one.on, on)
    note = f"`readiness note {one.student}"
    if one.half is not None:
        so_far = f"half entered, {noted_line(one.half)}"
        return f"{name}, {day}: {so_far}. {note}` goes on with it."
    return f"{name}, {day}: did the lesson take place? {note} --on {iso(one.on)}`"


def _due(one: Promised, on: int) -> str:
    due = "no day was set" if one.due is None else f"due {date_words(one.due, on)}"
    return f"{who(one.name, one.student)}, to {tidy(one.to)}, {due}: {tidy(one.text).rstrip('.')}."


def _waits(one: Ready, on: int) -> str:
    since = f"ready since {date_words(one.since, on)}"
    return f"{who(one.name, one.student)}, {since}: `readiness decide {one.student}`"


def _ends(one: Ends, on: int) -> str:
    return f"{tidy(one.name) or 'The term'}: {date_words(one.on, on)}."
