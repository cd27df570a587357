"""From columns to what the loop needs: who is in which unit and band on a day.

Everything dated after the day is left out here or in the loop. Numbers of the columns become
those of the course, by name; a name that the course lacks is an error only where it is used.
"""

from __future__ import annotations

from bisect import bisect_right
from collections.abc import Mapping, Sequence
from dataclasses import replace

import numpy as np

from readiness.cohort.columns import Columns, Dated, Unreadable
from readiness.cohort.kernel import NEVER
from readiness.cohort.rules import EPOCH, Case
from readiness.cohort.tables import Array, People, fixed
from readiness.course.model import Course
from readiness.days import age_on
from readiness.lazy import dataclass

__all__ = ["BadPartError", "Prepared", "prepare"]


class BadPartError(Exception):
    """Raised inside this room only; callers get the :class:`Unreadable`."""

    def __init__(self, part: str, id: str, message: str) -> None:  # noqa: A002 - it is an id
        super().__init__(part, id, message)
        self.unreadable = Unreadable(part, id, message)


@dataclass(frozen=True)
class Prepared:
    """Students on a day: by row the unit (-1: not placed) and the band; what cases there are."""

    unit: Array
    band: Array
    cases: tuple[Case, ...]
    people: People


def prepare(columns: Columns, course: Course, on: int) -> Prepared:
    """Return the students of some columns as they are on a day.

    Args:
        course: the course on the day (``Course.on``).

    Raises:
        BadPartError: a unit, band or skill is named that the course does not have.
    """
    day = on - EPOCH
    starts = _named(columns, columns.unit_starts, columns.units, course.plan.unit_index, "unit")
    bands = {band.name: i for i, band in enumerate(course.bands)}
    choices = _named(columns, columns.band_choices, columns.bands, bands, "band")
    settled = _named(columns, columns.settled, columns.units, course.plan.unit_index, "unit")
    unit = _latest(np.full(len(columns.born), -1, np.int32), starts, day)
    band = _latest(_by_age(course, columns.born, on), choices, day)
    case, cases = _cases(columns, course, day, unit, band)
    people = People(
        case=case,
        paused=_paused(columns, day),
        closed=_closed(columns, day),
        rhythm=fixed(columns.rhythm, np.int32),
        hold_start=fixed(columns.holds.start, np.int64),
        hold_opened=fixed(columns.holds.on, np.int32),
        hold_closed=fixed(columns.holds.what, np.int32),
        hold_since=fixed(columns.since.what, np.int32),
        settled_start=fixed(settled.start, np.int64),
        settled_unit=fixed(settled.what, np.int32),
        settled_on=fixed(settled.on, np.int32),
        lesson_start=fixed(columns.lessons.start, np.int64),
        lesson_on=fixed(columns.lessons.on, np.int32),
    )
    return Prepared(unit, band, cases, people)


def _named(
    columns: Columns, entries: Dated, names: Sequence[str], index: Mapping[str, int], sort: str
) -> Dated:
    """Return entries that name what the course names, by its numbers."""
    mine = np.array([index.get(name, -1) for name in names], np.int32)
    if len(entries.what) and (entries.what.min() < 0 or entries.what.max() >= len(mine)):
        raise BadPartError(columns.part, "damaged", f"{columns.part}: a {sort} has a number without a name.")
    what = mine[entries.what] if len(entries.what) else entries.what
    if len(missing := np.unique(entries.what[what < 0])):
        listed = ", ".join(f'"{names[number]}"' for number in missing)
        message = f"{columns.part}: the course has no {sort} {listed}."
        raise BadPartError(columns.part, f"unknown-{sort}", message)
    return replace(entries, what=what)


def _latest(values: Array, entries: Dated, day: int) -> Array:
    """Put in, by row, what the latest entry up to the day says; of equals the later in the file."""
    known = entries.on <= day
    values[entries.student[known]] = entries.what[known]
    return values


def _by_age(course: Course, born: Array, on: int) -> Array:
    """Return the numbers of the bands that fit the ages (rule R0)."""
    latest = [_latest_birth(band.from_age, on) - EPOCH for band in course.bands[1:]]
    return sum((born <= day for day in latest), np.zeros(len(born), np.int32))


def _latest_birth(age: int, on: int) -> int:
    """Return the latest day of birth with which somebody is so old on a day."""
    earliest = max(1, on - 366 * (age + 1))
    days = range(earliest, on + 1)
    return earliest - 1 + bisect_right(days, -age, key=lambda born: -age_on(born, on))


def _paused(columns: Columns, day: int) -> Array:
    """Return, by row, whether a hold is open (rule R7)."""
    paused = np.zeros(len(columns.born), np.bool_)
    paused[columns.holds.student[(columns.holds.on <= day) & (columns.holds.what > day)]] = True
    return paused


def _closed(columns: Columns, day: int) -> Array:
    """Return, by row, the latest day up to ``day`` on which a hold was closed (rule R7)."""
    closed = np.full(len(columns.born), NEVER, np.int32)
    past = (columns.holds.on <= day) & (columns.holds.what <= day)
    np.maximum.at(closed, columns.holds.student[past], columns.holds.what[past])
    return closed


def _cases(
    columns: Columns, course: Course, day: int, unit: Array, band: Array
) -> tuple[Array, tuple[Case, ...]]:
    """Return the case of each row, and what each case is."""
    aside, agreements = _agreements(columns, course, day)
    units, bands = len(course.units) + 1, len(course.bands)
    key = (aside * units + unit + 1) * bands + band
    there = np.flatnonzero(np.bincount(key)) if len(key) else np.zeros(0, np.int64)
    place = np.zeros(there[-1] + 1 if len(there) else 0, np.int32)
    place[there] = np.arange(len(there))
    return place[key], tuple(_case(int(one), units, bands, agreements) for one in there)


def _case(key: int, units: int, bands: int, agreements: Sequence[int]) -> Case:
    rest, band = divmod(key, bands)
    aside, unit = divmod(rest, units)
    return Case(unit - 1 if unit else None, band, agreements[aside])


def _agreements(columns: Columns, course: Course, day: int) -> tuple[Array, list[int]]:
    """Return, by row, which set of skills is not asked for, and these sets; most often the first."""
    entries = _named(columns, columns.set_aside, columns.skills, course.plan.index, "skill")
    agreed: dict[int, set[str]] = {}
    known = entries.on <= day
    for row, skill in zip(entries.student[known].tolist(), entries.what[known].tolist(), strict=True):
        agreed.setdefault(row, set()).add(course.plan.ids[skill])
    found = {frozenset[str](): 0}
    which = np.zeros(len(columns.born), np.int64)
    for row, skills in agreed.items():
        which[row] = found.setdefault(frozenset(skills), len(found))
    not_asked = course.era.not_asked if course.era else frozenset[str]
    return which, [course.plan.set_of(not_asked(skills)) for skills in found]
