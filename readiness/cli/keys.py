"""One key at a time from a terminal, a whole line where words are asked for.

Ctrl-C stays Ctrl-C. A terminal that cannot give single keys gives lines, of which the first
letter counts.
"""

from __future__ import annotations

import os
import sys
from typing import Final

__all__ = ["BACK", "ENDED", "ENTER", "Keys", "is_terminal"]

ENTER: Final = "\n"
BACK: Final = "\x7f"
ENDED: Final = ""
"""Nobody is typing any more."""


def is_terminal() -> bool:
    """Return whether somebody sits in front of this program."""
    return sys.stdin.isatty() and sys.stdout.isatty()


class Keys:
    """The keys of the terminal this program runs in."""

    def say(self, text: str, end: str = "\n") -> None:
        """Show a text."""
        print(text, end=end, flush=True)

    def key(self) -> str:
        """Return the next key, ENTER for the large one, ENDED when there is none to come."""
        try:
            import termios
            import tty
        except ImportError:  # pragma: no cover - a system without such terminals
            return (self.line("") or "")[:1] or ENTER
        file = sys.stdin.fileno()
        before = termios.tcgetattr(file)
        try:
            tty.setcbreak(file, termios.TCSADRAIN)
            return _letter(file)
        finally:
            termios.tcsetattr(file, termios.TCSADRAIN, before)

    def line(self, prompt: str) -> str | None:
        """Return a line of words, None when nobody is typing any more."""
        try:
            return input(prompt)
        except EOFError:
            return None


def _letter(file: int) -> str:
    """Return one letter; arrow keys and the like count as a key without meaning."""
    data = os.read(file, 32)
    if data in (b"", b"\x04"):
        return ENDED
    if data in (b"\r", b"\n"):
        return ENTER
    if data.startswith(b"\x1b"):
        return "\x1b"
    return data.decode(errors="replace")[:1]
