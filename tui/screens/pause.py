"""Something hurts: one key from anywhere, what comes first, a few words, one question.

The page says to stop before it asks for anything. A hold is not taken back here: an adult ends
it, so the question is asked once.
"""

from __future__ import annotations

from typing import ClassVar

from textual.widgets import Input

from readiness.words.grammar import capital, tidy
from tui.actions import bindings_of
from tui.panes.field import WordField
from tui.pause_desk import PauseDesk
from tui.screens.step import StepScreen
from tui.screens.sure import AreYouSure
from tui.view import View

__all__ = ["PauseScreen"]


class PauseScreen(StepScreen):
    """One student's pause."""

    NAME = "pause"
    ABOUT = (
        "Somebody said that something hurts. Stop playing first. Choose what rests, type what was said, and "
        "the hold is kept in the student's file; only an adult ends it, with `readiness resume`."
    )
    BINDINGS: ClassVar = bindings_of("pause")
    WORDS = "what was said"

    def __init__(self, pause: PauseDesk) -> None:
        """Begin with nothing typed."""
        super().__init__()
        self.pause = pause
        self.part = self.words = ""

    @property
    def student(self) -> str:
        """Whose pause it is."""
        return self.pause.row.record.id

    def show(self, _view: View) -> None:
        """Take a new view."""
        row = self.row()
        if row is not None:
            self.pause.row = row
        self.draw()

    def headed(self) -> str:
        """Say whose pause it is."""
        return f"Pause · {tidy(self.pause.row.record.name)}"

    def told(self, width: int) -> str:
        """Say what comes first, then that the hold is kept."""
        return self.pause.kept(width) if self.is_kept else "\n\n".join(self.pause.first())

    def action_rest(self, part: str) -> None:
        """Choose what rests, and ask for the words; those of before are there still."""
        if self.is_kept:
            self.notify("The hold is kept. Only an adult ends it.")
            return
        self.part = part
        self.query_one(WordField).open((), self.words)

    def on_input_submitted(self, event: Input.Submitted) -> None:
        """Ask whether it is meant."""
        event.stop()
        self.words = " ".join(event.value.split())
        self.query_one(WordField).close()
        if self.words:
            self.app.push_screen(AreYouSure(self.pause.question(self.part, self.words), "Pause"), self._keep)
        else:
            self.notify("Not kept yet: please say in a few words what was said.")

    def _keep(self, yes: bool | None) -> None:
        if not yes:
            self.notify("Not kept yet. The words are still here; keys 1 to 3 bring them back.")
            return
        if why_not := self.pause.keep(self.part, self.words):
            self.notify(capital(why_not), severity="error", timeout=20)
            return
        self.keep_shown()
