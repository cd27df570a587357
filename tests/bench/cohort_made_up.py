"""Made-up columns of many students, straight from a seed: for measuring and for tests.

Each student has exactly 200 notes in 30 weeks, mostly on the skills of their own unit and the two
before, each noted often when it is new and now and then later, with less help as weeks go by; for
most of them what decides was looked at in the last two weeks. Nobody is meant: all is chance.
"""

from __future__ import annotations

from dataclasses import replace
from typing import Any

import numpy as np
import pyarrow as pa

from readiness.cohort.columns import STILL_OPEN, Columns, Dated, Notes, starts_of
from readiness.course.model import Course
from readiness.days import day_number
from readiness.judging.states import decide
from readiness.record.model import Lesson, Record, Settled, Showing, UnitStart

__all__ = ["NOTES", "TODAY", "made_up", "record_of"]

EPOCH = day_number("1970-01-01")
TODAY = day_number("2025-12-02")
WEEKS, NOTES, AT_ONCE, IN_A_BLOCK = 30, 200, 1000, 5000
WEEKS_A_UNIT, UNITS_NOTED, CHECKED = 8, 3, 2

Array = np.ndarray[Any, Any]


def made_up(course: Course, students: int, seed: int = 1, part: str = "made-up") -> Columns:
    """Return the columns of so many students, always the same for a seed."""
    chance = np.random.default_rng(seed)
    unit = chance.integers(UNITS_NOTED, len(course.units), students)
    late = chance.integers(0, WEEKS_A_UNIT - 2, students)
    begun = TODAY - EPOCH - 7 * (WEEKS_A_UNIT + 2 - late)
    each = [
        _notes(chance, course, unit[row : row + AT_ONCE], late[row : row + AT_ONCE], row)
        for row in range(0, students, AT_ONCE)
    ]
    together = IN_A_BLOCK // AT_ONCE
    blocks = [each[at : at + together] for at in range(0, len(each), together)]
    nothing = Dated(starts_of([0] * students), np.zeros(0, np.int32), np.zeros(0, np.int32))
    return Columns(
        part=part,
        ids=pa.array([f"{part}-{row}" for row in range(students)]),
        born=(TODAY - EPOCH - chance.integers(4 * 366, 14 * 365, students)).astype(np.int32),
        skills=tuple(course.skill),
        units=tuple(course.unit),
        bands=tuple(course.band),
        notes=tuple(Notes(*map(np.concatenate, zip(*block, strict=True))) for block in blocks),
        unit_starts=_one_each(unit, begun),
        settled=_one_each(unit - UNITS_NOTED, np.full(students, TODAY - EPOCH - 7 * WEEKS)),
        band_choices=nothing,
        set_aside=nothing,
        holds=(holds := _some(chance, students)),
        since=replace(holds, what=np.full(len(holds.what), STILL_OPEN, np.int32)),
        rhythm=np.zeros(students, np.uint8),
        lessons=nothing,
    )


def _one_each(what: Array, on: Array) -> Dated:
    return Dated(starts_of([1] * len(what)), what.astype(np.int32), on.astype(np.int32))


def _some(chance: np.random.Generator, students: int) -> Dated:
    """Return open holds for about one student in a hundred."""
    held = chance.random(students) < 0.01
    open_since = np.full(held.sum(), TODAY - EPOCH - 5, np.int32)
    return Dated(starts_of(held), np.full(len(open_since), 2**31 - 1, np.int32), open_since)


def _notes(chance: np.random.Generator, course: Course, unit: Array, late: Array, first: int) -> Notes:
    """Return 200 different pairs of skill and week for each student, with the help given."""
    plan = course.plan
    of_skill = np.array(plan.unit)
    looked_at = np.array([skill.always_look for skill in course.skills])
    back = unit[:, None] - of_skill[None, :]
    new_in = WEEKS - 2 - WEEKS_A_UNIT * (back + 1) + late[:, None] + chance.integers(0, 4, back.shape)
    since = np.arange(WEEKS)[None, None, :] - new_in[:, :, None]
    weight = np.where(since >= 0, 0.06 + 1.5 * np.exp(-since / 4.0), 1e-9)
    weight = np.where(looked_at[None, :, None] & (back[:, :, None] >= 0), 0.2, weight)
    checked = (chance.random(len(unit)) < 0.7)[:, None] & _deciding(course)[unit]
    weight[:, :, -CHECKED:] += 4.0 * checked[:, :, None]
    weight[back < 0] = 1e-12
    key = np.log(chance.random(weight.shape)) / weight
    flat = key.reshape(len(unit), -1)
    picked = np.sort(np.argpartition(flat, -NOTES, axis=1)[:, -NOTES:], axis=1)
    skill, week = picked // WEEKS, picked % WEEKS
    alone = np.clip(0.35 + 0.08 * np.take_along_axis(since.reshape(len(unit), -1), picked, axis=1), 0, 0.96)
    alone += chance.random((len(unit), 1)) * 0.3
    with_help = chance.choice([1, 2, 3, 4], picked.shape, p=[0.6, 0.25, 0.1, 0.05])
    help_given = np.where(chance.random(picked.shape) < alone, 0, with_help)
    student = np.repeat(np.arange(first, first + len(unit)), NOTES)
    day = TODAY - EPOCH - 7 * (WEEKS - 1 - week)
    kinds = (np.uint32, np.uint8, np.int32, np.uint8)
    return Notes(
        *(one.ravel().astype(k) for one, k in zip((student, skill, day, help_given), kinds, strict=True))
    )


def _deciding(course: Course) -> Array:
    """Return, by unit and skill, what is looked at in the check at its end."""
    sets = [decide(course.plan, unit, course.bands[0], 0).skills for unit in range(len(course.units))]
    return np.array([[bool(one >> skill & 1) for skill in range(len(course.skills))] for one in sets])


def record_of(columns: Columns, row: int) -> Record:
    """Return one student of made-up columns as the engine takes them (holds are left out)."""
    notes = next(block for block in columns.notes if block.student[0] <= row <= block.student[-1])
    begin, end = np.searchsorted(notes.student, [row, row + 1])
    by_day: dict[int, list[Showing]] = {}
    for at in range(begin, end):
        showing = Showing(columns.skills[notes.skill[at]], int(notes.help[at]), 0)
        by_day.setdefault(int(notes.day[at]) + EPOCH, []).append(showing)
    start, settled = columns.unit_starts, columns.settled
    return Record(
        id=columns.ids[row].as_py(),
        name="Made up",
        born=int(columns.born[row]) + EPOCH,
        unit_starts=(UnitStart(columns.units[start.what[row]], int(start.on[row]) + EPOCH),),
        settled=(Settled(columns.units[settled.what[row]], int(settled.on[row]) + EPOCH),),
        lessons=tuple(Lesson(day, tuple(by_day[day])) for day in sorted(by_day)),
    )
