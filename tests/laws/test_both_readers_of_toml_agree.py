"""The quicker reader of TOML may only ever give what the reference gives, or leave the text to it.

The reference is ``tomllib`` of the standard library (TOML 1.0); the quicker one reads a newer edition.
"""

from __future__ import annotations

import tomllib
from pathlib import Path

import pytest
import tomli_w
from hypothesis import example, given
from hypothesis import strategies as st
from laws.test_locate_and_tomllib_see_the_same_paths import DOCUMENTS

from readiness.files import toml

ROOT = Path(__file__).parents[2]
SHIPPED = tuple(
    sorted(path for folder in ("demo_students", "skill_graphs") for path in (ROOT / folder).rglob("*.toml"))
)
PIECES = st.sampled_from([
    "\\e", "\\x41", "\\u0041", "\\ud800", "07:32", "07:32:10", "1979-05-27", "1979-05-27 07:32", "{",
    "}", ",", "{ a = 1, }", "{ a = 1,\n b = 2 }", "{\n}", "[", "]", "[[a]]\n", "[a]\n", "a.b = 1\n",
    "a = 1\n", '"', "'", '"""', "'''", "\n", "\r", "\r\n", "#", "=", "\ufeff", "\x00", "\x7f", "é",
    "1e400", "0x1F", "1_0", "+1", "inf", "nan", "true", "9223372036854775808", "-9223372036854775809",
    "0001-01-01", "2025-02-29", "x", " ", "\t",
])  # fmt: skip


def read(loads, text):
    """Return what a reader says: the value, or that it is none."""
    try:
        return loads(text)
    except ValueError:
        return "no TOML"


def test_the_quicker_reader_is_there_and_does_the_reading(monkeypatch):
    assert toml.rtoml is not None, "it belongs to the environment of the tests"
    text = SHIPPED[0].read_text("utf-8")
    expected = tomllib.loads(text)
    monkeypatch.setattr(toml.tomllib, "loads", None)
    assert toml.loads(text) == expected


@pytest.mark.parametrize("path", SHIPPED, ids=lambda path: f"{path.parent.name}-{path.stem}")
def test_every_shipped_file(path):
    text = path.read_text("utf-8")
    assert toml.loads(text) == tomllib.loads(text)


@given(DOCUMENTS)
def test_all_that_can_be_written(document):
    text = tomli_w.dumps(document)
    assert repr(read(toml.loads, text)) == repr(tomllib.loads(text))


@given(st.sampled_from(SHIPPED), st.lists(st.tuples(st.floats(0, 1), PIECES), min_size=1, max_size=4))
def test_all_that_a_slip_of_the_finger_makes_of_a_file(path, slips):
    text = path.read_text("utf-8")[:3_000]
    for where, piece in slips:
        at = int(where * len(text))
        text = text[:at] + piece + text[at:]
    assert read(toml.loads, text) == read(tomllib.loads, text)


@given(st.lists(PIECES, max_size=12).map("".join))
@example('a = "\\e"')
@example("a = { b = 1, }")
@example("a = {\nb = 1 }")
@example("a = 07:32")
@example("\ufeffa = 1")
def test_all_that_is_hardly_toml(text):
    assert repr(read(toml.loads, text)) == repr(read(tomllib.loads, text))


def test_without_the_quicker_reader_the_reference_reads(monkeypatch):
    monkeypatch.setattr(toml, "rtoml", None)
    assert toml.loads("a = 1") == {"a": 1}
    with pytest.raises(ValueError, match="Invalid"):
        toml.loads("a = ")
