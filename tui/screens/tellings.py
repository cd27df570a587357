"""The same answer told to three readers: drafts to edit and copy. Nothing is sent."""

from __future__ import annotations

from typing import ClassVar

from textual.app import ComposeResult
from textual.containers import VerticalScroll
from textual.content import Content
from textual.widgets import Footer, Static

from readiness.words.grammar import tidy
from tui.actions import bindings_of
from tui.screens.base import Sheet, Title
from tui.view import View

__all__ = ["TellingsScreen"]

READERS = {"child": "the student", "family": "the family", "school": "the school"}


class TellingsScreen(Sheet):
    """One draft at a time; the keys 1 to 3 choose for whom."""

    NAME = "tellings"
    ABOUT = (
        "Drafts from the same facts for three readers. Choose with 1, 2, 3; c copies the one you see, and "
        "only that. Edit it before you use it; the program sends nothing."
    )
    BINDINGS: ClassVar = bindings_of("tellings")
    AUTO_FOCUS = "VerticalScroll"

    def __init__(self, student: str) -> None:
        """Keep whose answer is told."""
        super().__init__()
        self._student = student
        self.reader = "child"

    def compose(self) -> ComposeResult:
        """Lay the screen out."""
        yield Title(id="title")
        yield Static(id="readers")
        with VerticalScroll(id="draft"):
            yield Static(id="draft-text")
        yield Footer()

    @property
    def student(self) -> str:
        """Whose answer is told."""
        return self._student

    def show(self, _view: View) -> None:
        """Take a new view of the studio."""
        row = self.row()
        if row is None:
            return
        self.tell_title(f"What to say about {tidy(row.record.name)}")
        parts = []
        for key, (reader, words) in enumerate(READERS.items(), 1):
            is_chosen = reader == self.reader
            shown = f"[{key} {words}]" if is_chosen else f" {key} {words} "
            part = Content.styled(shown, "bold" if is_chosen else "")
            parts.append(part.stylize(f"@click=screen.reader('{reader}')"))
        self.query_one("#readers", Static).update(Content(" ").join(parts))
        self.query_one("#draft-text", Static).update(Content(self._text()))

    def on_resize(self) -> None:
        """Fit the lines to the width."""
        if self.browse.view is not None:
            self.show(self.browse.view)

    def _text(self) -> str:
        row = self.row()
        width = max(30, min(84, self.app.size.width - 6))
        return self.desk.telling(self.reader, row, width) if row else ""

    def action_reader(self, reader: str) -> None:
        """Choose for whom."""
        self.reader = reader
        if self.browse.view is not None:
            self.show(self.browse.view)

    def action_copy(self) -> None:
        """Copy the draft that is shown."""
        self.app.copy_to_clipboard(self._text())
        self.notify("Copied. Read it once more before you use it.")
