"""What the README shows is what the program says, and it names every command."""

from __future__ import annotations

import re
import shlex
from pathlib import Path

import pytest

from readiness.cli.commands import COMMANDS
from readiness.cli.main import main

ROOT = Path(__file__).parents[2]
README = (ROOT / "README.md").read_text(encoding="utf-8")


def test_the_worked_answer_is_what_the_program_says(
    monkeypatch: pytest.MonkeyPatch, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    monkeypatch.chdir(tmp_path)
    shown = README.split("<!-- output of: readiness why temwa -->\n```\n")[1].split("```\n")[0]
    assert main(["why", "temwa"]) == 1
    assert capsys.readouterr().out == shown


def test_the_first_own_studio_is_made_and_asked(
    monkeypatch: pytest.MonkeyPatch, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    monkeypatch.chdir(tmp_path)
    block = README.split("<!-- run by tests/cli/test_readme.py -->\n```\n")[1].split("```")[0]
    codes = []
    for program, *words in map(shlex.split, block.replace("&&", "\n").strip().splitlines()):
        if program == "cd":
            monkeypatch.chdir(*words)
        else:
            codes.append(main(words))
    assert codes == [0, 0, 0, 1]
    assert "Oda" in capsys.readouterr().out


def test_every_command_is_named_in_its_moment() -> None:
    rows = README.split("| in | commands |\n|---|---|\n")[1].split("\n\n")[0].splitlines()
    cells = [row.strip("| ").split(" | ") for row in rows]
    named = {(moment, name) for moment, names in cells for name in re.findall(r"`([a-z-]+)`", names)}
    assert {(command.moment, command.name) for command in COMMANDS} == named


def test_the_mistake_it_shows_is_found(
    monkeypatch: pytest.MonkeyPatch, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    monkeypatch.chdir(tmp_path)
    course = Path("my-studio/course")
    course.mkdir(parents=True)
    for name in ("graph.toml", "pacing.toml"):
        text = (ROOT / "skill_graphs" / "first-two-years" / name).read_text(encoding="utf-8")
        (course / name).write_text(text.replace('["rounded-hand-rest", "cl', '["rounded-hand-rset", "cl'))
    assert main(["check", str(course)]) == 2
    shown = README.split("was probably meant:\n\n```\n")[1].split("```")[0]
    assert shown in capsys.readouterr().out
