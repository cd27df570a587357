"""Columns hold what was seen; an edited course judges them as the engine judges the files read anew."""

from __future__ import annotations

import copy
from typing import Any

from cohort.test_same_as_the_engine import School, expected, rows, schools
from hypothesis import given
from hypothesis import strategies as st

from readiness.cohort import gather, judge_columns
from readiness.course.load import build_course

NUMBERS = ("spread_days", "carry_limit", "break_weeks", "from_age")


@st.composite
def edits(draw: st.DrawFn) -> tuple[School, dict[str, Any], dict[str, Any]]:
    """Draw a school with an edit of its numbers, of its links, or of the order of its tables."""
    school = draw(schools(most=4))
    graph, pacing = copy.deepcopy(dict(school.graph)), copy.deepcopy(dict(school.pacing))
    for edit in draw(st.lists(st.sampled_from([pace, need, link, unlink, insert]), min_size=1, max_size=3)):
        edit(draw, graph, pacing)
    return school, graph, pacing


def pace(draw: st.DrawFn, graph: dict[str, Any], pacing: dict[str, Any]) -> None:
    band = pacing["band"][draw(st.sampled_from(list(pacing["band"])))]
    rule = draw(st.sampled_from(["spread_days", "carry_limit", "break_weeks"]))
    band[rule] = draw(st.integers(1, 4 if rule == "carry_limit" else 8))


def need(draw: st.DrawFn, graph: dict[str, Any], pacing: dict[str, Any]) -> None:
    band = pacing["band"][draw(st.sampled_from(list(pacing["band"])))]
    table = draw(st.sampled_from(["days_needed", "fresh_weeks"]))
    band[table][draw(st.sampled_from(list(band[table])))] = draw(st.integers(1, 6))
    weeks = band["fresh_weeks"]  # what goes fast is looked at again no later
    weeks |= zip(("fast", "medium", "slow"), sorted(weeks.values()), strict=True)


def _order(graph: dict[str, Any]) -> list[str]:
    """Return the skills so that each stands behind all it may stand on: they are named in this order."""
    return sorted(graph["skill"])


def link(draw: st.DrawFn, graph: dict[str, Any], pacing: dict[str, Any]) -> None:
    above, below = sorted(draw(st.lists(st.sampled_from(_order(graph)), min_size=2, max_size=2)))
    wanted = graph["skill"][below]["stands_on"]
    if above != below and above not in wanted:
        wanted.append(above)


def unlink(draw: st.DrawFn, graph: dict[str, Any], pacing: dict[str, Any]) -> None:
    graph["skill"][draw(st.sampled_from(_order(graph)))]["stands_on"].clear()


def insert(draw: st.DrawFn, graph: dict[str, Any], pacing: dict[str, Any]) -> None:
    """Put a skill that nobody has a note on before all others, so that every number is another."""
    new = copy.deepcopy(graph["skill"][draw(st.sampled_from(_order(graph)))])
    new |= {"stands_on": [], "name": "New"}
    new.pop("stands_on_some", None)
    graph["skill"] = {"new": new} | {name: skill for name, skill in graph["skill"].items() if name != "new"}


@given(edit=edits())
def test_an_edit_judges_kept_columns_as_files_read_anew(edit) -> None:
    school, graph, pacing = edit
    course, edited = school.course(), build_course(graph, pacing)
    columns = gather("school", school.records(course), course)
    assert rows(judge_columns(columns, course, school.on, states=True)) == expected(
        course, school.records(course), school.on
    )
    assert rows(judge_columns(columns, edited, school.on, states=True)) == expected(
        edited, school.records(edited), school.on
    )
    assert rows(judge_columns(columns, edited, school.on)) == expected(
        edited, school.records(edited), school.on, states=False
    )
