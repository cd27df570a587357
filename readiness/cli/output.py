"""How wide a text may be, and what is said beside the answer, on the error stream.

Data goes to the output and everything else here, folded like any other text; what somebody
may copy (an id, a path, a command in backquotes) is never broken.
"""

from __future__ import annotations

import os
import sys
from collections.abc import Generator, Iterable, Sequence
from time import monotonic
from typing import Final, TextIO, TypeVar

from readiness.toml.texts import HARD_SPACE, wrapped
from readiness.words.grammar import commands
from readiness.words.layout import Parts, lay_out

__all__ = ["as_sentence", "aside", "at_a_terminal", "say", "seen", "text_width", "watched"]

_NARROWEST: Final = 40
_WIDEST: Final = 100  # wider lines tire
_DEFAULT: Final = os.terminal_size((80, 24))
_MOST_WORDS: Final = 12  # of one path
_LONG: Final = 2.0  # seconds of waiting before anything is said of it
_OFTEN: Final = 0.2
T = TypeVar("T")


def text_width(stream: TextIO | None = None) -> int:
    """Return how wide a text may be on a ``stream``: as ``COLUMNS`` or the terminal says, else 80.

    Never so wide that it tires to read.
    """
    stream = stream or sys.stdout
    if not stream.isatty() and "COLUMNS" not in os.environ:
        return _DEFAULT.columns
    import shutil  # here, since it takes its time

    return max(_NARROWEST, min(_WIDEST, shutil.get_terminal_size(_behind(stream)).columns))


def say(told: Parts, *, full: bool = True) -> None:
    """Print a text as wide as there is room; ``full``: with what is shown on request."""
    print(lay_out(told, text_width(), full=full), end="", flush=True)


def at_a_terminal() -> bool:
    """Return whether screens can be shown: all three streams are a terminal."""
    return all(stream.isatty() for stream in (sys.stdin, sys.stdout, sys.stderr))


def _behind(stream: TextIO) -> os.terminal_size:
    """Return the size of the terminal a stream goes to, for when the output goes elsewhere."""
    try:
        return os.get_terminal_size(stream.fileno())
    except (OSError, ValueError):
        return _DEFAULT


def aside(text: str) -> None:
    """Say something on the error stream; each line of it is a paragraph of its own."""
    width = text_width(sys.stderr)
    for paragraph in f"readiness: {seen(commands(text))}".split("\n"):
        print("\n".join(wrapped(_with_paths_whole(paragraph), width)), file=sys.stderr)


def watched(things: Iterable[T], many: int, words: str) -> Generator[T, None, None]:
    """Yield things; where it takes long, a terminal shows how many are done and what (``words``) is done."""
    told = begun = monotonic()
    try:
        for at, thing in enumerate(things, 1):
            yield thing
            if sys.stderr.isatty() and (now := monotonic()) > max(begun + _LONG, told + _OFTEN):
                told = now
                print(f"\r{words}: {at} of {many}", end="", file=sys.stderr, flush=True)
    finally:
        if told > begun:
            print(f"\r{' ' * len(f'{words}: {many} of {many}')}\r", end="", file=sys.stderr, flush=True)


def seen(text: str) -> str:
    """Return a text with a mark for every character that would command the terminal."""
    return "".join(ch if ch.isprintable() or ch in "\n\t" else "\N{REPLACEMENT CHARACTER}" for ch in text)


def _with_paths_whole(text: str) -> str:
    """Return a text in which no line ends at a space that belongs to the name of a file or folder."""
    words, kept = text.split(" "), []
    while words:
        count = _words_of_a_path(words[:_MOST_WORDS])
        kept.append(HARD_SPACE.join(words[:count]))
        words = words[count:]
    return " ".join(kept)


def _words_of_a_path(words: Sequence[str]) -> int:
    """Return how many of these words, read from the first, name one thing that is there; else 1."""
    if os.sep not in words[0]:
        return 1
    from pathlib import Path

    for count in range(len(words), 1, -1):
        path = Path(" ".join(words[:count]).rstrip(".,;:!?"))
        if os.path.lexists(path) or (os.sep in words[count - 1] and os.path.lexists(path.parent)):
            return count
    return 1


def as_sentence(hint: str, otherwise: str = "") -> str:
    """Return a hint as a sentence to stand after another, or what to say without one."""
    return hint[:1].upper() + hint[1:] if hint else otherwise
