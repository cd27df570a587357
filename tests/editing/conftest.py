"""The shipped course and the demo students, to try edits on."""

from __future__ import annotations

from pathlib import Path

import pytest

from readiness.course.layers import read_files
from readiness.course.load import course_of
from readiness.editing.dry_run import Trial, try_course
from readiness.editing.edits import Edit, apply
from readiness.studio.find import find_studio
from readiness.studio.load import Studio, load_studio


@pytest.fixture(scope="session")
def demo(course_folder: Path, demo_folder: Path) -> Studio:
    return load_studio(find_studio(course_folder, demo_folder, course_folder, {}))


@pytest.fixture
def tried(demo, course_folder):
    """Return a function that tries edits of the shipped course on the demo students."""

    def carry_out(*edits: Edit, on: int | None = None) -> Trial:
        day = demo.today if on is None else on
        return try_course(demo, course_of(apply(read_files(course_folder), edits), course_folder), day)

    return carry_out
