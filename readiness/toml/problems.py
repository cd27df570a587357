"""A problem in a file, as a value.

Nothing that a person can write into a file raises. Whoever reads a file returns what it
could read beside a list of these; printing them is the business of ``words``-free,
editor-friendly :func:`render`, which is the only place that knows their layout:
``file:line:column: error: [id] message``, the line as written with a caret, what to do.
"""

from __future__ import annotations

import unicodedata
from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from functools import lru_cache
from itertools import islice
from pathlib import Path
from typing import Final, Literal, NamedTuple

from readiness.lazy import dataclass, regex
from readiness.toml.texts import HARD_SPACE, DidYouMean, wrapped

__all__ = [
    "MOST", "Place", "Problem", "end_column", "errors", "few", "render", "sort_problems", "told_again",
    "visible",
]  # fmt: skip

Severity = Literal["error", "warning"]

MOST: Final = 100
"""So many problems of one check are told at once; nobody mends more before looking again."""

_COMMANDING: Final = regex(
    "[\x00-\x08\x0b-\x1f\x7f-\x9f\u061c\u200e\u200f\u2028-\u202e\u2066-\u2069\ud800-\udfff\ufeff]"
)
_WORD: Final = regex(r"""\"(?:[^"\\]|\\.)*\"|'[^']*'|[\w.:+-]+|\[[^\]]*\]|\{[^}]*\}|\S""")
_WIDEST: Final = 160  # letters of a line that are shown
_LARGEST: Final = 5_000_000  # bytes of a file that is read again for an excerpt


class Place(NamedTuple):
    """Where something stands in a file: line and column, both counted from 1."""

    file: Path
    line: int
    column: int

    @classmethod
    def of(cls, text: str, at: int, file: Path) -> Place:
        """Return the place of one character of a file's text."""
        return cls(file, text.count("\n", 0, at) + 1, at - text.rfind("\n", 0, at))


@dataclass(frozen=True)
class Problem:
    """One thing that is wrong, or odd, in a file.

    Attributes:
        id: a stable kebab-case name, for searching and for tests.
        severity: ``error`` refuses the file, ``warning`` does not.
        place: the word that is wrong.
        message: what is wrong, one sentence without the final stop.
        hint: what to do about it; empty when the message says it.
        other: the second place where two places clash.
        other_label: what stands at that second place ("first written here").
        word: the word that nothing has, where one is unknown.
        usual: what is usual, where a number is not.
    """

    id: str
    severity: Severity
    place: Place
    message: str
    hint: str = ""
    other: Place | None = None
    other_label: str = ""
    word: str = ""
    usual: str = ""

    @property
    def meant(self) -> str:
        """The name that was probably meant; empty where none is near."""
        return self.hint.name if isinstance(self.hint, DidYouMean) else ""


def errors(problems: Iterable[Problem]) -> tuple[Problem, ...]:
    """Return only the problems that refuse a file."""
    return tuple(p for p in problems if p.severity == "error")


def end_column(place: Place) -> int:
    """Return where the word at a place ends: the first column behind it, on the same line."""
    lines = _lines_of(place.file)
    line = lines[place.line - 1].removesuffix("\r") if 1 <= place.line <= len(lines) else ""
    word = _WORD.match(line, max(0, place.column - 1))
    return place.column + (len(word[0]) if word else 0)


def few(problems: Iterable[Problem]) -> tuple[Problem, ...]:
    """Return the first ``MOST`` problems of one check, and that there are more.

    Nothing is looked for behind them, so that a file with a million mistakes takes no longer
    than one with a hundred. A check yields errors or warnings, never both: so no error is
    missed that another one does not stand for.
    """
    found = tuple(islice(problems, MOST + 1))
    if len(found) <= MOST:
        return found
    severity, place = found[-1].severity, found[-1].place
    more = f"there are more than these {MOST} {severity}s"
    return (*found[:-1], Problem("more-problems", severity, place, more, "mend these first"))


def told_again(
    said: Iterable[object], at: Callable[[int], Place], id_: str, message: str
) -> Iterator[Problem]:
    """Yield a warning for each thing that is said a second time; an empty one says nothing.

    Args:
        said: the things, in the order of the file; at: where each stands, by its number.
        id_: what the warning is called; message: what it says, ``{}`` for the thing.
    """
    first: dict[object, int] = {}
    for i, one in enumerate(said):
        if one and (other := first.setdefault(one, i)) < i:
            told, hint = message.format(one), "take one of them out"
            yield Problem(id_, "warning", at(i), told, hint, at(other), "first written here")


