"""The day asked about: the only place that looks at a clock."""

from __future__ import annotations

import argparse
import re
from contextlib import suppress
from datetime import date, datetime
from typing import TYPE_CHECKING, Final

from readiness.cli.commands import CommandError, Parser
from readiness.days import DAY_MONTH, LONG_AGO, YEARS, birth_day, iso, month_number, written_day
from readiness.lazy import regex
from readiness.words.grammar import date_words, no_day_words

if TYPE_CHECKING:
    from readiness.studio.load import Studio

__all__ = [
    "add_day_option", "born_typed", "day_asked", "day_for", "day_meant", "latest_day", "meant_so_far",
    "order_of",
]  # fmt: skip

_FAR: Final = 120
"""So many days ahead a day is odd that was written without its year."""
_FAR_APART: Final = 60
"""Where the other order of day and month is so many days nearer, it is asked which was meant."""
_YEARS_ON: Final = 3660
"""Read so many days later, a day without its year is another one."""
_BORN: Final = regex(r"\d{4}-\d{2}(-\d{2})?")


def add_day_option(parser: Parser, what: str = "the day asked about", default: str = "today") -> None:
    """Add ``--on``; ``default``: what is meant without it, nothing where that needs no words."""
    how = "2025-12-02, 2 Dec, tue, yesterday"
    told = f" (default: {default})" if default else ""
    parser.add_argument("--on", metavar="DATE", help=f"{what}, as in {how}{told}")


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
        today, order, when: as there; a far one is refused, see :func:`meant_so_far`.

    Raises:
        CommandError: it is no day, or without its year one to come where one is asked for that has been.
    """
    found = written_day(text, today, order, when)
    if found is None:
        with suppress(ValueError):
            if date.fromisoformat(text).year not in YEARS:
                raise CommandError(f"{where} takes a day from {YEARS[0]} to {YEARS[-1]}, and {text} is not.")
        near = "tomorrow" if when > 0 else "yesterday"
        no_day = no_day_words(text, today, order, when)
        raise CommandError(f"{where} takes a day such as 2025-12-02, 2 Dec, tue or {near}, and {no_day}")
    last = written_day(text, found - LONG_AGO // 2, order, -1)
    if when < 0 < found - today and any(map(str.isdigit, text)) and last != found:
        ahead = "tomorrow" if found - today == 1 else f"in {found - today} days, on {date_words(found)}"
        told = f'"{text}" is {ahead}, and {where} takes a day that has been.'
        no_year = "" if text.startswith("in ") else f" For the last one, write the year: {where} {iso(last)}."
        raise CommandError(f"{told}{no_year}")
    return meant_so_far(found, text, where, today, order) if when else found


def meant_so_far(day: int, text: str, where: str, today: int, order: str) -> int:
    """Return a day; one far away that was written without its year, or may be another nearer one, is refused.

    A day that has just been would otherwise be that of next year in silence, tomorrow that of last year.

    Args:
        day: what was understood; text, where, today, order: as for :func:`day_meant`.

    Raises:
        CommandError: it is far away, or could be meant the other way round.
    """
    has_year = written_day(text, today + _YEARS_ON, order, 1 if day > today else -1) == day
    turned = "month-day" if order == DAY_MONTH else DAY_MONTH
    other = written_day(text, today, turned, 1 if day > today else -1) if "/" in text else None
    if not has_year and other is not None and abs(other - today) + _FAR_APART < abs(day - today):
        meant = f'"{text}" can be {date_words(day)} or {date_words(other)}'
        raise CommandError(f"{meant}. Write the month as a word, or the year: {where} {iso(other)}.")
    if -LONG_AGO <= day - today <= _FAR or has_year:
        return day
    away = f"{day - today} days ahead" if day > today else f"{today - day} days ago"
    told = f'"{text}" would be {date_words(day)}, {away}.'
    raise CommandError(f"{told} If that is right, write the year: {where} {iso(day)}.")


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


_YEAR: Final = r"(?P<year>\d{4}|\d{2})"
_MONTH: Final = r"(?P<month>\d{1,2}|[A-Za-z]{3,9})"
_BORN_SHAPES: Final = (
    regex(rf"{_YEAR}[-./ ] ?{_MONTH}", re.ASCII),
    regex(rf"{_MONTH}[-./ ] ?{_YEAR}", re.ASCII),
)


def born_typed(text: str) -> str:
    """Return a birth month or day as it was typed.

    Raises:
        CommandError: it is none, or written as elsewhere; with what was meant, where that can be said.
    """
    typed = text.strip()
    with suppress(ValueError):
        if _BORN.fullmatch(typed) and int(typed[:4]) in YEARS and birth_day(typed):
            return typed
    meant = _month_meant(typed) or iso(written_day(typed, _clock(), when=-1))
    told = f'--born takes a month such as 2019-05, or a day, and "{text}" is not.'
    raise CommandError(f"{told} Did you mean {meant}?" if meant else told)


def _month_meant(typed: str) -> str | None:
    for shape in _BORN_SHAPES:
        found = shape.fullmatch(typed)
        if found is not None and 1 <= (month := month_number(found["month"])) <= 12:
            year = int(found["year"]) + 2000 * (len(found["year"]) == 2)
            return f"{year}-{month:02}" if year in YEARS else None
    return None
