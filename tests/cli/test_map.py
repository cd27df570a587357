"""``readiness map`` as a person uses it."""

from __future__ import annotations

import os
import subprocess
import sys
from pathlib import Path

import pytest

ROOT = Path(__file__).parents[2]


def test_it_prints_the_outline_when_nothing_else_is_said(say):
    said = say("map")
    assert said.code == 0
    assert said.out.startswith("First two years at the piano\n140 skills, 242 lines.")


@pytest.mark.parametrize(
    "kind, begins",
    [("svg", "<svg "), ("dot", "digraph "), ("mermaid", "flowchart LR\n"), ("txt", "Temwa, 2 Dec")],
)
def test_each_kind_of_picture_of_a_student(say, kind, begins):
    said = say("map", "--student", "temwa", "--unit", "3", "--to", kind)
    assert said.code == 0
    assert said.out.startswith(begins)


def test_the_ending_of_the_file_says_what_to_draw_and_nothing_is_written_over(say, tmp_path):
    said = say("map", "--out", "course.svg", "--paper", "a4")
    assert said.code == 0
    assert said.out == ""
    assert "who is it for" in said.told
    text = (tmp_path / "course.svg").read_text(encoding="utf-8")
    assert text.startswith("<svg ")
    again = say("map", "--out", "course.svg")
    assert again.code == 2
    assert "is there already" in again.told
    assert (tmp_path / "course.svg").read_text(encoding="utf-8") == text


def test_a_file_without_a_known_ending_asks_what_it_is_to_be(say):
    said = say("map", "--out", "course.pdf")
    assert said.code == 2
    assert "--to svg, dot, mermaid or txt" in said.told


def test_a_unit_may_be_misspelt(say):
    said = say("map", "--unit", "hand-take-turns")
    assert said.code == 2
    assert "hands-take-turns" in said.told
    unclear = say("map", "--unit", "hand")
    assert unclear.code == 2
    assert "3 hand-shape-wrist, 6 hands-take-turns" in unclear.told


def test_the_same_bytes_whatever_the_order_of_sets(tmp_path):
    drawn = set()
    for seed in ("1", "2"):
        done = subprocess.run(
            [sys.executable, "-m", "readiness", "map", "--to", "svg", "--student", "chikondi"],
            capture_output=True, check=True, cwd=tmp_path,
            env={**os.environ, "PYTHONPATH": str(ROOT), "PYTHONHASHSEED": seed},
        )  # fmt: skip
        drawn.add(done.stdout)
    assert len(drawn) == 1
