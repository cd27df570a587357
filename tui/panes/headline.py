"""The verdict in large letters, with the sentence it stands for below."""

from __future__ import annotations

from collections.abc import Iterable

from textual.app import ComposeResult
from textual.containers import Vertical
from textual.content import Content
from textual.widgets import Static

from tui.lettering import fits, large

__all__ = ["Headline"]


class Headline(Vertical):
    """Large words, one sentence, whether it is only supposed, and what is to be known beside it."""

    def compose(self) -> ComposeResult:
        """Lay the pane out."""
        yield Static(id="large")
        yield Static(id="sentence")

    def show(
        self, words: str, sentence: str, *, is_paused: bool, supposed: str = "", beside: Iterable[str] = ()
    ) -> None:
        """Show a verdict, with each thing of ``beside`` on a line below; ``supposed`` is said above it."""
        self.set_class(is_paused, "-paused")
        self.set_class(bool(supposed), "-supposed")
        width = self.app.size.width - 4
        text = large(words) if fits(words, width) else words
        self.query_one("#large", Static).update(Content(text))
        parts = [Content.styled(supposed, "bold reverse"), Content("  ")] if supposed else []
        told = [Content("\n").join([Content(sentence), *map(Content, beside)])]
        self.query_one("#sentence", Static).update(Content("").join([*parts, *told]))
