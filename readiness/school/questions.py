"""The questions that can be asked of a whole school, in one table; adding one is adding a row.

:func:`ask` gives the rows of a question as values. For a reader outside the same question gives
counts only, small ones hidden.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import dataclass, fields
from types import MappingProxyType
from typing import Any, Final

from readiness.course.model import Course
from readiness.days import iso
from readiness.record.model import HELPS
from readiness.school.counts import Numbers, Stay, Where, numbers, time, where
from readiness.school.judged import Judged
from readiness.school.outside import (
    OutsideCount,
    OutsideNumbers,
    WhereOutside,
    list_outside,
    numbers_outside,
    time_outside,
    where_outside,
)
from readiness.school.students import Due, Look, Paused, Ready, Stuck, due, look, paused, ready, stuck

__all__ = ["LISTS", "QUESTIONS", "Reply", "ask", "ask_outside", "reply_to_dict"]

_List = Callable[[Course, Sequence[Judged]], tuple[Any, ...]]

LISTS: Final[Mapping[str, tuple[_List, str | None]]] = MappingProxyType({
    "ready": (ready, "ready"),
    "look": (look, "look-again"),
    "stuck": (stuck, None),
    "paused": (paused, "paused"),
    "due": (due, None),
})
"""The questions about students, with the verdict that all on the list have, if one."""

QUESTIONS: Final = (*LISTS, "where", "time", "numbers")
"""Every question, in the order they are answered together."""

_ROWS: Final[Mapping[str, tuple[type, type]]] = MappingProxyType({
    "ready": (Ready, OutsideCount),
    "look": (Look, OutsideCount),
    "stuck": (Stuck, OutsideCount),
    "paused": (Paused, OutsideCount),
    "due": (Due, OutsideCount),
    "where": (Where, WhereOutside),
    "time": (Stay, Stay),
    "numbers": (Numbers, OutsideNumbers),
})
"""What the rows of each answer are, for the school and for a reader outside."""

_DAYS: Final = frozenset({"since", "next_lesson", "earliest", "last_check"})


@dataclass(frozen=True, slots=True)
class Reply:
    """The answer to one question: its rows, or one value with the counts.

    ``students`` is how many it was asked about; None where a reader outside may not see that.
    """

    question: str
    on: int
    rows: tuple[Any, ...]
    students: int | None
    outside: bool = False

    @property
    def columns(self) -> tuple[str, ...]:
        """The names of what a row holds."""
        return tuple(field.name for field in fields(_ROWS[self.question][self.outside]))


def ask(course: Course, judged: Sequence[Judged], on: int, question: str) -> Reply:
    """Return the answer to a question, for whoever may see the names.

    Raises:
        KeyError: there is no such question.
    """
    if question == "where":
        rows: tuple[Any, ...] = where(course, judged)
    elif question == "time":
        rows = time(course, (one.record for one in judged), on)
    elif question == "numbers":
        rows = (numbers(course, judged),)
    else:
        rows = LISTS[question][0](course, judged)
    return Reply(question, on, rows, len(judged))


def ask_outside(course: Course, judged: Sequence[Judged], on: int, question: str) -> Reply:
    """Return the answer to a question, for a reader outside."""
    plain = ask(course, judged, on, question)
    found = numbers(course, judged)
    if question == "where":
        asked = sum(1 for one in judged if one.answer.verdict != "paused")
        rows: tuple[Any, ...] = where_outside(plain.rows, asked)
    elif question == "time":
        rows = time_outside(plain.rows)
    elif question == "numbers":
        rows = (numbers_outside(found),)
    else:
        rows = (list_outside(found, len({row.student for row in plain.rows}), LISTS[question][1]),)
    return Reply(question, on, rows, numbers_outside(found).students, outside=True)


def reply_to_dict(reply: Reply) -> dict[str, object]:
    """Return an answer as plain JSON values; what is hidden is null."""
    return {
        "question": reply.question,
        "on": iso(reply.on),
        "students": reply.students,
        "rows": [_row(row) for row in reply.rows],
    }


def _row(row: object) -> dict[str, object]:
    return {field.name: _plain(field.name, getattr(row, field.name)) for field in fields(row)}  # type: ignore[arg-type]


def _plain(name: str, value: object) -> object:
    if name in _DAYS and (value is None or isinstance(value, int)):
        return iso(value)
    if name == "best_help" and isinstance(value, int):
        return HELPS[value]
    if name in ("units", "verdicts") and isinstance(value, Iterable):
        return {key or "none": count for key, count in value}
    return list(value) if isinstance(value, tuple) else value
