"""What the pages of one step share: a text, a field for a few words, something kept once.

What is said, asked and kept is each page's own.
"""

from __future__ import annotations

from textual.app import ComposeResult
from textual.containers import VerticalScroll
from textual.content import Content
from textual.widgets import Footer, Static

from tui.panes.field import WordField
from tui.screens.base import Sheet, Title

__all__ = ["StepScreen"]


class StepScreen(Sheet):
    """A page about one step of one student; ``WORDS`` is what its field asks for."""

    AUTO_FOCUS = "VerticalScroll"
    WORDS = ""

    def __init__(self) -> None:
        """Begin with nothing kept."""
        super().__init__()
        self.is_kept = False

    def compose(self) -> ComposeResult:
        """Lay the screen out."""
        yield Title(id="title")
        with VerticalScroll(id="draft"):
            yield Static(id="draft-text")
        yield WordField("remark", {}, self.WORDS)
        yield Footer()

    def on_resize(self) -> None:
        """Fit the lines to the width."""
        self.draw()

    def draw(self) -> None:
        """Show the title and the text, as soon as there is anything to show."""
        if self.browse.view is not None:
            self.tell_title(self.headed())
            told = self.told(max(30, min(84, self.app.size.width - 6)))
            self.query_one("#draft-text", Static).update(Content(told))

    def headed(self) -> str:
        """Return the title."""
        raise NotImplementedError

    def told(self, width: int) -> str:
        """Return the text in lines of a width."""
        raise NotImplementedError

    def keep_shown(self) -> None:
        """Show that something is kept, here and everywhere."""
        self.is_kept = True
        self.browse.look_now()
        self.draw()
