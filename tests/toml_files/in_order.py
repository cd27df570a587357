"""What a text holds, level by level and in order: as ``tomllib`` reads it, and as the locator finds places.

A level is named by the path of the table or list that holds it. Two levels are equal only when
their keys stand in the same order, so that comparing two texts' levels tells more than comparing
their values: to ``==`` the order of a mapping is nothing, to a teacher it is the order of the course.
"""

from __future__ import annotations

from collections.abc import Mapping

from readiness.toml.locate import Path, Places

__all__ = ["levels", "levels_placed"]

Levels = Mapping[Path, list[str | int]]


def levels(value: object) -> Levels:
    """Return the keys or positions in each table and list that is not empty."""
    found: dict[Path, list[str | int]] = {}
    waiting: list[tuple[Path, object]] = [((), value)]
    while waiting:
        path, one = waiting.pop()
        if one and isinstance(one, (dict, list)):
            found[path] = list(one if isinstance(one, dict) else range(len(one)))
            waiting += (((*path, step), one[step]) for step in found[path])
    return found


def levels_placed(places: Places) -> Levels:
    """Return the same of what has a place."""
    found: dict[Path, list[str | int]] = {}
    for path in places.spots:
        found.setdefault(path[:-1], []).append(path[-1])
    return found
