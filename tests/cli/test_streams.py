"""Streams that are closed, full or left by their reader: no traceback, and what was written is said.

Every command in every state of the three streams. The numbers 70 and 74 are those of ``sysexits.h``
(EX_SOFTWARE, EX_IOERR); that a program ends with 141 when its reader has gone is what a shell says of
SIGPIPE (128 + 13, POSIX).
"""

from __future__ import annotations

import io
import json
import os
import subprocess
import sys
from importlib import import_module
from itertools import count
from pathlib import Path

import pytest

from readiness.cli import output
from readiness.cli.commands import COMMANDS, Exit
from readiness.cli.main import main
from readiness.toml.write import WRITTEN

ROOT = Path(__file__).parents[2]

pytestmark = pytest.mark.skipif(sys.platform == "win32", reason="streams are closed in another way there")

COURSE = str(ROOT / "skill_graphs" / "first-two-years")
COMMAND_LINES = {
    "browse": (), "serve": ("--port", "1"), "why": ("temwa",), "roster": (), "ask": ("all",), "moderate": (),
    "sheet": ("temwa",), "plan": ("temwa",), "tell": ("temwa", "family"), "review": ("temwa",),
    "when": ("temwa",), "back": ("temwa",), "way": ("temwa", "--to", "6"),
    "changed": ("temwa", "--since", "2025-12-02"), "together": ("temwa", "rafiq"),
    "season": ("temwa", "--event", "2027-03-01"), "handover": ("temwa",), "share": ("temwa",), "map": (),
    "compare": ("--drop", "wrist-lift:rounded-hand-keys"), "watch": ("nowhere",), "retire": ("wrist-lift",),
    "exchange": ("export", COURSE, "course.graphml", "--as", "graphml"), "check": (),
    "doctor": (), "recheck": (), "place": ("noemi",),
    "note": ("temwa", "--alone", "wrist-lift"), "shown": ("temwa",), "undo": ("temwa",), "today": (),
    "enter": ("temwa", "1a"), "correct": ("temwa", "--yes", "--on", "2025-12-02"),
    "move-note": ("temwa", "noemi", "--on", "2025-12-09"),
    "decide": ("temwa", "stay", "--reason", "not yet"), "pause": ("temwa", "--words", "thumb hurts"),
    "resume": ("temwa", "--by", "Odalys", "--words", "fine"),
    "task": ("temwa", "--give", "wrist-lift", "--text", "slowly", "--minutes", "3", "--days", "4"),
    "consent": ("temwa", "video", "yes", "--by", "Odalys"),
    "promise": ("temwa", "--give", "a letter", "--to", "the mother"), "start": ("new",),
    "backup": ("../backup.zip",), "restore": ("../backup.zip", "--check"),
    "enrol": ("newling", "--name", "Newling", "--born", "2019-05"), "forget": ("temwa", "--yes"),
    "particulars": ("noemi", "--bench", "46 cm"), "calendar": ("--to", "lessons.ics"),
    "import": ("--template", "class", "table.csv"), "editor": ("--on", "2025-12-02"),
    "course": ("add", "strand", "more", "--name", "More", "--course", "new/course"), "pocket": (),
    "network": ("gather", "../network", "--name", "north"),
}  # fmt: skip
WRITING = {
    "exchange", "note", "undo", "decide", "pause", "resume", "task", "consent", "promise", "start", "enrol",
    "backup", "forget", "particulars", "enter", "correct", "move-note",
    "calendar", "import", "course", "network",
}  # fmt: skip
"""Which of these write something in a studio of one's own."""


def broken_pipe():
    read, write = os.pipe()
    os.close(read)
    return write


STATES = {
    "closed": lambda: None,
    "full": lambda: os.open("/dev/full", os.O_WRONLY),
    "left": broken_pipe,
}
CASES = [
    ((0,), "closed"), ((1,), "closed"), ((1,), "full"), ((1,), "left"), ((1, 2), "full"),
    ((0, 1, 2), "closed"),
]  # fmt: skip


