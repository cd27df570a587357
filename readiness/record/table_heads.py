"""What the columns of a table hold, found by their heads; what is unclear is asked, never guessed.

Two shapes are read. A *list* has a row a note: student, day, skill, how. A *grid* has a way of showing in its
cells, and skills, days or students as heads, with what holds for several of them in merged cells above.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import field, replace
from types import MappingProxyType
from typing import Final

from readiness.lazy import dataclass
from readiness.record.table_file import Cell, Row, Table, looks_like_day, shown
from readiness.toml.texts import composed

__all__ = ["ROLES", "Column", "Heads", "Question", "find_heads", "order_said", "plain_word"]

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

    @property
    def is_grid(self) -> bool:
        """Whether ways of showing stand under skills, days or students as heads."""
        return any(one.fixed and one.role == "how" for one in self.columns)


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
    is_grid = any(one.fixed and one.role == "how" for one in columns)
    if is_grid:
        columns = [replace(one, why=_in_a_grid(one)) if one.why == "unknown" else one for one in columns]
    known = {one.role for one in columns} | above.keys() | {kind for one in columns for kind in one.fixed}
    names = known | ({"student"} if "id" in known else set())
    asked = ("student",) if "born" in known and "skill" not in known else ("student", "day", "skill", "how")
    for role in asked:
        if role not in names and not (role == "skill" and "remark" in known):
            left = [one for one in columns if one.why == "unknown"]
            questions.append(_which(role, left, rows))
    return columns, questions


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
