"""What is said of each slip, nothing more and nothing less; a new check brings a folder (``slips.py``)."""

from __future__ import annotations

from dataclasses import replace

import pytest
from pinned import hold_against
from toml_files.slips import BAD, SMALL, lay_over

from readiness.course import load
from readiness.course.checks import check
from readiness.course.draft import Draft
from readiness.course.load import load_course
from readiness.toml.problems import Problem, errors, render


def test_the_small_course_has_no_problem():
    assert load_course(SMALL).problems == ()


@pytest.mark.parametrize("slip", sorted(folder.name for folder in BAD.iterdir()))
def test_what_is_said_about_a_slip(slip, tmp_path):
    course = lay_over(tmp_path / "course", slip)
    loaded = load_course(course)
    told = "".join(f"{render(problem)}\n" for problem in loaded.problems).replace(f"{course}/", "")
    hold_against(BAD / slip / "expected.txt", told)
    assert bool(errors(loaded.problems)) == (loaded.course is None) == (": error: " in told)
    for place in (place for one in loaded.problems for place in (one.place, one.other) if place):
        lines = place.file.read_text(encoding="utf-8").splitlines()
        assert 1 <= place.line <= len(lines)
        assert 1 <= place.column <= len(lines[place.line - 1]) + 1


@pytest.mark.parametrize("slip", sorted(folder.name for folder in BAD.iterdir()))
def test_what_follows_from_a_slip_does_not_hang_on_how_it_is_worded(slip, tmp_path, monkeypatch):
    def reworded(draft: Draft) -> tuple[Problem, ...]:
        return tuple(replace(one, message=f"otherwise: {one.message.swapcase()}") for one in check(draft))

    course = lay_over(tmp_path / "course", slip)
    as_worded = load_course(course).problems
    monkeypatch.setattr(load, "check", reworded)
    told = load_course(course).problems
    assert {(one.id, one.place, one.hint) for one in told} == {
        (one.id, one.place, one.hint) for one in as_worded
    }
