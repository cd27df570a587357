"""What stands on the error stream fits the page, and what one copies from it is never broken."""

from __future__ import annotations

import io
import os
import pty
import re
import subprocess
import sys
from pathlib import Path

import pytest

from readiness.cli.output import aside, text_width
from readiness.toml.problems import Place, Problem, render
from readiness.toml.texts import wrapped

ROOT = Path(__file__).parents[2]


@pytest.mark.parametrize(
    "words",
    [
        ("why", "temwaa"),
        ("note", "temwa", "--alone", "wrsit-lift,rounded-hand-kyes", "--on", "2199-01-01"),
        ("why", "temwa", "--if", "carry_limt=3"),
        ("check", "nowhere"),
        ("start", "."),
    ],
)
def test_no_sentence_is_wider_than_the_page(say, studio, monkeypatch, words):
    monkeypatch.chdir(studio)
    said = say(*words)
    assert said.err
    for line in said.err.splitlines():
        assert len(line) <= 80 or " " not in line, line


def test_commands_paths_and_lines_for_a_file_stay_whole():
    text = "Please type `readiness start my-studio --with-demo` or write alone = [] there."
    for width in range(20, 60):
        lines = wrapped(text, width)
        assert " ".join(lines) == text
        assert any("`readiness start my-studio --with-demo`" in line for line in lines)
        assert any("alone = []" in line for line in lines)


@pytest.mark.parametrize("width", [40, 41, 45, 60, 80])
def test_a_path_with_spaces_stays_on_one_line(tmp_path, capsys, monkeypatch, width):
    folder = tmp_path / "my own studio" / "the students"
    folder.mkdir(parents=True)
    monkeypatch.setattr("readiness.cli.output.text_width", lambda stream: width)
    for path in (folder, folder / "nobody.toml"):
        aside(f"there is nothing to be read in {path}, so please look there yourself and ask again.")
        err = capsys.readouterr().err
        assert str(path) in err
        assert all(len(line) <= width or str(path) in line for line in err.splitlines())


def test_the_place_of_a_problem_stays_whole_and_its_sentences_are_folded():
    problem = Problem(
        "a", "error", Place(Path("a folder/x.toml"), 3, 1), "m " * 60 + "end", 'add: name = "..." ' * 9
    )
    lines = render(problem, width=60).splitlines()
    assert lines[0].startswith("a folder/x.toml:3:1: error: [a] m m")
    assert all(line.startswith("  ") for line in lines[1:])
    assert max(map(len, lines)) <= 60
    assert " ".join(" ".join(lines).split()) == " ".join(render(problem).split())
    assert len(render(problem).splitlines()) == 2


def test_where_no_terminal_is_both_streams_have_the_same_width(monkeypatch):
    assert text_width(io.StringIO()) == text_width(io.TextIOWrapper(io.BytesIO())) == 80
    monkeypatch.setenv("COLUMNS", "57")
    assert text_width(io.StringIO()) == text_width(io.TextIOWrapper(io.BytesIO())) == 57
    monkeypatch.setenv("COLUMNS", "so wide")
    assert text_width(io.StringIO()) == 80


@pytest.mark.skipif(sys.platform == "win32", reason="a terminal is made as POSIX makes one")
@pytest.mark.parametrize("columns", [50, 90])
def test_a_terminal_says_how_wide_it_is_for_errors_too(tmp_path, columns):
    import termios

    mine, theirs = pty.openpty()
    termios.tcsetwinsize(theirs, (24, columns))
    environment = {k: v for k, v in os.environ.items() if k != "COLUMNS"} | {"PYTHONPATH": str(ROOT)}
    words = [sys.executable, "-m", "readiness", "note", "temwa"]
    nothing = subprocess.DEVNULL
    subprocess.run(
        words, stdin=nothing, stdout=nothing, stderr=theirs, cwd=tmp_path, env=environment, check=False
    )
    os.close(theirs)
    lines = re.split(r"\r?\n", os.read(mine, 10_000).decode())
    os.close(mine)
    widest = max(map(len, lines))
    assert columns - 20 < widest <= columns
