"""The test suite of TOML itself: what is right is read as meant, with a place for all; what is wrong is told.

Source: toml-test 2.1.0 of the TOML authors (MIT, see ``toml_test/LICENSE``), all 678 files of its list
for TOML 1.0.0, as they lie in the source package of tomlkit 0.15.2 on PyPI (``tests/toml-test``). Each is
one line of ``toml_test/cases.json``: its text (its bytes, where they are no UTF-8) and, of a right one, the
value that is expected, in the suite's own notation.
"""

from __future__ import annotations

import json
import tomllib
from datetime import date, datetime, time
from pathlib import Path

import pytest
from pydantic import BaseModel, ConfigDict
from toml_files.in_order import levels, levels_placed

from readiness.toml.problems import render
from readiness.toml.read import parse_bytes

CASES = json.loads(Path(__file__).with_name("toml_test").joinpath("cases.json").read_text(encoding="utf-8"))
RIGHT = [name for name in CASES if name.startswith("valid/")]
WRONG = [name for name in CASES if name.startswith("invalid/")]
KINDS = {
    "string": str, "integer": int, "float": float, "bool": {"true": True, "false": False}.__getitem__,
    "datetime": datetime.fromisoformat, "datetime-local": datetime.fromisoformat,
    "date-local": date.fromisoformat, "time-local": time.fromisoformat,
}  # fmt: skip


class Anything(BaseModel):
    model_config = ConfigDict(extra="allow")


def read(name):
    case = CASES[name]
    data = bytes.fromhex(case["hex"]) if "hex" in case else case["toml"].encode()
    return parse_bytes(data, Path(f"{name}.toml"), Anything)


def meant(value):
    """Return the value that the suite's notation stands for."""
    if isinstance(value, list):
        return [meant(one) for one in value]
    if value.keys() == {"type", "value"} and isinstance(value["type"], str):
        return KINDS[value["type"]](value["value"])
    return {key: meant(one) for key, one in value.items()}


def told(value):
    """Return a value so that equal texts mean equal values of equal types; keys in any order."""
    if isinstance(value, dict):
        return f"{{{', '.join(f'{key!r}: {told(value[key])}' for key in sorted(value))}}}"
    return f"[{', '.join(map(told, value))}]" if isinstance(value, list) else repr(value)


def test_the_suite_is_whole():
    assert (len(RIGHT), len(WRONG), len(CASES)) == (205, 473, 678)


@pytest.mark.parametrize("name", RIGHT)
def test_what_is_right_is_read_as_meant_with_a_place_for_all(name):
    loaded = read(name)
    assert loaded.problems == ()
    assert told(dict(loaded.data)) == told(meant(CASES[name]["value"]))
    assert levels_placed(loaded.places) == levels(loaded.data)


def refused(lines):
    """Return what ``tomllib`` says against some lines; nothing where they are right."""
    try:
        tomllib.loads("\n".join(lines))
    except tomllib.TOMLDecodeError as err:
        return str(err)
    return ""


@pytest.mark.parametrize("name", WRONG)
def test_what_is_wrong_is_told_with_its_line(name):
    loaded = read(name)
    assert loaded.value is None
    assert loaded.problems
    lines = loaded.text.split("\n")
    for problem in loaded.problems:
        assert render(problem)
        assert 1 <= problem.place.column <= len(lines[problem.place.line - 1]) + 1
    first = min(problem.place.line for problem in loaded.problems)
    above = refused([*lines[: first - 1], ""])
    assert not above or "end of document" in above, "only what ends there is not finished"
    assert refused(lines[:first]) or loaded.problems[0].id == "not-utf8"
