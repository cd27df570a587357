"""The lines that are counted are those that the locator finds, whatever the layout."""

from __future__ import annotations

from pathlib import Path

import pytest
import tomli_w
from drawn import situations
from hypothesis import given
from hypothesis import strategies as st

from readiness.record.append import block, line
from readiness.record.load import counted_lines, lines_of, located_lines
from readiness.record.schema import StudentFile
from readiness.toml.read import parse_toml

FOLDER = Path(__file__).parents[2] / "demo_students"
DEMO = sorted(path for path in FOLDER.glob("*.toml") if path.stem != "studio")


def plainly(lines):
    shown = [{name: list(where) for name, where in one.items()} for one in lines.shown]
    return {kind: list(where) for kind, where in lines.blocks.items() if where}, shown


def as_noted(file, mark):
    """Return a student file as it is when every entry was noted by the program, with its marks."""
    head = [line(name, value) for name, value in file.items() if not isinstance(value, list)]
    blocks = [
        block(kind, one.items()).replace("\n", f"{mark}\n") for kind in file if isinstance(file[kind], list)
        for one in file[kind]
    ]  # fmt: skip
    return "\n".join(head) + "\n\n" + "\n".join(blocks)


@given(situations(), st.sampled_from(["", " # 0a1b2c3d", "  # why ]", '  # "why"', " # it's [x]"]))
def test_counted_is_located_in_files_as_noted(situation, mark):
    loaded = parse_toml(as_noted(situation.student, mark), Path("s.toml"), StudentFile)
    assert loaded.value is not None, loaded.problems
    counted = counted_lines(loaded.text, loaded.data)
    assert plainly(lines_of(loaded)) == plainly(located_lines(loaded))
    if mark in ("", " # 0a1b2c3d"):
        assert counted is not None, "this layout is counted"


@given(situations(), st.data())
def test_the_order_of_blocks_and_of_what_is_in_them_is_nothing(situation, data):
    head = {name: value for name, value in situation.student.items() if not isinstance(value, list)}
    listed = [(kind, one) for kind, blocks in situation.student.items() if kind not in head for one in blocks]
    blocks = [
        block(kind, data.draw(st.permutations(list(one.items()))))
        for kind, one in data.draw(st.permutations(listed))
    ]
    text = "\n".join([*(line(name, value) for name, value in head.items()), "", *blocks])
    loaded = parse_toml(text, Path("s.toml"), StudentFile)
    assert loaded.value is not None, loaded.problems
    counted = counted_lines(loaded.text, loaded.data)
    assert counted is not None, "this layout is counted"
    assert plainly(counted) == plainly(located_lines(loaded))


@given(situations())
def test_another_layout_is_left_to_the_locator(situation):
    loaded = parse_toml(tomli_w.dumps(situation.student), Path("s.toml"), StudentFile)
    assert loaded.value is not None, loaded.problems
    assert plainly(lines_of(loaded)) == plainly(located_lines(loaded))


@pytest.mark.parametrize("path", DEMO, ids=lambda path: path.stem)
def test_the_demo_is_counted(path):
    loaded = parse_toml(path.read_text("utf-8"), path, StudentFile)
    counted = counted_lines(loaded.text, loaded.data)
    assert counted is not None
    assert plainly(counted) == plainly(located_lines(loaded))


HEAD = 'format = 1\nname = "A"\nborn = "2019-05"\n'


@pytest.mark.parametrize("text", [
    '[[lesson]]\non = 2025-12-02\nalone = ["a", # "b"]\n"c"]\n',
    '[[lesson]]\non = 2025-12-02\nalone = [\n"a", "b",\n]\n',
    '[[lesson]]\non = 2025-12-02\nalone = [\n\n"a",\n"b"]\n',
    '[[lesson]]\non = 2025-12-02\nnote = """\nalone = ["x"]\n[[lesson]]\n"""\nalone = ["a"]\n',
    "[[lesson]]\non = 2025-12-02\nalone = ['a', 'b']\n",
    '[[ lesson ]]\non = 2025-12-02\n"alone" = ["a"]\n',
    'lesson = [{ on = 2025-12-02, alone = ["a"] }]\n',
    '[[lesson]]\non = 2025-12-02\n  alone=["a"]\ncue = ["b"] # ]\n',
    '[[lesson]]\non = 2025-12-02\n[lesson.remarks]\nalone = "x"\n[[lesson]]\non = 2025-12-03\ncue=["b"]\n',
    '[[lesson]]\r\non = 2025-12-02\r\nalone = ["a"]\r\n',
])  # fmt: skip
def test_odd_layouts_are_never_miscounted(text):
    loaded = parse_toml(HEAD + text, Path("s.toml"), StudentFile)
    assert loaded.value is not None, loaded.problems
    assert plainly(lines_of(loaded)) == plainly(located_lines(loaded))
