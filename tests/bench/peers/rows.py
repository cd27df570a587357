"""What the files say as plain rows, for programs that judge by other means than the engine.

The rows hold what is written and nothing that follows from it: no band, no state, no ancestor. A
skill, a unit and a band keep their ids; days are day numbers; "none" does not occur, a row is
simply not there. Retiring skills and notes of other courses are left out: no file of the made-up
school has them.
"""

from __future__ import annotations

import calendar
from collections.abc import Iterable, Iterator, Mapping
from datetime import date
from typing import Any

__all__ = ["COLUMNS", "Rows", "rows_of_course", "rows_of_day", "rows_of_students", "rows_of_studio"]

Toml = Mapping[str, Any]
Rows = dict[str, list[tuple[str | int, ...]]]

HELPS = ("alone", "cue", "model", "hands_on", "not_shown")
"""Help from least to most (R1); in rows it is the place in this list."""

COLUMNS: Mapping[str, str] = {
    "course": "uses text",
    "unit": "unit text, number int",
    "skill": "skill text, unit text, kind text, fade text",
    "always_look": "skill text",
    "safety": "skill text",
    "must_be_seen": "skill text",
    "quiet": "skill text",
    "asks_pain": "skill text",
    "own_days": "skill text, days int",
    "stands_on": "skill text, below text",
    "optional_in": "skill text, band text",
    "some_of": "owner text, number int, at_least int",
    "member": "owner text, number int, skill text",
    "band": "band text, from_age int, spread_days int, carry_limit int, break_weeks int",
    "accepts": "band text, kind text, help int",
    "days_needed": "band text, kind text, days int",
    "fresh_weeks": "band text, fade text, weeks int",
    "other_course": "uses text",
    "studio_rhythm": "weeks int",
    "today": "day int, year int, month int, day_of_month int",
    "student": "student int, year int, month int, day_of_month int",
    "lesson": "student int, day int",
    "note": "student int, skill text, day int, help int",
    "unit_start": "student int, place int, unit text, day int",
    "settled": "student int, unit text, day int",
    "set_aside": "student int, skill text, day int",
    "band_choice": "student int, place int, band text, day int",
    "hold": "student int, place int, part text, opened int, closed int",
    "hold_since": "student int, place int, day int",
    "rhythm": "student int, weeks int",
}
"""Every kind of row with its columns; ``place`` is the place in the file."""

NEVER = date.max.toordinal()
"""The closing day of a hold that is still open."""


def rows_of_course(graph: Toml, pacing: Toml) -> Rows:
    """Return the rows of a course from its two files."""
    rows: Rows = {
        "course": [(graph.get("uses", "hand"),)],
        "unit": [(unit, number) for number, unit in enumerate(graph["unit"])],
        "skill": [(s, t["unit"], t["kind"], t["fade"]) for s, t in graph["skill"].items()],
        **{
            flag: [(s,) for s, t in graph["skill"].items() if t.get(flag)]
            for flag in ("always_look", "safety", "must_be_seen", "quiet", "asks_pain")
        },
        "own_days": [(s, t["days"]) for s, t in graph["skill"].items() if "days" in t],
        "stands_on": [(s, below) for s, t in graph["skill"].items() for below in t.get("stands_on", ())],
        "optional_in": [(s, band) for s, t in graph["skill"].items() for band in t.get("optional_in", ())],
    }
    some = [
        (owner, number, group)
        for owner, table in graph["skill"].items()
        for number, group in enumerate(table.get("stands_on_some", ()))
    ]
    rows["some_of"] = [(owner, number, group["at_least"]) for owner, number, group in some]
    rows["member"] = [(owner, number, skill) for owner, number, group in some for skill in group["of"]]
    return rows | _rows_of_bands(pacing["band"])


def _rows_of_bands(bands: Toml) -> Rows:
    numbers = ("from_age", "spread_days", "carry_limit", "break_weeks")
    return {
        "band": [(name, *(band[number] for number in numbers)) for name, band in bands.items()],
        "accepts": [
            (name, kind, HELPS.index(least))
            for name, band in bands.items()
            for kind, least in band["accepts"].items()
        ],
        "days_needed": [
            (name, kind, days) for name, band in bands.items() for kind, days in band["days_needed"].items()
        ],
        "fresh_weeks": [
            (name, fade, weeks) for name, band in bands.items() for fade, weeks in band["fresh_weeks"].items()
        ],
    }


def rows_of_day(on: date) -> Rows:
    """Return the day asked about."""
    return {"today": [(on.toordinal(), on.year, on.month, on.day)]}


def rows_of_studio(studio: Toml, other_uses: Iterable[str] = ()) -> Rows:
    """Return the rows of a studio file and of what its other courses use."""
    return {
        "studio_rhythm": [(rhythm.get("weeks", 1),) for key, rhythm in studio.items() if key == "rhythm"],
        "other_course": [(uses,) for uses in other_uses],
    }


def rows_of_students(students: Iterable[Toml]) -> Rows:
    """Return the rows of student files; a student is known by the place among them."""
    rows: Rows = {}
    for number, student in enumerate(students):
        for kind, row in _rows_of_student(student):
            rows.setdefault(kind, []).append((number, *row))
    return rows


def _rows_of_student(student: Toml) -> Iterator[tuple[str, tuple[str | int, ...]]]:
    yield "student", _birth(str(student["born"]))
    for lesson in student.get("lesson", ()):
        yield from _rows_of_lesson(lesson)
    for kind, key in (("unit_start", "unit"), ("band_choice", "band")):
        for place, block in enumerate(student.get(kind, ())):
            yield kind, (place, block[key], block["on"].toordinal())
    for kind, key in (("settled", "through"), ("set_aside", "skill")):
        for block in student.get(kind, ()):
            yield kind, (block[key], block["on"].toordinal())
    yield from _rows_of_holds(student.get("hold", ()))
    if "rhythm" in student:
        yield "rhythm", (student["rhythm"].get("weeks", 1),)


def _rows_of_holds(holds: Iterable[Toml]) -> Iterator[tuple[str, tuple[str | int, ...]]]:
    for place, block in enumerate(holds):
        closed = block["closed"].toordinal() if "closed" in block else NEVER
        yield "hold", (place, block.get("part", "all"), block["opened"].toordinal(), closed)
        if "since" in block:
            yield "hold_since", (place, block["since"].toordinal())


def _rows_of_lesson(lesson: Toml) -> Iterator[tuple[str, tuple[str | int, ...]]]:
    day = lesson["on"].toordinal()
    yield "lesson", (day,)
    for given, name in enumerate(HELPS):
        for skill in lesson.get(name, ()):
            yield "note", (skill, day, given)


def _birth(born: str) -> tuple[int, int, int]:
    """Return year, month and day; of a month alone its last day (section 1)."""
    year, month, *day = map(int, born.split("-"))
    return year, month, day[0] if day else calendar.monthrange(year, month)[1]
