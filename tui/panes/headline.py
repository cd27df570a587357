"""The verdict in large letters, with the sentence it stands for below."""

from __future__ import annotations

from textual.app import ComposeResult
from textual.containers import Vertical
from textual.content import Content
from textual.widgets import Static

from tui.lettering import fits, large

__all__ = ["Headline"]


class Headline(Vertical):
    """Large words, one sentence, and whether it is only supposed."""

    def compose(self) -> ComposeResult:
        """Lay the pane out."""
        yield Static(id="large")
        yield Static(id="sentence")

    def show(self, words: str, sentence: str, *, is_paused: bool, supposed: str = "") -> None:
        """Show a verdict; ``supposed`` is said above it when it is not how things are."""
        self.set_class(is_paused, "-paused")
        self.set_class(bool(supposed), "-supposed")
        width = self.app.size.width - 4
        text = large(words) if fits(words, width) else words
        self.query_one("#large", Static).update(Content(text))
        parts = [Content.styled(supposed, "bold reverse"), Content("  ")] if supposed else []
        self.query_one("#sentence", Static).update(Content("").join([*parts, Content(sentence)]))
