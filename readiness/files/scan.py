"""The statement in which ``tomli`` stopped, cut into pieces without needing it to be right.

Everything before that statement has been accepted, so where it begins is certain. Where it
was meant to end is not: the rule is the end of its brackets, or the line before one that
looks like a new statement. This only cuts; saying what is wrong is for ``causes``.
"""

from __future__ import annotations

import re
from collections.abc import Iterator
from dataclasses import dataclass
from functools import cached_property
from typing import Final, NamedTuple

__all__ = ["CURLY", "LOOKS_NEW", "Fault", "Piece", "Stop", "pieces"]

CURLY: Final = "“”„‟‘’‚‛«»″′"  # noqa: RUF001 - these are meant
"""Quotes that text programs put in place of the two that TOML knows."""

LOOKS_NEW: Final = re.compile(
    r"""^[ \t]*+(?:\[\[?[ \t]*[A-Za-z_][^\[\],=\n]*\]\]?[ \t]*(?:\#|$)|[\w."'-]+[ \t]*=)""", re.MULTILINE
)
"""The beginning of a line that is a header or ``key =``."""

_HEADER: Final = re.compile(r"[ \t]*+\[\[?[A-Za-z_]")

_PIECE: Final = re.compile(
    r'''
      (?P<text>"""(?:[^"\\]|\\.|"(?!""))*+"{3,5} | \'\'\'(?:[^']|'(?!''))*+'{3,5})
    | (?P<open>(?:"""|\'\'\').*)
    | (?P<line_text>"(?:[^"\\\n]|\\[^\n])*+" | '[^'\n]*+')
    | (?P<open_line>["'][^\n]*)
    | (?P<comment>\#[^\n]*)
    | (?P<bracket>[\[\]{}])
    | (?P<newline>\n)
    | (?P<sign>[=,])
    | (?P<blank>[ \t]+)
    | (?P<word>[^\s,\[\]{}="'\#]+|.)
    ''',
    re.VERBOSE | re.DOTALL,
)


class Piece(NamedTuple):
    """One piece of text and what it is; ``open`` kinds are quotes that never close."""

    kind: str
    start: int
    end: int


def pieces(text: str, start: int = 0) -> Iterator[Piece]:
    """Yield the pieces of a text from a position on."""
    for match in _PIECE.finditer(text, start):
        yield Piece(str(match.lastgroup), match.start(), match.end())


@dataclass(frozen=True, slots=True)
class Fault:
    """What is wrong, by positions in the text.

    Attributes:
        at: the wrong word.
        id: as in ``Problem``.
        message: as in ``Problem``.
        hint: as in ``Problem``.
        other: the position it clashes with.
        other_label: what stands there.
        inside: the values to leave out, when the rest of the statement can still be read.
        run: whether lines right below that are no statements either belong to it.
    """

    at: int
    id: str
    message: str
    hint: str = ""
    other: int | None = None
    other_label: str = ""
    inside: tuple[tuple[int, int], ...] = ()
    run: bool = False


@dataclass(frozen=True)
class Stop:
    """Where ``tomli`` stopped in a text.

    Attributes:
        text: the text, lines ended by a newline alone.
        at: the position at which it stopped.
        said: what it said.
        start: where the statement begins, at the start of a line.
    """

    text: str
    at: int
    said: str
    start: int

    @classmethod
    def find(cls, text: str, at: int, said: str, sure: int = 0) -> Stop:
        """Find the statement that holds a position; one begins for sure at ``sure``."""
        start, depth = sure, 0
        for piece in pieces(text, sure):
            if piece.kind in ("open", "open_line"):  # never right, wherever tomli noticed it
                at = min(at, piece.end)
            if piece.end > at or piece.kind in ("open", "open_line"):
                break
            depth += _step(text, piece)
            if piece.kind == "newline" and depth == 0:
                start = piece.end
        return cls(text, at, said, start)

    @cached_property
    def end(self) -> int:
        """Where the statement was probably meant to end: at the end of a line."""
        depth, last = 0, ""
        for piece in pieces(self.text, self.start):
            depth += _step(self.text, piece)
            last = self.text[piece.start] if piece.kind == "bracket" else last
            if piece.kind == "open":
                found = LOOKS_NEW.search(self.text, self._line_end(piece.start) + 1)
                return found.start() - 1 if found else len(self.text)
            new = _HEADER if last == "{" else LOOKS_NEW  # in braces every key looks like a statement
            if piece.kind == "newline" and (depth <= 0 or new.match(self.text, piece.end)):
                return piece.start
        return len(self.text)

    @cached_property
    def before(self) -> list[Piece]:
        """The pieces of the statement that begin before the position, blanks and comments left out."""
        found = []
        for piece in pieces(self.text, self.start):
            if piece.start >= self.at:
                break
            if piece.kind not in ("blank", "comment", "newline"):
                found.append(piece)
        return found

    @cached_property
    def opened(self) -> list[int]:
        """The brackets that are open at the position, outermost first."""
        stack: list[int] = []
        for piece in self.before:
            if piece.kind == "bracket" and self.text[piece.start] in "[{":
                stack.append(piece.start)
            elif piece.kind == "bracket" and stack:
                stack.pop()
        return stack

    @property
    def line(self) -> str:
        """The first line of the statement."""
        return self.text[self.start : self._line_end(self.start)]

    @property
    def rest(self) -> str:
        """What follows the position on its line."""
        return self.text[self.at : self._line_end(self.at)]

    @property
    def word(self) -> tuple[int, str]:
        """The word around the position, with where it begins."""
        begin = self._line_start(self.at)
        for sign in re.compile(r"[\s,\[\]{}=#]").finditer(self.text, begin, self.at):
            begin = sign.end()
        match = re.compile(r"[^\s,\[\]{}=#]*").match(self.text, begin)
        return begin, match.group() if match else ""

    @property
    def is_header(self) -> bool:
        """Whether the statement is the header of a table, even one without its first bracket."""
        return re.match(r"""[ \t]*+(?:\[|[\w."' -]++\]{1,2}[ \t]*(?:#|\Z))""", self.line) is not None

    @property
    def key(self) -> str:
        """The key of the statement, as written."""
        return self.line.partition("=")[0].strip()

    def _line_start(self, at: int) -> int:
        return self.text.rfind("\n", 0, at) + 1

    def _line_end(self, at: int) -> int:
        end = self.text.find("\n", at)
        return len(self.text) if end < 0 else end


def _step(text: str, piece: Piece) -> int:
    """Return by how much a piece changes how many brackets are open."""
    if piece.kind != "bracket":
        return 0
    return 1 if text[piece.start] in "[{" else -1
