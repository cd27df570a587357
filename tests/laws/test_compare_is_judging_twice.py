"""What compare says of an edit is what judging says by each of the two courses, written out.

The edited course is written anew as plain tables and built from the beginning, so that the
edits laid over a file are held against the same edits made in it.
"""

from __future__ import annotations

import copy
from dataclasses import replace
from datetime import date, timedelta
from pathlib import Path
from typing import Any

import tomli_w
from by_hand import small
from drawn import situations
from hypothesis import example, given
from hypothesis import strategies as st

from readiness.advice.ground import start_of
from readiness.advice.timeline import decided, student_change
from readiness.course.layers import CourseFiles, as_read
from readiness.course.load import build_course, course_of
from readiness.course.schema import GraphFile, PacingFile
from readiness.editing.compare import compare
from readiness.editing.edits import Add, Drop, Edit, Move, Set, apply
from readiness.judging import answer_to_dict, judge
from readiness.testing import Situation, ask, record_of
from readiness.toml.problems import errors
from readiness.toml.read import parse_toml


def files_of(graph: Any, pacing: Any) -> CourseFiles:
    return CourseFiles(
        as_read(parse_toml(tomli_w.dumps(graph), Path("graph.toml"), GraphFile), GraphFile),
        as_read(parse_toml(tomli_w.dumps(pacing), Path("pacing.toml"), PacingFile), PacingFile),
    )


@st.composite
def edits(draw: st.DrawFn, situation: Situation) -> list[Edit]:
    skills, units = list(situation.graph["skill"]), list(situation.graph["unit"])
    bands = list(situation.pacing["band"])
    links = [(s, b) for s, t in situation.graph["skill"].items() for b in t["stands_on"]]
    pairs = st.tuples(st.sampled_from(skills), st.sampled_from(skills))
    kinds: list[st.SearchStrategy[Edit]] = [
        pairs.map(lambda pair: Add(max(pair), min(pair))),
        st.tuples(st.sampled_from(bands), st.integers(0, 3)).map(
            lambda one: Set(("band", one[0], "carry_limit"), one[1])
        ),
        st.tuples(st.sampled_from(skills), st.sampled_from(["safety", "always_look"])).map(
            lambda one: Set(("skill", *one), True)
        ),
        st.tuples(st.sampled_from(skills), st.sampled_from(units)).map(lambda one: Move(*one)),
        pairs.map(lambda pair: Add(*pair)),
    ]
    if links:
        kinds.append(st.sampled_from(links).map(lambda one: Drop(*one)))
    made = draw(st.lists(st.one_of(kinds), min_size=1, max_size=3))
    dropped = [one for one in made if isinstance(one, Drop)]
    return [one for at, one in enumerate(made) if one not in dropped or made.index(one) == at]


@st.composite
def cases(draw: st.DrawFn) -> tuple[Situation, list[Edit]]:
    situation = draw(situations())
    return situation, draw(edits(situation))


def written_out(situation: Situation, made: list[Edit]) -> tuple[dict[str, Any], dict[str, Any]]:
    graph, pacing = copy.deepcopy(dict(situation.graph)), copy.deepcopy(dict(situation.pacing))
    for edit in made:
        if isinstance(edit, Add):
            graph["skill"][edit.skill]["stands_on"].append(edit.before)
        elif isinstance(edit, Drop):
            table = graph["skill"][edit.skill]
            table["stands_on"] = [one for one in table["stands_on"] if one != edit.before]
            for group in table.get("stands_on_some", []):
                group["of"] = [one for one in group["of"] if one != edit.before]
        elif isinstance(edit, Move):
            graph["skill"][edit.skill]["unit"] = edit.unit
        else:
            *tables, key = edit.path
            inside: Any = pacing if tables[0] == "band" else graph
            for step in tables:
                inside = inside[step]
            inside[key] = edit.value
    return graph, pacing


@given(cases())
def test_an_edit_laid_over_is_the_edit_made(case: tuple[Situation, list[Edit]]) -> None:
    situation, made = case
    laid = course_of(apply(files_of(situation.graph, situation.pacing), made))
    graph, pacing = written_out(situation, made)
    saved = course_of(files_of(graph, pacing))
    # What is added twice in one list has one place until it is saved, and is told once.
    assert {(p.id, p.message) for p in laid.problems} == {(p.id, p.message) for p in saved.problems}
    assert (laid.course is None) == (saved.course is None) == bool(errors(saved.problems))
    if laid.course is not None and saved.course is not None:
        bare = [[replace(s, place=None) for s in one.skills] for one in (laid.course, saved.course)]
        assert bare[0] == bare[1]
        assert laid.course.bands == saved.course.bands


