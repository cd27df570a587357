"""What the worker and the panes say."""

from __future__ import annotations

from dataclasses import dataclass

from textual.message import Message

from tui.view import View

__all__ = ["Chosen", "Pointed", "Reading", "ViewRead"]


@dataclass
class Reading(Message):
    """The first reading, and working out everybody's answer, has come this far."""

    done: int
    of: int

    def can_replace(self, message: Message) -> bool:
        """Let only the latest count."""
        return isinstance(message, Reading)


@dataclass
class ViewRead(Message):
    """The files were read: in words whose answer changed, and whether everybody's is worked out."""

    view: View
    changes: tuple[str, ...] = ()
    is_whole: bool = True


@dataclass
class Chosen(Message):
    """Something in a pane was chosen (Enter or a click); ``key`` says what."""

    key: str


class Pointed(Chosen):
    """The cursor of a pane came to rest on something."""
