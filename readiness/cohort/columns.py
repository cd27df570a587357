"""What was seen of many students, as columns: the numbers that judging needs and nothing else.

No name, no sentence, no remark and no cause of a pause is in them, because a network needs no
child's name to see how many are ready. The id is whatever the sender chose; let it be a
pseudonym. Columns hold what was seen and never what follows from it, so that an edit of the
course judges all of them anew without reading a file again.

Days are days since 1 January 1970. Of several notes on a skill and day only the one with most
help is kept (rule R1). Everything is sorted by student and then by day.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from typing import Final, NamedTuple

import numpy as np
import pyarrow as pa

from readiness.cohort.tables import Array
from readiness.lazy import dataclass

__all__ = ["KINDS", "STILL_OPEN", "Columns", "Dated", "Notes", "Unreadable", "in_order", "starts_of"]

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
