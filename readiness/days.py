"""Days as whole numbers, so that the engine counts and never parses.

A *day number* is ``date.toordinal()``: 1 for 1 January of year 1. Everything inside
``judging`` works on day numbers; dates as people write them exist in files, in words and
in JSON. This module refuses to know what today is: the day asked about is an argument.
"""

from __future__ import annotations

import calendar
from datetime import date
from typing import Final

__all__ = ["YEARS", "age_on", "birthday", "day_number", "iso", "last_day_of_month"]

YEARS: Final = range(1900, 2200)
"""The years a day may lie in; files and commands refuse others, so that no sum leaves the calendar."""


def day_number(text: str) -> int:
    """Return the day number of a ``YYYY-MM-DD`` text.

    Raises:
        ValueError: the text is no such date.

    >>> day_number("2025-12-02") - day_number("2025-11-25")
    7
    """
    return date.fromisoformat(text).toordinal()


def iso(day: int | None) -> str | None:
    """Return a day number as ``YYYY-MM-DD``; None stays None.

    >>> iso(day_number("2025-12-02"))
    '2025-12-02'
    """
    return None if day is None else date.fromordinal(day).isoformat()


def last_day_of_month(year: int, month: int) -> int:
    """Return the day number of a month's last day (``born = "2020-05"``, rules 1)."""
    return date(year, month, calendar.monthrange(year, month)[1]).toordinal()


def birthday(born: int, age: int) -> int:
    """Return the day on which somebody born on ``born`` turns ``age`` (rule R0).

    29 February counts as 1 March in years without one.

    >>> iso(birthday(day_number("2020-02-29"), 5))
    '2025-03-01'
    """
    first = date.fromordinal(born)
    year = first.year + age
    if (first.month, first.day) == (2, 29) and not calendar.isleap(year):
        return date(year, 3, 1).toordinal()
    return date(year, first.month, first.day).toordinal()


def age_on(born: int, day: int) -> int:
    """Return the age in whole years on a day (rule R0); negative before birth.

    >>> age_on(day_number("2018-03-02"), day_number("2026-03-01"))
    7
    """
    years = date.fromordinal(day).year - date.fromordinal(born).year
    return years if day >= birthday(born, years) else years - 1
