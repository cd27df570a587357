"""Two programs must agree: tomllib, which knows no places, and ours, which knows only places."""

from __future__ import annotations

import tomllib
from pathlib import Path

import pytest
import tomli_w
from hypothesis import given, settings
from hypothesis import strategies as st

from readiness.files.locate import Locator, Places, locate

KEYS = st.text(st.characters(blacklist_categories=["Cs"]), max_size=6) | st.sampled_from(
    ["a", "skill", "wrist-lift", "4-5", "a.b", 'say "x"', "it's", "#", "=", "[x]", " ", "\\", "\n", "é"]
)
TEXTS = st.text(st.characters(blacklist_categories=["Cs"]), max_size=12) | st.sampled_from(
    ['"""', "'''", "[a]\nb = 1\n", "\\", 'x"\n"y', "#", "\r\n", "]", "}"]
)
VALUES = st.recursive(
    TEXTS | st.integers() | st.floats() | st.booleans() | st.datetimes() | st.dates() | st.times(),
    lambda inner: st.lists(inner, max_size=4) | st.dictionaries(KEYS, inner, max_size=4),
    max_leaves=12,
)
DOCUMENTS = st.dictionaries(KEYS, VALUES, max_size=6)


def paths_of(value, path=()):
    """Yield the path of everything in a value that tomllib made."""
    if path:
        yield path
    pairs = value.items() if isinstance(value, dict) else enumerate(value) if isinstance(value, list) else ()
    for step, inside in pairs:
        yield from paths_of(inside, (*path, step))


def value_at(value, path):
    for step in path:
        value = value[step]
    return value


def rest_at(text, line, column):
    """Return the text from a place on."""
    return "\n".join(text.split("\n")[line - 1 :])[column - 1 :]


def read_key(rest):
    """Return the first part of a key, read by tomllib itself."""
    end = next(
        n
        for n in range(1, len(rest) + 1)
        if (rest[0] not in "\"'" or n > 1) and _is_whole_key(rest[:n], rest[n : n + 1])
    )
    return next(iter(tomllib.loads(f"{rest[:end]} = 1")))


def _is_whole_key(part, following):
    try:
        tomllib.loads(f"{part} = 1")
    except tomllib.TOMLDecodeError:
        return False
    return following in ("", " ", ".", "=", "]")


@settings(max_examples=200, deadline=None)
@given(DOCUMENTS, st.booleans())
def test_the_same_paths(document, multiline):
    text = tomli_w.dumps(document, multiline_strings=multiline)
    assert set(locate(text).spots) == set(paths_of(tomllib.loads(text)))


@settings(max_examples=200, deadline=None)
@given(DOCUMENTS, st.booleans())
def test_the_text_at_each_place_spells_the_key(document, multiline):
    text = tomli_w.dumps(document, multiline_strings=multiline).replace("\r\n", "\n")
    for path, spot in locate(text).spots.items():
        if isinstance(path[-1], str):
            assert read_key(rest_at(text, spot.line, spot.column)) == path[-1]


@settings(max_examples=200, deadline=None)
@given(DOCUMENTS)
def test_the_text_at_each_place_begins_the_value(document):
    text = tomli_w.dumps(document)
    read = tomllib.loads(text)
    for path, spot in locate(text).spots.items():
        rest = rest_at(text, spot.value_line, spot.value_column)
        value = value_at(read, path)
        if isinstance(value, bool):
            assert rest.startswith("true" if value else "false")
        elif isinstance(value, int):
            assert rest.startswith(str(value))
        elif isinstance(value, str):
            assert rest[0] in "\"'"


class WithoutShortcuts(Locator):
    """The locator without its quick ways over plain lines."""

    def _plain_statements(self):
        return False

    def _plain_header(self):
        return False


@settings(max_examples=200, deadline=None)
@given(DOCUMENTS, st.booleans())
def test_the_quick_way_over_plain_lines_sees_the_same(document, multiline):
    text = tomli_w.dumps(document, multiline_strings=multiline).replace("\n\n", "\n  # remark\n", 2)
    slow = WithoutShortcuts(text)
    slow.walk()
    assert locate(text) == Places(slow.spots, slow.headers)


@pytest.mark.parametrize("folder", ["skill_graphs", "demo_students"])
def test_the_quick_way_sees_the_same_in_files_written_by_people(folder):
    for path in sorted((Path(__file__).parents[2] / folder).rglob("*.toml")):
        slow = WithoutShortcuts(path.read_text(encoding="utf-8"))
        slow.walk()
        assert locate(path.read_text(encoding="utf-8")) == Places(slow.spots, slow.headers)
