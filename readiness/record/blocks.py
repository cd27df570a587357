"""The text of one block of a student file, as a teacher would have typed it.

Only what is known is written: an empty list or an empty remark stays out. The last line of
a block carries a mark, by which :mod:`readiness.record.append` knows its own entry again
when asked to take it back.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from datetime import date
from typing import Final

import tomli_w

__all__ = ["block", "line", "quoted"]

_WIDE: Final = 100


def block(kind: str, fields: Iterable[tuple[str, object]]) -> str:
    """Return one ``[[kind]]`` block with the fields that have something to say.

    >>> print(block("lesson", [("on", date(2025, 12, 2)), ("alone", ["wrist-lift"]), ("cue", [])]), end="")
    [[lesson]]
    on = 2025-12-02
    alone = ["wrist-lift"]
    """
    lines = [f"[[{kind}]]", *(line(name, value) for name, value in fields if not _is_empty(value))]
    return "".join(f"{one}\n" for one in lines)


def line(name: str, value: object) -> str:
    """Return ``name = value``; a list too long for one line gets a line an item."""
    text = f"{name} = {quoted(value)}"
    if len(text) <= _WIDE or not isinstance(value, (list, tuple)):
        return text
    items = "".join(f"  {quoted(item)},\n" for item in value)
    return f"{name} = [\n{items}]"


def quoted(value: object) -> str:
    """Return a value as TOML writes it."""
    if isinstance(value, (list, tuple)):
        return f"[{', '.join(quoted(item) for item in value)}]"
    if isinstance(value, Mapping):
        inner = ", ".join(f"{key} = {quoted(item)}" for key, item in value.items())
        return f"{{ {inner} }}"
    if isinstance(value, date):
        return value.isoformat()
    return tomli_w.dumps({"x": value}).removeprefix("x = ").rstrip("\n")


def _is_empty(value: object) -> bool:
    return value is None or (not isinstance(value, (bool, int, date)) and not value)
