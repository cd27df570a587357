"""A table that somebody keeps - CSV, XLSX, ODS - as rows of cells, exactly as it stands there.

CSV is read by the standard library: its separator, its marks of order and its letters are found out.
The others are read through ``python-calamine`` (the extra ``tables``), which gives the values that stand in
the cells and runs no formula. Cells are texts, or days where the table itself says that they are days.
"""

from __future__ import annotations

import csv
import io
import re
import zipfile
from collections.abc import Iterable, Sequence
from datetime import date, datetime, timedelta
from itertools import zip_longest
from pathlib import Path
from types import MappingProxyType
from typing import Final

from readiness.days import YEARS, month_number
from readiness.lazy import dataclass
from readiness.toml.write import Refusal

__all__ = [
    "ORDERS", "Cell", "Row", "Table", "as_csv", "day_of", "looks_like_day", "orders_of", "read_table",
    "shown",
]  # fmt: skip

Cell = str | date
"""A text without spaces around it, or a day."""
Row = tuple[Cell, ...]

_MOST_BYTES: Final = 20_000_000
_MOST_UNPACKED: Final = 200_000_000
_BOOKS: Final = (".xlsx", ".xlsm", ".ods", ".xls", ".xlsb")
_SEPARATORS: Final = ";\t,|"
_LOOKED_AT: Final = 50
_FORMULA: Final = ("=", "+", "@", "\t", "\r")
"""With these a cell of a CSV file begins that another program may run."""


@dataclass(frozen=True)
class Table:
    """What was read.

    Attributes:
        rows: all of them, empty ones too, so that row 0 is the first of the file; each as wide as the widest.
        sheet: the name of the sheet, empty where a file has only one table.
        others: the sheets that hold something and were not read.
        merged: cells made one: first and last row, first and last column, from 0.
        separator: what stands between the cells of a CSV file.
        letters: the encoding where it is not UTF-8.
    """

    rows: tuple[Row, ...]
    sheet: str = ""
    others: tuple[str, ...] = ()
    merged: tuple[tuple[int, int, int, int], ...] = ()
    separator: str = ""
    letters: str = ""


def read_table(path: Path, sheet: str | None = None) -> Table | Refusal:
    """Read a table; content never raises.

    Args:
        path: the file; sheet: which of its sheets, the first that holds something if not said.
    """
    try:
        if path.stat().st_size > _MOST_BYTES:
            return _refused(path, "is larger than 20 MB; please make a table of the rows that matter")
        data = path.read_bytes()
    except OSError as error:
        return _refused(path, f"cannot be read: {(error.strerror or str(error)).lower()}")
    if path.suffix.casefold() in _BOOKS or data.startswith(b"PK\x03\x04"):
        return _read_book(path, data, sheet)
    return _read_csv(path, data)


def _refused(path: Path, why: str) -> Refusal:
    return Refusal("table", f"{path} {why}.")


def _read_csv(path: Path, data: bytes) -> Table | Refusal:
    text, letters = _decoded(data)
    if "\0" in text:
        return _refused(path, "is no table of text; please save it as CSV, XLSX or ODS")
    named = text[:6].startswith("sep=")  # a first line by which one program tells another
    separator = text[4] if named else _separator(text)
    body = text.partition("\n")[2] if named else text
    try:
        cut = csv.reader(io.StringIO(body, newline=""), delimiter=separator)
        rows = [tuple(map(_text, row)) for row in cut]
    except csv.Error as error:
        return _refused(path, f"cannot be read as a table: {error}")
    return Table(_squared([(), *rows] if named else rows), separator=separator, letters=letters)


def _decoded(data: bytes) -> tuple[str, str]:
    """Return the text, and its encoding where it is not UTF-8: by its mark, else an older one."""
    if data[:2] in (b"\xff\xfe", b"\xfe\xff"):
        return data.decode("utf-16", "replace"), "UTF-16"
    try:
        return data.decode("utf-8-sig"), ""
    except UnicodeDecodeError:
        return data.decode("cp1252", "replace"), "Windows-1252"


