"""Each folder of ``bad_courses`` is the small course with a teacher's slip in it.

A folder holds only the file that is wrong; the other comes from ``good_courses/small``. ``expected.txt``
is every word that is said about it, nothing more and nothing less. A check that is added brings such a
folder as its test.
"""

from __future__ import annotations

import shutil
from pathlib import Path

import pytest

from readiness.course.load import load_course
from readiness.toml.problems import errors, render

HERE = Path(__file__).parent
SMALL = HERE / "good_courses" / "small"
BAD = sorted(folder for folder in (HERE / "bad_courses").iterdir() if folder.is_dir())


def course_of(folder: Path, tmp_path: Path) -> Path:
    """Return a whole course with the wrong file in place of the right one."""
    course = shutil.copytree(SMALL, tmp_path / "course")
    for file in folder.glob("*.toml"):
        shutil.copy(file, course)
    return course


def test_the_small_course_has_no_problem():
    assert load_course(SMALL).problems == ()


@pytest.mark.parametrize("folder", BAD, ids=lambda folder: folder.name)
def test_what_is_said_about_a_slip(folder, tmp_path):
    expected = (folder / "expected.txt").read_text(encoding="utf-8")
    course = course_of(folder, tmp_path)
    loaded = load_course(course)
    texts = "".join(f"{render(problem)}\n" for problem in loaded.problems)
    assert texts.replace(f"{course}/", "") == expected
    assert bool(errors(loaded.problems)) == (loaded.course is None) == (": error: " in expected)
    for place in (place for one in loaded.problems for place in (one.place, one.other) if place):
        lines = place.file.read_text(encoding="utf-8").splitlines()
        assert 1 <= place.line <= len(lines)
        assert 1 <= place.column <= len(lines[place.line - 1]) + 1
