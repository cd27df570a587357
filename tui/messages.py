"""What the worker and the panes say."""

from __future__ import annotations

from textual.message import Message

from tui.view import View

__all__ = ["Chosen", "Pointed", "Reading", "ViewRead"]


class Reading(Message):
    """The first reading, and working out everybody's answer, has come this far."""

    def __init__(self, done: int, of: int) -> None:
        """Keep how much is done, of how much."""
        super().__init__()
        self.done, self.of = done, of

    def can_replace(self, message: Message) -> bool:
        """Let only the latest count."""
        return isinstance(message, Reading)


class ViewRead(Message):
    """The files were read."""

    def __init__(self, view: View, changes: tuple[str, ...] = (), *, is_whole: bool = True) -> None:
        """Keep the view, in words whose answer changed, and whether everybody's answer is worked out."""
        super().__init__()
        self.view, self.changes, self.is_whole = view, changes, is_whole


class Chosen(Message):
    """Something in a pane was chosen (Enter or a click); ``key`` says what."""

    def __init__(self, key: str) -> None:
        """Keep what was chosen."""
        super().__init__()
        self.key = key


class Pointed(Chosen):
    """The cursor of a pane came to rest on something."""
