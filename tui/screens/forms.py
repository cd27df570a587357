"""A form of a few fields, files in an editor, and one to choose from a list by typing part of its name.

Choose one of a list, or a skill or unit by typing part of its name.
"""

from __future__ import annotations

import os
import shlex
import subprocess
from collections.abc import Callable, Mapping, Sequence
from pathlib import Path
from typing import ClassVar, Final, NamedTuple

from textual.app import App, ComposeResult, SuspendNotSupported
from textual.containers import Vertical, VerticalScroll
from textual.content import Content
from textual.screen import ModalScreen
from textual.suggester import SuggestFromList
from textual.widgets import Input, Label, OptionList, Static
from textual.widgets.option_list import Option

from readiness.course.model import Course
from readiness.toml.texts import folded, nearest
from readiness.toml.write import Refusal
from readiness.words.grammar import capital, tidy

__all__ = ["FormField", "Pick", "WorkForm", "editor_command", "looked_for", "open_in_editor", "pick_skill"]

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


# What somebody looks for by typing part of a name, also with a slip in it.
#
# What has the letters typed comes first; only where nothing has them is each word taken for the
# nearest word there is, as the command line does, and it is said for which.


def looked_for(part: str, names: Mapping[str, str]) -> tuple[tuple[str, ...], str]:
    """Return the keys of the names that fit, and what was taken to be meant, empty where nothing was.

    Args:
        part: what was typed, without capitals and accents; names: by key, the same way.

    >>> names = {"a": "ottilie", "b": "lifts the wrist"}
    >>> looked_for("tti", names), looked_for("otilie", names), looked_for("wrst", names)
    ((('a',), ''), (('a',), 'ottilie'), (('b',), 'wrist'))
    >>> looked_for("zz", names)
    ((), '')
    """
    found = tuple(key for key, name in names.items() if part in name)
    if found or not part:
        return found, ""
    words = {word for name in names.values() for word in name.replace("-", " ").split()}
    meant = [nearest(one, words) for one in part.replace("-", " ").split()]
    if not meant or None in meant:
        return (), ""
    fits = tuple(key for key, name in names.items() if all(one in name for one in meant if one))
    return fits, " ".join(one for one in meant if one) if fits else ""


def pick_skill(course: Course, *, has_units: bool = False) -> Pick:
    """Return the question for a skill of a course; ``has_units``: or for a unit."""
    skills = [one for one in course.skills if one.id not in course.gone]
    units = course.units if has_units else ()
    titles = {one.id: f"{one.number:>2}  Unit {one.number}, {tidy(one.name)}" for one in units}
    titles |= {one.id: f"{course.unit[one.unit].number:>2}  {tidy(one.name)}" for one in skills}
    names = {one.id: folded(f"unit {one.number}, {one.name} {one.id}") for one in units}
    names |= {one.id: folded(f"{one.name} {one.id}") for one in skills}
    return Pick("skill or unit" if has_units else "skill", titles, names)


class Pick(ModalScreen[str]):
    """Answers with the name of what was chosen, or nothing; with ``names``, part of one can be typed."""

    BINDINGS: ClassVar = [("escape", "dismiss", "Back"), ("down", "to_list", "The list")]

    def __init__(self, words: str, titles: Mapping[str, str], names: Mapping[str, str] | None = None) -> None:
        """Keep what is asked or, where it is typed, what it is called; and what there is to choose from."""
        super().__init__()
        self.words, self.titles, self.names = words, titles, names

    def compose(self) -> ComposeResult:
        with Vertical(id="pick"):
            if self.names is None:
                yield Static(Content.styled(f"{self.words} - Enter chooses, Escape leads back", "bold"))
            else:
                asked = f"part of the name of a {self.words} - Enter takes it, Escape leads back"
                yield Input(placeholder=asked)
            yield OptionList(markup=False)

    def on_mount(self) -> None:
        self._fill("")

    def _fill(self, typed: str) -> None:
        found, meant = looked_for(folded(typed), self.names or self.titles)
        guess = f'Nothing called "{typed}". Did you mean {meant}?' if meant else ""
        for field in self.query(Input):
            field.border_title = Content(guess)
        options = self.query_one(OptionList)
        options.set_options(Option(Content(self.titles[one]), id=one) for one in found)
        if not found:
            words = f'No {self.words} is called "{typed}". Other letters, or Escape leads back.'
            options.add_option(Option(Content(words), disabled=True))
        options.highlighted = 0 if found else None

    def on_input_changed(self, event: Input.Changed) -> None:
        self._fill(event.value.strip())

    def on_input_submitted(self) -> None:
        self.query_one(OptionList).action_select()

    def on_option_list_option_selected(self, event: OptionList.OptionSelected) -> None:
        self.dismiss(event.option_id)

    def action_to_list(self) -> None:
        self.query_one(OptionList).focus()
