"""Days as whole numbers, so that the engine counts and never parses.

A *day number* is ``date.toordinal()``: 1 for 1 January of year 1. Everything inside
``judging`` works on day numbers; dates as people write them exist in files, in words and
in JSON. This module refuses to know what today is: the day asked about is an argument.
"""

from __future__ import annotations

import calendar
import re
from collections.abc import Iterator
from contextlib import suppress
from datetime import date
from typing import Final

from readiness.lazy import regex

__all__ = [
    "DAY_MONTH", "DAY_WORDS", "LONG_AGO", "MONTHS", "WEEKDAYS", "YEARS", "age_on", "as_born", "birth_day",
    "birthday", "dated", "day_number", "iso", "last_day_of_month", "month_number", "month_too_short",
    "why_unclear", "written_day",
]  # fmt: skip

MONTHS: Final = (
    "January", "February", "March", "April", "May", "June", "July", "August", "September",
    "October", "November", "December",
)  # fmt: skip
WEEKDAYS: Final = ("Monday", "Tuesday", "Wednesday", "Thursday", "Friday", "Saturday", "Sunday")
DAY_MONTH: Final = "day-month"
"""The order of day and month that is taken where a studio says nothing."""
LONG_AGO: Final = 300
"""So many days ago a day is odd that was written without its year."""
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


def dated(text: str) -> str:
    """Return a day that is written with its year first as a file has it; empty where it is none.

    >>> dated("2026-9-1"), dated("2026/13/1")
    ('2026-09-01', '')
    """
    found = re.fullmatch(r"\s*(\d{4})[-./](\d{1,2})[-./](\d{1,2})\.?\s*", text, re.ASCII)
    try:
        return date(*map(int, found.groups())).isoformat() if found else ""
    except ValueError:
        return ""


def last_day_of_month(year: int, month: int) -> int:
    """Return the day number of a month's last day (``born = "2020-05"``, rules 1)."""
    return date(year, month, calendar.monthrange(year, month)[1]).toordinal()


def birth_day(born: str) -> int:
    """Return the day number of ``born``; of a month, its last day (rules, section 1)."""
    if len(born) == 10:
        return day_number(born)
    return last_day_of_month(int(born[:4]), int(born[5:]))


def as_born(born: int) -> str:
    """Return a birth as it is written: of a last day the month alone, for that may be all that is known."""
    return date.fromordinal(born).isoformat()[: 7 if date.fromordinal(born + 1).day == 1 else 10]


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


# Days as people write them. Where a year is left out it is the one that brings the day nearest to today;
# the latest for what has been, the next for what is to come.

_NEAR: Final = {
    "today": 0, "yesterday": -1, "tomorrow": 1, "day before yesterday": -2, "day after tomorrow": 2,
}  # fmt: skip
_NUMBERS: Final = ("one", "two", "three", "four", "five", "six", "seven", "eight", "nine", "ten")
_COUNTS: Final = {"a": 1, "an": 1, **{name: number for number, name in enumerate(_NUMBERS, 1)}}
_LASTING: Final = {"day": 1, "week": 7, "fortnight": 14}
DAY_WORDS: Final = (
    *MONTHS, *WEEKDAYS, *" ".join(_NEAR).split(), *_COUNTS, *_LASTING, "days", "weeks", "last", "next", "ago",
)  # fmt: skip
"""The words by which a day is said."""
_WRITTEN: Final = tuple(
    regex(shape, re.ASCII)
    for shape in (
        r"(?P<day>\d{1,2})\. ?(?P<month>\d{1,2})(?:\. ?(?P<year>\d{4}|\d{2})?)?",
        r"(?P<day>\d{1,2})(?:st|nd|rd|th)?\.?[ -]?(?P<month>[a-z]{3,9})\.?(?:,?[ -]?(?P<year>\d{4}))?",
        r"(?P<month>[a-z]{3,9})\.? ?(?P<day>\d{1,2})(?:st|nd|rd|th)?(?:,? (?P<year>\d{4}))?",
        r"(?P<year>\d{4})[-./ ](?P<month>\d{1,2})[-./ ](?P<day>\d{1,2})",
        r"(?P<one>\d{1,2})[-/ ](?P<other>\d{1,2})(?:[-/ ](?P<year>\d{4}|\d{2}))?",
    )
)


_COUNTED: Final = regex(
    r"(?P<ahead>in )?(?P<count>[a-z]+|\d{1,3}) (?P<unit>day|week|fortnight)s?(?P<ago> ago)?", re.ASCII
)
_BESIDE: Final = regex(r"(?P<side>last|next) (?P<name>[a-z]+)", re.ASCII)
_NAMED: Final = regex(r"(?P<name>[a-z]+)\.?,? (?P<day>.*\d.*)", re.ASCII)


