"""A table that somebody keeps - CSV, XLSX, ODS - as rows of cells, and what its columns hold.

CSV is read by the standard library: its separator, its marks of order and its letters are found out.
The others are read through ``python-calamine`` (the extra ``tables``), which gives the values that stand in
the cells and runs no formula. Cells are texts, or days where the table itself says that they are days.

Two shapes are read. A *list* has a row a note: student, day, skill, how. A *grid* has a way of showing in its
cells, and skills, days or students as heads, with what holds for several of them in merged cells above.
"""

from __future__ import annotations

import csv
import io
import re
import zipfile
from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from dataclasses import field, replace
from datetime import date, datetime
from itertools import zip_longest
from pathlib import Path
from types import MappingProxyType
from typing import Final

from readiness.days import YEARS, month_number
from readiness.lazy import dataclass
from readiness.toml.texts import composed
from readiness.toml.write import Refusal, why_not

__all__ = [
    "ORDERS", "ROLES", "Cell", "Column", "Heads", "Question", "Row", "Table", "as_csv", "day_of",
    "find_heads", "looks_like_day", "order_said", "orders_of", "plain_word", "read_table", "shown",
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
    """Read a table, a ``sheet`` of it or the first that holds something; content never raises."""
    try:
        if path.stat().st_size > _MOST_BYTES:
            return _refused(path, "is larger than 20 MB; please make a table of the rows that matter")
        data = path.read_bytes()
    except OSError as error:
        return _refused(path, f"cannot be read: {why_not(error)}")
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
        packed = zipfile.ZipFile(io.BytesIO(data)).infolist() if data.startswith(b"PK") else ()
        if sum(one.file_size for one in packed) > _MOST_UNPACKED:
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
    return Table(_squared(rows), chosen, tuple(name for name in full if name != chosen), merged)


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
        writer.writerow([f"'{text}" if text.startswith(_FORMULA) else text for text in map(shown, row)])
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
    """Return the orders in which ``cells`` can be days up to the ``latest``; of one meaning, one."""
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


ROLES: Final[Mapping[str, frozenset[str]]] = MappingProxyType({
    role: frozenset(words.split("|"))
    for role, words in {
        "student": "student|students|pupil|child|learner|name|given name|first name|student name|pupil name",
        "day": "day|date|lesson|lesson day|lesson date|date of lesson|when|on",
        "skill": "skill|skills|skill name|item|task|activity|what|what was shown",
        "how": "how|help|level|how shown|shown|with how much help|level of help|support|prompt|result|rating",
        "by": "by|teacher|initials|noted by|teacher initials|observer",
        "remark": "remark|remarks|comment|comments|note|notes|words",
        "born": "born|birth|birthday|date of birth|birth date|birthdate|dob|birth month",
        "unit": "unit|current unit|unit now|in unit",
        "id": "id|student id|pupil id|short id",
        "family": "family|family name|surname|last name",
    }.items()
})
"""What a column may hold, and the heads by which it is known (see :func:`plain_word`)."""
_POINTS: Final = frozenset({
    "grade", "grades", "mark", "marks", "score", "scores", "points", "average", "total",
})  # fmt: skip
_IGNORED: Final = frozenset({"row", "why it was not noted", "#", "no", "nr", "weekday"})
_HEAD_IN: Final = 20
"""Heads stand within so many rows."""
_PLACE: Final = r"(d{1,2}|m{1,3}|y{2,4})"
_ORDER: Final = re.compile(rf"\b{_PLACE}[^a-z]?{_PLACE}[^a-z]?{_PLACE}\b")

Fits = Callable[[str, str], str | None]
"""Given ``skill`` or ``student`` and a head: the id that is meant, if one is."""


@dataclass(frozen=True)
class Question:
    """Something that only the teacher knows.

    Attributes:
        kind: column, dates, scale or word.
        about: the role or the word.
        text: the question; choices: answers to choose from, if they are few.
    """

    kind: str
    about: str
    text: str
    choices: tuple[str, ...] = ()


@dataclass(frozen=True)
class Column:
    """One column: what it holds, and what its head says about all of its cells.

    Attributes:
        at: its number from 0; head: as it stands there.
        role: one of ROLES, empty where it is not read; why: then why.
        fixed: the skill, day or student of all its cells.
    """

    at: int
    head: str
    role: str = ""
    fixed: Mapping[str, Cell] = field(default_factory=dict)
    why: str = ""


@dataclass(frozen=True)
class Heads:
    """The columns, the number of the row of heads, and what is unclear; ``fixed`` stands above all rows."""

    columns: tuple[Column, ...]
    row: int
    fixed: Mapping[str, Cell]
    questions: tuple[Question, ...] = ()

    def of(self, role: str) -> tuple[Column, ...]:
        """Return the columns that hold something."""
        return tuple(one for one in self.columns if one.role == role)


def plain_word(text: str) -> str:
    """Return a word as it is looked up: small letters, single spaces, no hyphens, no sign at its end.

    >>> plain_word("  Hands-On: ")
    'hands on'
    """
    plain = " ".join(re.sub(r"(?<=\w)[-_]+(?=\w)", " ", composed(text).casefold()).split())
    return plain.rstrip(" :.") or plain


def order_said(head: str) -> str:
    """Return the order of a date that a head names, as in "Date (dd/mm/yyyy)"; else nothing."""
    found = _ORDER.search(head.casefold())
    letters = "".join(part[0] for part in found.groups()) if found else ""
    return letters if sorted(letters) == ["d", "m", "y"] else ""


def find_heads(table: Table, chosen: Mapping[str, str], fits: Fits) -> Heads:
    """Return what the columns hold.

    Args:
        chosen: by role (or by a skill, a day or a student), the head or the letter of its column.
        fits: knows skills and students.
    """
    named = {plain_word(head): role for role, head in chosen.items()}
    scores = [_score(row, named, fits) for row in table.rows[:_HEAD_IN]]
    best = max(scores, default=0)
    first = next((at for at, row in enumerate(table.rows) if sum(map(bool, row)) > 1), 0)
    row = scores.index(best) if best else first
    above, parents = _above(table, row, fits)
    heads = table.rows[row] if table.rows else ()
    columns = [_column(table, row, at, parents[at], named, fits) for at in range(len(heads))]
    columns, questions = _settled(columns, above, table.rows[row + 1 :])
    return Heads(tuple(columns), row, above, tuple(questions))


def _role(head: str, named: Mapping[str, str], at: int = -1) -> str:
    """Return the role a head names, also one with its unit or order in brackets behind it."""
    word = plain_word(head)
    letter = _letter(at) if at >= 0 else None
    if (role := named.get(word) or (named.get(letter) if letter else None)) is not None:
        return role
    short = plain_word(re.sub(r"\s*\([^)]*\)\s*$", "", head))
    return next((role for role, words in ROLES.items() if word in words or short in words), "")


def _letter(at: int) -> str:
    """Return how spreadsheets call a column: a, b, ... z, aa."""
    return (_letter(at // 26 - 1) if at >= 26 else "") + chr(ord("a") + at % 26)


def _score(row: Row, named: Mapping[str, str], fits: Fits) -> int:
    """Return how much a row looks like heads: at least one of them names a role."""
    roles = sum(bool(cell) and bool(_role(shown(cell), named)) for cell in row)
    return 2 * roles + sum(bool(_fixed(cell, fits)) for cell in row) if roles else 0


def _fixed(cell: Cell, fits: Fits) -> dict[str, Cell]:
    """Return the day, skill or student that a head is."""
    if not cell:
        return {}
    if looks_like_day(cell):
        return {"day": cell}
    found = {kind: fits(kind, shown(cell)) for kind in ("skill", "student")}
    return {kind: meant for kind, meant in found.items() if meant is not None}


def _above(table: Table, row: int, fits: Fits) -> tuple[dict[str, Cell], list[dict[str, Cell]]]:
    """Return what is said above the heads, of everything and of each column.

    A cell that is merged, and in CSV one with empty cells to its right, holds for all those columns.
    """
    whole: dict[str, Cell] = {}
    width = len(table.rows[0]) if table.rows else 0
    parents: list[dict[str, Cell]] = [{} for _ in range(width)]
    for number, cells in enumerate(table.rows[:row]):
        filled = [at for at, cell in enumerate(cells) if cell]
        whole |= dict(_named_values(cells))
        for place, at in enumerate(filled):
            end = filled[place + 1] if place + 1 < len(filled) else width
            if table.merged:
                end = next((last + 1 for top, low, left, last in table.merged
                            if top <= number <= low and left == at), at + 1)  # fmt: skip
            fixed = _fixed(cells[at], fits)
            if len(filled) == 1 and (at == 0 or end - at == width):
                whole |= fixed
            else:
                for column in range(at, end):
                    parents[column] |= fixed
    return whole, parents


def _named_values(cells: Row) -> Iterator[tuple[str, Cell]]:
    """Yield pairs such as "Student:" and "Temwa" beside it, or both in one cell."""
    filled = [cell for cell in cells if cell]
    for cell, after in zip(filled, [*filled[1:], ""], strict=False):
        name, colon, value = shown(cell).partition(":")
        said = value.strip() or after
        if colon and said and (role := _role(name, {})) in ("student", "day", "skill", "by"):
            yield role, said


def _column(
    table: Table, row: int, at: int, parent: Mapping[str, Cell], named: Mapping[str, str], fits: Fits
) -> Column:
    head = shown(table.rows[row][at])
    role = _role(head, named, at)
    if role in ROLES:
        is_part = role in ("how", "remark", "by") and bool(parent)
        return Column(at, head, role, dict(parent) if is_part else {})
    if role:
        return Column(at, head, "" if role == "none" else "how", {} if role == "none" else _fixed(role, fits))
    below = [one[at] for one in table.rows[row + 1 :] if one[at]]
    if _is_percent(head, below):
        return Column(at, head, why="percent")
    if fixed := _fixed(table.rows[row][at], fits):
        return Column(at, head, "how", {**parent, **fixed})
    if parent and not head:
        return Column(at, head, "how", dict(parent))
    return Column(at, head, why="ignored" if plain_word(head) in _IGNORED or not below else "unknown")


def _is_percent(head: str, below: Sequence[Cell]) -> bool:
    """Return whether a column holds parts of a whole or points; 1 to 5 can be a way of showing."""
    words = set(re.findall(r"[a-z]+", head.casefold()))
    texts = [shown(cell) for cell in below]
    parts = sum(bool(re.fullmatch(r"0?\.\d+|\d{1,3}([.,]\d+)? ?%", text)) for text in texts)
    points = any(text.isdecimal() and int(text) > 5 for text in texts)
    says_so = "%" in head or bool(words & {"percent", "percentage"})
    return says_so or (bool(words & _POINTS) and points) or (bool(texts) and 2 * parts > len(texts))


def _settled(
    columns: list[Column], above: dict[str, Cell], rows: Sequence[Row]
) -> tuple[list[Column], list[Question]]:
    """Return the columns with one for each role, and what has to be asked."""
    questions = []
    for role in ROLES:
        same = [one for one in columns if one.role == role and not one.fixed]
        if len(same) > 1:
            heads = tuple(one.head for one in same)
            text = f"Several columns could be the {role}: {', '.join(heads)}."
            questions.append(Question("column", role, text, heads))
    if any(one.fixed and one.role == "how" for one in columns):
        columns = [replace(one, why=_in_a_grid(one)) if one.why == "unknown" else one for one in columns]
    known = {one.role for one in columns} | above.keys() | {kind for one in columns for kind in one.fixed}
    names = known | ({"student"} if "id" in known else set())
    asked = ("student",) if "born" in known and "skill" not in known else ("student", "day", "skill", "how")
    left = [one for one in columns if one.why == "unknown"]
    lacking = (role for role in asked if role not in names and not (role == "skill" and "remark" in known))
    return columns, [*questions, *(_which(role, left, rows) for role in lacking)]


def _in_a_grid(column: Column) -> str:
    """Return why a column of a grid is not read: points, or nobody knows what it stands for."""
    return "percent" if set(re.findall(r"[a-z]+", column.head.casefold())) & _POINTS else "unplaced"


def _which(role: str, left: Sequence[Column], rows: Sequence[Row]) -> Question:
    """Return the question for a column that was not found; of days, those that hold days come first."""
    if role == "day":
        looked = [row for row in rows[:50] if any(row)]
        left = [one for one in left if any(looks_like_day(row[one.at]) for row in looked)] or left
    heads = tuple(one.head for one in left if one.head)
    what = "how it was shown" if role == "how" else f"the {role}"
    return Question("column", role, f"No head says which column holds {what}.", heads)
