"""Whatever a course's files hold, reading them gives a course or problems, and never raises.

A sound course is spoiled in one or more places: a value becomes something else, a key goes,
a table is emptied. With one error or more there is no course, without any there is one.
"""

from __future__ import annotations

import tempfile
import tomllib
from copy import deepcopy
from datetime import date
from pathlib import Path

import tomli_w
from hypothesis import given
from hypothesis import strategies as st

from readiness.course.load import load_course
from readiness.toml.problems import errors, render

SMALL = Path(__file__).parents[1] / "toml_files" / "good_courses" / "small"
GRAPH = tomllib.loads((SMALL / "graph.toml").read_text("utf-8"))
PACING = tomllib.loads((SMALL / "pacing.toml").read_text("utf-8"))

names = st.sampled_from([*GRAPH["skill"], *GRAPH["unit"], "4-5", "6-7", "wrist lift", "", "é"])
odd = st.recursive(
    st.one_of(
        names,
        st.integers(-2, 40),
        st.floats(),
        st.booleans(),
        st.just(date(2026, 1, 12)),
    ),
    lambda inner: st.one_of(st.lists(inner, max_size=3), st.dictionaries(names, inner, max_size=3)),
    max_leaves=4,
)


def places(value: object, at: tuple = ()) -> list[tuple]:
    """Return the path of everything in plain values."""
    if isinstance(value, dict):
        inner = list(value.items())
    elif isinstance(value, list):
        inner = list(enumerate(value))
    else:
        inner = []
    return [p for key, part in inner for p in ((*at, key), *places(part, (*at, key)))]


def spoil(data: dict, path: tuple, new: object) -> None:
    """Put something else at a path, or take it out where ``new`` is None; gone paths are left."""
    for key in path[:-1]:
        try:
            data = data[key]
        except (KeyError, IndexError, TypeError):
            return
    try:
        if new is None:
            del data[path[-1]]
        else:
            data[path[-1]] = new
    except (KeyError, IndexError, TypeError):
        return


@st.composite
def spoiled(draw: st.DrawFn, data: dict) -> str:
    copy = deepcopy(data)
    for path in draw(st.lists(st.sampled_from(places(data)), max_size=4)):
        spoil(copy, path, draw(st.one_of(st.none(), odd)))
    return tomli_w.dumps(copy)


@given(spoiled(GRAPH), spoiled(PACING))
def test_a_course_or_problems(graph, pacing):
    with tempfile.TemporaryDirectory() as name:
        folder = Path(name)
        (folder / "graph.toml").write_text(graph, "utf-8")
        (folder / "pacing.toml").write_text(pacing, "utf-8")
        loaded = load_course(folder)
        for problem in loaded.problems:
            assert render(problem)
        assert (loaded.course is None) == bool(errors(loaded.problems))
        if loaded.course is not None:
            assert loaded.course.plan.ids
