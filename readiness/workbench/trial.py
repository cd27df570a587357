"""Trying a course on a studio: refused with its problems, or accepted with who changes.

The one way for every question about an edit: two folders compared, a quick edit, a saved file
that is watched, a skill to be retired. Reads student files, writes nothing.
"""

from __future__ import annotations

from dataclasses import dataclass, replace

from readiness.course.load import LoadedCourse
from readiness.course.model import Course
from readiness.files.problems import Problem, errors
from readiness.record.load import LoadedRecord, load_record
from readiness.record.model import Record
from readiness.studio.load import Studio
from readiness.workbench.compare import Comparison, compare
from readiness.workbench.mentions import fits

__all__ = ["Trial", "try_course"]


@dataclass(frozen=True, slots=True)
class Trial:
    """What a course would do in a studio.

    Attributes:
        problems: its errors, and the warnings that the studio's course does not have.
        course: None where it is refused.
        comparison: who changes; None where it is refused.
        lost: student files that could be read with the studio's course and not with this one.
    """

    problems: tuple[Problem, ...]
    course: Course | None
    comparison: Comparison | None
    lost: tuple[LoadedRecord, ...] = ()


def try_course(studio: Studio, tried: LoadedCourse, on: int) -> Trial:
    """Return what a course would do to the students of a studio on a day.

    Args:
        studio: the studio as it is, with a course.
        tried: the other course.
        on: the day asked about.
    """
    old = studio.course
    assert old is not None
    told = {(one.id, one.message) for one in studio.problems}
    found = errors(tried.problems)
    new_ones = tuple(p for p in tried.problems if p.severity == "error" or (p.id, p.message) not in told)
    if tried.course is None or found:
        return Trial(new_ones, None, None)
    new = replace(tried.course, beside=old.beside)
    read = [_read_again(one, new) for one in studio.loaded if one.record is not None]
    lost = tuple(again for again in read if again.record is None)
    pairs = {again.record.id: again.record for again in read if again.record is not None}
    records: dict[str, tuple[Record, Record]] = {
        id_: (record, pairs[id_]) for id_, record in studio.records.items() if id_ in pairs
    }
    calendars = {id_: studio.calendar(id_) for id_ in records}
    return Trial(new_ones, new, compare(old, new, records, on, calendars), lost)


def _read_again(one: LoadedRecord, course: Course) -> LoadedRecord:
    """Return a student's file as another course reads it; mostly that is the same record."""
    assert one.record is not None
    if not course.beside and one.record.whole is None and fits(one.record, course):
        return one
    return load_record(one.path, course)
