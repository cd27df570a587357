"""The one question before something is written or forgotten: Enter does it, Escape does not."""

from __future__ import annotations

from typing import ClassVar

from textual.app import ComposeResult
from textual.containers import Horizontal, Vertical
from textual.content import Content
from textual.screen import ModalScreen
from textual.widgets import Button, Static

__all__ = ["AreYouSure"]


class AreYouSure(ModalScreen[bool]):
    """Answers True or False."""

    BINDINGS: ClassVar = [
        ("escape", "answer(False)", "No"),
        ("y", "answer(True)", "Yes"),
        ("left,right", "app.focus_next", "Other"),
    ]

    def __init__(self, words: str, yes: str) -> None:
        """Keep the question and what the doing is called."""
        super().__init__()
        self.words, self.yes = words, yes

    def compose(self) -> ComposeResult:
        """Lay the question out."""
        with Vertical(id="sure"):
            yield Static(Content(self.words))
            with Horizontal(id="sure-buttons"):
                yield Button(f"{self.yes} (Enter)", id="yes", flat=True)
                yield Button("Not now (Esc)", id="no", flat=True)

    def on_button_pressed(self, event: Button.Pressed) -> None:
        """Answer by the button."""
        self.dismiss(event.button.id == "yes")

    def action_answer(self, yes: bool) -> None:
        """Answer by a key."""
        self.dismiss(yes)
