"""A problem in a file, as a value.

Nothing that a person can write into a file raises. Whoever reads a file returns what it
could read beside a list of these; printing them is the business of ``words``-free,
editor-friendly :func:`render`, which is the only place that knows their layout:
``file:line:column: error: [id] message``, the line as written with a caret, what to do.
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from pathlib import Path
from typing import Final, Literal

__all__ = ["Place", "Problem", "errors", "render", "sort_problems", "visible"]

Severity = Literal["error", "warning"]

_COMMANDING: Final = re.compile("[\x00-\x08\x0b-\x1f\x7f-\x9f\u2028-\u202e\u2066-\u2069]")


@dataclass(frozen=True, slots=True)
class Place:
    """Where something stands in a file: line and column, both counted from 1."""

    file: Path
    line: int
    column: int


@dataclass(frozen=True, slots=True)
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
    """

    id: str
    severity: Severity
    place: Place
    message: str
    hint: str = ""
    other: Place | None = None
    other_label: str = ""


def errors(problems: Iterable[Problem]) -> tuple[Problem, ...]:
    """Return only the problems that refuse a file."""
    return tuple(p for p in problems if p.severity == "error")


def sort_problems(problems: Iterable[Problem]) -> tuple[Problem, ...]:
    """Return the problems by file, line, column and id, each once."""
    unique = dict.fromkeys(problems)
    return tuple(
        sorted(
            unique,
            key=lambda p: (str(p.place.file), p.place.line, p.place.column, p.id, p.message),
        )
    )


def render(problem: Problem, sources: Mapping[Path, str] | None = None) -> str:
    """Return one problem as text an editor can jump from.

    Args:
        problem: what to print.
        sources: texts by file, to show the line without reading the file again.
    """
    place = problem.place
    lines = [
        f"{place.file}:{place.line}:{place.column}: "
        f"{problem.severity}: [{problem.id}] {problem.message}"
    ]
    lines += _excerpt(place, sources)
    if problem.other is not None:
        other = problem.other
        lines.append(f"  {problem.other_label or 'and here'}: {other.file}:{other.line}:{other.column}")
        lines += _excerpt(other, sources)
    if problem.hint:
        lines.append(f"  {problem.hint}")
    return visible("\n".join(lines))


def visible(text: str) -> str:
    """Return a text with a mark for every character that would command the terminal.

    >>> visible("a\\x1b[31mb")
    'a\\ufffd[31mb'
    """
    return _COMMANDING.sub("\N{REPLACEMENT CHARACTER}", text)


def _excerpt(place: Place, sources: Mapping[Path, str] | None) -> list[str]:
    """Return the line as written and a caret under the column, or nothing if unreadable."""
    text = (sources or {}).get(place.file)
    if text is None:
        try:
            text = place.file.read_text(encoding="utf-8", errors="replace")
        except OSError:
            return []
    lines = text.splitlines()
    if not 1 <= place.line <= len(lines):
        return []
    written = lines[place.line - 1]
    before = "".join("\t" if ch == "\t" else " " for ch in written[: place.column - 1])
    number = f"{place.line:>5} | "
    return [number + written, " " * len(number) + before + "^"]
