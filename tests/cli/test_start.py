"""What a start costs and says: help loads nothing heavy, and every trouble is one sentence."""

from __future__ import annotations

import json
import sys
import tomllib
from importlib import import_module
from pathlib import Path

import pytest

from readiness.cli.commands import COMMANDS, Exit
from readiness.cli.main import main

ROOT = Path(__file__).parents[2]
CROWD = "readiness.advice.placing_crowd"
HEAVY = ("pydantic", "networkx", "textual", CROWD)


@pytest.fixture
def loaded_by(start):
    """Return a function that says which heavy packages a command loads, in a fresh interpreter."""

    def find(*words):
        program = (
            "import contextlib, io, sys\n"
            "from readiness.cli.main import main\n"
            "with contextlib.redirect_stdout(io.StringIO()), contextlib.redirect_stderr(io.StringIO()):\n"
            f"    main({list(words)!r})\n"
            f"print(*[name for name in {HEAVY!r} if name in sys.modules])\n"
        )
        said = start(program=("-c", program))
        assert (said.code, said.err) == (0, "")
        return said.out.split()

    return find


@pytest.mark.parametrize("words", [("--help",), ("--version",), (), ("nonsense",)])
def test_help_loads_neither_models_nor_graph_nor_screens(words, loaded_by):
    assert loaded_by(*words) == []


@pytest.mark.parametrize("words", [("why", "temwa"), ("roster",), ("check",), ("recheck",)])
def test_no_command_loads_the_screens(words, loaded_by, monkeypatch):
    """Asked where nothing is kept of what was read before."""
    monkeypatch.setenv("READINESS_CACHE", "")
    found = loaded_by(*words)
    assert "pydantic" in found
    assert "textual" not in found


def test_the_screens_are_a_program_of_their_own_too(start):
    """``python -m tui`` is ``readiness browse``, with the same words and the same exit codes."""
    for words in ((), ("--help",), ("--on", "2025-13-01")):
        assert start(*words, program=("-m", "tui")) == start("browse", *words)


def test_what_is_noted_behind_what_was_checked_needs_no_models(loaded_by, folder, say, monkeypatch):
    monkeypatch.setenv("READINESS_STUDIO", "")
    where = ("--students", str(folder), "--on", "2025-12-02")
    assert say("why", "temwa", *where).code == Exit.NOT_READY
    for words in (("1", "wri"), ("1", "fing"), ("2", "feet", "--text", "a long day")):
        assert loaded_by("note", "temwa", *words, *where) == []
    assert loaded_by("plan", "temwa", *where) in ([], [CROWD])


def test_help_lists_every_command_and_the_exit_codes(say):
    said = say("--help")
    assert said.code == 0
    lines = said.out.splitlines()
    assert all(any(line.split()[:1] == [row.name] for line in lines) for row in COMMANDS)
    unfolded = " ".join(said.out.split())
    assert all(row.help in unfolded for row in COMMANDS)
    assert max(map(len, lines)) <= 80
    assert "exit codes: 0 ready, 1 not ready, 2 the files or the command are wrong" in unfolded
    assert say().err == said.out


@pytest.mark.parametrize("row", COMMANDS, ids=lambda row: row.name)
def test_every_command_has_help_of_its_own(row, say):
    said = say(row.name, "--help")
    assert said.code == 0
    assert f"usage: readiness {row.name}" in said.out
    assert row.help[1:] in said.out


def test_help_may_be_asked_for_by_its_name(say):
    assert say("help").out == say("--help").out
    assert say("help", "why").out == say("why", "--help").out


def test_the_version_is_that_of_the_project(say):
    project = tomllib.loads((ROOT / "pyproject.toml").read_text(encoding="utf-8"))["project"]
    assert say("--version").out.split() == ["readiness", project["version"]]


