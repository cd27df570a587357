"""What opens on top of a screen: a page of text, a form of a few fields, files in an editor, a list.

Choose one of a list, or a skill or unit by typing part of its name.
"""

from __future__ import annotations

import os
import shlex
import subprocess
from collections.abc import Callable, Mapping, Sequence
from pathlib import Path
from typing import Any, ClassVar, Final, NamedTuple, TypeVar

from textual.app import App, ComposeResult, SuspendNotSupported
from textual.containers import Horizontal, Vertical
from textual.content import Content
from textual.events import Key
from textual.screen import ModalScreen, Screen
from textual.suggester import SuggestFromList
from textual.widgets import Button, Input, Label, OptionList, Static
from textual.widgets.option_list import Option

from readiness.course.model import Course
from readiness.toml.texts import folded, nearest
from readiness.toml.write import Refusal
from readiness.words.english import STATE_WORDS, VERDICT_BRIEF, VERDICT_MARKS
from readiness.words.grammar import capital, tidy
from tui.actions import actions_of
from tui.course_map import note_signs
from tui.widgets import Field, Scrolled

__all__ = [
    "AreYouSure", "FormField", "Pick", "TextPage", "WorkForm", "editor_command", "help_text",
    "letter_typed", "looked_for", "open_in_editor", "pick_skill",
]  # fmt: skip


class TextPage(ModalScreen[None]):
    """Shows a text. Escape closes it, and so do Enter, q and the help key; c copies it."""

    BINDINGS: ClassVar = [("escape,f1,question_mark,q,enter", "dismiss", "Back"), ("c", "copy", "Copy")]
    AUTO_FOCUS = "VerticalScroll"

    def __init__(self, text: str) -> None:
        super().__init__()
        self.text = text

    def compose(self) -> ComposeResult:
        with Scrolled(id="text-page", can_focus=True):
            yield Static(Content(self.text))

    def action_copy(self) -> None:
        self.app.copy_to_clipboard(self.text)
        self.notify("Copied.")


def help_text(name: str, about: str) -> str:
    """Return the help of a screen: a few sentences, every key of the table, the marks."""
    rows = [(row.all_keys, row.help) for row in actions_of(name)]
    rows += [("ctrl+p", "Everything in one list; also: colours"), ("ctrl+q", "Leave")]
    keys = "\n".join(f"{keys:<9} {words}" for keys, words in rows)
    verdicts = "\n".join(f"{VERDICT_MARKS[one]:<4} {words}" for one, words in VERDICT_BRIEF.items())
    states = "\n".join(f"{note_signs()[one]:<4} {words}" for one, words in STATE_WORDS.items())
    marks = f"Marks of an answer\n{verdicts}\n\nNotes on the map\n{states}"
    return f"{about}\n\n{keys}\n\n{_MOVING}\n\n{marks}"


_MOVING = (
    "Arrow keys move, Tab goes to the next part of the screen, Escape goes back. "
    "The mouse works too. Nothing is written unless it says so."
)


Told = TypeVar("Told")


class OnTop(ModalScreen[Told]):
    """What asks for something on top of a screen; F1 says how it is answered."""

    BINDINGS: ClassVar = [("f1", "help", "Help")]
    HELP: ClassVar = (
        "Enter takes what is marked; in a form it goes to the next field, and in the last one keeps it all.\n"
        "ctrl+s keeps a form from any field. Tab and Shift+Tab go from field to field, arrow keys choose.\n"
        "Of a name a part is enough. Where a word is proposed, the right arrow takes it.\n"
        "Page Down shows more. Escape leads back, and nothing is written."
    )

    def __init__(self, words: str) -> None:
        super().__init__()
        self.words = words

    def action_help(self) -> None:
        self.app.push_screen(TextPage(f"{self.words}\n\n{self.HELP}"))


def letter_typed(event: Key, screen: Screen[Any] | None = None) -> str:
    """Return a letter as the beginning of words; empty for all else, and for a key of the ``screen``."""
    letter = event.character or ""
    is_key = screen is not None and event.key in screen.active_bindings
    return letter if letter.isalpha() and not is_key else ""


# The one question before something is written or forgotten: Enter does what is usual, Escape never does it.


class AreYouSure(OnTop[int]):
    """Answers 0 for no, 1 for yes, 2 for the other way of doing it, where there is one."""

    BINDINGS: ClassVar = [
        ("escape", "answer(0)", "No"),
        ("y", "answer(1)", "Yes"),
        ("i", "answer(2)", "The other way"),
        ("left,right", "app.focus_next", "Other"),
    ]

    typed: Callable[[str], None] | None = None
    """Takes the letter of somebody who types words, which is no answer then."""

    def __init__(self, words: str, yes: str, *, is_usual: bool = True, other: str = "") -> None:
        super().__init__(words)
        self.yes, self.is_usual, self.other = yes, is_usual, other

    def on_key(self, event: Key) -> None:
        """Lead back where words are typed."""
        if self.typed is not None and (letter := letter_typed(event)):
            event.stop()
            self.dismiss(0)
            self.app.call_later(self.typed, letter)

    def compose(self) -> ComposeResult:
        with Vertical(id="sure"):
            with Scrolled(id="sure-words"):
                yield Static(Content(self.words))
            with Horizontal(id="sure-buttons"):
                yield Button(f"{self.yes} ({'Enter' if self.is_usual else 'y'})", id="yes", flat=True)
                if self.other:
                    yield Button(f"{self.other} (i)", id="other", flat=True)
                yield Button("Not now (Esc)", id="no", flat=True)

    def on_mount(self) -> None:
        self.query_one("#yes" if self.is_usual else "#no").focus()

    def on_button_pressed(self, event: Button.Pressed) -> None:
        self.dismiss(("no", "yes", "other").index(event.button.id or "no"))

    def action_answer(self, answer: int) -> None:
        if answer < 2 or self.other:
            self.dismiss(answer)


