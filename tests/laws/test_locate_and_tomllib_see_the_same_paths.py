"""Two programs must agree: tomllib, which knows no places, and ours, which knows only places."""

from __future__ import annotations

import re
import tomllib
from collections import Counter
from pathlib import Path

import pytest
import tomli_w
from hypothesis import Phase, given, settings
from hypothesis import strategies as st
from toml_files.in_order import levels, levels_placed

from readiness.toml.locate import Locator, Places, locate

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

NAMES = st.sampled_from(["a", "b", "c", '"d e"', "'f.g'"])
DOTTED = st.lists(NAMES, min_size=1, max_size=3).map(".".join) | st.tuples(NAMES, NAMES).map(" . ".join)
HEADERS = st.lists(st.sampled_from("ab"), min_size=1, max_size=3).map(".".join) | DOTTED
ATOMS = st.sampled_from(["1", "-20", "true", '"x"', "'[y]'", "2025-12-02 10:30:00", '"""one\n[a]\nb = 1"""'])
INSIDE = st.sampled_from([
    "[{0}, {1}, [], {{}}]", "[ # [\n  {0}, # }}\n  {1}\n]", "[ # [\n  {1},\n]", "{{ a = {0}, b = {1} }}",
    "{{ a.b = {0}, a . c = {1} }}", "{{ \"d e\".'f.g' = {0}, c = {1} }}",
])  # fmt: skip
"""Lists on one line and over several, and inline tables."""
LISTED = st.builds(str.format, INSIDE, ATOMS, ATOMS)
INLINE = ATOMS | st.builds(str.format, INSIDE, LISTED, ATOMS | LISTED)
STATEMENTS = (
    HEADERS.map("[{}]".format)
    | HEADERS.map("[[{}]]".format)
    | st.tuples(DOTTED, st.just("="), INLINE).map("".join)
    | st.tuples(NAMES, st.just(" = "), INLINE).map("".join)
)
LAYOUTS = st.sampled_from(["{}", " \t{}", "{}\n", "{} # [a]"])


@st.composite
def written_by_hand(draw):
    """Draw statements, each kept where ``tomllib`` still accepts the text with it."""
    kept = []
    for statement in draw(st.lists(STATEMENTS, min_size=4, max_size=20)):
        line = draw(LAYOUTS).format(statement)
        if is_toml("\n".join([*kept, line])):
            kept.append(line)
    return draw(st.sampled_from(["\n", "\n", "\r\n"])).join(kept)


def is_toml(text):
    try:
        tomllib.loads(text)
    except tomllib.TOMLDecodeError:
        return False
    return True


WRITTEN = written_by_hand() | st.builds(tomli_w.dumps, DOCUMENTS, multiline_strings=st.booleans())


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
    return is_toml(f"{part} = 1") and following in ("", " ", ".", "=", "]")


@given(WRITTEN)
def test_the_same_paths_in_the_same_order(text):
    assert levels_placed(locate(text)) == levels(tomllib.loads(text))


@given(WRITTEN)
def test_the_text_at_each_place_spells_the_key_and_begins_the_value(text):
    read, text = tomllib.loads(text), text.replace("\r\n", "\n")
    for path, spot in locate(text).spots.items():
        if isinstance(path[-1], str):
            assert read_key(rest_at(text, spot.line, spot.column)) == path[-1]
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


@given(WRITTEN)
def test_the_quick_way_over_plain_lines_sees_the_same(text):
    text = text.replace("\n\n", "\n  # remark\n", 2)
    slow = WithoutShortcuts(text)
    slow.walk()
    assert locate(text) == Places(slow.spots, slow.headers)


@pytest.mark.parametrize("folder", ["skill_graphs", "demo_students"])
def test_the_quick_way_sees_the_same_in_files_written_by_people(folder):
    for path in sorted((Path(__file__).parents[2] / folder).rglob("*.toml")):
        slow = WithoutShortcuts(path.read_text(encoding="utf-8"))
        slow.walk()
        assert locate(path.read_text(encoding="utf-8")) == Places(slow.spots, slow.headers)


def headers_of(text):
    """Return the headers of a text drawn above, each as whether it is of a list, and its parts."""
    found = re.findall(r"^[ \t]*(\[\[?)([^\[\]\n=#]+)\]", text, re.MULTILINE)
    return [(sign == "[[", tuple(re.findall(r"\"[^\"]+\"|'[^']+'|\w+", key))) for sign, key in found]


def shapes_of_tables(text):
    """Yield the shapes of tables for which readers have given another order, or no place."""
    headers = headers_of(text)
    for at, (listed, parts) in enumerate(headers):
        for again, (also_listed, others) in enumerate(headers[at + 1 :], at + 1):
            if is_in(parts, others):
                yield "a list before the table it is in" if listed else "a table before the one it is in"
            elif listed and is_in(others, parts):
                yield "a list in a list" if also_listed else "a table in the latest of a list"
            if parts[0] == others[0] and parts[0] not in {one[0] for _, one in headers[at:again][1:]}:
                yield "back to a table after another" if again > at + 1 else "one table after another"


def is_in(parts, others):
    return len(parts) > len(others) and parts[: len(others)] == others


SHAPES = {
    "a dotted key": r"(?m)^[ \t]*[^\[#\n=]+\.[^\[#\n=]+=",
    "a dotted key in an inline table": r"\{[^}\n]*\.[^}\n]*=",
    "an inline table in an inline table": r"\{[^}\n]*\{",
    "an inline table in a list over several lines": r"\[ # \[\n[^\]]*\{",
    **dict.fromkeys((
        "a list before the table it is in", "a table before the one it is in", "a list in a list",
        "a table in the latest of a list", "back to a table after another", "one table after another",
    )),
}  # fmt: skip
"""What must be drawn often; where a pattern tells it, with that."""


def test_what_is_drawn_has_every_shape_often():
    """Each in one text of a hundred at least."""
    reached = Counter()

    @settings(max_examples=300, derandomize=True, database=None, phases=[Phase.generate])
    @given(written_by_hand())
    def count(text):
        reached.update(shape for shape, pattern in SHAPES.items() if pattern and re.search(pattern, text))
        reached.update(set(shapes_of_tables(text)))

    count()
    assert {shape for shape in SHAPES if reached[shape] < 3} == set(), reached
