"""What the worker and the panes say."""

from __future__ import annotations

from textual.message import Message

from tui.view import View

__all__ = ["Chosen", "Pointed", "Reading", "ViewRead"]


class Reading(Message):
    """The first reading has come this far."""

    def __init__(self, done: int, of: int) -> None:
        """Keep how many students are judged, of how many."""
        super().__init__()
        self.done, self.of = done, of

    def can_replace(self, message: Message) -> bool:
        """Let only the latest count."""
        return isinstance(message, Reading)


class ViewRead(Message):
    """The files were read."""

    def __init__(self, view: View, changes: tuple[str, ...]) -> None:
        """Keep the view, and in words whose answer changed."""
        super().__init__()
        self.view, self.changes = view, changes


class Chosen(Message):
    """Something in a pane was chosen (Enter or a click); ``key`` says what."""

    def __init__(self, key: str) -> None:
        """Keep what was chosen."""
        super().__init__()
        self.key = key


class Pointed(Chosen):
    """The cursor of a pane came to rest on something."""
