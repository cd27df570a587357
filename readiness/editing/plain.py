"""A course as plain values, on its way to or from another form.

What ``graph.toml`` and ``pacing.toml`` hold as ``tomli`` gives it, all that is inherited written
out. Days are the only values that JSON does not know; they travel as ``{"day": "2026-09-01"}``.
"""

from __future__ import annotations

import re
from collections import Counter
from collections.abc import Mapping
from dataclasses import field
from datetime import date, datetime
from typing import Any, Final

from readiness.lazy import dataclass

__all__ = ["AN_ID", "Plain", "PlainError", "as_json_value", "from_json_value"]

AN_ID: Final = re.compile("[a-z0-9-]+")


@dataclass(frozen=True)
class Plain:
    """The content of the two files of a course."""

    graph: Mapping[str, Any]
    pacing: Mapping[str, Any]
    left_out: Counter[str] = field(default_factory=Counter)
    """What the form held that a course cannot hold, and how often."""


class PlainError(ValueError):
    """A course that cannot be written in another form, or a text that holds no course."""


def as_json_value(value: Any) -> Any:  # noqa: ANN401 - whatever a file holds
    """Return a value with its days as JSON can hold them."""
    if isinstance(value, Mapping):
        return {key: as_json_value(inner) for key, inner in value.items()}
    if isinstance(value, list):
        return [as_json_value(inner) for inner in value]
    if isinstance(value, date) and not isinstance(value, datetime):
        return {"day": value.isoformat()}
    return value


def from_json_value(value: Any) -> Any:  # noqa: ANN401 - whatever a file holds
    """Return a value with its days as days again; what JSON calls null is left out.

    Raises:
        ValueError: a day is none.
    """
    if isinstance(value, dict):
        if set(value) == {"day"} and isinstance(value["day"], str):
            return date.fromisoformat(value["day"])
        return {key: from_json_value(inner) for key, inner in value.items() if inner is not None}
    return [from_json_value(inner) for inner in value] if isinstance(value, list) else value