@given(cases())
def test_who_changes_is_who_is_judged_otherwise(case: tuple[Situation, list[Edit]]) -> None:
    situation, made = case
    graph, pacing = written_out(situation, made)
    try:
        new = build_course(graph, pacing)
    except ValueError:
        return
    old, on = build_course(dict(situation.graph), dict(situation.pacing)), situation.on.toordinal()
    before, after = record_of(situation, old), record_of(situation, new)
    found = compare(old, new, {"somebody": (before, after)}, on)
    one, other = judge(old, before, on), judge(new, after, on)
    starts = start_of(old, before, one), start_of(new, after, other)
    assert bool(found.changed) == (decided(one, starts[0]) != decided(other, starts[1]))
    said = [answer_to_dict(answer) for answer in (one, other)]
    decides = ("verdict", "band", "next_unit", "taken_along", "placing")
    if any(said[0].get(key) != said[1].get(key) for key in decides):
        assert found.changed
    if said[0] == said[1]:
        assert found.unchanged
    for change in (*found.changed, *found.advised):
        assert change.reasons
        assert (answer_to_dict(change.before), answer_to_dict(change.after)) == (said[0], said[1])


@given(cases())
def test_an_edit_refused_or_not_leaves_what_was_read_as_it_was(case: tuple[Situation, list[Edit]]) -> None:
    situation, made = case
    files = files_of(situation.graph, situation.pacing)
    before = copy.deepcopy((files.graph.data, files.graph.places.spots, files.pacing.data))
    apply(files, made)
    assert (files.graph.data, files.graph.places.spots, files.pacing.data) == before


@given(cases())
def test_a_course_compared_with_itself_changes_nobody(case: tuple[Situation, list[Edit]]) -> None:
    situation, _ = case
    course = build_course(dict(situation.graph), dict(situation.pacing))
    record = record_of(situation, course)
    found = compare(course, course, {"somebody": (record, record)}, situation.on.toordinal())
    assert (found.changed, found.advised) == ((), ())


def new_here(situation: Situation) -> Situation:
    """Return the situation of a student who is not placed yet."""
    return situation.with_student(unit_start=[], settled=[], hold=[])


ALONG = small(
    {
        "one": {"stop": {"asks_pain": True, "always_look": True}, "base": {}, "more": {}},
        "two": {"top": {"stands_on": ["base"]}},
    },
    {
        "unit_start": [{"unit": "one", "on": date(2024, 1, 2)}],
        "lesson": [{"on": date(2024, 1, 9), "alone": ["stop"]}, {"on": date(2024, 1, 16), "alone": ["base"]}],
    },
    date(2024, 1, 16),
)
"""Ready with the last lesson, which shows all that decides, and not without it; more comes along."""


@example(ALONG, 1)
@given(situations() | situations().map(new_here), st.integers(1, 40))
def test_what_is_told_of_two_answers_is_what_differs(situation: Situation, days: int) -> None:
    """Of one student with and without the last lesson of the file, and some days later."""
    now = ask(situation)
    fewer = situation.with_student(lesson=situation.student["lesson"][:-1])
    for other in (ask(fewer), ask(replace(situation, on=situation.on + timedelta(days=days)))):
        for one, two in ((now, other), (other, now)):
            course, records = now.course, (one.record, two.record)
            change = student_change(course, course, one.answer, two.answer, records)
            told: dict[str, list[str | None]] = {}
            for reason in change.reasons:
                told.setdefault(reason.id, []).append(reason.skill)
            was, then = one.answer.taken_along, two.answer.taken_along
            assert told.get("comes-along", []) == [skill for skill in then if skill not in was]
            blocking = {*told.get("new-blocker", []), *told.get("dropped-blocker", [])}
            assert blocking.isdisjoint(told.get("other-state", []))
            if one.json.get("placing") != two.json.get("placing"):
                placed = one.json.get("placing", {}), two.json.get("placing", {})
                by_rule = [{k: v for k, v in each.items() if k != "provisional"} for each in placed]
                assert ("other-start" in told) or by_rule[0] == by_rule[1]
