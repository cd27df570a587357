"""A page of text on top of a screen: help, the letters to read out, what a saved file changed."""

from __future__ import annotations

from typing import ClassVar

from textual.app import ComposeResult
from textual.containers import Horizontal, Vertical, VerticalScroll
from textual.content import Content
from textual.screen import ModalScreen
from textual.widgets import Button, Static

from readiness.words.english import STATE_WORDS, VERDICT_BRIEF, VERDICT_MARKS
from tui.actions import actions_of
from tui.panes.course_map import note_signs

__all__ = ["AreYouSure", "TextPage", "help_text"]


class TextPage(ModalScreen[None]):
    """Shows a text. Escape closes it, and so do Enter, q and the help key; c copies it."""

    BINDINGS: ClassVar = [("escape,f1,question_mark,q,enter", "dismiss", "Back"), ("c", "copy", "Copy")]
    AUTO_FOCUS = "VerticalScroll"

    def __init__(self, text: str) -> None:
        super().__init__()
        self.text = text

    def compose(self) -> ComposeResult:
        with VerticalScroll(id="text-page"):
            yield Static(Content(self.text))

    def on_mount(self) -> None:
        self.call_after_refresh(self._say_more)

    def on_resize(self) -> None:
        self.call_after_refresh(self._say_more)

    def _say_more(self) -> None:
        page = self.query_one("#text-page")
        page.border_subtitle = "more below: arrow keys, Page Down, End" if page.max_scroll_y else ""

    def action_copy(self) -> None:
        self.app.copy_to_clipboard(self.text)
        self.notify("Copied.")


def help_text(name: str, about: str) -> str:
    """Return the help of a screen: a few sentences, every key of the table, the marks."""
    rows = [(row.all_keys, row.help) for row in actions_of(name)]
    rows += [("ctrl+p", "Everything in one list; also: go to student, colours"), ("ctrl+q", "Leave")]
    keys = "\n".join(f"{keys:<9} {words}" for keys, words in rows)
    verdicts = "\n".join(f"{VERDICT_MARKS[one]:<4} {words}" for one, words in VERDICT_BRIEF.items())
    states = "\n".join(f"{note_signs()[one]:<4} {words}" for one, words in STATE_WORDS.items())
    marks = f"Marks of an answer\n{verdicts}\n\nNotes on the map\n{states}"
    return f"{about}\n\n{keys}\n\n{_MOVING}\n\n{marks}"


_MOVING = (
    "Arrow keys move, Tab goes to the next part of the screen, Escape goes back. "
    "The mouse works too. Nothing is written unless it says so."
)


# The one question before something is written or forgotten: Enter does what is usual, Escape never does it.


class AreYouSure(ModalScreen[bool]):
    """Answers True or False."""

    BINDINGS: ClassVar = [
        ("escape", "answer(False)", "No"),
        ("y", "answer(True)", "Yes"),
        ("left,right", "app.focus_next", "Other"),
    ]

    def __init__(self, words: str, yes: str, *, is_usual: bool = True) -> None:
        super().__init__()
        self.words, self.yes, self.is_usual = words, yes, is_usual

    def compose(self) -> ComposeResult:
        with Vertical(id="sure"):
            yield Static(Content(self.words))
            with Horizontal(id="sure-buttons"):
                yield Button(f"{self.yes} ({'Enter' if self.is_usual else 'y'})", id="yes", flat=True)
                yield Button("Not now (Esc)", id="no", flat=True)

    def on_mount(self) -> None:
        self.query_one("#yes" if self.is_usual else "#no").focus()

    def on_button_pressed(self, event: Button.Pressed) -> None:
        self.dismiss(event.button.id == "yes")

    def action_answer(self, yes: bool) -> None:
        self.dismiss(yes)
