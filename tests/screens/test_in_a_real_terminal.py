"""The real program in a real terminal: drawn, used, killed in the middle of a lesson, used again."""

from __future__ import annotations

import os
import shlex
import shutil
import signal
import subprocess
import sys
import time
from pathlib import Path

import pytest

from readiness.record import draft_entry as half_done

ROOT = Path(__file__).parents[2]

pytestmark = pytest.mark.skipif(shutil.which("tmux") is None, reason="tmux is not installed here")


class Terminal:
    """One terminal of tmux on a server of its own."""

    def __init__(self, folder: Path) -> None:
        self.base = ["tmux", "-S", str(folder / "socket"), "-f", "/dev/null"]

    def run(self, *words: str) -> str:
        return subprocess.run([*self.base, *words], check=True, capture_output=True, text=True).stdout

    def start(self, command: str) -> None:
        self.run("new-session", "-d", "-x", "80", "-y", "24", "-s", "one")
        self.run("set-option", "-g", "remain-on-exit", "on")
        self.run("respawn-pane", "-k", "-t", "one", command)

    def press(self, *keys: str) -> None:
        for key in keys:
            self.run("send-keys", "-t", "one", key)
            time.sleep(0.1)

    def screen(self) -> str:
        return self.run("capture-pane", "-p", "-t", "one")

    def wait_for(self, words: str) -> None:
        for _ in range(300):
            if words in self.screen():
                return
            time.sleep(0.1)
        raise AssertionError(f"{words!r} never came:\n{self.screen()}")

    def wait_for_its_end(self) -> None:
        for _ in range(300):
            if self.run("display-message", "-p", "-t", "one", "#{pane_dead}").strip() == "1":
                return
            time.sleep(0.1)
        raise AssertionError(f"it never ended:\n{self.screen()}")

    def pid(self) -> int:
        return int(self.run("display-message", "-p", "-t", "one", "#{pane_pid}"))

    def end(self) -> None:
        subprocess.run([*self.base, "kill-server"], check=False, capture_output=True)


@pytest.fixture
def terminal(tmp_path):
    found = Terminal(tmp_path)
    yield found
    found.end()


def test_a_lesson_killed_in_the_middle_is_offered_again(students, terminal):
    command = f"exec {sys.executable} -m readiness browse --students {students} --on 2025-12-08"
    environment = f"cd {ROOT} && PYTHONPATH={ROOT} {command}"
    terminal.start(environment)
    terminal.wait_for("Temwa")
    terminal.press("End", "l")
    terminal.wait_for("Before: :| look again")
    terminal.press("1", "1", "2")
    terminal.wait_for("2 with a reminder")
    os.kill(terminal.pid(), signal.SIGKILL)
    terminal.wait_for_its_end()
    terminal.run("respawn-pane", "-k", "-t", "one", environment)
    terminal.wait_for("Temwa")
    terminal.press("End", "l")
    terminal.wait_for("Kept from 8 December 2025")
    terminal.wait_for("2 with a reminder")
    terminal.press("Escape")
    terminal.wait_for("1 today")
    terminal.press("q")
    terminal.wait_for_its_end()
    assert "Traceback" not in terminal.screen()
    assert (students / "temwa.toml").read_text(encoding="utf-8") == (
        ROOT / "demo_students" / "temwa.toml"
    ).read_text(encoding="utf-8")


FORMS = {
    "pause": (("!", "1", *"left"), "left", ("!",), "keys 1 to 3 bring them back", ("1",)),
    "decide": (("d", "m", "Enter", *"five"), "five", ("d", "m", "Enter"), "please say why", ()),
    "promise": (("w", "Down", "Enter", *"aunt"), "aunt", ("w", "Down", "Enter"), "A promise", ()),
}
"""By form: the keys that open it and type, the words; the keys that open it again, and what is said then."""


