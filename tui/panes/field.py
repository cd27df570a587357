"""The one-line field for a few words. Escape leaves it, and what was typed is there the next time."""

from __future__ import annotations

from typing import ClassVar

from textual.binding import Binding, BindingType
from textual.widget import Widget
from textual.widgets import Input

__all__ = ["WordField"]


class WordField(Input):
    """A field that is not seen until it is opened; ``Input.Submitted`` says that Enter keeps the words."""

    BINDINGS: ClassVar[list[BindingType]] = [Binding("escape", "leave", show=False)]

    def __init__(self, id: str) -> None:  # noqa: A002 - Textual's own word
        """Begin closed."""
        super().__init__(
            placeholder="a few words - Enter keeps them, Escape goes back", id=id, select_on_focus=False
        )
        self.subject: tuple[str, ...] = ()
        self._stood = ""
        self._unfinished: dict[tuple[str, ...], str] = {}
        self._from: Widget | None = None

    def open(self, subject: tuple[str, ...], words: str) -> None:
        """Open the field with words about something (skills; none: the whole lesson)."""
        self.subject, self._stood, self._from = subject, words, self.screen.focused
        self.value = self._unfinished.pop(subject, words)
        self.display = True
        self.focus()

    def close(self) -> None:
        """Close the field; the keys go where they went before."""
        self.display = False
        if self._from is not None:
            self._from.focus()

    def forget(self) -> None:
        """Forget what was typed and not kept."""
        self._unfinished = {}

    def action_leave(self) -> None:
        """Close the field without keeping the words; they are there the next time."""
        if self.value != self._stood:
            self._unfinished[self.subject] = self.value
            self.notify("These words are not in the lesson. The same key brings them back.")
        self.close()
