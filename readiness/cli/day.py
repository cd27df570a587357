"""The day asked about: the only place that looks at a clock."""

from __future__ import annotations

import re
from datetime import date, datetime
from typing import Final

from readiness.cli.commands import CommandError, Parser
from readiness.days import YEARS

__all__ = ["add_day_option", "day_asked", "day_typed", "latest_day"]

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
        raise CommandError(f'{where} takes a day such as 2025-12-02, and "{text}" is none.') from None
    if day.year not in YEARS:
        raise CommandError(f"{where} takes a day from {YEARS[0]} to {YEARS[-1]}, and {text} is not.")
    return day.toordinal()