def in_child(words, streams, state, folder, said):
    """Carry out a command in a process of its own, some streams in a state; return its code."""
    child = os.fork()
    if child:
        return os.waitstatus_to_exitcode(os.waitpid(child, 0)[1])
    code = 99  # never an exit code of a command
    try:
        os.chdir(folder)
        os.dup2(os.open(os.devnull, os.O_RDWR), 0)
        os.dup2(os.open(said, os.O_WRONLY | os.O_CREAT | os.O_TRUNC), 1)
        os.dup2(1, 2)
        own = [open(number, mode, closefd=False) for number, mode in enumerate("rww")]  # noqa: SIM115
        for number in streams:
            joined = STATES[state]()
            if joined is None:
                os.close(number)
                own[number] = None
            else:
                os.dup2(joined, number)
        sys.stdin, sys.stdout, sys.stderr = own
        code = main(words)
        sys.stdout.flush()
        sys.stderr.flush()
    finally:
        os._exit(code)


def test_every_command_is_tried():
    assert set(COMMAND_LINES) == {one.name for one in COMMANDS}


def contents(folder):
    files = (path for path in folder.rglob("*") if path.is_file() and path.name != "said")
    return {path: path.read_bytes() for path in files}


@pytest.mark.parametrize(("streams", "state"), CASES)
def test_no_command_ends_in_a_traceback(streams, state, studio, tmp_path):
    """74 where something was written and not told, and only there."""
    said, before, done = tmp_path / "said", contents(tmp_path), []
    for command in COMMANDS:
        import_module(command.module)  # once, and not in every child
    for name, more in COMMAND_LINES.items():
        code = in_child([name, *more], streams, state, studio, said)
        text = said.read_text(encoding="utf-8")
        assert "Traceback" not in text
        assert "this program has a mistake" not in text
        assert code in {0, 1, 2, 74, 141}
        is_written = contents(tmp_path) != before
        assert (code == Exit.NOT_TOLD) == (is_written and 1 in streams)
        if code == Exit.NOT_TOLD and 2 not in streams:
            assert "do not do it again" in " ".join(text.split())
        if is_written and 1 not in streams:
            assert code == Exit.READY
        before = contents(tmp_path)
        done += [name] * is_written
    assert set(done) >= WRITING


@pytest.mark.parametrize(
    ("more", "code"),
    [
        ("enrol zuri-two --name Zuri --born 2019-05 >&-", 74),
        ("enrol zuri-two --name Zuri --born 2019-05 >/dev/full", 74),
        ("enrol zuri-two --name Zuri --born 2019-05 >&- 2>&-", 74),
        ("enrol zuri-two --name Zuri --born 2019-05 2>&-", 0),
        ("enrol zuri-two --name Zuri --born 2019-05 2>/dev/full", 0),
        ("enrol zuri-two --name Zuri --born 2019-05 <&-", 0),
        ("roster --json >&-", 2),
        ("roster --json >/dev/full 2>/dev/full", 2),
        ("--help >/dev/full", 2),
        ("note temwa <&- >&- 2>&-", 2),
    ],
)
def test_a_real_process_ends_as_quietly(more, code, studio):
    words = f"{sys.executable} -m readiness {more}"
    env = {**os.environ, "PYTHONPATH": str(ROOT)}
    done = subprocess.run(words, shell=True, cwd=studio, capture_output=True, check=False, env=env)
    assert done.returncode == code
    assert b"Traceback" not in done.stderr
    assert b"Exception ignored" not in done.stderr
    assert (studio / "students" / "zuri-two.toml").exists() == ("enrol" in more)


def test_what_is_closed_never_becomes_a_file(studio):
    """A file that is opened gets the lowest free number: with 2 free, a message would go into it."""
    words = f"{sys.executable} -m readiness note temwa --alone wrist-lift --on 2026-01-06 2>&- 1>&- 0<&-"
    env = {**os.environ, "PYTHONPATH": str(ROOT)}
    assert subprocess.run(words, shell=True, cwd=studio, check=False, env=env).returncode == Exit.NOT_TOLD
    text = (studio / "students" / "temwa.toml").read_text(encoding="utf-8")
    assert "readiness:" not in text


@pytest.fixture
def broken_roster(monkeypatch):
    """A command with a mistake of the program in it, which first writes, if asked to."""
    from readiness.cli import commands
    import_module("readiness.cli.school")

    def with_mistake(args):
        if args.json:
            WRITTEN.set()
        raise ValueError("temwa: what a child's file says\n  is nobody's business here")

    monkeypatch.setitem(commands.HANDLERS, "roster", (commands.HANDLERS["roster"][0], with_mistake))


