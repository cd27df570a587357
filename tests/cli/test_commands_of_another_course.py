"""What an answer about another course of the studio proposes to type is about that course too."""

from __future__ import annotations

import re
import shutil

import pytest

COMMAND = re.compile(r"`readiness [a-z-]+[^`]*`|: readiness [^·\n]*|(?<=· )(?:tell|sheet|plan) [a-z][^·\n]*")
ASKED = (
    "why dario", "sheet dario", "plan dario", "place dario", "review dario", "back dario", "roster", "today",
    "season dario", "note dario --alone stands-balanced", "changed dario --since 2025-11-20", "ask all",
    "shown dario",
    "decide dario move", "when dario", "handover dario", "task dario", "consent dario",
)  # fmt: skip


@pytest.fixture
def folder(tmp_path, demo_folder, course_folder):
    """Return a copy of the second demo studio, to be written to."""
    shutil.copytree(demo_folder / "two-courses", tmp_path / "demo_students" / "two-courses")
    shutil.copytree(course_folder.parent, tmp_path / "skill_graphs")
    return tmp_path / "demo_students" / "two-courses"


@pytest.mark.parametrize("asked", ASKED)
def test_a_command_that_is_printed_asks_about_the_same_course(asked, say, folder, monkeypatch):
    monkeypatch.chdir(folder)
    for course in (("--course", "voice"), ()):
        said = say(*asked.split(), *course)
        proposed = COMMAND.findall(f"{said.out}\n{said.told}")
        assert all(("--course voice" in one) == bool(course) for one in proposed), proposed


def test_a_sheet_on_paper_is_entered_as_it_says(say, folder, monkeypatch):
    monkeypatch.chdir(folder)
    sheet = " ".join(say("sheet", "dario", "--course", "voice").out.split())
    enter = re.search(r"`readiness (enter dario --course voice \w+) 1a 2c 3-`", sheet)[1].split()
    assert say(*enter, "2a").code == 0
    assert say(*enter[:2], *enter[4:], "2a").code == 2
