"""A number, a day or a yes that is written as something else is told: where, and what is meant."""

from __future__ import annotations

import re
import types
import typing
from collections.abc import Iterator
from datetime import date
from pathlib import Path

import pytest
from pydantic import BaseModel

from readiness.studio.schema import MODELS
from readiness.toml.read import parse_toml

WRONG = {
    int: ('"3"', "true", "3.5", "3.0", "2025-12-02", "[3]"),
    float: ('"0.5"', "true", "2025-12-02", "[0.5]"),
    bool: ('"true"', "1", "0", "1.0", "2025-12-02"),
    date: ('"2025-12-02"', "true", "20251202", "2025.5", "2025-12-02T10:00:00", "[2025-12-02]"),
}
"""By what a key holds, how it may be written by somebody who takes it for something else."""
MEANT = {
    int: r"must be a whole number, not|write format = 1", float: "must be a number, not",
    bool: "must be true or false, not", date: r"a day|a date, not|without quotes: \d{4}",
}  # fmt: skip
"""What is said of it by what the key holds."""


def bare(kind):
    """Return a kind of value without what else is asked of it."""
    while True:
        parts = typing.get_args(kind)
        if typing.get_origin(kind) is typing.Annotated:
            kind = parts[0]
        elif typing.get_origin(kind) in (typing.Union, types.UnionType):
            kind = next(one for one in parts if one is not type(None))
        elif typing.get_origin(kind) is typing.Literal and type(parts[0]) is int:
            return int
        else:
            return kind


def leaves(kind, path=()) -> Iterator[tuple[tuple[str | int, ...], type]]:
    """Yield the path of every value of a model, with its kind."""
    kind = bare(kind)
    if isinstance(kind, type) and issubclass(kind, BaseModel):
        for name, one in kind.model_fields.items():
            yield from leaves(one.annotation, (*path, one.alias or name))
    elif typing.get_origin(kind) is list:
        yield from leaves(typing.get_args(kind)[0], (*path, 0))
    elif typing.get_origin(kind) is dict:
        yield from leaves(typing.get_args(kind)[1], (*path, "x"))
    else:
        yield path, kind


def written(path, value):
    """Return the lines that give a value to a path: a header, then the key with what is in it."""
    *tables, key = path
    if key == 0:
        *tables, key = tables
        value = f"[{value}]"
    if tables[:1] == ["skill"] and tables[-1] == 0:
        tables, key, value = tables[:2], tables[2], f"[{{ {key} = {value} }}]"
    name = ".".join(step for step in tables if step != 0)
    header = f"[[{name}]]\n" if tables[-1:] == [0] else f"[{name}]\n" if tables else ""
    return f"{header}{key} = {value}\n"


KEYS = [
    pytest.param(model, path, kind, id=f"{model}.{'.'.join(map(str, path))}")
    for model in MODELS for path, kind in leaves(MODELS[model]) if kind in WRONG
]  # fmt: skip


@pytest.mark.parametrize(("model", "path", "kind"), KEYS)
def test_a_value_of_another_kind_is_told_with_its_place_and_what_is_meant(model, path, kind):
    for value in WRONG[kind]:
        text = written(path, value)
        line = text.rstrip("\n").rpartition("\n")[2]
        found = parse_toml(text, Path("file.toml"), MODELS[model]).problems
        place = text.count("\n"), at(line, value)
        told = [f"{p.message}; {p.hint}" for p in found if (p.place.line, p.place.column) == place]
        assert len(told) == 1, (text, told)
        assert re.search(MEANT[kind], told[0]), told


def at(line, value):
    """Return the column of a value, the first is 1."""
    return line.index(value, line.index("=")) + 1
