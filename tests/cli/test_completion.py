"""What a shell is offered while a command is typed (argcomplete's protocol); the start without a command."""

from __future__ import annotations

import os
import pty
import subprocess
import sys

import pytest

from readiness.cli.commands import COMMANDS

pytest.importorskip("argcomplete")


@pytest.fixture
def offered(tmp_path, start):
    """Return a function that says what is offered at the end of a line (argcomplete's own protocol)."""

    def ask(line):
        answer = tmp_path / "offered"
        said = start(
            program=("-c", "from readiness.cli.main import run; run()"),
            _ARGCOMPLETE="1", _ARGCOMPLETE_IFS="\n", _ARGCOMPLETE_STDOUT_FILENAME=str(answer),
            COMP_LINE=line, COMP_POINT=str(len(line)),
        )  # fmt: skip
        assert (said.code, said.out) == (0, "")
        return [word.strip() for word in answer.read_text(encoding="utf-8").split("\n")]

    return ask


def test_every_command_is_offered(offered):
    assert {row.name for row in COMMANDS} <= set(offered("readiness "))


@pytest.mark.parametrize(
    "line, told",
    [
        ("readiness compa", ["compare"]),
        ("readiness why te", ["temwa"]),
        ("readiness together temwa no", ["noemi"]),
        ("readiness why temwa --bi", ["--birthday"]),
        ("readiness why temwa --skill wrist-l", ["wrist-lift"]),
        ("readiness note temwa --alone wrist-lift,rounded-hand-k", ["wrist-lift,rounded-hand-keys"]),
        ("readiness why --students nowhere te", [""]),
        ("readiness tell temwa fa", ["family"]),
        ("readiness decide temwa move --unit arms", ["arms-that-travel"]),
    ],
)
def test_what_is_typed_is_completed_from_the_files(line, told, offered):
    assert offered(line) == told


def test_a_studio_that_is_named_is_the_one_whose_students_are_offered(offered, tmp_path):
    (tmp_path / "children").mkdir()
    (tmp_path / "children" / "oda.toml").write_text("")
    assert offered("readiness why --students children o") == ["oda"]


def test_without_a_command_the_screens_open_at_a_terminal(tmp_path):
    ours, theirs = pty.openpty()
    program = (
        "import sys\nimport readiness.cli.main as main\n"
        "main._chosen = lambda words: print('asked for', *words) or sys.exit(0)\nmain.main([])\n"
    )
    with subprocess.Popen(
        [sys.executable, "-c", program], stdin=theirs, stdout=theirs, stderr=theirs, cwd=tmp_path
    ) as process:
        assert process.wait(60) == 0
    assert os.read(ours, 1000).decode().strip() == "asked for browse"
