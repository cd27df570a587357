"""Columns give the very same verdicts, units, bands and states as the engine, student by student.

Random courses, pacings and students near the edges of the rules (``readiness.testing``), many
students at once, through a file and back.
"""

from __future__ import annotations

import inspect
from collections import Counter
from dataclasses import dataclass
from datetime import timedelta
from hashlib import sha256
from pathlib import Path
from typing import Any, get_type_hints

import numpy as np
import pytest
from hypothesis import assume, given, settings
from hypothesis import strategies as st
from laws.asking import for_each_leaning
from laws.test_retiring_keeps_the_past import AHEAD, FROM_THE_DAY, retirings, valid

from readiness.cohort import (
    STATES,
    VERDICTS,
    JudgedPart,
    gather,
    judge_columns,
    keeps,
    kernel,
    read_part,
    write_part,
)
from readiness.course.load import build_course
from readiness.course.model import Course
from readiness.judging import judge
from readiness.record.load import build_record
from readiness.record.model import Record
from readiness.testing import LEANINGS, Leaning, Situation, courses, pacings, student_files
from readiness.testing.strategies import DAYS_AFTER_THE_LAST_LESSON


@dataclass(frozen=True)
class School:
    """A course, several students of it, and a day."""

    graph: dict[str, Any]
    pacing: dict[str, Any]
    students: tuple[dict[str, Any], ...]
    on: int

    def course(self) -> Course:
        return build_course(dict(self.graph), dict(self.pacing))

    def records(self, course: Course) -> list[Record]:
        return [build_record(f"s{i}", dict(one), course) for i, one in enumerate(self.students)]


@st.composite
def schools(draw: st.DrawFn, most: int = 6, lean: Leaning | None = None) -> School:
    pacing = draw(pacings())
    graph = draw(courses(tuple(pacing["band"]), 4, 16, lean or LEANINGS["nothing"]))
    students = draw(st.lists(student_files(graph, pacing, lean), min_size=1, max_size=most))
    last = max(lesson["on"] for one in students for lesson in one["lesson"])
    on = last + timedelta(days=draw(st.sampled_from(DAYS_AFTER_THE_LAST_LESSON)))
    return School(graph, pacing, tuple(students), on.toordinal())


def rows(judged: JudgedPart) -> list[tuple]:
    """Return what was found, student by student, in words."""
    return [
        (
            judged.ids[row].as_py(),
            VERDICTS[judged.verdict[row]],
            VERDICTS[judged.underlying[row]],
            None if judged.unit[row] < 0 else judged.units[judged.unit[row]],
            judged.bands[judged.band[row]],
            judged.states(row) if len(judged.state) else None,
        )
        for row in range(len(judged.verdict))
    ]


def expected(course: Course, records: list[Record], on: int, states: bool = True) -> list[tuple]:
    """Return what the engine says, in the same shape."""
    answers = [judge(course, record, on) for record in records]
    return [
        (
            one.student, one.verdict, one.underlying, one.unit, one.band,
            {skill: standing.state for skill, standing in one.standings.items()} if states else None,
        )
        for one in answers
    ]  # fmt: skip


@pytest.fixture(scope="module")
def folder(tmp_path_factory):
    return tmp_path_factory.mktemp("network") / "school"


def test_every_verdict_and_state_is_the_engine_s(folder) -> None:
    """A law that is never tried proves nothing: every verdict and every state is among the fixed examples."""
    reached: Counter[str] = Counter()

    def agrees(school: School) -> None:
        course = school.course()
        records = school.records(course)
        assert write_part(folder, gather("school", records, course)) is None
        judged = judge_columns(read_part(folder), course, school.on, states=True)
        assert rows(judged) == expected(course, records, school.on)
        reached.update(VERDICTS[one] for one in judged.verdict)
        reached.update(STATES[one] for one in np.ravel(judged.state))

    for_each_leaning(agrees, lambda lean: schools(lean=lean))
    seldom = {name: reached[name] for name in (*VERDICTS, *STATES) if not reached[name]}
    assert not (seldom and settings().derandomize)


@given(school=schools())
def test_without_states_the_verdicts_are_the_same(school: School) -> None:
    course = school.course()
    records = school.records(course)
    judged = judge_columns(gather("school", records, course), course, school.on)
    assert rows(judged) == expected(course, records, school.on, states=False)


@given(school=schools())
def test_what_keeps_students_is_what_blocks_them(school: School) -> None:
    course = school.course()
    records = school.records(course)
    judged = judge_columns(gather("school", records, course), course, school.on)
    blocking = [one for record in records for one in judge(course, record, school.on).blockers if one.skill]
    gaps = Counter(one.skill for one in blocking if one.is_gap)
    looks = Counter(one.skill for one in blocking if not one.is_gap)
    found = keeps([judged], course)
    assert {one.skill: one.gap for one in found if one.gap} == gaps
    assert {one.skill: one.look for one in found if one.look} == looks


@given(pair=retirings((*FROM_THE_DAY, *AHEAD)))
def test_skills_that_come_and_go_keep_their_notes(pair: tuple[Situation, Situation]) -> None:
    """Columns hold the skills as they were noted; what stands for what is asked on the day."""
    plain, retired = pair
    assume(valid(retired))
    course = build_course(dict(retired.graph), dict(retired.pacing))
    record = build_record("s0", dict(retired.student), course)
    before = build_course(dict(plain.graph), dict(plain.pacing))
    columns = gather("school", [build_record("s0", dict(plain.student), before)], before)
    for states in (False, True):
        judged = judge_columns(columns, course, plain.on.toordinal(), states=states)
        assert rows(judged) == expected(course, [record], plain.on.toordinal(), states)


def test_what_is_compiled_is_kept_under_the_name_of_all_it_is_made_of():
    """numba reads what it kept before it looks at its age, and stops at a class that is gone (numba 0.68)."""
    functions = [one for one in vars(kernel).values() if hasattr(one, "py_func")]
    names = {one.py_func.__qualname__.rpartition("-")[2] for one in functions}
    assert names == {sha256(b"".join(path.read_bytes() for path in kernel.SOURCES)).hexdigest()[:12]}
    taken = get_type_hints(kernel.judge_block.py_func).values()
    files = {Path(inspect.getfile(one)) for one in taken if isinstance(one, type) and one is not type(None)}
    values = {Path(inspect.getfile(type(one))) for one in (*kernel.STATES, *kernel.VERDICTS)}
    assert len(files) == 1
    assert files | values <= {*kernel.SOURCES}


def test_where_nothing_can_be_kept_it_is_compiled_all_the_same(monkeypatch):
    """As with an account that has no folder of its own; numba refuses when it is told to keep it."""
    monkeypatch.setattr("numba.core.caching.CacheImpl._locator_classes", [])
    assert kernel._compiled(lambda number: number + 1)(1) == 2
