"""The shipped course, as the project reads it and as tomllib reads it."""

from __future__ import annotations

import tomllib
from pathlib import Path
from typing import Any

import pytest

from readiness.course.load import load_course
from readiness.course.model import Course


@pytest.fixture(scope="session")
def starter(course_folder: Path) -> Course:
    """The shipped course, loaded without a problem."""
    loaded = load_course(course_folder)
    assert loaded.course is not None, loaded.problems
    return loaded.course


@pytest.fixture(scope="session")
def graph_file(course_folder: Path) -> dict[str, Any]:
    """The graph file as plain values."""
    return tomllib.loads((course_folder / "graph.toml").read_text(encoding="utf-8"))


@pytest.fixture(scope="session")
def pacing_file(course_folder: Path) -> dict[str, Any]:
    """The pacing file as plain values."""
    return tomllib.loads((course_folder / "pacing.toml").read_text(encoding="utf-8"))
