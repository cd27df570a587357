"""Everything that is written in a form: a list to choose from, then a few fields; and files in an editor."""

from __future__ import annotations

import os
import shlex
import subprocess
from collections.abc import Callable, Mapping
from pathlib import Path
from typing import ClassVar, Final

from textual.app import App, ComposeResult, SuspendNotSupported
from textual.containers import Vertical, VerticalScroll
from textual.content import Content
from textual.screen import ModalScreen
from textual.suggester import SuggestFromList
from textual.widgets import Input, Label, OptionList, Static
from textual.widgets.option_list import Option

from readiness.toml.write import Refusal
from readiness.words.grammar import capital, tidy
from tui.desk import Desk
from tui.view import StudentRow
from tui.work import WORKS, Work

__all__ = ["PickWork", "WorkForm", "editor_command", "open_in_editor"]


class PickWork(ModalScreen[str]):
    """Answers with the name of what is to be written, or nothing."""

    BINDINGS: ClassVar = [("escape", "dismiss", "Back")]

    def __init__(self, who: str, more: dict[str, str]) -> None:
        """Keep whom it is about, and what is offered beside the forms."""
        super().__init__()
        self.who, self.more = who, more

    def compose(self) -> ComposeResult:
        """Lay the list out."""
        titles = self.more | {one.name: one.title for one in WORKS}
        with Vertical(id="pick"):
            yield Static(Content.styled(f"Write about {self.who} - Enter chooses, Escape leads back", "bold"))
            yield OptionList(*(Option(title, id=name) for name, title in titles.items()), markup=False)

    def on_option_list_option_selected(self, event: OptionList.OptionSelected) -> None:
        """Answer."""
        self.dismiss(event.option_id)


class WorkForm(ModalScreen[str]):
    """One form; answers with what was written. What cannot be written stays in its fields."""

    BINDINGS: ClassVar = [("escape", "dismiss", "Back"), ("ctrl+s", "keep", "Keep")]
    AUTO_FOCUS = "Input"

    def __init__(self, work: Work, desk: Desk, row: Callable[[], StudentRow | None]) -> None:
        """Keep what is to be written, and about whom."""
        super().__init__()
        self.work, self.desk, self.about = work, desk, row

    def compose(self) -> ComposeResult:
        """Lay the fields out, with what is usual in them."""
        row = self.about()
        with VerticalScroll(id="form"):
            who = f" · {tidy(row.record.name)}" if row and self.work.name != "enrol" else ""
            yield Static(Content.styled(f"{self.work.title}{who}", "bold"))
            for ask in self.work.asks if row else ():
                choices = list(ask.choices(self.desk, row)) if row else []
                yield Label(Content(capital(ask.words)))
                value = choices[0] if choices and ask.is_filled else ""
                yield Input(value, id=ask.name, suggester=SuggestFromList(choices, case_sensitive=False))
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
        row = self.about()
        if row is None:
            return
        given = {field.id or "": field.value for field in self.query(Input)}
        told = self.work.carry_out(self.desk, row, given)
        if isinstance(told, Refusal):
            self.query_one("#told", Static).update(Content(f"Not written. {capital(told.message)}"))
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
