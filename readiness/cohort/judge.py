"""Judging all students of some columns on a day.

The very same verdicts and states as ``readiness.judge`` gives one by one. An edit of the course,
of a number or of what stands on what, is another course: the same columns are judged by it.
"""

from __future__ import annotations

from bisect import bisect_right
from collections.abc import Iterable, Iterator, Mapping, Sequence
from concurrent.futures import Executor
from dataclasses import replace
from functools import partial
from pathlib import Path

import numpy as np
import pyarrow as pa

from readiness.cohort.columns import (
    KINDS,
    TROUBLE,
    Array,
    Columns,
    Dated,
    NoteColumns,
    Notes,
    People,
    Results,
    RuleTables,
    Unreadable,
    fixed,
    read_part,
    starts_of,
    unreadable,
)
from readiness.cohort.gather import EPOCH, UnitCase, compile_course
from readiness.cohort.kernel import NEVER, STATES, VERDICTS, is_sorted, judge_block, mark_holds
from readiness.course.model import Course
from readiness.days import age_on
from readiness.lazy import dataclass
from readiness.record.model import HELPS

__all__ = ["JudgedPart", "Naming", "judge_columns", "judge_part", "judge_parts", "to_table"]

# From columns to what the loop needs: who is in which unit and band on a day. What is dated later is left
# out here or in the loop; a name that the course lacks is an error only where it is used.


class BadPartError(Exception):
    """Raised inside this room only; callers get the :class:`Unreadable`."""

    def __init__(self, part: str, id: str, message: str) -> None:  # noqa: A002 - it is an id
        super().__init__(part, id, message)
        self.unreadable = Unreadable(part, id, message)


def prepare(columns: Columns, course: Course, on: int) -> tuple[Array, Array, tuple[UnitCase, ...], People]:
    """Return, by row, the unit of each student on a day (-1: not placed) and the band; the cases; the rest.

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
    return unit, band, cases, people


def _named(
    columns: Columns, entries: Dated, names: Sequence[str], index: Mapping[str, int], sort: str
) -> Dated:
    """Return entries that name what the course names, by its numbers."""
    mine = np.array([index.get(name, -1) for name in names], np.int32)
    _check_names(columns.part, sort, names, entries.what, np.flatnonzero(mine < 0))
    return replace(entries, what=mine[entries.what] if len(entries.what) else entries.what)


def _check_names(part: str, sort: str, names: Sequence[str], used: Array, gone: Array) -> None:
    """Refuse a number without a name, and one of a name that the course does not have."""
    if len(used) and (used.min() < 0 or used.max() >= len(names)):
        raise BadPartError(part, "damaged", f"{part}: a {sort} has a number without a name.")
    if len(gone) and len(missing := np.intersect1d(used, gone)):
        listed = ", ".join(f'"{names[number]}"' for number in missing)
        raise BadPartError(part, f"unknown-{sort}", f"{part}: the course has no {sort} {listed}.")


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
) -> tuple[Array, tuple[UnitCase, ...]]:
    """Return the case of each row, and what each case is."""
    aside, agreements = _agreements(columns, course, day)
    units, bands = len(course.units) + 1, len(course.bands)
    key = (aside * units + unit + 1) * bands + band
    there = np.flatnonzero(np.bincount(key)) if len(key) else np.zeros(0, np.int64)
    place = np.zeros(there[-1] + 1 if len(there) else 0, np.int32)
    place[there] = np.arange(len(there))
    return place[key], tuple(_case(int(one), units, bands, agreements) for one in there)


def _case(key: int, units: int, bands: int, agreements: Sequence[int]) -> UnitCase:
    rest, band = divmod(key, bands)
    aside, unit = divmod(rest, units)
    return UnitCase(unit - 1 if unit else None, band, agreements[aside])


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


# Whose notes these are now: skills of the columns as skills of the course on a day.
#
# Most often every skill is itself, or has a new name, and the numbers are looked up in the loop.
# Where one skill took the place of several, or several that of one, notes are copied and sorted
# anew and of two on one day the one with more help is kept (rule R1); that takes longer.


class Naming:
    """The skills of the course that the skills of some columns stand for.

    Attributes:
        numbers: by number in the notes that :meth:`apply` returns, the skill of the course; as
            many as it has skills where a skill is gone and nothing took its place.
    """

    def __init__(self, columns: Columns, course: Course) -> None:
        index = course.plan.index
        gone = len(index)
        self._unknown = np.array([i for i, name in enumerate(columns.skills) if name not in index], np.int32)
        self._names = columns.skills
        self._part = columns.part
        self._targets = [
            tuple(index[heir] for heir in course.stands_for.get(name, (name,)) if heir in index) or (gone,)
            for name in columns.skills
        ]
        taken = [of for targets in self._targets for of in targets if of != gone]
        self._is_plain = len(set(taken)) == len(taken) and all(len(of) == 1 for of in self._targets)
        self.numbers = [of[0] for of in self._targets] if self._is_plain else [*range(gone + 1)]

    def apply(self, notes: Notes) -> Notes:
        """Return notes with such numbers, sorted as before; BadPartError for a skill the course lacks."""
        _check_names(self._part, "skill", self._names, notes.skill, self._unknown)
        return notes if self._is_plain else self._merged(notes)

    def _merged(self, notes: Notes) -> Notes:
        counts = np.array([len(of) for of in self._targets])
        of_code = starts_of(counts)
        flat = np.array([of for targets in self._targets for of in targets])
        times = counts[notes.skill]
        old = np.repeat(np.arange(len(times)), times)
        skill = flat[of_code[notes.skill][old] + np.arange(len(old)) - starts_of(times)[old]]
        student, day, help_given = notes.student[old], notes.day[old], notes.help[old]
        order = np.lexsort((help_given, day, skill, student))
        student, skill, day, help_given = (one[order] for one in (student, skill, day, help_given))
        same = (student[1:] == student[:-1]) & (skill[1:] == skill[:-1]) & (day[1:] == day[:-1])
        keep = np.append(~same, True)[: len(day)]
        return Notes(student[keep], skill[keep].astype(np.uint16), day[keep], help_given[keep])


@dataclass(frozen=True)
class JudgedPart:
    """The answers for the students of a part, in the order of its rows.

    Attributes:
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


