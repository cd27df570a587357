"""What is said of each slip, nothing more and nothing less; a new check brings a folder (``slips.py``).

``UPDATE_GOLDEN=1`` writes the texts anew: then read the difference.
"""

from __future__ import annotations

import os

import pytest
from toml_files.slips import BAD, SMALL, lay_over

from readiness.course.load import load_course
from readiness.toml.problems import errors, render


def test_the_small_course_has_no_problem():
    assert load_course(SMALL).problems == ()


@pytest.mark.parametrize("slip", sorted(folder.name for folder in BAD.iterdir()))
def test_what_is_said_about_a_slip(slip, tmp_path):
    course, file = lay_over(tmp_path / "course", slip), BAD / slip / "expected.txt"
    loaded = load_course(course)
    told = "".join(f"{render(problem)}\n" for problem in loaded.problems).replace(f"{course}/", "")
    if os.environ.get("UPDATE_GOLDEN") == "1":
        file.write_text(told, encoding="utf-8")
    expected = file.read_text(encoding="utf-8")
    assert told == expected
    assert bool(errors(loaded.problems)) == (loaded.course is None) == (": error: " in expected)
    for place in (place for one in loaded.problems for place in (one.place, one.other) if place):
        lines = place.file.read_text(encoding="utf-8").splitlines()
        assert 1 <= place.line <= len(lines)
        assert 1 <= place.column <= len(lines[place.line - 1]) + 1
