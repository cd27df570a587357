"""The day asked about: the only place that looks at a clock."""

from __future__ import annotations

import re
from datetime import date, datetime
from typing import Final

from readiness.cli.commands import CommandError, Parser
from readiness.days import YEARS
from readiness.words.grammar import MONTHS

__all__ = ["add_day_option", "born_typed", "day_asked", "day_typed", "latest_day", "looks_like_a_day"]

_DAY_FIRST: Final = re.compile(
    r"(?P<day>\d{1,2})(?:\. ?|\.? )(?P<month>\d{1,2}|[A-Za-z]{3,9})(?:\. ?|,? )(?P<year>\d{4})", re.ASCII
)
_YEAR_FIRST: Final = re.compile(r"(?P<year>\d{4})[-./ ](?P<month>\d{1,2})[-./ ](?P<day>\d{1,2})", re.ASCII)
"""How a day is written elsewhere, where it can mean one day only; so not with the strokes of 3/12/2025."""
_STROKES: Final = re.compile(r"\d{1,2}[-/ ]\d{1,2}[-/ ]\d{2,4}")
_BORN: Final = re.compile(r"\d{4}-\d{2}(-\d{2})?")
_SHAPE: Final = re.compile(r"\d{4}-\d{2}-\d{2}")


def add_day_option(parser: Parser, what: str = "the day asked about") -> None:
    """Add ``--on``."""
    parser.add_argument("--on", metavar="DATE", help=f"{what}, as in 2025-12-02 (default: today)")


def day_asked(typed: str | None, fixed: int | None) -> int:
    """Return the day that was typed, else the one the studio fixes, else today's."""
    if typed is not None:
        return day_typed(typed, "--on")
    return fixed if fixed is not None else _clock()


def latest_day(fixed: int | None) -> int:
    """Return the latest day on which something can have happened.

    A studio that fixes its day may fix one that has not come; then that one counts.
    """
    return max(_clock(), fixed or 0)


def _clock() -> int:
    return datetime.now().astimezone().date().toordinal()


def day_typed(text: str, where: str) -> int:
    """Return a typed day's number.

    Raises:
        CommandError: it is no day, or one of another age of the world.
    """
    try:
        day = date.fromisoformat(text if _SHAPE.fullmatch(text) else "")
    except ValueError:
        told = f'{where} takes a day such as 2025-12-02, and "{text}" is not a day.'
        raise CommandError(f"{told} {_meant(text, where)}") from None
    if day.year not in YEARS:
        raise CommandError(f"{where} takes a day from {YEARS[0]} to {YEARS[-1]}, and {text} is not.")
    return day.toordinal()


_MONTH_FIRST: Final = re.compile(r"(?P<month>\d{1,2}|[A-Za-z]{3,9})[-./ ] ?(?P<year>\d{4})", re.ASCII)
_MONTH_LAST: Final = re.compile(r"(?P<year>\d{4})[-./ ] ?(?P<month>\d{1,2}|[A-Za-z]{3,9})", re.ASCII)


def born_typed(text: str) -> str:
    """Return a birth month or day as it was typed; the file's own rules look at it further.

    Raises:
        CommandError: it is written as elsewhere, and what was meant can be said.
    """
    typed = text.strip()
    if _BORN.fullmatch(typed):
        return typed
    meant = _month_meant(typed) or _meant(typed, "--born")
    if not meant.startswith("Did"):
        return typed
    raise CommandError(f'--born takes a month such as 2019-05, or a day, and "{text}" is not. {meant}')


def _month_meant(typed: str) -> str:
    for shape in (_MONTH_FIRST, _MONTH_LAST):
        found = shape.fullmatch(typed)
        if found is not None and 1 <= (month := _month(found["month"])) <= 12:
            return f"Did you mean {found['year']}-{month:02}?"
    return ""


def looks_like_a_day(text: str) -> bool:
    """Return whether a text is meant as a day, well written or as it is written elsewhere."""
    shapes = (_SHAPE, _DAY_FIRST, _YEAR_FIRST, _STROKES)
    return any(shape.fullmatch(text.strip()) for shape in shapes)


def _meant(text: str, where: str) -> str:
    """Return the day somebody probably meant as it is written here, else how a day is written."""
    for shape in (_DAY_FIRST, _YEAR_FIRST):
        if (found := shape.fullmatch(text.strip())) is not None:
            parts = (int(found["year"]), _month(found["month"]), int(found["day"]))
            try:
                return f"Did you mean {date(*parts).isoformat()}?"
            except ValueError:
                break
    left_out = f"; without {where} it is today" if where == "--on" else ""
    return f"Year, month and day, in figures{left_out}."


def _month(word: str) -> int:
    """Return the number of a month in figures, or of a word with which just one month begins; else 0."""
    if word.isdigit():
        return int(word)
    begun = [at for at, name in enumerate(MONTHS, 1) if name.casefold().startswith(word.casefold())]
    return begun[0] if len(begun) == 1 else 0
