"""The verdict in large letters (Textual's Digits knows digits alone), with its sentence below."""

from __future__ import annotations

from collections.abc import Iterable
from typing import Final

from textual.app import ComposeResult
from textual.containers import Vertical
from textual.content import Content
from textual.widgets import Static

__all__ = ["Headline", "fits", "large"]

# Large letters, three rows high, for the one line that is read from across the room.
#
# Drawn from dots, two dots to a character cell, so that a verdict stands about three times as
# tall as the text around it. The words themselves always stand below in ordinary letters.

_DOTS: Final = {
    "A": "0110 1001 1001 1111 1001 1001",
    "C": "0111 1000 1000 1000 1000 0111",
    "D": "1110 1001 1001 1001 1001 1110",
    "E": "1111 1000 1110 1000 1000 1111",
    "G": "0111 1000 1011 1001 1001 0111",
    "H": "1001 1001 1111 1001 1001 1001",
    "I": "1 1 1 1 1 1",
    "K": "1001 1010 1100 1100 1010 1001",
    "L": "1000 1000 1000 1000 1000 1111",
    "M": "10001 11011 10101 10101 10001 10001",
    "N": "1001 1101 1101 1011 1011 1001",
    "O": "0110 1001 1001 1001 1001 0110",
    "P": "1110 1001 1001 1110 1000 1000",
    "R": "1110 1001 1001 1110 1010 1001",
    "S": "0111 1000 0110 0001 0001 1110",
    "T": "11111 00100 00100 00100 00100 00100",
    "W": "10001 10001 10101 10101 11011 10001",
    "Y": "10001 10001 01010 00100 00100 00100",
    "U": "1001 1001 1001 1001 1001 0110",
    "0": "0110 1001 1001 1001 1001 0110",
    "1": "010 110 010 010 010 111",
    "2": "1110 0001 0110 1000 1000 1111",
    "3": "1110 0001 0110 0001 0001 1110",
    "4": "1001 1001 1111 0001 0001 0001",
    "5": "1111 1000 1110 0001 0001 1110",
    "6": "0110 1000 1110 1001 1001 0110",
    "7": "1111 0001 0010 0100 0100 0100",
    "8": "0110 1001 0110 1001 1001 0110",
    "9": "0110 1001 1001 0111 0001 0110",
    "+": "000 010 010 111 010 010",
    " ": "00 00 00 00 00 00",
}  # fmt: skip
_CELLS: Final = {("0", "0"): " ", ("1", "0"): "▀", ("0", "1"): "▄", ("1", "1"): "█"}


def large(words: str) -> str:
    """Return words as three lines of large letters; a letter without a drawing is left out.

    >>> print(large("LI"))
    █    █
    █    █
    █▄▄▄ █
    """
    letters = [_DOTS[letter].split() for letter in words.upper() if letter in _DOTS]
    rows = []
    for top in (0, 2, 4):
        cells = (
            "".join(_CELLS[pair] for pair in zip(dots[top], dots[top + 1], strict=True)) for dots in letters
        )
        rows.append(" ".join(cells).rstrip())
    return "\n".join(rows)


def fits(words: str, width: int) -> bool:
    """Return whether the words have room in large letters."""
    return max(map(len, large(words).split("\n"))) <= width


SCARCE: Final = 22
"""With fewer rows than these the verdict stands in ordinary letters."""


class Headline(Vertical):
    """Large words, one sentence, whether it is only supposed, and what is to be known beside it."""

    words = ""

    def compose(self) -> ComposeResult:
        yield Static(id="large")
        yield Static(id="sentence")

    def show(
        self, words: str, sentence: str, *, is_paused: bool, supposed: str = "", beside: Iterable[str] = ()
    ) -> None:
        """Show a verdict, with each thing of ``beside`` on a line below; ``supposed`` is said above it."""
        self.set_class(is_paused, "-paused")
        self.set_class(bool(supposed), "-supposed")
        self.words = words
        self.on_resize()
        parts = [Content.styled(supposed, "bold reverse"), Content("  ")] if supposed else []
        told = [Content("\n").join([Content(sentence), *map(Content, beside)])]
        self.query_one("#sentence", Static).update(Content("").join([*parts, *told]))

    def on_resize(self) -> None:
        """Take large letters where they have room, and rows are not scarce."""
        has_room = fits(self.words, self.size.width) and self.app.size.height >= SCARCE
        self.query_one("#large", Static).update(Content(large(self.words) if has_room else self.words))
