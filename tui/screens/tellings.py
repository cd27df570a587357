"""The same answer told to three readers: drafts to edit and copy. Nothing is sent."""

from __future__ import annotations

from typing import ClassVar

from tui.actions import bindings_of
from tui.screens.choice import ChoiceScreen

__all__ = ["TellingsScreen"]


class TellingsScreen(ChoiceScreen):
    """One draft at a time; the keys 1 to 3 choose for whom."""

    NAME = "tellings"
    ABOUT = (
        "Drafts from the same facts for three readers. Choose with 1, 2, 3; c copies the one you see, and "
        "only that. Edit it before you use it; the program sends nothing."
    )
    BINDINGS: ClassVar = bindings_of("tellings")
    HEAD = "What to say about"

    def text(self) -> str:
        """Return the draft for the reader that is chosen."""
        row = self.row()
        return self.desk.telling(self.chosen, row, self.width) if row else ""
