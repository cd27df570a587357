"""The files of a course as text: cut into tables and lines, put in order, spelled alike, added to.

Every comment stays with what it stands above or behind. Nothing is read out of a file but where its
tables and lines begin; values are kept letter by letter, so that what a file means stays the same.
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import field, replace
from typing import Any, Final

import tomli

from readiness.course.schema import BandTable
from readiness.lazy import dataclass
from readiness.record.append import quoted
from readiness.toml.statements import pieces, step

__all__ = ["insert_table", "table_text", "tidied"]

WIDE: Final = 110
_SKILL: Final = (
    "name", "said", "you", "unit", "strand", "kind", "quiet", "asks_pain", "uses", "piece", "fade", "minutes",
    "shown_when", "stands_on", "stands_on_some", "always_look", "safety", "must_be_seen", "days",
    "optional_in", "age_note", "advice", "alternative", "remedies", "counts_groups", "beats", "for_two",
    "at_home", "for_children", "touches", "recorded", "since", "retired", "replaced_by",
)  # fmt: skip
KEYS: Final[Mapping[str, Sequence[str]]] = {
    "skill": _SKILL,
    "unit": ("name", "aim", "lesson_weeks", "after"),
    "strand": ("name", "shared"),
    "band": tuple(dict.fromkeys(("from_age", "note", *BandTable.model_fields))),
}
"""The order of the keys in the tables of each kind; a key that is not here stays behind the others."""


@dataclass(frozen=True)
class _Line:
    """One ``key = value``, or a header, with the comments and blank lines above it."""

    above: str
    text: str


@dataclass(frozen=True)
class _TextTable:
    """A header, none at the top of a file, with the lines under it; ``below``: comments at its end."""

    path: tuple[str, ...]
    head: _Line
    lines: tuple[_Line, ...] = ()
    below: str = ""
    more: tuple[_TextTable, ...] = field(default=())
    """The tables inside it that have a header of their own."""


def tidied(text: str) -> str:
    """Return a course file with its tables in order and its lists spelled alike; it means the same.

    The units keep their order; each skill comes to stand under its unit, behind those there. Tables that
    are written in another way than ``[skill.id]`` stay where they are.
    """
    tables, end, turn = _cut(text)
    written = "".join(_written(_spelled(one)) for one in _in_order(tables))
    return (written.lstrip("\n") + end).replace("\n", turn)


def table_text(path: str, values: Mapping[str, object]) -> str:
    """Return a new table as it is spelled in a course; values that are None or empty are left out."""
    there = {key: value for key, value in values.items() if value not in (None, "", [])}
    lines = [_Line("", f"{key} = {quoted(value)}\n") for key, value in there.items()]
    return _written(_spelled(_TextTable(tuple(path.split(".")), _Line("", f"[{path}]\n"), tuple(lines))))


def insert_table(text: str, table: str, unit: str | None) -> str:
    """Return a course file with a new table behind all of a unit, or behind the strands; else at its end."""
    tables, end, turn = _cut(text)
    places = [_unit_of(one) if unit else "".join(one.path[:1]) for one in tables]
    beside = [at for at, place in enumerate(places) if place == (unit or "strand")]
    at = beside[-1] + 1 if beside else len(tables)
    before, behind = ("".join(map(_plain, part)) for part in (tables[:at], tables[at:]))
    if not behind:
        before, end = before + end, ""
    before += "" if before.endswith("\n") or not before else "\n"
    return (before + table + behind + end).replace("\n", turn)


def _cut(text: str) -> tuple[list[_TextTable], str, str]:
    """Return the tables of a text, what stands behind the last line, and how lines end."""
    tables, rest = [_TextTable((), _Line("", ""))], ""
    for above, line in _lines(text.replace("\r\n", "\n")):
        if not line:
            rest = above
        elif line.startswith("["):
            # above a header stands what belongs to the table before it, up to a blank line
            close, blank, after = re.split(r"(?m)(^[ \t]*\n|\Z)", above, maxsplit=1)
            below, over = (close, blank + after) if close and blank else ("", above)
            tables[-1] = replace(tables[-1], below=below)
            inside: Any = tomli.loads(line)
            found = []
            while inside:
                name, inside = next(iter(inside.items()))
                inside = inside[0] if isinstance(inside, list) else inside
                found.append(name)
            tables.append(_TextTable(tuple(found), _Line(over, line)))
        else:
            tables[-1] = replace(tables[-1], lines=(*tables[-1].lines, _Line(above, line)))
    return _nested(tables), rest, "\r\n" if "\r\n" in text else "\n"


def _lines(text: str) -> Iterator[tuple[str, str]]:
    """Yield what stands above each line of meaning, and that line; at the end what is above none."""
    above = begun = depth = 0
    inside = False
    for piece in pieces(text):
        if not inside and piece.kind in ("blank", "comment", "newline"):
            continue
        if not inside:
            inside, begun, depth = True, piece.start, 0
        depth += step(text, piece)
        if piece.kind == "newline" and depth == 0:
            yield text[above:begun].rstrip(" \t"), text[begun : piece.end]
            inside, above = False, piece.end
    if inside:
        yield text[above:begun].rstrip(" \t"), text[begun:] + "\n"
        above = len(text)
    yield text[above:], ""


def _nested(tables: Iterable[_TextTable]) -> list[_TextTable]:
    """Return the tables with those inside them, such as ``[[skill.x.stands_on_some]]``, under them."""
    found: list[_TextTable] = []
    for one in tables:
        if found and len(one.path) > 2 and one.path[:2] == found[-1].path[:2]:
            found[-1] = replace(found[-1], more=(*found[-1].more, one))
        else:
            found.append(one)
    return found


_RANK: Final = {"alternatives_by_kind": 1, "strand": 2, "unit": 3, "skill": 3}


def _in_order(tables: list[_TextTable]) -> list[_TextTable]:
    """Return the tables of a graph in order; any other file, and one written in another way, as it is."""
    rest = [one.path for one in tables[1:]]
    known = all(one == ("alternatives_by_kind",) or (len(one) == 2 and one[0] in _RANK) for one in rest)
    if not known or len(set(rest)) < len(rest):
        return tables
    units = [one.path[1] for one in tables if one.path[:1] == ("unit",)]

    def place(table: _TextTable) -> tuple[int, int, bool]:
        unit = _unit_of(table)
        at = units.index(unit) if unit in units else len(units)
        return _RANK[table.path[0]] if table.path else 0, at if unit else 0, table.path[:1] == ("skill",)

    return sorted(tables, key=place)


def _unit_of(table: _TextTable) -> str | None:
    """Return the unit a table is, or the unit of the skill it is; "" for a skill that names none."""
    if table.path[:1] == ("unit",):
        return table.path[-1]
    if table.path[:1] != ("skill",):
        return None
    unit = next((tomli.loads(line.text)["unit"] for line in table.lines if _key(line) == "unit"), "")
    return unit if isinstance(unit, str) else ""


def _key(line: _Line) -> str:
    return next(iter(tomli.loads(line.text)), "")


def _spelled(table: _TextTable) -> _TextTable:
    place = {key: at for at, key in enumerate(KEYS.get(table.path[0], ()) if table.path else ())}
    lines = sorted(table.lines, key=lambda line: place.get(_key(line), len(place)))
    return replace(
        table,
        lines=tuple(_Line(line.above, _value_spelled(line.text)) for line in lines),
        more=tuple(map(_spelled, table.more)),
    )


def _value_spelled(line: str) -> str:
    """Return a line with its list or inline table spelled alike; with a comment inside, as it is."""
    found = list(pieces(line))
    signs = [at for at, piece in enumerate(found) if line[piece.start : piece.end] == "="]
    if not signs:
        return line
    key = line[: found[signs[0]].start].rstrip()
    value = [one for one in found[signs[0] + 1 :] if one.kind not in ("blank", "newline")]
    behind = line[value[-1].start :].rstrip("\n") if value[-1].kind == "comment" else ""
    value = value[:-1] if behind else value
    words = [line[one.start : one.end] for one in value]
    if any(one.kind == "comment" or "\n" in word for one, word in zip(value, words, strict=True)):
        return line
    gap = line[value[-1].end : len(line.rstrip("\n")) - len(behind)] if behind else ""
    text = f"{key} = {_joined(words)}"
    if words[0] == "[" and (len(text) > WIDE or any(" " in word for word in words if word[0] in "\"'")):
        text = f"{key} = [\n" + "".join(f"  {_joined(item)},\n" for item in _items(words)) + "]"
    return f"{text}{gap}{behind}\n"


def _joined(words: Sequence[str]) -> str:
    """Return the words of a value with one space where there is one, and no comma behind the last."""
    text = ""
    for word, after in zip(words, (*words[1:], ""), strict=True):
        if word == "," and after in ("]", "}"):
            continue
        text += {",": ", ", "=": " = ", "{": "{ ", "}": " }"}.get(word, word)
    return text.replace("{  }", "{}")


def _items(words: Sequence[str]) -> Iterator[Sequence[str]]:
    """Yield the items of a list, each in its words."""
    depth, begun = 0, 1
    for at, word in enumerate(words):
        depth += (word in ("[", "{")) - (word in ("]", "}"))
        if (word == "," and depth == 1) or depth == 0:
            if at > begun:
                yield words[begun:at]
            begun = at + 1


def _written(table: _TextTable) -> str:
    above = "\n" + table.head.above.lstrip(" \t\n") if table.path else ""
    return _plain(replace(table, head=_Line(above, table.head.text)))


def _plain(table: _TextTable) -> str:
    lines = (part for line in (table.head, *table.lines) for part in (line.above, line.text))
    return "".join(lines) + table.below + "".join(map(_plain, table.more))
