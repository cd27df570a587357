"""The values of the courses that come with the program: what a number was before a teacher changed it.

Also what to suggest where a value is missing: never made up, always one that stands in a file.
Nothing is put in place of what is missing.
"""

from __future__ import annotations

import re
from collections import Counter
from collections.abc import Mapping
from functools import cache
from typing import Any, Final

import tomli

from readiness.files.models import Usual
from readiness.shipped import shipped

__all__ = ["shipped_bands", "usual_in_graph", "usual_in_pacing"]

_FIRST: Final = "first-two-years"
_COURSES: Final = (_FIRST, "first-year-voice")
_ALIKE: Final = ("minutes", "lesson_weeks", "fade")
"""What can be suggested from what most of its kind have."""
_BESIDE: Final = ("unit", "strand")
"""What can be suggested from what stands beside it."""


@cache
def shipped_bands(name: object) -> Mapping[str, Mapping[str, Any]]:
    """Return the bands of a pacing that comes with the program, as written.

    The one of that name, so that a copy of the singing course is held against the numbers for
    singing; else that of the first two years at the piano.
    """
    found = {course: _table(course, "pacing.toml") for course in _COURSES}
    named = next((one for one in found.values() if name and one.get("name") == name), None)
    return _tables(named or found[_FIRST], "band")


def usual_in_pacing(data: Mapping[str, Any], path: tuple[str | int, ...]) -> Usual | None:
    """Return the default of a rule that is missing in a band; a table of rules where that is missing.

    A band of the teacher's own is held against the one for its age.
    """
    if len(path) < 3 or path[0] != "band":
        return None
    name = data.get("name")
    bands, band = shipped_bands(name if isinstance(name, str) else ""), str(path[1])
    inside: Any = bands.get(band) or bands.get(_for_age(bands, _tables(data, "band").get(band, {}), band), {})
    for step in path[2:]:
        inside = inside.get(step) if isinstance(inside, Mapping) else None
    return None if inside is None else Usual(inside, is_default=True)


def usual_in_graph(data: Mapping[str, Any], path: tuple[str | int, ...]) -> Usual | None:
    """Return what a skill of that id has in the course that comes with the program, else what is usual."""
    if len(path) != 3:
        return None
    kind, id_, key = map(str, path)
    known = _tables(_table(_FIRST, "graph.toml"), kind)
    if (same := known.get(id_, {}).get(key)) is not None:
        return Usual(same, is_default=True)
    if key in _BESIDE:
        beside = _beside(_tables(data, kind), id_, key)
        return None if beside is None else Usual(beside)
    values = Counter(one[key] for one in known.values() if key in one) if key in _ALIKE else Counter()
    return Usual(values.most_common(1)[0][0]) if values else None


def _for_age(bands: Mapping[str, Mapping[str, Any]], own: Mapping[str, Any], name: str) -> str:
    """Return the band for the age at which one begins, by its number or, without one, by its name."""
    begins = re.match(r"\d+", name)
    age = own.get("from_age", int(begins[0]) if begins else 0)
    younger = [one for one, table in bands.items() if not isinstance(age, int) or table["from_age"] <= age]
    return max(younger or list(bands)[:1], key=lambda one: int(bands[one]["from_age"]), default="")


def _beside(tables: Mapping[str, Mapping[str, Any]], id_: str, key: str) -> str | None:
    """Return what the table above says, or one further up, else the next one below."""
    ids = list(tables)
    at = ids.index(id_) if id_ in tables else 0
    values = (tables[one].get(key) for one in (*reversed(ids[:at]), *ids[at + 1 :]))
    return next((value for value in values if isinstance(value, str)), None)


def _tables(data: Mapping[str, Any], kind: str) -> Mapping[str, Mapping[str, Any]]:
    """Return the tables of a kind by name; whatever is no table is left out."""
    tables = data.get(kind)
    found = tables.items() if isinstance(tables, Mapping) else ()
    return {name: table for name, table in found if isinstance(table, Mapping)}


@cache
def _table(course: str, file: str) -> Mapping[str, Any]:
    """Return a file that comes with the program as it is written, nothing where it cannot be read."""
    path = shipped() / "skill_graphs" / course / file
    try:
        return tomli.loads(path.read_text(encoding="utf-8"))
    except (OSError, ValueError):
        return {}
