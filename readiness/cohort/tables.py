"""What the loop over all students is given, and where it puts the answers: tables of numbers.

Tuples with names, because the compiled loop takes those as they are. Days are days since
1 January 1970.
"""

from __future__ import annotations

from typing import Any, NamedTuple

import numpy as np
from numpy.typing import NDArray

__all__ = ["Array", "Block", "Course", "Found", "People", "fixed"]

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


class Found(NamedTuple):
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
