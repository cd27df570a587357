"""Where things stand in a TOML text, for pointing at the word that is wrong.

``tomli`` gives values without places, so this walks the same text once more and notes the line and column of
every key, value and list item under the path that leads to it in ``tomli``'s result. It runs only after
``tomli`` has accepted the text: it reports nothing, converts nothing and refuses nothing. Lists and inline
tables are followed with a stack of their own, so their depth costs memory and never the interpreter's stack.
"""

from __future__ import annotations

import re
from bisect import bisect_right
from collections.abc import Mapping
from itertools import accumulate
from typing import Final, NamedTuple

import tomli

from readiness.lazy import dataclass

__all__ = ["STRING", "Locator", "Path", "Places", "Spot", "locate", "offset"]

Path = tuple[str | int, ...]
"""Table names, keys and list positions (from 0), as in pydantic's ``loc``."""

STRING: Final = (
    r'"""(?:[^"\\]|\\.|"(?!""))*+"{3,5}'
    r"|'''(?:[^']|'(?!''))*+'{3,5}"
    r'|"(?:[^"\\\n]|\\.)*+"'
    r"|'[^'\n]*+'"
)
_BLANK: Final = re.compile(r"(?:[ \t\n]|#[^\n]*)*+")
_SCALAR: Final = re.compile(rf"{STRING}|(?:\d{{4}}-\d\d-\d\d[ ](?=\d))?[^\s,\]}}#]++", re.DOTALL)
_PART: Final = re.compile(rf"{STRING}|[A-Za-z0-9_-]++", re.DOTALL)
_DOT: Final = re.compile(r"[ \t]*\.[ \t]*")
_EQUALS: Final = re.compile(r"[ \t]*=[ \t]*")
_PLAIN: Final = re.compile(
    r"""([A-Za-z0-9_-]++)([ \t]*+=[ \t]*+)"""
    r"""(?:"(?!"")[^"\\\n]*+"|[\w+.:-]++|"""
    r"""(\[(?:[ \t\n,]|\#[^\n]*+\n|"(?!"")[^"\\\n]*+"|\d++(?=[ \t\n,\]]))*+\]))"""
    r"""[ \t]*+(?:\#[^\n]*+)?(?:\n|\Z)"""
)
"""A whole statement as most are: one key, and a plain text, number or list of plain texts or figures."""
_PLAIN_ITEM: Final = re.compile(r'#[^\n]*+|"[^"\n]*+"|\d++')

_HEADER_END: Final = re.compile(r"[ \t]*\]{1,2}")


class Spot(NamedTuple):
    """The place of a key and of its value, from 1; for tables and list items both are one place."""

    line: int
    column: int
    value_line: int
    value_column: int


@dataclass(frozen=True)
class Places:
    """The places in one text.

    Attributes:
        spots: every path of the text.
        headers: the paths that have a header of their own, with the header as written.
    """

    spots: Mapping[Path, Spot]
    headers: Mapping[Path, str]

    def at_key(self, path: Path) -> tuple[int, int]:
        """Return line and column of a key, or of the nearest known thing it is in."""
        _, spot = self.nearest(path)
        return spot.line, spot.column

    def at_value(self, path: Path) -> tuple[int, int]:
        """Return line and column of a value, or of the nearest known key it is in."""
        known, spot = self.nearest(path)
        return (spot.value_line, spot.value_column) if known == path else (spot.line, spot.column)

    def header(self, path: Path) -> tuple[Path, str]:
        """Return the table a path is in and its header as written; the top of a file has none."""
        for n in range(len(path), 0, -1):
            if path[:n] in self.headers:
                return path[:n], self.headers[path[:n]]
        return (), ""

    def nearest(self, path: Path) -> tuple[Path, Spot]:
        """Return the longest beginning of a path that is known, and its place; else the first letter."""
        for n in range(len(path), 0, -1):
            if (spot := self.spots.get(path[:n])) is not None:
                return path[:n], spot
        return (), Spot(1, 1, 1, 1)


def offset(text: str, line: int, column: int) -> int:
    """Return the position in a text of a line and column, from 1; its line ends are those it has."""
    return sum(len(one) + 1 for one in text.split("\n")[: line - 1]) + column - 1


def locate(text: str) -> Places:
    r"""Return the places of everything in a text that ``tomli`` has accepted.

    >>> locate('[skill.wrist-lift]\nunit = "up"').spots["skill", "wrist-lift", "unit"]
    Spot(line=2, column=1, value_line=2, value_column=8)
    """
    locator = Locator(text)
    locator.walk()
    return Places(locator.spots, locator.headers)


