"""Values and their places as they are spoken of, and as they are written in a file.

Nothing here knows what is wrong with a value.
"""

from __future__ import annotations

from datetime import date, datetime, time
from typing import Final

from readiness.files.locate import Path

__all__ = ["as_toml", "how_to_write", "say_path", "what_it_is", "written"]


def say_path(path: Path) -> str:
    """Return a path as it is spoken of, list items counted from 1.

    >>> say_path(("stands_on_some", 0, "of", 1))
    'stands_on_some, item 1, of, item 2'
    """
    return ", ".join(f"item {step + 1}" if isinstance(step, int) else _quote_odd(step) for step in path)


def _quote_odd(name: str) -> str:
    return name if name.replace("-", "").replace("_", "").isalnum() else f'"{name}"'


def what_it_is(value: object) -> str:
    """Return what kind of thing was written."""
    for kinds, name in _NAMES_OF_KINDS:
        if isinstance(value, kinds):
            return name
    return "that"


_NAMES_OF_KINDS: Final[tuple[tuple[type, str], ...]] = (
    (str, "text"),
    (bool, "true or false"),
    (int, "a number"),
    (float, "a number with a decimal point"),
    (list, "a list"),
    (dict, "a table"),
    (datetime, "a date with a time of day"),
    (date, "a date"),
    (time, "a time of day"),
)


def written(value: object) -> str:
    """Return a value as it is written in a file, short."""
    if isinstance(value, str):
        return f'"{value[:40]}..."' if len(value) > 40 else f'"{value}"'
    if isinstance(value, bool):
        return str(value).lower()
    return what_it_is(value) if isinstance(value, list | dict) else str(value)


def as_toml(value: object) -> str:
    """Return a value as it is written in a file, whole."""
    if isinstance(value, str):
        return '"' + value.replace("\\", "\\\\").replace('"', '\\"').replace("\n", "\\n") + '"'
    if isinstance(value, list):
        return f"[{', '.join(map(as_toml, value))}]"
    return str(value).lower() if isinstance(value, bool) else str(value)


def how_to_write(value: object, wanted: str) -> str:
    """Return how to write what was wanted, with the value that is there where that helps."""
    plain = value.strip() if isinstance(value, str) else ""
    number = plain.removeprefix("-").replace(".", "", 1)
    if wanted == "a date":
        return "write the date without quotes: 2025-12-02"
    if wanted == "text in quotes" and not isinstance(value, list | dict):
        return f'put it in quotes: "{written(value)}"'
    if "number" in wanted and number.isascii() and number.isdigit():
        return f"write {plain} without the quotes"
    if wanted == "true or false":
        return f"write {plain.lower()} without the quotes" if plain.lower() in ("true", "false") else ""
    if wanted == "a list" and not isinstance(value, dict):
        return f"put it in square brackets: [{written(value)}]"
    return ""
