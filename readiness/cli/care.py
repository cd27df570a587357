"""Finding one student's file when nothing may stand in the way: something hurts, or would be lost.

No course is read, and another student's file, or a mistake in this one, hinders nothing. Whoever
needs a verdict uses :mod:`readiness.cli.entering`.
"""

from __future__ import annotations

import argparse
import os
from dataclasses import dataclass
from pathlib import Path

from readiness.cli.commands import CommandError
from readiness.cli.day import day_asked, latest_day
from readiness.cli.entering import never_the_demo, refuse
from readiness.cli.opening import alone, pick_id
from readiness.files.problems import Problem
from readiness.files.writing import settle
from readiness.record.load import load_without_course
from readiness.record.model import Record
from readiness.record.noting import check_day
from readiness.studio.copies import with_copies_named
from readiness.studio.find import StudioNotFoundError, find_students
from readiness.studio.load import Studio, student_files

__all__ = ["Care", "find_care"]


@dataclass(frozen=True)
class Care:
    """One student's file, whatever is wrong with the rest.

    Attributes:
        record: what the file says; only its id and path where it has a mistake.
        folder: the students folder.
        on: the day it is about.
        problems: what is wrong with this file.
    """

    record: Record
    folder: Path
    on: int
    problems: tuple[Problem, ...]

    @property
    def path(self) -> Path:
        """The student's file."""
        assert self.record.path is not None
        return self.record.path

    def again(self) -> Record:
        """Return the file as it is now, as far as it can be read."""
        return load_without_course(self.path).record or self.record


def find_care(args: argparse.Namespace) -> Care:
    """Return the file of the student who was typed.

    Raises:
        CommandError: there is no such student or folder, or the day cannot be.
    """
    try:
        where = find_students(args.students, Path.cwd(), os.environ)
    except StudioNotFoundError as error:
        raise CommandError(str(error)) from None
    never_the_demo(where, args)
    if where.students is None:
        raise CommandError("where the students are is not known; please name their folder with --students.")
    settle(where.students)
    only = alone(where, args.student)
    files = student_files(where.students) if only is None else (only,)
    loaded = with_copies_named([load_without_course(path) for path in files])
    student = pick_id(Studio("", None, loaded, (), where), args.student)
    one = next(one for one in loaded if one.path.stem == student)
    record = one.record or Record(id=student, name=student, born=0, path=one.path)
    today = where.file.value.today if where.file is not None and where.file.value is not None else None
    fixed = None if today is None else today.toordinal()
    on = day_asked(args.on, fixed)
    refuse(check_day(record, on, latest_day(fixed)))
    return Care(record, where.students, on, one.problems if one.record is None else ())