def judge_columns(columns: Columns, course: Course, on: int, states: bool = False) -> JudgedPart | Unreadable:
    """Judge the students of some columns.

    Args:
        columns: what was seen; everything dated after ``on`` is ignored.
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


def _judged(columns: Columns, course: Course, on: int, states: bool) -> JudgedPart:
    unit, band, cases, people = prepare(columns, course, on)
    naming = Naming(columns, course)
    students, skills = len(columns.born), len(course.skills)
    found = Results(
        verdict=np.zeros(students, np.uint8),
        underlying=np.zeros(students, np.uint8),
        state=np.zeros((students if states else 0, skills), np.uint8),
        gap=np.zeros(skills, np.int64),
        look=np.zeros(skills, np.int64),
    )
    compiled = compile_course(course, on, cases, naming.numbers)
    for block in _blocks(columns, naming):
        judge_block(_marked(block, people, compiled), people, compiled, found)
    return JudgedPart(
        part=columns.part,
        on=on,
        ids=columns.ids,
        units=tuple(course.unit),
        bands=tuple(course.band),
        skills=tuple(course.skill),
        unit=unit.astype(np.int16),
        band=band.astype(np.uint8),
        **found._asdict(),
    )


def _marked(block: NoteColumns, people: People, course: RuleTables) -> NoteColumns:
    """Return the notes with marks on those made under a hold; most often there is none."""
    if not len(people.hold_opened):
        return block
    return block._replace(help=fixed(mark_holds(block, people, course)))


def _blocks(columns: Columns, naming: Naming) -> Iterator[NoteColumns]:
    """Yield the notes block by block, each with the students up to the next one; all students once."""
    done, students = 0, len(columns.born)
    for raw in columns.notes:
        if len(raw.student):
            _check(columns.part, raw, range(done, students))
            end = int(raw.student[-1]) + 1
            yield NoteColumns(done, end, *map(fixed, naming.apply(raw)))
            done = end
    yield NoteColumns(done, students, *(fixed(np.zeros(0, kind)) for kind in KINDS))


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


# A whole network: many parts, one after the other or spread over processes and machines.
#
# The same job for all of them, through the standard interface of ``concurrent.futures``: a pool
# of processes on one machine, or ``dask.distributed.Client.get_executor()`` on many. Which of
# them it is, and who is done first, changes no byte of the answer.


def judge_parts(
    parts: Iterable[Path], course: Course, on: int, executor: Executor | None = None, states: bool = False
) -> tuple[JudgedPart | Unreadable, ...]:
    """Judge all students of some parts.

    Args:
        parts: the folders; every process must find them under the same path.
        executor: who does the work; without one it is done here.
        states: whether to keep the state of every skill.

    Returns:
        The answers of each part in the order given, or why it has none; a broken part hides no
        other.
    """
    job = partial(judge_part, course=course, on=on, states=states)
    return tuple(map(job, parts) if executor is None else executor.map(job, parts))


def judge_part(folder: Path, course: Course, on: int, states: bool = False) -> JudgedPart | Unreadable:
    """Judge all students of one part, as :func:`judge_parts` does."""
    for _ in range(2):
        columns = read_part(folder)
        found = columns if isinstance(columns, Unreadable) else judge_columns(columns, course, on, states)
        if not isinstance(found, Unreadable) or found.id != "no-file":  # it may be written anew just now
            break
    return found


def to_table(parts: Iterable[JudgedPart | Unreadable]) -> pa.Table:
    """Return answers as one table: part, id, unit, band, verdict and the one beneath a hold or break.

    Parts that could not be read have no rows.
    """
    judged = (one for one in parts if isinstance(one, JudgedPart))
    schema = pa.schema(
        [(name, pa.string()) for name in ("part", "id", "unit", "band", "verdict", "underlying")]
    )
    return pa.concat_tables([schema.empty_table(), *(_table(one, schema) for one in judged)])


def _table(judged: JudgedPart, schema: pa.Schema) -> pa.Table:
    units = pa.array([*judged.units, None], pa.string())
    unit = judged.unit.astype("int64")
    unit[unit < 0] = len(judged.units)
    verdicts = pa.array(VERDICTS)
    columns = [
        pa.repeat(judged.part, len(judged.ids)),
        judged.ids,
        units.take(pa.array(unit)),
        pa.array(judged.bands, pa.string()).take(pa.array(judged.band)),
        verdicts.take(pa.array(judged.verdict)),
        verdicts.take(pa.array(judged.underlying)),
    ]
    return pa.table(columns, schema=schema)