def written_day(text: str, today: int, order: str = DAY_MONTH, when: int = 0) -> int | None:
    """Return the number of a day as people write it, None where it is none.

    Args:
        text: as in today, tue, last tue, 2 weeks ago, 27.10., Mon 27 Oct, 10/27, 2025-10-27.
        today: the day it is counted from.
        order: ``day-month`` or ``month-day``, for what could be both.
        when: -1 for a day that has been, 1 for one to come, 0 for either. One that names no year and has not
            been for ``LONG_AGO`` days is the one to come.

    >>> iso(written_day("tue", day_number("2025-12-04"), when=-1))
    '2025-12-02'
    """
    word = " ".join(text.casefold().split()).removeprefix("on ").removeprefix("the ")
    if word in _NEAR:
        return today + _NEAR[word]
    if (weekday := _weekday(word)) is not None:
        after = (weekday + 1 - today) % 7
        return today + after - 7 * bool(after and when < 1 and (when < 0 or after > 3))
    if said := _days_said(word, today):
        return said[0] if len(said) == 1 else None
    if (named := _NAMED.fullmatch(word)) and (weekday := _weekday(named["name"])) is not None:
        day = written_day(named["day"], today, order, when)
        return day if day is not None and (day - 1) % 7 == weekday else None
    found = list(_days_written(word, today, order))
    fitting = [day for day in found if (day - today) * when >= 0] or found
    if when < 0 and len(found) > 1 and today - max(fitting) > LONG_AGO:
        fitting = found
    return min(fitting, key=lambda day: abs(day - today), default=None)


def _weekday(word: str) -> int | None:
    word = word.removesuffix("s")  # as in weds, tues
    begun = [number for number, name in enumerate(WEEKDAYS) if name.casefold().startswith(word)]
    return begun[0] if len(word) > 1 and len(begun) == 1 else None


def _days_said(word: str, today: int) -> list[int]:
    """Return the day so far away, or what last or next can mean: the nearest, or that of the week."""
    counted, beside = _COUNTED.fullmatch(word), _BESIDE.fullmatch(word)
    if counted and bool(counted["ahead"]) != bool(counted["ago"]):
        count = counted["count"]
        days = (int(count) if count.isdigit() else _COUNTS.get(count, 0)) * _LASTING[counted["unit"]]
        return [today + (days if counted["ahead"] else -days)] if days or count.isdigit() else []
    if beside is None or (weekday := _weekday(beside["name"])) is None:
        return []
    side = 1 if beside["side"] == "next" else -1
    nearest = today + side * ((side * (weekday + 1 - today) - 1) % 7 + 1)
    return sorted({nearest, today - (today - 1) % 7 + 7 * side + weekday})


def why_unclear(text: str, today: int, order: str = DAY_MONTH, when: int = 0) -> str:
    """Return what a text could mean that is two days, or a day with another's weekday; else nothing.

    >>> why_unclear("last tue", day_number("2025-12-04"))
    'it can be 2025-11-25 or 2025-12-02'
    >>> why_unclear("mon, 2.12.2025", day_number("2025-12-04"))
    '2025-12-02 is a Tuesday'
    """
    word = " ".join(text.casefold().split())
    if len(said := _days_said(word, today)) > 1:
        return f"it can be {iso(said[0])} or {iso(said[1])}"
    named = _NAMED.fullmatch(word)
    is_named = named is not None and _weekday(named["name"]) is not None
    day = written_day(named["day"], today, order, when) if named and is_named else None
    return "" if day is None else f"{iso(day)} is a {WEEKDAYS[(day - 1) % 7]}"


def _days_written(word: str, today: int, order: str) -> Iterator[int]:
    """Yield the days that a text can mean, one a year where it names none; nothing where it is no day."""
    read = _parts_written(word, order)
    if read is None:
        return
    day, month, named = read
    this = date.fromordinal(today).year
    for year in [named] if named else range(this - 8, this + 9):
        with suppress(ValueError):
            yield date(year if year in YEARS else 0, month, day).toordinal()


def _parts_written(word: str, order: str) -> tuple[int, int, int] | None:
    """Return day, month and year (0 where it names none) of a text; None where it has not their shape."""
    read = next(filter(None, (shape.fullmatch(word) for shape in _WRITTEN)), None)
    if read is None:
        return None
    parts = read.groupdict()
    if "one" in parts:
        pair = (int(parts["one"]), int(parts["other"]))
        day, month = pair if pair[0] > 12 or (order == DAY_MONTH and pair[1] <= 12) else pair[::-1]
    else:
        day, month = int(parts["day"]), month_number(parts["month"])
    named = parts["year"] or ""
    return day, month, int(named or 0) + 2000 * (len(named) == 2)


def month_too_short(text: str, order: str = DAY_MONTH) -> str:
    """Return how many days the month of a text has, where it names one that is not among them; else nothing.

    >>> month_too_short("31.11."), month_too_short("29 Feb 2025"), month_too_short("30.11.")
    ('November has 30 days', 'February 2025 has 28 days', '')
    >>> month_too_short("31.2.")
    'February has at most 29 days'
    """
    day, month, year = _parts_written(" ".join(text.casefold().split()), order) or (0, 0, 0)
    if not (1 <= month <= len(MONTHS) and (year in YEARS or not year)):
        return ""
    days = calendar.monthrange(year or 2000, month)[1]
    which = f"{MONTHS[month - 1]} {year}" if year and month == 2 else MONTHS[month - 1]
    most = "at most " if month == 2 and not year else ""
    return f"{which} has {most}{days} days" if day > days else ""


def month_number(word: str) -> int:
    """Return the number of a month in figures, or of a word with which just one month begins; else 0."""
    if word.isdigit():
        return int(word)
    begun = [at for at, name in enumerate(MONTHS, 1) if name.casefold().startswith(word.casefold())]
    return begun[0] if len(begun) == 1 else 0
