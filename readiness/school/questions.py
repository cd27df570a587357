"""The questions that can be asked of a whole school, in one table; adding one is adding a row.

:func:`ask` gives the rows of a question as values. For a reader outside the same question gives counts only,
small ones hidden. An answer says itself what it lacks: the files that could not be read, and who is left out.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import fields
from types import MappingProxyType
from typing import Any, Final

from readiness.course.model import Course
from readiness.days import iso
from readiness.lazy import dataclass, fields_of
from readiness.record.model import as_told
from readiness.school.counts import (
    FEW,
    Hidden,
    Numbers,
    OutsideCount,
    Stay,
    Where,
    list_outside,
    numbers,
    numbers_outside,
    rows_outside,
    time,
    time_outside,
    where,
)
from readiness.school.students import (
    CheckDue,
    Judged,
    OneLook,
    Paused,
    Promised,
    Ready,
    Stuck,
    due,
    look,
    paused,
    promised,
    ready,
    stuck,
)
from readiness.terms import Verdict

__all__ = ["LISTS", "PROMISES", "QUESTIONS", "Reply", "ask", "ask_outside", "reply_to_dict"]

_List = Callable[[Course, Sequence[Judged]], tuple[Any, ...]]

LISTS: Final[Mapping[str, tuple[_List, str | None]]] = MappingProxyType({
    "paused": (paused, "paused"),
    "ready": (ready, "ready"),
    "stuck": (stuck, None),
    "look": (look, "look-again"),
    "due": (due, None),
})
"""The questions about students, with the verdict that all on the list have, if one."""

QUESTIONS: Final = (*LISTS, "where", "time", "numbers")
"""Every question, in the order they are answered together."""

PROMISES: Final = "promises"
"""The question that is asked by itself, within the school: its rows hold words said to families."""

_ROWS: Final[Mapping[str, type]] = MappingProxyType({
    "ready": Ready, "look": OneLook, "stuck": Stuck, "paused": Paused, "due": CheckDue, PROMISES: Promised,
    "where": Where, "time": Stay, "numbers": Numbers,
})  # fmt: skip
"""What the rows of each answer are; for a reader outside a list is a count."""


@dataclass(frozen=True)
class Reply:
    """The answer to one question: its rows, or one value with the counts.

    Attributes:
        rows: all of them; ``shown`` has those that are asked for.
        students: how many it was asked about; None where a reader outside may not see that.
        unread: how many student files could not be read, so that the answer lacks them; None
            where a reader outside may not see that there are few.
        unread_files: their names; none for a reader outside.
        left_out: how many paused students are left out; None where nobody is, or it is hidden.
        unit: the one unit it is about, None for all.
        limit: how many rows are asked for at most, None for all.
        usual: for how long units take, the units without a case and the weeks the course gives them.
    """

    question: str
    on: int
    rows: tuple[Any, ...]
    students: Hidden
    outside: bool = False
    unread: Hidden = 0
    unread_files: tuple[str, ...] = ()
    left_out: Hidden = None
    unit: str | None = None
    limit: int | None = None
    usual: tuple[tuple[str, int], ...] = ()

    @property
    def columns(self) -> tuple[str, ...]:
        """The names of what a row holds."""
        kind = OutsideCount if self.outside and self.question in LISTS else _ROWS[self.question]
        return tuple(field.name for field in fields(kind))

    @property
    def shown(self) -> tuple[Any, ...]:
        """The rows that are asked for, the first of all."""
        return self.rows[: self.limit]

    @property
    def more(self) -> int:
        """How many rows there are beyond those that are shown."""
        return len(self.rows) - len(self.shown)


def ask(
    course: Course,
    judged: Sequence[Judged],
    on: int,
    question: str,
    unread: Sequence[str] = (),
    unit: str | None = None,
) -> Reply:
    """Return the answer to a question, for whoever may see the names.

    Args:
        course: what is taught.
        judged: every student with the answer of the day; on: the day.
        question: one of :data:`QUESTIONS`, or :data:`PROMISES`.
        unread: the names of the student files that could not be read.
        unit: only about the students in this unit; how long units take, only about this one.

    Raises:
        KeyError: there is no such question.
    """
    here = [one for one in judged if unit is None or one.answer.unit == unit]
    left_out: int | None = None
    usual: tuple[tuple[str, int], ...] = ()
    if question == "time":
        here = list(judged)
        stays = time(course, (one.record for one in judged), on)
        rows: tuple[Any, ...] = tuple(row for row in stays if unit in (None, row.unit))
        usual = _without_a_case(course, rows, unit)
    elif question == "where":
        rows = where(course, here)
        left_out = sum(one.answer.verdict == Verdict.PAUSED for one in here)
    elif question == "numbers":
        rows = (numbers(course, here),)
    elif question == PROMISES:
        rows = promised(here)
    else:
        rows = LISTS[question][0](course, here)
    return Reply(
        question, on, rows, len(here),
        unread=len(unread), unread_files=tuple(unread), left_out=left_out, unit=unit, usual=usual,
    )  # fmt: skip


def _without_a_case(course: Course, rows: Sequence[Stay], unit: str | None) -> tuple[tuple[str, int], ...]:
    """Return the units asked about that nobody has left yet, with their usual lesson weeks."""
    seen = {row.unit for row in rows}
    asked = (one for one in course.units if unit in (None, one.id))
    return tuple((one.id, one.lesson_weeks) for one in asked if one.id not in seen)


def ask_outside(
    course: Course, judged: Sequence[Judged], on: int, question: str, unread: Sequence[str] = ()
) -> Reply:
    """Return the answer to a question, for a reader outside; see :func:`ask`.

    There is no single unit to ask about here: what it leaves of the whole would give small counts away.
    """
    plain = ask(course, judged, on, question)
    found = numbers(course, judged)
    shown = numbers_outside(found)
    left_out = None
    if question == "where":
        asked = sum(1 for one in judged if one.answer.verdict != Verdict.PAUSED)
        rows: tuple[Any, ...] = rows_outside(plain.rows, course, asked)
        left_out = dict(shown.verdicts)["paused"]
    elif question == "time":
        rows = time_outside(plain.rows)
    elif question == "numbers":
        rows = (shown,)
    else:
        rows = (list_outside(found, len({row.student for row in plain.rows}), LISTS[question][1]),)
    lacking = None if 0 < len(unread) < FEW else len(unread)
    return Reply(question, on, rows, shown.students, outside=True, unread=lacking, left_out=left_out)


def reply_to_dict(reply: Reply) -> dict[str, object]:
    """Return an answer as plain JSON values; what is hidden is null."""
    told: dict[str, object] = {
        "question": reply.question,
        "on": iso(reply.on),
        "students": reply.students,
        "unread": reply.unread,
    }
    if not reply.outside:
        told |= {"unread_files": list(reply.unread_files), "unit": reply.unit}
    if reply.question == "where":
        told["paused_left_out"] = reply.left_out
    if reply.question == "time" and not reply.outside:
        told["usual_weeks"] = dict(reply.usual)
    rows = [{name: _plain(name, value) for name, value in fields_of(row)} for row in reply.shown]
    return told | {"more": reply.more, "rows": rows}


def _plain(name: str, value: object) -> object:
    if name in ("units", "verdicts") and isinstance(value, Iterable):
        return {key or "none": count for key, count in value}
    return as_told(name, value)
