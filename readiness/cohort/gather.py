"""Student files as columns, and a course on a day compiled for the loop over them.

This is the one place where what is told of a student is picked: only what judging looks at
(``record.model``). All else never leaves the school: names, families, words, remarks, causes, tasks,
promises. A record is taken as one course sees it (``record.load``).

What depends on the unit, the band and what was set aside - the deciding skills, the rest, the
entry groups - is asked of the engine itself (``judging.deciding``), once for each such *case*
and not for each student. Everything here is whole numbers in arrays, so that it can be sent to
another process as it is. Nothing here knows a student.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator, Sequence
from datetime import date
from itertools import accumulate, pairwise
from operator import itemgetter
from typing import Any, Final

import numpy as np
import pyarrow as pa

from readiness.cohort.columns import STILL_OPEN, Array, Columns, Dated, Notes, RuleTables, in_order, starts_of
from readiness.cohort.kernel import ASIDE, DECIDES, MEMBER, REST
from readiness.course import model
from readiness.course.model import Course, bits
from readiness.days import last_day_of_month
from readiness.judging.states import Deciding, decide
from readiness.lazy import dataclass
from readiness.record.model import Record, Seen
from readiness.record.rhythm import Rhythm

__all__ = ["EPOCH", "UnitCase", "compile_course", "gather"]

EPOCH: Final = 719163
"""The day number of 1 January 1970, from which Parquet counts."""


@dataclass(frozen=True)
class UnitCase:
    """A unit number (None: not placed), the number of a band, and the set of skills set aside."""

    unit: int | None
    band: int
    aside: int


def compile_course(
    course: model.Course, on: int, cases: Sequence[UnitCase], numbers: Sequence[int]
) -> RuleTables:
    """Return a course as numbers.

    Args:
        course: the course on the day (``Course.on``).
        cases: all that are needed; students name them by their place here.
        numbers: by number in the columns, the skill of the course that it is; others than those
            of skills stand for nothing.
    """
    plan = course.plan
    number = [-1] * len(plan.ids)
    for at, skill in enumerate(numbers):
        if skill < len(number):
            number[skill] = at
    deciding = [
        None if case.unit is None else decide(plan, case.unit, course.bands[case.band], case.aside)
        for case in cases
    ]
    rule = _rules(course)
    place, user = _places(course, number, nothing=len(numbers))
    asked = [tuple(bits(0 if one is None else one.skills | one.rest | one.group_members)) for one in deciding]
    groups = [() if one is None else one.groups for one in deciding]
    member_of = [tuple(bits(group.members)) for mine in groups for group in mine]
    units = [-1 if case.unit is None else case.unit for case in cases]
    bands = [case.band for case in cases]
    return RuleTables(
        on=on - EPOCH,
        units=len(plan.unit_ids),
        place=place,
        user=user,
        rule=rule,
        accepts=_accepts(rule, numbers),
        played=np.array(
            [one < len(number) and not plan.quiet >> one & 1 for one in numbers] + [False], np.bool_
        ),
        pace=_numbers([[band.whole("carry_limit"), 7 * band.whole("break_weeks")] for band in course.bands]),
        case=np.column_stack([_numbers(units), _numbers(bands), _stretches(asked), _stretches(groups)]),
        role=_roles(len(plan.ids), cases, deciding),
        asked=_numbers(skill for mine in asked for skill in mine),
        group=np.column_stack(
            [_numbers(group.at_least for mine in groups for group in mine), _stretches(member_of)]
        ),
        member=_numbers(skill for mine in member_of for skill in mine),
    )


def _numbers(values: Iterable[Any]) -> Array:
    return np.array(list(values), np.int32)


def _stretches(lists: Sequence[Sequence[object]]) -> Array:
    """Return from where to where each of some lists goes when they stand in one."""
    starts = [0, *accumulate(map(len, lists))]
    return _numbers([[begin, end] for begin, end in pairwise(starts)]).reshape(-1, 2)


def _places(course: model.Course, number: Sequence[int], nothing: int) -> tuple[Array, Array]:
    """Return, by skill, unit, number, the users that keep it fresh (R5), whether it is quiet; and these."""
    plan = course.plan
    keeps = [0 if plan.must_be_seen >> i & 1 else below for i, below in enumerate(plan.descendants)]
    users = [[number[i] for i in bits(below) if number[i] >= 0] for below in keeps]
    own = [nothing if one < 0 else one for one in number]
    quiet = _numbers(plan.quiet >> i & 1 for i in range(len(own)))
    place = np.column_stack([_numbers(plan.unit), _numbers(own), _stretches(users), quiet])
    return place, _numbers(one for mine in users for one in mine)


def _rules(course: model.Course) -> Array:
    """Return the rules by band and skill. Of one day no distance is asked (rule R3)."""
    spread = [band.whole("spread_days") for band in course.bands]
    return _numbers(
        [
            (
                band.accepts[kind],
                need := own or band.days_needed[kind],
                0 if need == 1 else days,
                band.fresh_days[fade],
            )
            for kind, fade, own in zip(course.plan.kind, course.plan.fade, course.plan.days, strict=True)
        ]
        for band, days in zip(course.bands, spread, strict=True)
    )


def _accepts(rule: Array, numbers: Sequence[int]) -> Array:
    """Return the most help that counts, by band and number, with a place for what has no number."""
    found = np.zeros((len(rule), len(numbers) + 1), np.uint8)
    for at, skill in enumerate(numbers):
        if skill < rule.shape[1]:
            found[:, at] = rule[:, skill, 0]
    return found


def _roles(skills: int, cases: Sequence[UnitCase], deciding: Sequence[Deciding | None]) -> Array:
    """Return, by case and skill, what the skill is there, as bits."""
    role = np.zeros((len(cases), skills), np.uint8)
    for row, case, one in zip(role, cases, deciding, strict=True):
        sets = (0, 0, 0) if one is None else (one.skills, one.rest, one.group_members)
        for bit, members in zip((DECIDES, REST, MEMBER, ASIDE), (*sets, case.aside), strict=True):
            row[list(bits(members))] |= bit
    return role


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
        rows = [list(pick(one)) for one in students]
        flat = np.array([entry for row in rows for entry in row], np.int64).reshape(-1, 2)
        starts = starts_of([len(row) for row in rows])
        return in_order(Dated(starts, flat[:, 1].astype(np.int32), _days(flat[:, 0])))

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