@pytest.mark.parametrize("more", [(), ("--json",)])
def test_a_mistake_of_the_program_is_one_line_and_no_answer(more, broken_roster, capsys):
    assert main(["roster", *more]) == Exit.OWN_ERROR
    out, err = capsys.readouterr()
    assert out == ""
    assert " ".join(err.split()).startswith(
        "readiness: this program has a mistake (ValueError in test_streams.py, line "
    )
    assert err.count("readiness:") == 1
    assert "child's file" not in err
    assert ("do not do it again" in " ".join(err.split())) == bool(more)


def test_a_mistake_in_the_screens_is_one_line_too(monkeypatch, capsys):
    """Textual prints a traceback with the values of all names, which are what was noted of children."""
    from tui.app import Browse

    def run(self):
        self._handle_exception(ValueError("what a child's file says"))
        self._print_error_renderables()

    monkeypatch.setattr(Browse, "run", run)
    for stream in ("stdin", "stdout", "stderr"):
        monkeypatch.setattr(getattr(sys, stream), "isatty", lambda: True, raising=False)
    assert main(["browse"]) == Exit.OWN_ERROR
    out, err = capsys.readouterr()
    assert err.count("readiness: this program has a mistake (ValueError") == 1
    assert "child's file" not in out + err


@pytest.mark.parametrize("words, file", [("pocket", "pocket.html"), ("calendar", "lessons.ics")])
def test_a_page_is_not_poured_onto_a_terminal(words, file, studio, monkeypatch, capsys):
    monkeypatch.chdir(studio)
    asked = [words, "--on", "2025-12-02"]
    assert main(asked) == Exit.READY
    assert len(capsys.readouterr().out) > 1000
    monkeypatch.setattr(sys.stdout, "isatty", lambda: True, raising=False)
    assert main(asked) == Exit.WRONG
    out, err = capsys.readouterr()
    assert out == ""
    assert f"please name a file: --to {file}" in err


def test_no_command_is_no_answer(capsys):
    assert main([]) == Exit.WRONG
    out, err = capsys.readouterr()
    assert out == ""
    assert "COMMAND" in err


def test_a_course_named_by_hand_wins(studio, course_folder, capsys):
    """Over a studio.toml beside the students that names a folder which is not there any more."""
    (studio / "students" / "studio.toml").write_text(
        'format = 1\nname = "Own"\ncourse = "gone"\nstudents = "."\n[courses]\nvoice = "gone-too"\n',
        encoding="utf-8",
    )
    words = ["why", "temwa", "--on", "2025-12-02", "--json", "--students", str(studio / "students")]
    assert main(words) == Exit.WRONG
    assert "no course folder" in capsys.readouterr().err
    assert main([*words, "--course", str(course_folder)]) == Exit.NOT_READY
    assert json.loads(capsys.readouterr().out)["student"] == "temwa"


OVER_ALL = [
    ("roster",), ("ask", "ready"), ("moderate",), ("recheck",), ("retire", "wrist-lift"),
    ("compare", "--drop", "wrist-lift:rounded-hand-keys"),
]  # fmt: skip


@pytest.mark.parametrize("words", OVER_ALL)
def test_who_was_left_out_is_said_by_every_run_over_all(words, studio, monkeypatch, capsys):
    monkeypatch.chdir(studio)
    assert main([*words, "--on", "2025-12-02"]) != Exit.WRONG
    (studio / "students" / "aa.toml").write_text('name = "A"\n', encoding="utf-8")
    assert main([*words, "--on", "2025-12-02"]) == Exit.WRONG
    assert "aa.toml" in capsys.readouterr().err


@pytest.mark.parametrize("terminal", [True, False])
@pytest.mark.parametrize("seconds", [0.1, 1.0])
def test_what_takes_long_says_how_far_it_is_at_a_terminal_alone(terminal, seconds, monkeypatch):
    """Ten things of a second each are told from the third on; what is done in a second says nothing."""
    clock, told = count(0.0, seconds), io.StringIO()
    told.isatty = lambda: terminal
    monkeypatch.setattr(output, "monotonic", lambda: next(clock))
    monkeypatch.setattr(sys, "stderr", told)
    assert list(output.watched("abcdefghij", 10, "Judging")) == list("abcdefghij")
    steps = told.getvalue().split("\r")
    if not terminal or seconds < 1:
        assert steps == [""]
    else:
        assert steps[1:3] == ["Judging: 3 of 10", "Judging: 4 of 10"]
        assert steps[-2:] == [" " * len(steps[-3]), ""]