def _separator(text: str) -> str:
    """Return the sign that cuts most of the first rows into equally many cells."""

    def fits(sign: str) -> tuple[int, int]:
        try:
            cut = csv.reader(io.StringIO(text[:100_000], newline=""), delimiter=sign)
            wide = [len(row) for row, _ in zip(cut, range(_LOOKED_AT), strict=False) if row]
        except csv.Error:
            return 0, 0
        usual = max(set(wide), key=lambda one: (wide.count(one), one), default=1)
        return (wide.count(usual), usual) if usual > 1 else (0, 0)

    return max(_SEPARATORS, key=fits) if text else ","


def _read_book(path: Path, data: bytes, sheet: str | None) -> Table | Refusal:
    try:
        import python_calamine
    except ImportError:
        return _refused(path, "needs `pip install '.[tables]'` to be read; or save it as CSV")
    try:
        if data.startswith(b"PK") and _unpacked(data) > _MOST_UNPACKED:
            return _refused(path, "unpacks to more than 200 MB, which no list of lessons needs")
        book = python_calamine.CalamineWorkbook.from_filelike(io.BytesIO(data))
        full = [name for name in book.sheet_names if book.get_sheet_by_name(name).height]
        if sheet is not None and sheet not in book.sheet_names:
            return Refusal("sheet", f'{path} has no sheet "{sheet}"; its sheets are {", ".join(full)}.')
        chosen = sheet or next(iter(full), None)
        if chosen is None:
            return Table(())
        found = book.get_sheet_by_name(chosen)
        rows = [tuple(map(_text, row)) for row in found.to_python(skip_empty_area=False)]
        merged = tuple((a, c, b, d) for (a, b), (c, d) in found.merged_cell_ranges or ())
    except (python_calamine.CalamineError, zipfile.BadZipFile, OSError, ValueError) as error:
        return _refused(path, f"cannot be read as a table ({str(error).strip().rstrip('.')})")
    others = tuple(name for name in full if name != chosen)
    return Table(_squared(rows), chosen, others, merged)


def _unpacked(data: bytes) -> int:
    with zipfile.ZipFile(io.BytesIO(data)) as packed:
        return sum(one.file_size for one in packed.infolist())


def _text(value: object) -> Cell:
    """Return a cell; a whole number is written without its point, a day stays a day."""
    if isinstance(value, datetime):
        return value.date()
    if isinstance(value, date):
        return value
    if isinstance(value, bool):
        return "yes" if value else "no"
    if isinstance(value, float) and value.is_integer():
        return str(int(value))
    if isinstance(value, timedelta):
        return str(value)
    text = str(value).replace("\r\n", "\n").strip(" \t\n\r\ufeff\xa0")
    return text[1:] if text[:1] == "'" and text[1:2] in _FORMULA else text


def _squared(rows: Sequence[Row]) -> tuple[Row, ...]:
    """Return rows of one width, without the empty ones at the end."""
    kept = list(rows)
    while kept and not any(kept[-1]):
        kept.pop()
    return tuple(zip(*zip_longest(*kept, fillvalue=""), strict=True)) if any(kept) else ()


def shown(cell: Cell) -> str:
    """Return a cell as text."""
    return cell if isinstance(cell, str) else cell.isoformat()


def as_csv(rows: Iterable[Iterable[Cell]], separator: str = ",") -> str:
    """Return rows as CSV that spreadsheets read as text: no cell begins as a formula does."""
    out = io.StringIO()
    writer = csv.writer(out, delimiter=separator, lineterminator="\r\n")
    for row in rows:
        texts = map(shown, row)
        writer.writerow([f"'{text}" if text.startswith(_FORMULA) else text for text in texts])
    return "\ufeff" + out.getvalue()


# Days as tables have them: written in four orders, with months as words, or as days of the table itself.
#
# ``03/12/2025`` is one day in one country and another in the next. Nothing guesses: of the four orders those
# are possible that read every day of the table, none after the latest day there can be; if
# that leaves several, somebody has to say it.


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
