"""Days as tables have them: written in four orders, with months as words, or as days of the table itself.

``03/12/2025`` is one day in one country and another in the next. Nothing guesses: of the four orders those
are possible that read every day of the table, none after the latest day there can be; if
that leaves several, somebody has to say it.
"""

from __future__ import annotations

import re
from collections.abc import Iterable
from datetime import date
from types import MappingProxyType
from typing import Final

from readiness.days import YEARS, month_number
from readiness.record.table_file import Cell

__all__ = ["ORDERS", "day_of", "looks_like_day", "orders_of"]

ORDERS: Final = MappingProxyType({
    "dmy": "day, month, year",
    "mdy": "month, day, year",
    "ymd": "year, month, day",
    "ydm": "year, day, month",
})
"""The orders, by the word that says each."""

_TIME: Final = r"(?:[T ,]+\d{1,2}:\d{2}(?::\d{2}(?:\.\d+)?)?(?: ?[ap]m)?Z?)?"
_WEEKDAY: Final = r"(?:(?:mon|tue|wed|thu|fri|sat|sun)[a-z]*[.,]? +)?"
_FIGURES: Final = re.compile(
    rf"{_WEEKDAY}(\d{{4}}|\d{{1,2}})\s?([./\- ])\s?(\d{{1,2}})\s?\2\s?(\d{{4}}|\d{{1,2}})\.?{_TIME}",
    re.IGNORECASE,
)
_WORD: Final = r"(?P<month>[a-z]{3,9})\.?"
_NUMBER: Final = r"(?P<day>\d{1,2})(?:st|nd|rd|th|\.)?"
_YEAR: Final = r"(?P<year>\d{4}|\d{2})"
_WORDS: Final = tuple(
    re.compile(rf"{_WEEKDAY}{shape}{_TIME}", re.IGNORECASE)
    for shape in (
        rf"{_NUMBER}[ \-/]*{_WORD}[ ,\-/]*{_YEAR}", rf"{_WORD}[ \-/]*{_NUMBER}[ ,\-/]+{_YEAR}",
        rf"{_YEAR}[ \-/]+{_WORD}[ \-/]*{_NUMBER}",
    )
)  # fmt: skip


def orders_of(cells: Iterable[Cell], latest: int) -> tuple[str, ...]:
    """Return the orders in which every day that is written in figures can be meant; of one meaning, one.

    Args:
        cells: what stands in the columns of days; latest: no day is after this one.
    """
    texts = {cell for cell in cells if isinstance(cell, str) and len(_allowed(cell)) > 1}
    texts = {text for text in texts if any((day_of(text, order) or latest + 1) <= latest for order in ORDERS)}
    fitting = [one for one in ORDERS if all((day_of(text, one) or latest + 1) <= latest for text in texts)]
    if "ymd" in fitting and "ydm" in fitting:
        fitting.remove("ydm")  # nobody writes so where the other way reads too
    meanings = {tuple(day_of(text, one) for text in sorted(texts)): one for one in reversed(fitting)}
    return tuple(one for one in ORDERS if one in meanings.values()) if texts else ("dmy",)


def _allowed(text: str) -> tuple[str, ...]:
    """Return the orders that a text can have by its shape.

    Year first with hyphens is ISO 8601. Dots with the year last are day, month, year: common
    practice, no source.
    """
    found = _FIGURES.fullmatch(text)
    if found is None:
        return ()
    first, sign, last = found[1], found[2], found[4]
    if len(first) == 4:
        return ("ymd",) if sign == "-" else ("ymd", "ydm")
    if sign == ".":
        return ("dmy",)
    return ("dmy", "mdy") if len(last) == 4 else ("dmy", "mdy", "ymd")


def looks_like_day(cell: Cell) -> bool:
    """Return whether a cell is a day in one order at least."""
    return any(day_of(cell, order) is not None for order in ORDERS)


def day_of(cell: Cell, order: str) -> int | None:
    """Return the day number of a cell, None where it is no day in this order.

    >>> day_of("3/12/2025", "dmy") == day_of("12/3/2025", "mdy") == day_of("3 Dec 2025", "ymd")
    True
    """
    if isinstance(cell, date):
        return _number(cell.year, cell.month, cell.day)
    for shape in _WORDS:
        if found := shape.fullmatch(cell):
            return _number(_year(found["year"]), month_number(found["month"]), int(found["day"]))
    allowed = _allowed(cell)
    found = _FIGURES.fullmatch(cell)
    if found is None or (order not in allowed and allowed[:2] == ("dmy", "mdy")):
        return None
    part = dict(zip(order if order in allowed else allowed[0], (found[1], found[3], found[4]), strict=True))
    return _number(_year(part["y"]), int(part["m"]), int(part["d"]))


def _year(text: str) -> int:
    return int(text) + (2000 if len(text) <= 2 else 0)


def _number(year: int, month: int, day: int) -> int | None:
    try:
        return date(year, month, day).toordinal() if year in YEARS else None
    except ValueError:
        return None
