"""One key at a time from a terminal, a whole line where words are asked for.

While a round is on (``with Keys() as keys``), nothing typed is shown by the terminal itself and
nothing typed ahead is lost: each key is read alone, the next one waits. Ctrl-C stays Ctrl-C. A
terminal that cannot give single keys gives lines, of which the first letter counts.
"""

from __future__ import annotations

import codecs
import os
import select
import stat
import sys
import time
from typing import Any, Final, Self

from readiness.cli.commands import CommandError
from readiness.cli.output import say

__all__ = ["BACK", "ENDED", "ENTER", "Keys", "ask_first", "is_terminal", "wait_for_the_end"]

ENTER: Final = "\n"
BACK: Final = "\x7f"
ENDED: Final = ""
"""Nobody is typing any more."""
_SAME_KEY: Final = 0.02
"""Seconds in which the rest of one key comes, where a key is told in several letters."""


def is_terminal() -> bool:
    """Return whether somebody sits in front of this program."""
    return sys.stdin.isatty() and sys.stdout.isatty()


def wait_for_the_end(seconds: float) -> bool:
    """Wait so long, and return whether the input ended meanwhile: Ctrl-D, or whoever typed has gone.

    An input that nobody can type in, as that of a program begun in the background, never ends.
    """
    if sys.platform == "win32" or not _can_be_typed_in():
        time.sleep(seconds)
        return False
    file = sys.stdin.fileno()
    return bool(select.select([file], [], [], seconds)[0]) and _read(file, 1024) == b""


def _can_be_typed_in() -> bool:
    try:
        file = sys.stdin.fileno()
        return os.isatty(file) or stat.S_ISFIFO(os.fstat(file).st_mode)
    except (AttributeError, OSError, ValueError):  # there is no input at all
        return False


def _read(file: int, most: int) -> bytes:
    """Read what is there; nothing where the terminal has gone."""
    try:
        return os.read(file, most)
    except OSError:
        return b""


class Keys:
    """The keys of the terminal this program runs in."""

    def __init__(self) -> None:
        self._before: list[Any] | None = None

    def __enter__(self) -> Self:
        self._take()
        return self

    def __exit__(self, *_error: object) -> None:
        self._give_back()

    def say(self, text: str, end: str = "\n") -> None:
        """Show a text."""
        print(text, end=end, flush=True)

    def key(self) -> str:
        """Return the next key, ENTER for the large one, ENDED when there is none to come."""
        if self._before is not None:
            return _letter(sys.stdin.fileno())
        with self:
            return self.key() if self._before is not None else (self.line("") or "")[:1] or ENTER

    def line(self, prompt: str) -> str | None:
        """Return a line of words, None when nobody is typing any more."""
        is_taken = self._before is not None
        self._give_back()
        try:
            return input(prompt)
        except EOFError:
            return None
        finally:
            if is_taken:
                self._take()

    def _take(self) -> None:
        try:
            import termios
            import tty
        except ImportError:  # pragma: no cover - a system without such terminals
            return
        file = sys.stdin.fileno()
        self._before = termios.tcgetattr(file)
        tty.setcbreak(file, termios.TCSADRAIN)

    def _give_back(self) -> None:
        if self._before is not None:
            import termios

            termios.tcsetattr(sys.stdin.fileno(), termios.TCSADRAIN, self._before)
            self._before = None


def ask_first(told: str, question: str, undone: str, meant: str = "it is meant", yes: str = "yes") -> None:
    """Ask at a terminal, below what is ``told``, whether something is meant; elsewhere --yes says it.

    Raises:
        CommandError: the answer was not ``yes``, so it is ``undone``.
    """
    if not is_terminal():
        raise CommandError(f"{undone}: without a terminal, --yes says that {meant}.")
    say([told])
    if (Keys().line(question) or "").strip().casefold() != yes.casefold():
        raise CommandError(f"{undone}.")


def _letter(file: int) -> str:
    """Return one letter; arrow keys and the like count as a key without meaning."""
    first = _read(file, 1)
    if first in (b"", b"\x04"):
        return ENDED
    if first in (b"\r", b"\n"):
        return ENTER
    if first == b"\x1b":
        while select.select([file], [], [], _SAME_KEY)[0] and _goes_on(_read(file, 1)):
            pass
        return "\x1b"
    return _whole(file, first)


def _goes_on(letter: bytes) -> bool:
    """Return whether more letters of an arrow key or the like follow."""
    return letter != b"" and (letter in b"[O;" or letter.isdigit())


def _whole(file: int, first: bytes) -> str:
    """Return a letter that may be several bytes long."""
    decoder = codecs.getincrementaldecoder("utf-8")("replace")
    while not (letter := decoder.decode(first)):
        first = _read(file, 1)
        if not first:
            return ENDED
    return letter[:1]
