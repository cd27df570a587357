"""What is written in a form of a few fields; and files in an editor."""

from __future__ import annotations

import os
import shlex
import subprocess
from collections.abc import Callable, Mapping, Sequence
from pathlib import Path
from typing import ClassVar, Final, NamedTuple

from textual.app import App, ComposeResult, SuspendNotSupported
from textual.containers import VerticalScroll
from textual.content import Content
from textual.screen import ModalScreen
from textual.suggester import SuggestFromList
from textual.widgets import Input, Label, Static

from readiness.toml.write import Refusal
from readiness.words.grammar import capital

__all__ = ["FormField", "WorkForm", "editor_command", "open_in_editor"]


class FormField(NamedTuple):
    """A field of a form: its name, the words above it, what stands in it, and what can."""

    name: str
    words: str
    value: str = ""
    choices: Sequence[str] = ()


MANY: Final = 4
"""With more fields than these the form has no empty lines, so that all of it is seen on 24 rows."""


class WorkForm(ModalScreen[str]):
    """One form; answers with what was written. What cannot be written stays in its fields."""

    BINDINGS: ClassVar = [("escape", "dismiss", "Back"), ("ctrl+s", "keep", "Keep")]
    AUTO_FOCUS = "Input"

    def __init__(
        self, title: str, fields: Sequence[FormField], write: Callable[[Mapping[str, str]], Refusal | str]
    ) -> None:
        super().__init__()
        self.words, self.fields, self.write = title, fields, write

    def compose(self) -> ComposeResult:
        with VerticalScroll(id="form", classes="-many" if len(self.fields) > MANY else ""):
            yield Static(Content.styled(self.words, "bold"))
            for one in self.fields:
                yield Label(Content(capital(one.words)))
                suggester = SuggestFromList(one.choices, case_sensitive=False)
                yield Input(one.value, id=one.name, suggester=suggester, select_on_focus=bool(one.choices))
            words = "Enter goes on and, in the last field, keeps it. Escape leads back."
            yield Static(Content(words), id="told")

    def on_input_submitted(self, event: Input.Submitted) -> None:
        """Go to the next field; from the last one keep it."""
        if event.input is self.query(Input).last():
            self.action_keep()
        else:
            self.focus_next()

    def action_keep(self) -> None:
        """Write it; where that cannot be, say why."""
        told = self.write({field.id or "": field.value for field in self.query(Input)})
        if isinstance(told, Refusal):
            is_shown = told.id == "shown"
            words = told.message if is_shown else f"Not written. {capital(told.message)}"
            self.query_one("#told", Static).update(Content(words))
        else:
            self.dismiss(told)


# A file in the editor of one's own ($VISUAL, $EDITOR), at a line; the screens stand back meanwhile.

USUAL: Final = "vi"
AT_A_PLACE: Final = ("code", "codium", "subl", "hx", "zed")
"""Editors that take FILE:LINE; the others take +LINE before the file (common practice, no source)."""


def editor_command(file: Path, line: int, environ: Mapping[str, str]) -> list[str]:
    """Return the command that opens a file at a line.

    >>> editor_command(Path("a.toml"), 7, {"EDITOR": "nano -w"})
    ['nano', '-w', '+7', 'a.toml']
    >>> editor_command(Path("a.toml"), 7, {"VISUAL": "hx"})
    ['hx', 'a.toml:7']
    """
    words = shlex.split(environ.get("VISUAL") or environ.get("EDITOR") or USUAL)
    if Path(words[0]).stem in AT_A_PLACE:
        return [*words, *(["--wait", "--goto"] if words[0].startswith("cod") else []), f"{file}:{line}"]
    return [*words, f"+{line}", str(file)]


def open_in_editor(app: App[object], file: Path, line: int) -> str:
    """Open a file and wait until the editor is left; return why that cannot be, if so."""
    command = editor_command(file, line, os.environ)
    try:
        with app.suspend():
            done = subprocess.run(command, check=False)  # noqa: S603 - the editor that the person chose
    except SuspendNotSupported:
        return f"No editor can be opened from here. The line is {file}:{line}."
    except OSError as error:
        why = (error.strerror or str(error)).lower()
        return f"{command[0]} cannot be started ({why}). Set $EDITOR to your editor."
    return f"{command[0]} ended with {done.returncode}." if done.returncode else ""
