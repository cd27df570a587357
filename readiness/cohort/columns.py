"""What was seen of many students, as columns: the numbers that judging needs and nothing else.

No name, no sentence, no remark and no cause of a pause is in them, because a network needs no
child's name to see how many are ready. The id is whatever the sender chose; let it be a
pseudonym. Columns hold what was seen and never what follows from it, so that an edit of the
course judges all of them anew without reading a file again.

Days are days since 1 January 1970. Of several notes on a skill and day only the one with most
help is kept (rule R1). Everything is sorted by student and then by day.

What the loop over all students is given, and where it puts the answers: tables of numbers.

Tuples with names, because the compiled loop takes those as they are. Days are days since
1 January 1970.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from typing import Any, Final, NamedTuple

import numpy as np
import pyarrow as pa
from numpy.typing import NDArray

from readiness.lazy import dataclass

__all__ = [
    "KINDS", "STILL_OPEN", "Array", "Block", "Columns", "Course", "Dated", "Results", "Notes", "People",
    "Unreadable", "fixed", "in_order", "starts_of",
]  # fmt: skip

Array = NDArray[Any]


class Block(NamedTuple):
    """Notes of the students from row ``first`` up to ``end``, sorted by student, skill and day.

    ``student`` is the row, ``skill`` the number of a skill in the columns, ``help`` an index into
    HELPS.
    """

    first: int
    end: int
    student: Array
    skill: Array
    day: Array
    help: Array


class People(NamedTuple):
    """What is known of each student beside the notes, by row.

    ``settled_*`` and ``lesson_*`` are lists in one: those of row i go from ``_start[i]`` to
    ``_start[i + 1]``, oldest first. ``lesson_on`` has the lesson days without a note; ``hold_*`` the days
    opened, closed and known to hurt (none: a day later than all). ``closed`` is the latest closing
    up to the day (none: earlier than all), ``rhythm`` the weeks from lesson to lesson (0: not known).
    """

    case: Array
    paused: Array
    closed: Array
    rhythm: Array
    hold_start: Array
    hold_opened: Array
    hold_closed: Array
    hold_since: Array
    settled_start: Array
    settled_unit: Array
    settled_on: Array
    lesson_start: Array
    lesson_on: Array


class Course(NamedTuple):
    """A course on a day, compiled for some columns (``rules``).

    A *case* is a unit, a band and what was set aside.

    Attributes:
        place: by skill, its unit, its number, from where to where its users are in ``user``, and
            whether it is quiet.
        user: the numbers of skills whose use keeps another one fresh.
        rule: by band and skill, accepts, days needed, days from first to last, days it stays fresh.
        accepts: by band and number in the columns, the most help that counts.
        played: by number in the columns, whether it is played or sung: a skill that is not quiet.
        pace: by band, what may come along unfinished, and from how many days on one was away.
        case: by case, the unit (-1: not placed), the band, and from where to where its skills are
            in ``asked`` and its entry groups in ``group``.
        role: by case and skill.
        group: how many are asked for, and from where to where they are in ``member``.
    """

    on: int
    units: int
    place: Array
    user: Array
    rule: Array
    accepts: Array
    played: Array
    pace: Array
    case: Array
    role: Array
    asked: Array
    group: Array
    member: Array


class Results(NamedTuple):
    """Where the answers go. ``state`` has no row where states are not asked for.

    ``gap`` and ``look`` count, by skill, the students whom it keeps in their unit: tried and not
    there, or to be looked at.
    """

    verdict: Array
    underlying: Array
    state: Array
    gap: Array
    look: Array


def fixed(values: Array, kind: Any = None) -> Array:  # noqa: ANN401 - a kind of number
    """Return numbers in a row and not to be written to, as those from a file are.

    The loop is compiled for each sort of array that it gets; so there is one sort.
    """
    row = np.ascontiguousarray(values, kind).view()
    row.flags.writeable = False
    return row


STILL_OPEN: Final = 2**31 - 1
"""The day on which a hold was closed that is not closed; of ``since``, that no day is known."""


@dataclass(frozen=True)
class Unreadable:
    """Why a part could not be read or judged: a stable kebab-case id and one sentence."""

    part: str
    id: str
    message: str


KINDS: Final = (np.uint32, np.uint8, np.int32, np.uint8)
"""The kinds of number in :class:`Notes`; a course with more than 256 skills has u16 for them."""


class Notes(NamedTuple):
    """Notes of some students in a row, one a student, skill and day, sorted by these three.

    ``student`` is the row of the student (u32), ``skill`` an index into ``Columns.skills`` (u8 or
    u16), ``day`` i32, ``help`` an index into ``record.HELPS`` (u8).
    """

    student: Array
    skill: Array
    day: Array
    help: Array


@dataclass(frozen=True)
class Dated:
    """Entries of one sort, sorted by student and day: ``on`` a day, ``what`` they name.

    Those of row i go from ``start[i]`` to ``start[i + 1]``. Of equal days the order is that of
    the student's file.
    """

    start: Array
    what: Array
    on: Array

    @property
    def student(self) -> Array:
        """The row of the student, by entry."""
        return np.repeat(np.arange(len(self.start) - 1), np.diff(self.start))


@dataclass(frozen=True)
class Columns:
    """One part of a network: a school, or some of its students.

    Attributes:
        ids: the students' ids, by row; born: the days they were born.
        skills, units, bands: what the numbers stand for, as the course names them.
        notes: blocks of whole students, in order.
        unit_starts, settled: ``what`` is a unit; band_choices: a band; set_aside: a skill.
        holds: ``on`` is the day opened and ``what`` the day closed; since: ``on`` again and ``what``
            the first day that is known to have hurt.
        rhythm: by row, every how many weeks a lesson falls where that is known, else 0.
        lessons: the lesson days without any note; ``what`` is 0.
        course: the name and edition of the course they were gathered for, where that is known.
        source: the same for everything one school ever sent, where that is known.
    """

    part: str
    ids: pa.Array
    born: Array
    skills: tuple[str, ...]
    units: tuple[str, ...]
    bands: tuple[str, ...]
    notes: Iterable[Notes]
    unit_starts: Dated
    settled: Dated
    band_choices: Dated
    set_aside: Dated
    holds: Dated
    since: Dated
    rhythm: Array
    lessons: Dated
    course: tuple[str, ...] = ()
    source: str = ""


def in_order(entries: Dated) -> Dated:
    """Return entries sorted by student and day, those of equal days as they were."""
    order = np.lexsort((entries.on, entries.student))
    return Dated(entries.start, entries.what[order], entries.on[order])


def starts_of(counts: Sequence[int] | Array) -> Array:
    """Return where each of some lists begins when they stand in one, and where the last one ends.

    >>> starts_of([2, 0, 3]).tolist()
    [0, 2, 2, 5]
    """
    return np.concatenate([[0], np.cumsum(counts, dtype=np.int64)])
