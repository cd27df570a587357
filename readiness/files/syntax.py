"""All that is wrong with a text that is not TOML, in one go.

``tomli`` stops at the first mistake. So the statement with the mistake is left out and
the rest is read again, with every other line where it was. What could only be a consequence
of leaving something out is not reported; nothing of the guessed text is used otherwise.
"""

from __future__ import annotations

import re
from pathlib import Path
from typing import Final

import tomli

from readiness.files.causes import find_fault
from readiness.files.problems import Place, Problem
from readiness.files.scan import Fault, Stop

__all__ = ["MOST", "syntax_problems"]

MOST: Final = 20
"""So many mistakes of one file are reported at once."""

_LETTERS_READ: Final = 10_000_000  # in all, so that a huge file is not read twenty times

_SAID_WHERE: Final = re.compile(r" \(at (?:line (\d+), column (\d+)|end of document)\)")
_NO_STATEMENTS: Final = re.compile(r"(?:\n(?![ \t]*\[)(?=[^\n]*\S)[^\n=]*(?=\n|\Z))*")
_BOTH_KEPT: Final = re.compile(r"^<{7}(?: .*)?$", re.MULTILINE)
_BOTH_END: Final = re.compile(r"^>{7}(?: .*)?$", re.MULTILINE)
_LONG_NUMBER: Final = re.compile(r"\d[\d_]{4000,}")


def syntax_problems(text: str, path: Path) -> tuple[Problem, ...]:
    """Return the mistakes that keep a text from being read, at most ``MOST``; empty for good TOML."""
    text = text.replace("\r\n", "\n")
    if begin := _BOTH_KEPT.search(text):
        return (_two_versions(text, begin.start(), path),)
    found: list[Problem] = []
    sure = 0
    most = max(1, min(MOST, _LETTERS_READ // (len(text) + 1)))
    while len(found) < most and (stop := _first_stop(text, sure)) is not None:
        fault = find_fault(stop)
        found.append(_problem(fault, text, path))
        text, sure = _leave_out(text, stop, fault, len(found))
    return tuple(found)


def _first_stop(text: str, sure: int) -> Stop | None:
    """Return where ``tomli`` stops, None when it does not or cannot be asked."""
    try:
        tomli.loads(text)
    except RecursionError:
        return None
    except ValueError as err:
        at, said = _where(str(err), text)
        return Stop.find(text, at, said, sure) if at >= sure else None
    return None


def _where(said: str, text: str) -> tuple[int, str]:
    """Return the position in what ``tomli`` said, and the rest of it."""
    where = _SAID_WHERE.search(said)
    if where is None:
        number = _LONG_NUMBER.search(text)
        return (number.start() if number else 0), said
    said = said[: where.start()]
    if where[1] is None:
        return len(text), said
    start = 0
    for _ in range(int(where[1]) - 1):
        start = text.index("\n", start) + 1
    return start + int(where[2]) - 1, said


def _leave_out(text: str, stop: Stop, fault: Fault, number: int) -> tuple[str, int]:
    """Return the text without the fault, every other line in its place, and where to go on.

    A wrong header becomes another one, so that its lines do not fall to the table above. So
    does a key written twice, because most often the header above it is what is missing.
    """
    if fault.inside:
        for start, end in fault.inside:
            text = text[:start] + "0".ljust(end - start) + text[end:]
        return text, stop.start
    start, end, put = stop.start, stop.end, ""
    if stop.is_header:
        end, put = start + len(stop.line), f"[unread-{number}]"
    elif fault.id == "written-twice" and not stop.opened:
        put = f"[unread-{number}]"
    elif fault.run and (below := _NO_STATEMENTS.match(text, end)):
        end = below.end()
    put += "\n" * text.count("\n", start, end)
    return text[:start] + put + text[end:], start + len(put)


def _two_versions(text: str, begin: int, path: Path) -> Problem:
    """Return that a merge left both versions in the file; the rest is looked at when one is chosen."""
    end = _BOTH_END.search(text, begin)
    return Problem(
        "two-versions",
        "error",
        _place(text, begin, path),
        "here two versions of this file were put together, and nobody has chosen yet",
        "keep what is right of both, for notes mostly all lines of both, and delete the marker lines "
        "<<<<<<<, ======= and >>>>>>>",
        None if end is None else _place(text, end.start(), path),
        "as far as here",
    )


def _problem(fault: Fault, text: str, path: Path) -> Problem:
    other = None if fault.other is None else _place(text, fault.other, path)
    place = _place(text, fault.at, path)
    return Problem(fault.id, "error", place, fault.message, fault.hint, other, fault.other_label)


def _place(text: str, at: int, path: Path) -> Place:
    return Place(path, text.count("\n", 0, at) + 1, at - text.rfind("\n", 0, at))