def sort_problems(problems: Iterable[Problem]) -> tuple[Problem, ...]:
    """Return the problems by file, line, column and id, each once."""
    unique = dict.fromkeys(problems)
    return tuple(
        sorted(unique, key=lambda p: (str(p.place.file), p.place.line, p.place.column, p.id, p.message))
    )


def render(problem: Problem, sources: Mapping[Path, str] | None = None, width: int | None = None) -> str:
    """Return one problem as text an editor can jump from.

    Whatever a file holds, it cannot command the terminal nor make up lines of its own.

    Args:
        sources: texts by file, to show the line without reading the file again.
        width: the widest line of its sentences; without it none is folded. The place and the
            line as written are never folded.
    """
    head = f"{_at(problem.place)}: {problem.severity}: [{problem.id}]"
    lines = _folded(f"{head.replace(' ', HARD_SPACE)} {_seen(problem.message)}", width, "")
    lines += _excerpt(problem.place, sources)
    if problem.other is not None:
        lines.append(f"  {problem.other_label or 'and here'}: {_at(problem.other)}")
        lines += _excerpt(problem.other, sources)
    if problem.hint:
        lines += _folded(_seen(problem.hint), width, "  ")
    return "\n".join(lines)


def _folded(text: str, width: int | None, first: str) -> list[str]:
    if width is None:
        return [f"{first}{text.replace(HARD_SPACE, ' ')}"]
    return wrapped(text, width, first=first, later="  ")


def visible(text: str) -> str:
    r"""Return a text with a mark for every character that would command the terminal.

    >>> visible("a\x1b[31mb")
    'a\ufffd[31mb'
    """
    return _COMMANDING.sub("\N{REPLACEMENT CHARACTER}", text)


def _at(place: Place) -> str:
    return _seen(str(place.file)) + (f":{place.line}:{place.column}" if place.line else "")


def _excerpt(place: Place, sources: Mapping[Path, str] | None) -> list[str]:
    """Return the line as written and a caret under the column, or nothing if unreadable."""
    text = (sources or {}).get(place.file)
    lines = _lines_of(place.file) if text is None else _lines(text)
    if not 1 <= place.line <= len(lines):
        return []
    written, at = _window(lines[place.line - 1].removesuffix("\r"), place.column - 1)
    before = "".join(_width(letter) for letter in written[:at])
    number = f"{place.line:>5} | "
    return [number + _seen(written), " " * len(number) + before + "^"]


def _lines_of(file: Path) -> Sequence[str]:
    try:
        stat = file.stat()
        if not file.is_file() or stat.st_size > _LARGEST:
            return ()
        return _lines_read(file, stat.st_mtime_ns, stat.st_size)
    except (OSError, ValueError):
        return ()


@lru_cache(maxsize=4)
def _lines_read(file: Path, changed: int, size: int) -> Sequence[str]:
    """Read a file once for all its problems, again when it has changed."""
    del changed, size
    return _lines(file.read_bytes().decode(errors="replace"))


def _lines(text: str) -> Sequence[str]:
    return text.removeprefix("\ufeff").split("\n") if text else ()  # TOML knows no other line ends


def _window(line: str, at: int) -> tuple[str, int]:
    """Return the part of a very long line around a position, and the position in it."""
    if len(line) <= _WIDEST:
        return line, at
    start = max(0, min(at - _WIDEST // 2, len(line) - _WIDEST))
    return ("..." if start else "") + line[start : start + _WIDEST], at - start + (3 if start else 0)


def _seen(text: str) -> str:
    """Return a text on one line, without anything that would command the terminal."""
    return visible(text).replace("\n", "\N{REPLACEMENT CHARACTER}")


def _width(letter: str) -> str:
    """Return the blank that is as wide as a letter, for the line of the caret."""
    if letter == "\t":
        return "\t"
    if unicodedata.combining(letter):
        return ""
    return "  " if unicodedata.east_asian_width(letter) in ("W", "F") else " "
