"""The help page of a screen: a few sentences, then every key, from the table of actions."""

from __future__ import annotations

from typing import ClassVar

from textual.app import ComposeResult
from textual.containers import VerticalScroll
from textual.content import Content
from textual.screen import ModalScreen
from textual.widgets import Static

from readiness.words.brief import STATE_BRIEF, STATE_LETTERS, VERDICT_BRIEF, VERDICT_MARKS
from tui.actions import actions_of

__all__ = ["HelpScreen"]


class HelpScreen(ModalScreen[None]):
    """What can be done on a screen. Escape, or the help key again, closes it."""

    BINDINGS: ClassVar = [("escape,f1,question_mark,q,enter", "dismiss", "Back")]

    def __init__(self, name: str, about: str) -> None:
        """Keep which screen it is about."""
        super().__init__()
        self.about = about
        self.of = name

    def compose(self) -> ComposeResult:
        """Lay the page out."""
        with VerticalScroll(id="help"):
            yield Static(Content(self.about), classes="about")
            yield Static(Content(self._keys()), classes="keys")
            yield Static(Content(_MOVING), classes="about")
            yield Static(Content(_marks()), classes="about")

    def _keys(self) -> str:
        rows = [(row.all_keys, row.help) for row in actions_of(self.of)]
        rows += [("ctrl+p", "Everything as a list to search in, also: go to student, colours"), ("ctrl+q", "Leave")]
        return "\n".join(f"{keys:<9} {words}" for keys, words in rows)


_MOVING = (
    "Arrow keys move, Tab goes to the next part of the screen, Escape goes back. "
    "The mouse works too. Nothing is written unless it says so."
)


def _marks() -> str:
    verdicts = "\n".join(f"{VERDICT_MARKS[one]:<4} {words}" for one, words in VERDICT_BRIEF.items())
    states = "\n".join(f"{STATE_LETTERS[one]:<4} {words}" for one, words in STATE_BRIEF.items())
    return f"Marks of an answer\n{verdicts}\n\nLetters of a skill\n{states}"
