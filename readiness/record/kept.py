"""Everything kept about one student as plain values: dates as written, help by its name.

What is not about the student (lines of the file, the file itself) is left out.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import fields, is_dataclass
from typing import Final

from readiness.days import iso
from readiness.record.model import HELPS, Record

__all__ = ["kept_to_dict"]

_DAYS: Final = frozenset({
    "born", "on", "opened", "since", "closed", "given", "due", "answered", "confirmed", "until",
})  # fmt: skip
_NOT_ABOUT: Final = frozenset({"line", "path", "whole", "elsewhere"})


def kept_to_dict(record: Record) -> dict[str, object]:
    """Return all of a student's file, ready for ``json.dumps``."""
    return _fields_of(record)


def _fields_of(block: object) -> dict[str, object]:
    assert is_dataclass(block)
    return {
        field.name: _value(field.name, getattr(block, field.name))
        for field in fields(block)
        if field.name not in _NOT_ABOUT
    }


def _value(name: str, value: object) -> object:
    if name in _DAYS and isinstance(value, int):
        return iso(value)
    if name == "help" and isinstance(value, int):
        return HELPS[value]
    if isinstance(value, tuple):
        return [_fields_of(one) if is_dataclass(one) else one for one in value]
    if is_dataclass(value):
        return _fields_of(value)
    return dict(value) if isinstance(value, Mapping) else value
