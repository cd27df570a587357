"""A course sent through another form and back is the same course, in all it holds."""

from __future__ import annotations

import copy
from dataclasses import replace
from datetime import date
from pathlib import Path
from tempfile import TemporaryDirectory
from typing import Any

import pytest
import tomli_w
from drawn import drawn_once
from hypothesis import given
from hypothesis import strategies as st

from readiness.course.load import load_course
from readiness.course.model import Course
from readiness.editing.exchange import FORMS, export_course, import_course
from readiness.testing import courses, pacings
from readiness.toml.problems import errors

UNSEEN = "\u061c\u200e\u200f\u202a\u202b\u202c\u202d\u202e\u2066\u2067\u2068\u2069"
"""Characters that turn a line and are refused in a course, as control characters are."""

SEEN = st.characters(exclude_categories=("Cc", "Cs", "Co", "Cn", "Zl", "Zp"), exclude_characters=UNSEEN)
TEXTS = st.text(SEEN, max_size=20) | st.sampled_from(
    [
        "",
        " ",
        " ends with a blank ",
        "two\nlines",
        "<b> & \"quotes\" 'too' ]]>",
        "\ttab",
        "1",
        "true",
        "null",
        "[]",
    ]
)
NAMES = TEXTS.filter(str.strip)
"""A skill has a name that can be read, and so has a course."""


@st.composite
def plain_courses(draw: st.DrawFn) -> tuple[dict[str, Any], dict[str, Any]]:
    pacing = draw(pacings())
    graph: dict[str, Any] = copy.deepcopy(draw(courses(tuple(pacing["band"]), 4, 12)))
    graph["name"] = draw(NAMES)
    graph["alternatives_by_kind"] = {"ear": draw(TEXTS)}
    for table in graph["unit"].values():
        table["aim"] = draw(TEXTS)
    for table in graph["skill"].values():
        for key in draw(
            st.lists(st.sampled_from(["name", "shown_when", "age_note", "alternative", "advice"]))
        ):
            table[key] = draw(NAMES if key == "name" else TEXTS)
        table["remedies"] = draw(st.lists(TEXTS, max_size=3))
    may_go = [skill for skill, table in graph["skill"].items() if not table.get("asks_pain")]
    old = draw(st.sampled_from(may_go))
    if draw(st.booleans()):
        graph["skill"]["-new-"] = {**copy.deepcopy(graph["skill"][old]), "since": date(2026, 9, 1)}
        graph["skill"][old] |= {"retired": date(2026, 9, 1), "replaced_by": ["-new-"]}
    if draw(st.booleans()):
        band = next(iter(pacing["band"]))
        pacing["change"] = [{"band": band, "rule": "carry_limit", "by": draw(TEXTS), "on": date(2026, 1, 1)}]
    return graph, pacing


PLAIN = drawn_once(plain_courses(), rounds=5)


def bare(course: Course) -> dict[str, Any]:
    """Return all a course holds, without the places it is written on."""
    skills = [replace(skill, place=None) for skill in course.skills]
    numbers = {key: replace(origin, place=None) for key, origin in course.provenance.items()}
    return {
        "skills": skills, "units": course.units, "strands": course.strands, "bands": course.bands,
        "texts": (course.name, course.edition, course.uses, course.alternatives_by_kind),
        "numbers": numbers, "links": set(course.link_places),
    }  # fmt: skip


def there_and_back(folder: Path, form: str) -> Course | None:
    file = folder / f"sent.{form}"
    file.write_bytes(export_course(folder, form, date(2026, 1, 1)).encode())
    assert import_course(file, folder / form) is None
    return load_course(folder / form).course


@pytest.mark.parametrize("form", FORMS)
@given(plain=PLAIN)
def test_there_and_back(form: str, plain: tuple[dict[str, Any], dict[str, Any]]) -> None:
    with TemporaryDirectory() as name:
        folder = Path(name)
        for file, data in zip(("graph.toml", "pacing.toml"), plain, strict=True):
            (folder / file).write_bytes(tomli_w.dumps(data).encode())
        loaded = load_course(folder)
        assert not errors(loaded.problems)
        back = there_and_back(folder, form)
        assert loaded.course is not None
        assert back is not None
        assert bare(back) == bare(loaded.course)


@pytest.mark.parametrize("form", FORMS)
def test_the_shipped_course_there_and_back(form: str, tmp_path: Path, course_folder: Path) -> None:
    text = export_course(course_folder, form, date(2026, 1, 1))
    assert text == export_course(course_folder, form, date(2026, 1, 1))
    (tmp_path / "sent").write_bytes(text.encode())
    assert import_course(tmp_path / "sent", tmp_path / "back") is None
    back, there = load_course(tmp_path / "back").course, load_course(course_folder).course
    assert back is not None
    assert there is not None
    assert bare(back) == bare(there)
