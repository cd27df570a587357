"""What was surely meant by a statement that is not TOML, so that the rest of the file can be looked at.

A syntax error hides no error of sense behind it: the file is read on with the statement as it was meant,
or without it where that cannot be told. Nothing of this is ever kept, written or judged by.
"""

from __future__ import annotations

import re
from collections.abc import Iterable
from dataclasses import replace
from itertools import chain, takewhile
from typing import Any, Final

import tomli

from readiness.lazy import dataclass
from readiness.toml.locate import Places, Spot, locate
from readiness.toml.statements import CURLY, Fault, Stop

__all__ = ["Mended", "Rest", "meant", "mended"]

_TAIL: Final = re.compile(r"[ \t]*[\]},]*[ \t]*(?:#[^\n]*)?$")
_STRAIGHT: Final = str.maketrans(dict.fromkeys(CURLY, '"'))


@dataclass(frozen=True)
class Mended:
    """A text that was read on behind its mistakes.

    Attributes:
        data: what it says; places: where, by the lines and columns of the text as it was written.
        lost: the statements that were left out; tables: the headers above them, as in ``Places.header``.
        guessed: the numbers of the lines that are read as they were meant.
    """

    data: dict[str, Any]
    places: Places
    lost: str
    tables: frozenset[tuple[str | int, ...]]
    guessed: frozenset[int]


@dataclass(frozen=True, slots=True)
class Rest:
    """A text without the statements that are wrong.

    Attributes:
        text: each other line is in its place; written: the text as it was.
        left: by number of its first line, from 0, a wrong statement, and as it was meant.
    """

    text: str
    written: str
    left: tuple[tuple[int, str, str | None], ...]

    def without(self, lines: Iterable[int]) -> Rest:
        """Return the same without what was meant by the statements on these lines, from 1."""
        wrong = set(lines)
        left = (
            (at, statement, None if new and wrong & set(range(at + 1, at + new.count("\n") + 2)) else new)
            for at, statement, new in self.left
        )
        return replace(self, left=tuple(left))


def meant(stop: Stop, fault: Fault) -> str | None:
    """Return the statement as it was meant, on as many lines, None where that cannot be told."""
    written = stop.text[stop.start : stop.end]
    new = _new(written, fault.at - stop.start, fault, stop)
    if new is None or new.count("\n") != written.count("\n"):
        return None
    try:
        tomli.loads(new)
    except (ValueError, RecursionError):
        return None
    return new


def _new(text: str, at: int, fault: Fault, stop: Stop) -> str | None:
    """Return a statement with its fault corrected as the hint says."""
    first = fault.hint.removeprefix("write ").partition(", or")[0]
    if fault.id == "curly-quotes":
        return text.translate(_STRAIGHT)
    if fault.id == "unclosed-text" and fault.hint.endswith("same line"):
        end = text.find("\n", at)
        tail = _TAIL.search(text, at, len(text) if end < 0 else end)
        close = tail.start() if tail else len(text)
        return text[:close] + text[at] + text[close:]
    if fault.id == "header" and text.strip("[ \t") == "":
        return ""
    if fault.id == "header" and first.startswith("[") and " or " not in first:
        return first if text.count('"') % 2 == text.count("'") % 2 == 0 else None
    if fault.id in ("no-quotes", "number-form", "decimal-comma", "no-brackets"):
        spans = [(begin - stop.start, end - stop.start) for begin, end in fault.inside]
        value = text[at:].partition("\n")[0].partition("#")[0].rstrip()
        return _quoted(text, spans) if spans else text[:at] + first + text[at + len(value) :]
    return _sign(text, at, fault)


def _quoted(text: str, spans: list[tuple[int, int]]) -> str:
    for begin, end in reversed(spans):
        text = f'{text[:begin]}"{text[begin:end]}"{text[end:]}'
    return text


def _sign(text: str, at: int, fault: Fault) -> str | None:
    """Return a statement with one sign more or less."""
    if fault.id == "unclosed-list" and not text.rstrip().endswith("["):
        return f"{text.rstrip()}]{text[len(text.rstrip()) :]}"
    added = '"' if fault.id == "half-quoted" else "," if fault.hint == "write a comma" else ""
    if added:
        return f"{text[:at]}{added}{text[at:]}"
    if fault.hint in ("leave it out", "leave the comma out"):
        return text[:at] + text[at + 1 :]
    if fault.id in ("colon", "equals-twice"):
        return text[:at] + re.sub(r":=?|=+", " =" if fault.id == "colon" else "", text[at:], count=1)
    if fault.id == "no-equals" and fault.hint.endswith(" ="):
        word = fault.hint.removeprefix("write ").removesuffix(" =")
        return text.replace(word, f"{word} =", 1)
    return None


def mended(rest: Rest) -> Mended | None:
    """Return what a text says with its statements as they were meant, None where it is no TOML still."""
    nothing = tuple((line, statement, None) for line, statement, _ in rest.left)
    for chosen in (rest.left, nothing):
        lines = rest.text.split("\n")
        for line, _, new in chosen:
            if new is not None:
                lines[line : line + new.count("\n") + 1] = new.split("\n")
        try:
            data = tomli.loads("\n".join(lines))
        except (ValueError, RecursionError):
            continue
        lost = [(line, statement) for line, statement, new in chosen if new is None]
        guessed = (range(line + 1, line + new.count("\n") + 2) for line, _, new in chosen if new)
        places = _moved(locate("\n".join(lines)), lines, rest.written.split("\n"))
        return Mended(
            {key: value for key, value in data.items() if not key.startswith("unread-")},
            places,
            "\n".join(statement for _, statement in lost),
            frozenset(_table_at(places, line + 1) for line, _ in lost),
            frozenset(chain.from_iterable(guessed)),
        )
    return None


def _table_at(places: Places, line: int) -> tuple[str | int, ...]:
    known = (path for path in places.headers if not str(path[0]).startswith("unread-"))
    above = [(places.spots[path].line, path) for path in known if places.spots[path].line <= line]
    return max(above, key=lambda one: one[0])[1] if above else ()


def _moved(places: Places, lines: list[str], written: list[str]) -> Places:
    """Return places with the columns of the lines as they were written."""
    pairs = enumerate(zip(lines, written, strict=False), 1)
    changed = {number: (new, old) for number, (new, old) in pairs if new != old}
    if not changed:
        return places

    def column(line: int, at: int) -> int:
        if line not in changed:
            return at
        new, old = changed[line]
        same = len(list(takewhile(bool, (a == b for a, b in zip(new, old, strict=False)))))
        return at if at <= same + 1 else max(1, min(len(old), at - len(new) + len(old)))

    spots = {
        path: Spot(s.line, column(s.line, s.column), s.value_line, column(s.value_line, s.value_column))
        for path, s in places.spots.items()
    }
    return Places(spots, places.headers)
