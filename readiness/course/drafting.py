"""Making a :class:`Draft` from two files that TOML could read.

Lenient on purpose: whatever has the wrong shape is left out, because the strict models
(``course.schema``) have already said so. Nothing here reports anything.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from datetime import date
from fractions import Fraction
from typing import Protocol

from readiness.course.draft import Draft
from readiness.course.written import DraftBand, DraftChange, DraftGroup, DraftSkill, DraftUnit, Word
from readiness.files.problems import Place

__all__ = ["Source", "make_draft"]


class Source(Protocol):
    """A read file that can say where its keys and values stand."""

    def key_place(self, *path: str | int) -> Place:
        """Return where a key stands."""

    def value_place(self, *path: str | int) -> Place:
        """Return where a value stands."""


def make_draft(
    graph: Mapping[str, object], graph_source: Source, pacing: Mapping[str, object], pacing_source: Source
) -> Draft:
    """Read the tables of the two files; an unreadable file is an empty mapping."""
    units = enumerate(_tables(graph, "unit"), start=1)
    return Draft(
        units=tuple(_unit(graph_source, number, *table) for number, table in units),
        strands=tuple(name for name, _ in _tables(graph, "strand")),
        skills=tuple(_skill(graph_source, *table) for table in _tables(graph, "skill")),
        bands=tuple(_band(pacing_source, *table) for table in _tables(pacing, "band")),
        changes=tuple(_change(pacing_source, i, block) for i, block in _blocks(pacing.get("change"))),
    )


def _tables(data: Mapping[str, object], kind: str) -> Iterator[tuple[str, Mapping[str, object]]]:
    """Yield the tables of a kind by name; whatever is no table is left out."""
    tables = data.get(kind)
    if isinstance(tables, Mapping):
        yield from ((name, table) for name, table in tables.items() if isinstance(table, Mapping))


def _blocks(value: object) -> Iterator[tuple[int, Mapping[str, object]]]:
    """Yield the tables of a list with their numbers; whatever is no table is left out."""
    if isinstance(value, list):
        yield from ((i, block) for i, block in enumerate(value) if isinstance(block, Mapping))


def _unit(source: Source, number: int, id_: str, table: Mapping[str, object]) -> DraftUnit:
    name = table.get("name")
    return DraftUnit(
        id=id_,
        number=number,
        name=name if isinstance(name, str) else id_,
        place=source.key_place("unit", id_),
        lesson_weeks=_whole(table.get("lesson_weeks")),
        weeks_place=source.key_place("unit", id_, "lesson_weeks"),
    )


def _skill(source: Source, id_: str, table: Mapping[str, object]) -> DraftSkill:
    at = ("skill", id_)
    return DraftSkill(
        id=id_,
        place=source.key_place(*at),
        unit=_word(source, table.get("unit"), *at, "unit"),
        strand=_word(source, table.get("strand"), *at, "strand"),
        minutes=_whole(table.get("minutes")),
        stands_on=_words(source, table.get("stands_on"), *at, "stands_on"),
        groups=tuple(
            _group(source, block, *at, "stands_on_some", i)
            for i, block in _blocks(table.get("stands_on_some"))
        ),
        optional_in=_words(source, table.get("optional_in"), *at, "optional_in"),
        since=_day(table.get("since")),
        retired=_day(table.get("retired")),
        replaced_words=_words(source, table.get("replaced_by"), *at, "replaced_by"),
        since_place=source.value_place(*at, "since") if "since" in table else None,
        retired_place=source.value_place(*at, "retired") if "retired" in table else None,
        always_look=bool(table.get("always_look")),
        safety=bool(table.get("safety")),
        asks_pain=bool(table.get("asks_pain")),
        days=_whole(table.get("days")),
        days_place=source.value_place(*at, "days") if "days" in table else None,
    )


def _group(source: Source, table: Mapping[str, object], *at: str | int) -> DraftGroup:
    return DraftGroup(
        at_least=_number(table.get("at_least")),
        at_least_place=source.value_place(*at, "at_least"),
        of=_words(source, table.get("of"), *at, "of"),
        place=source.key_place(*at),
    )


def _band(source: Source, name: str, table: Mapping[str, object]) -> DraftBand:
    share = table.get("review_share")
    readable = isinstance(share, (int, float)) and not isinstance(share, bool) and 0 <= share <= 1
    return DraftBand(
        name=name,
        place=source.key_place("band", name),
        from_age=_number(table.get("from_age")),
        age_place=source.value_place("band", name, "from_age"),
        lesson_minutes=_whole(table.get("lesson_minutes")),
        review_share=Fraction(str(share)) if readable else None,
    )


def _change(source: Source, i: int, block: Mapping[str, object]) -> DraftChange:
    return DraftChange(
        _word(source, block.get("band"), "change", i, "band"),
        _word(source, block.get("rule"), "change", i, "rule"),
    )


def _word(source: Source, value: object, *at: str | int) -> Word | None:
    return Word(value, source.value_place(*at)) if isinstance(value, str) else None


def _words(source: Source, value: object, *at: str | int) -> tuple[Word, ...]:
    if not isinstance(value, list):
        return ()
    return tuple(Word(v, source.value_place(*at, i)) for i, v in enumerate(value) if isinstance(v, str))


def _day(value: object) -> int | None:
    return value.toordinal() if type(value) is date else None


def _number(value: object) -> int | None:
    return value if isinstance(value, int) and not isinstance(value, bool) else None


def _whole(value: object) -> int | None:
    """Return a whole number of at least 1, None for anything else."""
    number = _number(value)
    return number if number is not None and number >= 1 else None
