"""One text about a student out of several; a letter or figure each chooses which."""

from __future__ import annotations

from collections.abc import Iterator

from textual.app import ComposeResult
from textual.containers import VerticalScroll
from textual.content import Content
from textual.widgets import Footer, Static

from readiness.words.grammar import tidy
from tui.actions import Action, actions_of
from tui.screens.base import Sheet, Title
from tui.view import View

__all__ = ["ChoiceScreen"]

CHOOSE = "choose("


class ChoiceScreen(Sheet):
    """The texts are the rows ``choose('...')`` of the table; the first is shown at first."""

    AUTO_FOCUS = "VerticalScroll"
    HEAD = ""
    """What stands before the name in the title."""

    def __init__(self, student: str) -> None:
        """Keep whom it is about."""
        super().__init__()
        self._student = student
        self.chosen = next(_name(row) for row in self._choices())

    def _choices(self) -> Iterator[Action]:
        return (row for row in actions_of(self.NAME) if row.id.startswith(CHOOSE))

    def compose(self) -> ComposeResult:
        """Lay the screen out."""
        yield Title(id="title")
        yield Static(id="choices")
        with VerticalScroll(id="draft"):
            yield Static(id="draft-text")
        yield Footer()

    @property
    def student(self) -> str:
        """Whom it is about."""
        return self._student

    def show(self, _view: View) -> None:
        """Take a new view of the studio."""
        row = self.row()
        if row is None:
            self.tell_unread()
            return
        self.tell_title(f"{self.HEAD} {tidy(row.record.name)}")
        parts = [self._choice(one) for one in self._choices()]
        self.query_one("#choices", Static).update(Content(" ").join(parts))
        self.query_one("#draft-text", Static).update(Content(self.text()))

    def _choice(self, row: Action) -> Content:
        is_chosen, words = _name(row) == self.chosen, f"{row.all_keys} {row.title}"
        part = Content.styled(f"[{words}]" if is_chosen else f" {words} ", "bold" if is_chosen else "")
        return part.stylize(f"@click=screen.{row.id}")

    def on_resize(self) -> None:
        """Fit the lines to the width."""
        self.again()

    def again(self) -> None:
        """Show it anew, from its first line."""
        if self.browse.view is not None:
            self.show(self.browse.view)

    @property
    def width(self) -> int:
        """How wide the lines may be."""
        return max(30, min(84, self.app.size.width - 6))

    def text(self) -> str:
        """Return the text that is chosen; empty where the student cannot be read."""
        raise NotImplementedError

    def action_choose(self, name: str) -> None:
        """Choose one of the texts."""
        self.chosen = name
        self.query_one("#draft", VerticalScroll).scroll_home(animate=False)
        self.again()

    def action_copy(self) -> None:
        """Copy the text that is shown."""
        self.app.copy_to_clipboard(self.text())
        self.notify("Copied. Read it once more before you use it.")


def _name(row: Action) -> str:
    return row.id.removeprefix(CHOOSE).strip("')")
