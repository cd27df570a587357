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


def said_about(course: Path) -> str:
    """Return all problems as printed, with the files named as if from inside their folder."""
    texts = [render(problem) for problem in load_course(course).problems]
    return "".join(f"{text}\n" for text in texts).replace(f"{course}/", "")


def test_the_small_course_has_no_problem():
    assert load_course(SMALL).problems == ()


@pytest.mark.parametrize("folder", BAD, ids=lambda folder: folder.name)
def test_what_is_said_about_a_slip(folder, tmp_path):
    expected = (folder / "expected.txt").read_text(encoding="utf-8")
    assert said_about(course_of(folder, tmp_path)) == expected


@pytest.mark.parametrize("folder", BAD, ids=lambda folder: folder.name)
def test_an_error_refuses_a_course_and_a_warning_does_not(folder, tmp_path):
    loaded = load_course(course_of(folder, tmp_path))
    is_refused = ": error: " in (folder / "expected.txt").read_text(encoding="utf-8")
    assert bool(errors(loaded.problems)) == (loaded.course is None) == is_refused


@pytest.mark.parametrize("folder", BAD, ids=lambda folder: folder.name)
def test_every_place_is_in_its_file(folder, tmp_path):
    for problem in load_course(course_of(folder, tmp_path)).problems:
        for place in filter(None, (problem.place, problem.other)):
            lines = place.file.read_text(encoding="utf-8").splitlines()
            assert 1 <= place.line <= len(lines)
            assert 1 <= place.column <= len(lines[place.line - 1]) + 1
