"""Judging all students of some columns on a day.

The very same verdicts and states as ``readiness.judge`` gives one by one. An edit of the course,
of a number or of what stands on what, is another course: the same columns are judged by it.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

import numpy as np
import pyarrow as pa

from readiness.cohort.columns import KINDS, Columns, Notes, Unreadable
from readiness.cohort.kernel import STATES, VERDICTS, is_sorted, judge_block, mark_holds
from readiness.cohort.merging import Naming
from readiness.cohort.parquet import TROUBLE, unreadable
from readiness.cohort.prepare import BadPartError, Prepared, prepare
from readiness.cohort.rules import compile_course
from readiness.cohort.tables import Array, Block, Found, People, fixed
from readiness.cohort.tables import Course as Compiled
from readiness.course.model import Course
from readiness.record.model import HELPS

__all__ = ["Judged", "judge_columns"]


@dataclass(frozen=True, slots=True)
class Judged:
    """The answers for the students of a part, in the order of its rows.

    Attributes:
        part: the name of the part; ids: the students; on: the day, a day number.
        verdict, underlying: indexes into VERDICTS (u8); the second one is without hold or break.
        unit: an index into ``units``, -1 when not placed; band: an index into ``bands``.
        state: students x skills, indexes into STATES (u8); no row where it was not asked for.
        gap, look: by skill, how many students it keeps in their unit: tried and not there, or to
            be looked at again. Paused students are among them.
    """

    part: str
    on: int
    ids: pa.Array
    units: tuple[str, ...]
    bands: tuple[str, ...]
    skills: tuple[str, ...]
    verdict: Array
    underlying: Array
    unit: Array
    band: Array
    state: Array
    gap: Array
    look: Array

    def verdicts(self) -> list[tuple[str, str]]:
        """Return each student's id and verdict, in words of the rules."""
        words = (VERDICTS[one] for one in self.verdict.tolist())
        return list(zip(self.ids.to_pylist(), words, strict=True))

    def states(self, row: int) -> dict[str, str]:
        """Return the state of every skill for the student of a row, where states were asked for."""
        return {skill: STATES[one] for skill, one in zip(self.skills, self.state[row].tolist(), strict=True)}


def judge_columns(columns: Columns, course: Course, on: int, states: bool = False) -> Judged | Unreadable:
    """Judge the students of some columns.

    Args:
        columns: what was seen; everything dated after ``on`` is ignored.
        course: what is taught.
        on: the day asked about, a day number.
        states: whether to keep the state of every skill.

    Returns:
        The answers, or why there are none.
    """
    try:
        return _judged(columns, course.on(on), on, states)
    except BadPartError as error:
        return error.unreadable
    except TROUBLE as error:  # notes are read from their file only now
        return unreadable(columns.part, error)


def _judged(columns: Columns, course: Course, on: int, states: bool) -> Judged:
    ready = prepare(columns, course, on)
    naming = Naming(columns, course)
    found = _room(len(columns.born), len(course.skills), states)
    compiled = compile_course(course, on, ready.cases, naming.numbers)
    for block in _blocks(columns, naming):
        judge_block(_marked(block, ready.people, compiled), ready.people, compiled, found)
    return _answer(columns, course, on, ready, found)


def _marked(block: Block, people: People, course: Compiled) -> Block:
    """Return the notes with marks on those made under a hold; most often there is none."""
    if not len(people.hold_opened):
        return block
    return block._replace(help=fixed(mark_holds(block, people, course)))


def _room(students: int, skills: int, states: bool) -> Found:
    return Found(
        verdict=np.zeros(students, np.uint8),
        underlying=np.zeros(students, np.uint8),
        state=np.zeros((students if states else 0, skills), np.uint8),
        gap=np.zeros(skills, np.int64),
        look=np.zeros(skills, np.int64),
    )


def _blocks(columns: Columns, naming: Naming) -> Iterator[Block]:
    """Yield the notes block by block, each with the students up to the next one; all students once."""
    done, students = 0, len(columns.born)
    for raw in columns.notes:
        if len(raw.student):
            _check(columns.part, raw, range(done, students))
            end = int(raw.student[-1]) + 1
            yield Block(done, end, *map(fixed, naming.apply(raw)))
            done = end
    yield Block(done, students, *(fixed(np.zeros(0, kind)) for kind in KINDS))


def _check(part: str, notes: Notes, rows: range) -> None:
    """Refuse notes that are not in order, or on students who are not in these rows."""
    if not is_sorted(notes.student, notes.skill, notes.day):
        message = f"{part}: the notes are not sorted by student, skill and day with one note for each."
        raise BadPartError(part, "not-sorted", message)
    if int(notes.student[0]) not in rows or int(notes.student[-1]) not in rows:
        message = f"{part}: a note is on a student who is not in the part, or whose other notes stand apart."
        raise BadPartError(part, "damaged", message)
    if notes.help.max() >= len(HELPS):
        raise BadPartError(part, "damaged", f"{part}: a note has a help that there is not.")


def _answer(columns: Columns, course: Course, on: int, ready: Prepared, found: Found) -> Judged:
    return Judged(
        part=columns.part,
        on=on,
        ids=columns.ids,
        units=tuple(course.unit),
        bands=tuple(course.band),
        skills=tuple(course.skill),
        verdict=found.verdict,
        underlying=found.underlying,
        unit=ready.unit.astype(np.int16),
        band=ready.band.astype(np.uint8),
        state=found.state,
        gap=found.gap,
        look=found.look,
    )