@pytest.mark.parametrize(
    "words, told",
    [
        (["wyh", "temwa"], 'there is no command "wyh". Did you mean "why"?'),
        (["zzz"], 'there is no command "zzz". All of them: `readiness --help`'),
        (["why"], "ID must be there: `readiness why ID`. All about it: `readiness why --help`"),
        (
            ["why", "temwa", "--of", "2025-12-02"],
            "It is written `readiness why ID`",
        ),
        (["why", "temwa", "--on"], "something must stand behind --on: --on DATE."),
        (["--nonsense"], "there is no option --nonsense here."),
        (["check", "--list", "ends"], 'loose-ends or variant, not "ends".'),
        (["why", "temwa", "noemi"], '"noemi" is one word too many; words that belong together stand in'),
        (["tell", "mum", "temwa"], 'READER is student, family, school or child, not "temwa".'),
        (["tell", "temwa", "famly"], 'Did you mean "family"? It is written `readiness tell [ID] [student'),
        (["resume", "temwa"], "--by and --words must be there: `readiness resume ID --by NAME --words"),
        (["serve", "--port", "x"], '--port takes a whole number, not "x".'),
        (["decide"], "ID and WHAT must be there: `readiness decide ID move|stay`."),
        (["sheet", "temwa", "--json", "--to", "x"], "of --json, --to and --html there can be one at a time"),
        (["why", "temwa", "--json=3"], "nothing can stand behind --json."),
        (["why", "temwa", "--stukc"], 'there is no option --stukc here; did you mean "--stuck"?'),
    ],
)
def test_a_mistyped_command_is_one_sentence(words, told, say):
    said = say(*words)
    assert said.code == Exit.WRONG
    assert said.out == ""
    assert told in said.told
    assert said.err.startswith("readiness: ")
    assert said.err.count("readiness: ") == 1


def test_an_interruption_is_quiet(say, monkeypatch):
    from readiness.cli import commands
    import_module("readiness.cli.school")

    def interrupted(args):
        raise KeyboardInterrupt

    monkeypatch.setitem(commands.HANDLERS, "roster", (commands.HANDLERS["roster"][0], interrupted))
    said = say("roster")
    assert (said.code, said.out, said.err) == (130, "", "")


@pytest.mark.skipif(sys.platform == "win32", reason="pipes there break in another way")
def test_a_reader_that_leaves_early_is_no_trouble(start):
    program = (
        "import os, sys\n"
        "from readiness.cli.main import main\n"
        "read, write = os.pipe()\n"
        "os.close(read)\n"
        "os.dup2(write, 1)\n"
        "sys.exit(main(['roster', '--json']))\n"
    )
    said = start(program=("-c", program))
    assert said.code == 141
    assert "Traceback" not in said.told
    assert "Exception ignored" not in said.told


def test_control_characters_that_were_typed_do_not_reach_the_terminal(say):
    said = say("why", "tem\x1b[31mwa")
    assert said.code == Exit.WRONG
    assert "\x1b" not in said.told


def test_the_module_and_the_program_are_the_same(start, say):
    started = start("why", "temwa", "--json")
    assert started.code == Exit.NOT_READY
    assert json.loads(started.out) == json.loads(say("why", "temwa", "--json").out)


@pytest.mark.skipif(sys.platform == "win32", reason="words are text there")
def test_bytes_that_are_no_text_are_refused_kindly(start):
    said = start("why", b"tem\xffwa")
    assert said.code == Exit.WRONG
    assert "there is no student" in said.told
    assert "Traceback" not in said.told


def test_the_output_is_utf8_whatever_the_terminal_says(start):
    plain = start("why", "temwa", "--json")
    other = start("why", "temwa", "--json", PYTHONIOENCODING="ascii", LC_ALL="C", NO_COLOR="1")
    assert other.out == plain.out


def test_what_the_system_refuses_is_one_sentence(say):
    said = say("why", "temwa", "--course", "x" * 5000)
    assert (said.code, said.out) == (Exit.WRONG, "")
    assert said.err.count("readiness: ") == 1


@pytest.mark.skipif(not Path("/dev/full").exists(), reason="no full disk to write to")
def test_a_full_disk_is_one_sentence(start):
    program = (
        "import os, sys\n"
        "from readiness.cli.main import main\n"
        "os.dup2(os.open('/dev/full', os.O_WRONLY), 1)\n"
        "code = main(['roster'])\n"
        "os.dup2(os.open(os.devnull, os.O_WRONLY), 1)\n"
        "sys.exit(code)\n"
    )
    said = start(program=("-c", program))
    assert said.code == Exit.WRONG
    assert "Traceback" not in said.told


def test_main_returns_plain_numbers():
    assert isinstance(main(["--help"]), int)
