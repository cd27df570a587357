"""Fields of one line: for a name to find, and for a few words.

While a field is open the footer shows the keys that work in it, and no letter is a command.
"""

from __future__ import annotations

from typing import ClassVar

from textual.binding import Binding, BindingType
from textual.geometry import Size
from textual.reactive import reactive
from textual.widget import Widget
from textual.widgets import Input

from tui.actions import key_words

__all__ = ["Field", "WordField"]


class Field(Input):
    """A field that takes every key that types something."""

    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("enter", "submit", "Keep", tooltip="Keep what was typed", key_display=key_words("enter")),
    ]
    virtual_size: reactive[Size] = reactive(Size(0, 0))
    """A letter more moves nothing beside the field; Textual's lays the whole screen out anew."""

    def check_consume_key(self, key: str, character: str | None) -> bool:
        """Say that a key types something; Textual does not know it of all that have a name."""
        return super().check_consume_key(key, character) or len(key_words(key)) == 1


class WordField(Field):
    """A field that is not seen until it is opened; ``Input.Submitted`` says that Enter keeps the words."""

    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("escape", "leave", "Back", tooltip="Back to the sheet", key_display=key_words("escape")),
    ]

    def __init__(self, unfinished: dict[tuple[str, ...], str], asked: str = "a few words") -> None:
        """Begin closed; ``unfinished`` is what was typed before and not kept, by what it is about."""
        words = f"{asked} - Enter keeps them, Escape goes back"
        super().__init__(placeholder=words, id="remark", select_on_focus=False)
        self.subject: tuple[str, ...] = ()
        self._stood = ""
        self._unfinished = unfinished
        self._from: Widget | None = None

    def open(self, subject: tuple[str, ...], words: str) -> None:
        """Open the field with words about something (skills; none: the whole lesson)."""
        self.subject, self._stood, self._from = subject, words, self.screen.focused
        self.value = self._unfinished.pop(subject, words)
        self.display = True
        self.screen.add_class("-typing")
        self.focus()

    def close(self) -> None:
        """Close the field; the keys go where they went before."""
        self.display = False
        self.screen.remove_class("-typing")
        if self._from is not None:
            self._from.focus()

    def forget(self) -> None:
        """Forget what was typed and not kept."""
        self._unfinished.clear()

    def action_leave(self) -> None:
        """Close the field without keeping the words; they are there the next time."""
        if self.value != self._stood:
            self._unfinished[self.subject] = self.value
            self.notify("These words are not kept yet. The same key brings them back.")
        self.close()
