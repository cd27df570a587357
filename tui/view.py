"""One reading of the studio as values: everybody with the answer of the day, and what is wrong.

Knows no screen and no file. Says, too, whose answer is another one after a new reading.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field

from readiness.course.model import Course
from readiness.files.problems import Problem, errors
from readiness.judging.answer import Answer
from readiness.record.model import Promise, Record
from readiness.school.judged import Judged
from readiness.school.questions import LISTS
from readiness.studio.load import Studio
from readiness.words.brief import verdict_change

__all__ = ["Row", "View", "differences", "row_of"]


@dataclass(frozen=True, slots=True)
class Row:
    """A student with the answer of the day, as the list of students shows it.

    ``lists`` are the questions over the school whose list has the student in it; they are asked by
    the same code as ``readiness ask``.
    """

    record: Record
    answer: Answer
    promises: tuple[Promise, ...]
    lists: frozenset[str]


@dataclass(frozen=True)
class View:
    """One reading of the studio. Rows: open holds first, then in the order of names.

    ``is_old`` says that the files cannot be read now and the rows are those of before.
    """

    studio: Studio
    course: Course | None
    rows: tuple[Row, ...]
    day: int
    is_old: bool = False
    by_id: Mapping[str, Row] = field(init=False)

    def __post_init__(self) -> None:
        """Find the rows by the students' ids."""
        object.__setattr__(self, "by_id", {row.record.id: row for row in self.rows})

    @property
    def problems(self) -> tuple[Problem, ...]:
        """Return everything that is wrong or odd in the files, errors first."""
        found = (*self.studio.problems, *(p for one in self.studio.loaded for p in one.problems))
        return (*errors(found), *(p for p in found if p.severity != "error"))


def row_of(course: Course, one: Judged) -> Row:
    """Return a student's row."""
    lists = frozenset(question for question, (asked, _) in LISTS.items() if asked(course, (one,)))
    return Row(one.record, one.answer, _open_promises(one.record, one.answer.on), lists)


def _open_promises(record: Record, day: int) -> tuple[Promise, ...]:
    """Return what was promised by that day and not answered by it."""
    return tuple(
        one for one in record.promises if one.given <= day and (one.answered is None or one.answered > day)
    )


def differences(before: View | None, after: View) -> tuple[str, ...]:
    """Return, in words, whose answer is another one after a change of the files."""
    if before is None or after.is_old:
        return ()
    ids = dict.fromkeys((*before.by_id, *after.by_id))
    return tuple(
        verdict_change(_answer(before, one), _answer(after, one))
        for one in ids
        if _essence(_answer(before, one)) != _essence(_answer(after, one))
    )


def _answer(view: View, student: str) -> Answer | None:
    row = view.by_id.get(student)
    return row.answer if row else None


def _essence(answer: Answer | None) -> object:
    """Return what a teacher would call the answer."""
    if answer is None:
        return None
    return answer.verdict, answer.unit, answer.blockers, answer.open_rest, answer.one_thing, answer.earliest
