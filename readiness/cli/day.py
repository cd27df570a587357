"""The day asked about: the only place that looks at a clock."""

from __future__ import annotations

import argparse
import re
from collections.abc import Iterator
from contextlib import suppress
from datetime import date, datetime
from typing import TYPE_CHECKING, Final

from readiness.cli.commands import CommandError, Parser
from readiness.days import YEARS
from readiness.words.grammar import MONTHS

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


DAY_MONTH: Final = "day-month"
"""The order of day and month that is taken where a studio says nothing."""


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


# Days as people write them. Where a year is left out it is the one that brings the day nearest to today;
# the latest for what has been, the next for what is to come.

_WEEKDAYS: Final = ("monday", "tuesday", "wednesday", "thursday", "friday", "saturday", "sunday")
_NEAR: Final = {"today": 0, "yesterday": -1, "tomorrow": 1}
_WRITTEN: Final = tuple(
    re.compile(shape, re.ASCII)
    for shape in (
        r"(?P<day>\d{1,2})\. ?(?P<month>\d{1,2})(?:\. ?(?P<year>\d{4}|\d{2})?)?",
        r"(?P<day>\d{1,2})(?:st|nd|rd|th)?\.? ?(?P<month>[a-z]{3,9})\.?(?:,? ?(?P<year>\d{4}))?",
        r"(?P<month>[a-z]{3,9})\.? ?(?P<day>\d{1,2})(?:st|nd|rd|th)?(?:,? (?P<year>\d{4}))?",
        r"(?P<year>\d{4})[-./ ](?P<month>\d{1,2})[-./ ](?P<day>\d{1,2})",
        r"(?P<one>\d{1,2})[-/ ](?P<other>\d{1,2})(?:[-/ ](?P<year>\d{4}|\d{2}))?",
    )
)


def day_meant(text: str, where: str, today: int, order: str = DAY_MONTH, when: int = 0) -> int:
    """Return the number of a day as people write it: today, tue, 27.10., 27 Oct, 10/27, 2025-10-27.

    Args:
        text: what was typed; where: the option it was typed for.
        today: the day it is counted from.
        order: ``day-month`` or ``month-day``, for what could be both.
        when: -1 for a day that has been, 1 for one to come, 0 for either.

    Raises:
        CommandError: it is no day.
    """
    word = " ".join(text.casefold().split())
    if word in _NEAR:
        return today + _NEAR[word]
    days = [number for number, name in enumerate(_WEEKDAYS) if len(word) > 1 and name.startswith(word)]
    if len(days) == 1:
        after = (days[0] + 1 - today) % 7
        return today + after - 7 * bool(after and when < 1 and (when < 0 or after > 3))
    found = list(_days_written(word, today, order))
    if not found:
        return day_typed(text, where)
    fitting = [day for day in found if (day - today) * when >= 0] or found
    return min(fitting, key=lambda day: abs(day - today))


def day_for(args: argparse.Namespace, studio: Studio) -> int:
    """Return the day that a question in a studio is about: the one typed for ``--on``, or today."""
    return day_asked(args.on, studio.today, order_of(studio))


def order_of(studio: object) -> str:
    """Return the order of day and month in a studio, see :func:`day_meant`."""
    return str(getattr(studio, "date_order", DAY_MONTH))


def _days_written(word: str, today: int, order: str) -> Iterator[int]:
    """Yield the days that a text can mean, one a year where it names none; nothing where it is no day."""
    read = next(filter(None, (shape.fullmatch(word) for shape in _WRITTEN)), None)
    if read is None:
        return
    parts = read.groupdict()
    if "one" in parts:
        pair = (int(parts["one"]), int(parts["other"]))
        day, month = pair if pair[0] > 12 or (order == DAY_MONTH and pair[1] <= 12) else pair[::-1]
    else:
        day, month = int(parts["day"]), _month(parts["month"])
    this = date.fromordinal(today).year
    named = parts["year"]
    years = [int(named) + 2000 * (len(named) == 2)] if named else range(this - 8, this + 9)
    for year in years:
        with suppress(ValueError):
            yield date(year if year in YEARS else 0, month, day).toordinal()


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