@pytest.mark.parametrize("form", FORMS)
def test_words_of_a_form_that_was_killed_are_offered_again_until_they_are_thrown_away(
    students, terminal, form
):
    keys, words, again, said, more = FORMS[form]
    temwa, kept = students / "temwa.toml", f'Typed and not written: "{words}".'
    begun = f'A pause is begun and not kept: "{words}". Key ! goes on with it.'
    before = temwa.read_bytes()
    environment = f"cd {ROOT} && PYTHONPATH={ROOT} exec {sys.executable} -m readiness browse"
    environment += f" --students {students} --on 2025-12-08"
    terminal.start(environment)
    terminal.wait_for("Temwa")
    terminal.press("End", *keys)
    terminal.wait_for(words)
    wait_until(lambda: [*half_done.forms(temwa).get(form, {}).values()] == [words])
    os.kill(terminal.pid(), signal.SIGKILL)
    terminal.wait_for_its_end()
    terminal.run("respawn-pane", "-k", "-t", "one", environment)
    terminal.wait_for("half done")
    terminal.press("End")
    terminal.wait_for(begun if form == "pause" else kept)
    terminal.press(*again)
    terminal.wait_for(said)
    terminal.press(*more)
    terminal.wait_for(words)
    terminal.press("C-c")
    terminal.wait_for("Temwa: ")
    terminal.wait_for("Leave without it?")
    terminal.press("y")
    terminal.wait_for_its_end()
    assert not list(students.glob(".*"))
    assert temwa.read_bytes() == before


def wait_until(is_so):
    for _ in range(300):
        if is_so():
            return
        time.sleep(0.1)
    raise AssertionError("it never came")


def test_a_pause_is_red_on_sixteen_colours_and_what_was_not_chosen_is_not_remembered(students, terminal):
    """SGR 41 is a red ground in the sixteen colours of ECMA-48 (8.3.117)."""
    config = students.parent / "config"
    terminal.start(
        f"cd {ROOT} && env -u COLORTERM -u NO_COLOR TERM=linux PYTHONPATH={ROOT} XDG_CONFIG_HOME={config} "
        f"{sys.executable} -m readiness browse --students {students} --on 2025-12-08"
    )
    terminal.wait_for("|| paused")
    drawn = terminal.run("capture-pane", "-e", "-p", "-t", "one").split("\n")
    paused = [one for one in drawn if "paused" in one]
    assert paused
    assert all("\x1b[41m" in one for one in paused if "\u25b8" not in one)
    terminal.press("q")
    terminal.wait_for_its_end()
    assert not list(config.rglob("*"))


@pytest.mark.parametrize("how", [signal.SIGTERM, signal.SIGHUP])
def test_whoever_ends_it_from_outside_gets_the_terminal_back_and_loses_no_words(students, terminal, how):
    """The alternate screen, the mouse and the cursor are asked for as xterm's control sequences have it."""
    environment = f"cd {ROOT} && PYTHONPATH={ROOT} {sys.executable} -m readiness browse --students {students}"
    terminal.start(f"{environment} --on 2025-12-08; sleep 60")
    terminal.wait_for("Temwa")
    terminal.press("End", "l", "'", "h", "e", "a")
    terminal.wait_for("hea")
    child = subprocess.run(["pgrep", "-P", str(terminal.pid())], check=True, capture_output=True, text=True)
    os.kill(int(child.stdout.split()[0]), how)
    asked = "#{alternate_on}#{mouse_any_flag}#{cursor_flag}"
    for _ in range(300):
        if terminal.run("display-message", "-p", "-t", "one", asked).strip() == "001":
            break
        time.sleep(0.1)
    assert terminal.run("display-message", "-p", "-t", "one", asked).strip() == "001", terminal.screen()
    assert "Traceback" not in terminal.screen()
    assert half_done.typed(students / "temwa.toml") == {(): "hea"}


@pytest.mark.parametrize("editor", ["no-such-editor -w", "'"])
def test_an_editor_that_is_not_there_is_said_and_the_screens_go_on(students, terminal, editor):
    environment = f"cd {ROOT} && EDITOR={shlex.quote(editor)} VISUAL= PYTHONPATH={ROOT} exec {sys.executable}"
    terminal.start(f"{environment} -m readiness browse --students {students} --on 2025-12-08")
    terminal.wait_for("Temwa")
    terminal.press("End", "e")
    terminal.wait_for("$EDITOR")
    terminal.press("Enter")
    terminal.wait_for("Still needed")


_NEVER_LEAVES = """
import tui.app
from readiness.cli.main import main
tui.app.LEAVING_SECONDS = 0.5
tui.app.Browse.exit = lambda *_: None
main(["browse", "--students", {students!r}])
"""


def test_a_terminal_that_cannot_be_given_back_leaves_no_program_behind(students, terminal):
    """What is written to one that was closed may wait for ever: here leaving does so in any case."""
    program = shlex.quote(_NEVER_LEAVES.format(students=str(students)))
    terminal.start(f"cd {ROOT} && PYTHONPATH={ROOT} exec {sys.executable} -c {program}")
    terminal.wait_for("Temwa")
    os.kill(terminal.pid(), signal.SIGHUP)
    terminal.wait_for_its_end()