class FormField(NamedTuple):
    """A field of a form: its name, the words above it, what stands in it, and what can."""

    name: str
    words: str
    value: str = ""
    choices: Sequence[str] = ()


MANY: Final = 4
"""With more fields than these the form has no empty lines, so that all of it is seen on 24 rows."""


class WorkForm(OnTop[str]):
    """One form; answers with what was written. What cannot be written stays in its fields."""

    BINDINGS: ClassVar = [
        ("escape", "leave", "Back"),
        ("ctrl+s", "keep", "Keep"),
        ("pageup", "scroll(-1)", "Up"),
        ("pagedown", "scroll(1)", "Down"),
    ]
    AUTO_FOCUS = "Input"

    def __init__(
        self,
        title: str,
        fields: Sequence[FormField],
        write: Callable[[Mapping[str, str]], Refusal | str],
        typed: dict[tuple[str, ...], str],
    ) -> None:
        """Ask; ``typed`` is what was typed before and not kept, by field, and takes what is typed now."""
        super().__init__(title)
        self.fields, self.write, self.typed = fields, write, typed

    def compose(self) -> ComposeResult:
        with Scrolled(id="form", classes="-many" if len(self.fields) > MANY else ""):
            yield Static(Content.styled(self.words, "bold"))
            for one in self.fields:
                yield Label(Content(capital(one.words)))
                suggester = SuggestFromList(one.choices, case_sensitive=False)
                value = self.typed.get((one.name,), one.value)
                yield Field(value, id=one.name, suggester=suggester, select_on_focus=bool(one.choices))
            words = "Enter goes on and, in the last field, keeps it. Escape leads back."
            yield Static(Content(words), id="told")

    def on_input_submitted(self, event: Input.Submitted) -> None:
        """Go to the next field; from the last one keep it."""
        if event.input is self.query(Input).last():
            self.action_keep()
        else:
            self.focus_next()

    def action_scroll(self, pages: int) -> None:
        """Scroll what is longer than the screen."""
        form = self.query_one(Scrolled)
        form.scroll_relative(y=pages * form.size.height)

    def hold(self) -> None:
        """Remember what stands in the fields, as not written."""
        if inputs := self.query(Input):  # they are not there before it is shown
            self.typed.clear()
            here = zip(self.fields, inputs, strict=True)
            self.typed.update({(one.name,): field.value for one, field in here if field.value != one.value})

    def action_leave(self) -> None:
        """Close the form; what was typed is there the next time."""
        self.hold()
        if self.typed:
            self.notify("Not written. It is there again when you open this, until you leave the program.")
        self.dismiss()

    def action_keep(self) -> None:
        """Write it; where that cannot be, say why, with the cursor in the field that its id names."""
        told = self.write({field.id or "": field.value for field in self.query(Input)})
        if isinstance(told, Refusal):
            is_shown = told.id == "shown"
            why = capital(told.message.removeprefix("nothing was written: "))
            words = told.message if is_shown else f"Not written. {why}"
            self.query_one("#told", Static).update(Content(words))
            for field in (one for one in self.query(Input) if one.id in told.id.split("-")):
                field.focus()
        else:
            self.typed.clear()
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
    ended: int | str = 0
    try:
        command = editor_command(file, line, os.environ)
        with app.suspend():  # which leaves the terminal to whatever is raised inside
            try:
                ended = subprocess.run(command, check=False).returncode  # noqa: S603 - the person's own
            except OSError as error:
                ended = (error.strerror or str(error)).lower()
    except SuspendNotSupported:
        return f"No editor can be opened from here. The line is {file}:{line}."
    except ValueError as error:  # a quotation mark without its other half
        return f"$EDITOR cannot be understood ({str(error).lower()})."
    if isinstance(ended, str):
        return f"The editor {command[0]} was not found or cannot be started ({ended}). Set $EDITOR to yours."
    return f"{command[0]} ended with {ended}." if ended else ""


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


class Pick(OnTop[str]):
    """Answers with the name of what was chosen, or nothing; with ``names``, part of one can be typed."""

    BINDINGS: ClassVar = [("escape", "dismiss", "Back"), ("down", "to_list", "The list")]

    def __init__(self, words: str, titles: Mapping[str, str], names: Mapping[str, str] | None = None) -> None:
        """Keep what is asked or, where it is typed, what it is called; and what there is to choose from."""
        super().__init__(words)
        self.titles, self.names = titles, names

    def compose(self) -> ComposeResult:
        with Vertical(id="pick"):
            if self.names is None:
                yield Static(Content.styled(f"{self.words} - Enter chooses, Escape leads back", "bold"))
            else:
                yield Field(placeholder=f"part of the name of a {self.words}, then Enter")
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