class Locator:
    """One walk over a text: a cursor, the table it is in, and what was noted so far."""

    def __init__(self, text: str) -> None:
        self.text = text.replace("\r\n", "\n")
        self.cursor = 0
        self.table: Path = ()
        self.spots: dict[Path, Spot] = {}
        self.headers: dict[Path, str] = {}
        self.tables_so_far: dict[Path, int] = {}  # [[lists of tables]]: position of the latest
        self.line_starts = [0, *accumulate(map((1).__add__, map(len, self.text.split("\n"))))]

    def walk(self) -> None:
        """Note every statement of the text."""
        while self._step(_BLANK).cursor < len(self.text):
            if self._plain_statements():
                continue
            if self.text[self.cursor] == "[":
                self._header()
            else:
                self._value(self._key(self.table), [])

    def _plain_statements(self) -> bool:
        """Note the statements from here that are as most are; return whether there was one.

        The same as ``_key`` and ``_value`` would note, in a fraction of the time.
        """
        text, spots, table = self.text, self.spots, self.table
        at = self.cursor
        line, column = self.place(at)
        begin = at - column + 1
        while (match := _PLAIN.match(text, at)) is not None:
            path = (*table, match[1])
            spots[path] = Spot(line, at - begin + 1, line, match.end(2) - begin + 1)
            if match.start(3) >= 0:
                start, end = match.span(3)
                lines = text.count("\n", start, end)
                number = 0
                for item in _PLAIN_ITEM.finditer(text, start, end):
                    if item[0][0] != "#":
                        where = self.place(item.start()) if lines else (line, item.start() - begin + 1)
                        spots[(*path, number)] = Spot(*where, *where)
                        number += 1
                line += lines
            at = begin = match.end()
            line += 1
        found = at > self.cursor
        self.cursor = at
        return found

    def resolve(self, parts: Path) -> Path:
        """Return the path that a header means, inside the latest tables of any list on the way."""
        path: Path = ()
        for part in parts:
            path = (*path, part)
            if path in self.tables_so_far:
                path = (*path, self.tables_so_far[path])
        return path

    def parts(self) -> list[tuple[str, int]]:
        """Step over a key and return its parts, each with where it begins."""
        found = [self._part()]
        while match := _DOT.match(self.text, self.cursor):
            self.cursor = match.end()
            found.append(self._part())
        return found

    def place(self, at: int) -> tuple[int, int]:
        """Return line and column, from 1, of a position in the text."""
        line = bisect_right(self.line_starts, at)
        return line, at - self.line_starts[line - 1] + 1

    def _header(self) -> None:
        start = self.cursor
        listed = self.text.startswith("[[", start)
        self.cursor = start + 1 + listed
        self._step(_BLANK)
        parts = self.parts()
        self._step(_HEADER_END)
        names = tuple(name for name, _ in parts)
        for n, (_, at) in enumerate(parts, 1):
            self.spots.setdefault(self.resolve(names[:n]), self._spot(at))
        path = (*self.resolve(names[:-1]), names[-1])
        if listed:
            self.spots.setdefault(path, self._spot(parts[-1][1]))
            self.tables_so_far[path] = self.tables_so_far.get(path, -1) + 1
            path = (*path, self.tables_so_far[path])
        self.table = path
        self.spots[path] = self._spot(parts[-1][1])
        self.headers[path] = self.text[start : self.cursor]

    def _key(self, inside: Path) -> Path:
        """Note a key up to its value, and every table its dots imply."""
        path, parts = inside, self.parts()
        self._step(_EQUALS)
        for name, at in parts:
            path = (*path, name)
            self.spots.setdefault(path, self._spot(at))
        self.spots[path] = self._spot(parts[-1][1], self.cursor)
        return path

    def _value(self, path: Path, opened: list[tuple[Path, int | None]]) -> None:
        """Note all that is inside a value and step over it.

        ``opened`` are the lists (with the items so far) and inline tables not closed yet.
        """
        self._begin(path, opened)
        while opened:
            inside, items = opened[-1]
            char = self._step(_BLANK).text[self.cursor]
            if char in "]}":
                opened.pop()
                self.cursor += 1
            elif char == ",":
                self.cursor += 1
            elif items is None:
                self._begin(self._key(inside), opened)
            else:
                opened[-1] = (inside, items + 1)
                self.spots[(*inside, items)] = self._spot(self.cursor)
                self._begin((*inside, items), opened)

    def _begin(self, path: Path, opened: list[tuple[Path, int | None]]) -> None:
        char = self.text[self.cursor]
        if char in "[{":
            opened.append((path, 0 if char == "[" else None))
            self.cursor += 1
        else:
            self._step(_SCALAR)

    def _part(self) -> tuple[str, int]:
        at = self.cursor
        written = self.text[at : self._step(_PART).cursor]
        if written.startswith('"') and "\\" in written:
            return tomli.loads(f"key = {written}")["key"], at
        return (written[1:-1] if written[0] in "\"'" else written), at

    def _step(self, pattern: re.Pattern[str]) -> Locator:
        match = pattern.match(self.text, self.cursor)
        assert match is not None, "tomli has accepted this text"
        self.cursor = match.end()
        return self

    def _spot(self, key: int, value: int | None = None) -> Spot:
        return Spot(*self.place(key), *self.place(key if value is None else value))
