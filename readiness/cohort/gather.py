"""From student files to columns: the one place where what is told of a student is picked.

Only what judging looks at is picked from (``record.model``). All else never leaves the school: names,
families, words, remarks, causes, tasks, promises. A record is taken as one course sees it
(``record.multi_course``).
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator, Sequence
from datetime import date
from operator import itemgetter

import numpy as np
import pyarrow as pa

from readiness.cohort.columns import STILL_OPEN, Columns, Dated, Notes, in_order, starts_of
from readiness.cohort.rules import EPOCH
from readiness.course.model import Course
from readiness.days import last_day_of_month
from readiness.record.model import Record, Seen
from readiness.record.rhythm import Rhythm

__all__ = ["gather"]

Entry = tuple[int, int]
"""A day and what it is about."""


def gather(
    part: str,
    records: Iterable[Record],
    course: Course,
    pseudonym: Callable[[str], str] = str,
    *,
    births_by_month: bool = False,
    rhythm: Rhythm | None = None,
    source: str = "",
) -> Columns:
    """Return the columns of some students, in the order of what they are called outside.

    Args:
        records: the students, already seen from the course.
        course: gives the skills, units and bands their numbers.
        pseudonym: given a student's id, what to call the student outside the school. Rows in the
            order of the ids would undo it.
        births_by_month: whether to give away the month of birth alone; as in a file that has no
            more, its last day counts (rules, section 1), so a birthday may count some days late.
        rhythm: that of the studio, for students whose file says none.
        source: a word by which everything this school sends is known as its own.
    """
    called = sorted(((pseudonym(one.id), one) for one in records), key=itemgetter(0))
    ids, students = [name for name, _ in called], [one.seen for _, one in called]
    skills, units, bands = tuple(course.skill), tuple(course.unit), tuple(course.band)
    skill, unit, band = ({name: i for i, name in enumerate(ids)} for ids in (skills, units, bands))

    def dated(pick: Callable[[Seen], Iterable[Entry]]) -> Dated:
        return _dated([list(pick(one)) for one in students])

    return Columns(
        part=part,
        ids=pa.array(ids, pa.string()),
        born=np.array([_born(one.born, births_by_month) - EPOCH for one in students], np.int32),
        skills=skills,
        units=units,
        bands=bands,
        notes=(_notes(students, skill),),
        unit_starts=dated(lambda one: [(e.on, unit[e.unit]) for e in one.unit_starts]),
        settled=dated(lambda one: [(e.on, unit[e.through]) for e in one.settled]),
        band_choices=dated(lambda one: [(e.on, band[e.band]) for e in one.band_choices]),
        set_aside=dated(lambda one: [(e.on, skill[e.skill]) for e in one.set_aside]),
        holds=dated(lambda one: [(e.opened, _day(e.closed)) for e in one.holds]),
        since=dated(lambda one: [(e.opened, _day(e.since)) for e in one.holds]),
        rhythm=np.array([each.weeks if (each := one.rhythm or rhythm) else 0 for one in students], np.uint8),
        lessons=dated(_lessons_without_notes),
        course=(course.name, course.edition),
        source=source,
    )


def _born(day: int, by_month: bool) -> int:
    return last_day_of_month(*date.fromordinal(day).timetuple()[:2]) if by_month else day


def _day(day: int | None) -> int:
    return STILL_OPEN if day is None else day - EPOCH


def _dated(rows: Sequence[Sequence[Entry]]) -> Dated:
    flat = np.array([entry for row in rows for entry in row], np.int64).reshape(-1, 2)
    starts = starts_of([len(row) for row in rows])
    return in_order(Dated(starts, flat[:, 1].astype(np.int32), _days(flat[:, 0])))


def _days(days: np.ndarray[tuple[int], np.dtype[np.int64]]) -> np.ndarray[tuple[int], np.dtype[np.int32]]:
    return (days - EPOCH).astype(np.int32)


def _lessons_without_notes(seen: Seen) -> Iterable[Entry]:
    noted = {note[0] for of_skill in seen.notes.values() for note in of_skill}
    return ((day, 0) for day in seen.lesson_days if day not in noted)


def _notes(students: Sequence[Seen], skill: dict[str, int]) -> Notes:
    flat = np.array([note for row, one in enumerate(students) for note in _of_one(row, one, skill)], np.int64)
    flat = flat.reshape(-1, 4)
    return Notes(
        flat[:, 0].astype(np.uint32),
        flat[:, 1].astype(np.uint8 if len(skill) <= 256 else np.uint16),
        _days(flat[:, 2]),
        flat[:, 3].astype(np.uint8),
    )


def _of_one(row: int, seen: Seen, skill: dict[str, int]) -> Iterator[tuple[int, int, int, int]]:
    """Yield one note a skill and day (rule R1), in their order."""
    for of in sorted(seen.notes, key=skill.__getitem__):
        for day, help_given, _ in seen.notes[of]:
            yield row, skill[of], day, help_given
