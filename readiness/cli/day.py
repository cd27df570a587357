"""The day asked about: the only place that looks at a clock."""

from __future__ import annotations

import argparse
import re
from datetime import date, datetime
from typing import TYPE_CHECKING, Final

from readiness.cli.commands import CommandError, Parser
from readiness.days import DAY_MONTH, YEARS, month_number, written_day

if TYPE_CHECKING:
    from readiness.studio.load import Studio

__all__ = [
    "add_day_option", "born_typed", "day_asked", "day_for", "day_meant", "day_typed", "latest_day",
    "looks_like_a_day", "order_of",
]  # fmt: skip

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
    how = "2025-12-02, 2 Dec, tue, yesterday"
    parser.add_argument("--on", metavar="DATE", help=f"{what}, as in {how} (default: today)")


def day_asked(typed: str | None, fixed: int | None, order: str = DAY_MONTH, when: int = 0) -> int:
    """Return the day that was typed, else the one the studio fixes, else today's.

    Args:
        typed: as people write days; fixed: the day that the studio fixes.
        order: what comes first in 10/12, see :func:`day_meant`.
        when: -1 for a day that has been, see :func:`day_meant`.
    """
    today = fixed if fixed is not None else _clock()
    return today if typed is None else day_meant(typed, "--on", today, order, when)


def day_meant(text: str, where: str, today: int, order: str = DAY_MONTH, when: int = 0) -> int:
    """Return the number of a day as people write it, see :func:`readiness.days.written_day`.

    Args:
        text: what was typed; where: the option it was typed for.
        today, order, when: as there.

    Raises:
        CommandError: it is no day.
    """
    found = written_day(text, today, order, when)
    return day_typed(text, where) if found is None else found


def day_for(args: argparse.Namespace, studio: Studio) -> int:
    """Return the day that a question in a studio is about: the one typed for ``--on``, or today."""
    return day_asked(args.on, studio.today, order_of(studio))


def order_of(studio: object) -> str:
    """Return the order of day and month in a studio, see :func:`day_meant`."""
    return str(getattr(studio, "date_order", DAY_MONTH))


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
        if found is not None and 1 <= (month := month_number(found["month"])) <= 12:
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
            parts = (int(found["year"]), month_number(found["month"]), int(found["day"]))
            try:
                return f"Did you mean {date(*parts).isoformat()}?"
            except ValueError:
                break
    left_out = f"; without {where} it is today" if where == "--on" else ""
    return f"Year, month and day, in figures{left_out}."
