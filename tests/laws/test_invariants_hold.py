"""The invariants that ``readiness.testing`` offers hold of made-up courses, records and days."""

from __future__ import annotations

from pathlib import Path
from random import Random
from tempfile import TemporaryDirectory
from typing import Any

import pytest
import tomli_w
from drawn import drawn_once, situations
from hypothesis import given
from hypothesis import strategies as st

from readiness.testing import (
    OF_ANY_RECORD,
    CourseFolder,
    Situation,
    acyclic_and_reduced,
    courses,
    every_unit_can_be_left,
    lessons_to_reach_every_unit,
    pacings,
    pain_is_on_every_sheet,
    records,
)
from readiness.testing.invariants import PROMISES, keeps_its_promise, shaped_as_the_format_says

RECORDS = pytest.mark.parametrize("holds", OF_ANY_RECORD, ids=lambda one: one.__name__)


@RECORDS
def test_of_any_record(holds: Any) -> None:
    """With chance of its own, as many examples as of any law."""

    @given(situations(), st.randoms(use_true_random=True))
    def law(situation: Situation, chance: Random) -> None:
        holds(situation, chance)

    law()


@st.composite
def folders(draw: st.DrawFn) -> CourseFolder:
    """Draw a made-up course, read from two files."""
    pacing = draw(pacings())
    graph = draw(courses(tuple(pacing["band"]), most_units=3, most_skills=12))
    return folder_of(graph, pacing)


def folder_of(graph: dict, pacing: dict) -> CourseFolder:
    """Return a course as it would be read from two files with these tables."""
    with TemporaryDirectory() as name:
        (Path(name) / "graph.toml").write_text(tomli_w.dumps(graph), encoding="utf-8")
        (Path(name) / "pacing.toml").write_text(tomli_w.dumps(pacing), encoding="utf-8")
        return CourseFolder.read(Path(name))


FOLDERS = drawn_once(folders(), rounds=5)


@given(FOLDERS, st.randoms(use_true_random=True))
def test_of_any_course(read: CourseFolder, chance: Random) -> None:
    shaped_as_the_format_says(read)
    warned = {problem.id for check in PROMISES for problem in keeps_its_promise(check, read)}
    assert warned == {problem.id for problem in read.loaded.problems} - {"implied-link"}
    pain_is_on_every_sheet(read, chance.choice([band.name for band in read.course.bands]))


@given(FOLDERS)
def test_two_opinions_on_what_is_implied_agree(read: CourseFolder) -> None:
    """That of networkx, and that of the check."""
    implied = any(problem.id == "implied-link" for problem in read.loaded.problems)
    if implied:
        with pytest.raises(AssertionError, match="need not name"):
            acyclic_and_reduced(read)
    else:
        acyclic_and_reduced(read)


@given(FOLDERS)
def test_every_unit_is_reached_and_left(read: CourseFolder) -> None:
    """Wherever a weekly lesson is no break, and no group hangs on what is optional."""
    for band in read.course.bands:
        if band.whole("break_weeks") > 1:
            assert lessons_to_reach_every_unit(read, band.name) >= len(read.course.units)
        if not any(band.name in skill.optional_in for skill in read.course.skills):
            every_unit_can_be_left(read, band.name)


@given(st.data())
def test_records_of_the_shipped_course_can_be_drawn(course: Any, data: st.DataObject) -> None:
    record = data.draw(records(course))
    assert {showing.skill for lesson in record.lessons for showing in lesson.showings} <= set(course.skill)
