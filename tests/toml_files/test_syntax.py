"""Texts that are not TOML: what is said about each, to the word and to the column.

Beside every file of ``bad_syntax`` stands all that is said about it.
"""

from __future__ import annotations

import tomllib
from dataclasses import replace
from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from pydantic import BaseModel

from readiness.toml import statements, syntax
from readiness.toml.problems import render
from readiness.toml.read import LARGEST, parse_toml, read_toml
from readiness.toml.syntax import MOST, read_on

FOLDER = Path(__file__).parent / "bad_syntax"
BAD = sorted(FOLDER.glob("*.toml"))
HERE = Path("here.toml")


class Anything(BaseModel):
    """A model that lets everything in."""


def said(file: Path) -> str:
    """Return what is printed about a file, named as if from inside its folder."""
    loaded = read_toml(file, Anything)
    return "".join(f"{render(p)}\n" for p in loaded.problems).replace(f"{file.parent}/", "")


def ids_of(text: str) -> list[str]:
    return [problem.id for problem in read_on(text, HERE)[0]]


@pytest.mark.parametrize("file", BAD, ids=lambda file: file.stem)
def test_what_is_said_about_a_text_that_is_not_toml(file):
    assert said(file) == file.with_suffix(".txt").read_text(encoding="utf-8")


def test_every_expected_text_belongs_to_a_file():
    assert {file.stem for file in BAD} == {file.stem for file in FOLDER.glob("*.txt")}


@pytest.mark.parametrize("file", BAD, ids=lambda file: file.stem)
def test_nothing_is_made_of_a_text_that_is_not_toml(file):
    loaded = read_toml(file, Anything)
    assert loaded.value is None
    assert loaded.places is None
    assert loaded.key_place("format").line == 1


@pytest.mark.parametrize("file", BAD, ids=lambda file: file.stem)
def test_every_place_is_in_the_text(file):
    loaded = read_toml(file, Anything)
    lines = loaded.text.replace("\r\n", "\n").split("\n")
    for problem in loaded.problems:
        for place in filter(None, (problem.place, problem.other)):
            assert 1 <= place.line <= len(lines)
            assert 1 <= place.column <= len(lines[place.line - 1]) + 1


def test_windows_line_ends_change_no_place():
    for file in BAD:
        text = file.read_bytes().decode(errors="replace").replace("\r\n", "\n").removeprefix("\ufeff")
        assert parse_toml(text, HERE, Anything).problems == (
            parse_toml(text.replace("\n", "\r\n"), HERE, Anything).problems
        )


def test_a_byte_order_mark_is_no_problem_and_moves_no_column(tmp_path):
    file = tmp_path / "marked.toml"
    file.write_bytes('\ufeffname = "x"\n'.encode())
    loaded = read_toml(file, Anything)
    assert loaded.problems == ()
    assert (loaded.key_place("name").column, loaded.value_place("name").column) == (1, 8)


def test_so_many_mistakes_are_reported_at_once():
    assert len(read_on("a b = 1\n" * 50, HERE)[0]) == MOST


def test_a_lost_header_makes_no_second_problem():
    assert ids_of("[a]\nname = 1\n[b\nname = 2\n[a]\nname = 3\n") == ["header", "written-twice"]


def test_a_list_that_never_closes_hides_nothing_below_it():
    assert ids_of("a = [1,\nb = x\nc = 04\n") == ["unclosed-list", "no-quotes", "leading-zero"]


def test_text_that_only_looks_like_a_mistake_is_none():
    text = 'a = "“curly”, [open, 04"\nb = """\n[x\nc: 3\n"""\n# [x\nd = \'it is "so"\'\n"e f" = 1\n'
    tomllib.loads(text)
    assert read_on(text, HERE)[0] == ()


def test_no_such_file_names_a_near_one(tmp_path):
    (tmp_path / "temwa.toml").write_text("")
    (problem,) = read_toml(tmp_path / "tewma.toml", Anything).problems
    assert (problem.id, problem.hint) == ("no-file", 'did you mean "temwa.toml"?')


def test_a_folder_is_not_a_file(tmp_path):
    (problem,) = read_toml(tmp_path, Anything).problems
    assert problem.id == "not-a-file"
    assert render(problem).startswith(f"{tmp_path}:1:1: error: [not-a-file]")


def test_a_huge_file_is_refused_unread(tmp_path):
    file = tmp_path / "huge.toml"
    with file.open("wb") as out:
        out.truncate(LARGEST + 1)
    (problem,) = read_toml(file, Anything).problems
    assert problem.id == "too-large"
    assert render(problem).count("\n") == 0


def test_a_file_that_may_not_be_read_is_a_problem(tmp_path, monkeypatch):
    def refuse(self):
        raise PermissionError(13, "Permission denied", str(self))

    file = tmp_path / "closed.toml"
    file.write_text("a = 1")
    monkeypatch.setattr(Path, "read_bytes", refuse)
    (problem,) = read_toml(file, Anything).problems
    assert problem.id == "no-access"
    assert "Permission denied" in problem.message


def test_a_name_no_system_allows_is_a_problem():
    (problem,) = read_toml(Path("a\0b.toml"), Anything).problems
    assert problem.id in ("no-file", "no-access")  # Python versions differ in whether exists() raises
    assert "\0" not in render(problem)


def test_nothing_in_a_file_commands_the_terminal():
    text = '"a\\nb\\u001b[2J" = "\x1b]0;title\x07"\x85'
    shown = "".join(render(p, {HERE: text}) for p in read_on(text, HERE)[0])
    assert shown
    assert not set(shown) & set("\x1b\x07\x85")


def test_the_caret_stands_below_the_word_in_a_long_line():
    text = "a = [" + "1, " * 500 + "x]"
    (problem,) = read_on(text, HERE)[0]
    _, line, caret, _ = render(problem, {HERE: text}).split("\n")
    assert line[caret.index("^")] == "x"
    assert len(line) < 200


MARKS = ["[", "]", "[[", "{", "}", '"', '"""', "'", "'''", ",", "=", ".", "\n", "\r\n", " ", "#", ":", "\\"]
BITS = st.sampled_from(
    [*MARKS, *"éab01“\t\x00\u2028", "a = 1\n", "[a]\n", "[[b]]\n", '"x"', "2025-12-02"],
)


@settings(max_examples=200, deadline=None)
@given(st.lists(BITS, max_size=25).map("".join))
def test_any_text_is_either_toml_or_has_problems_in_it(text):
    try:
        tomllib.loads(text)
        good = True
    except ValueError:
        good = False
    problems = read_on(text, HERE)[0]
    lines = text.replace("\r\n", "\n").split("\n")
    assert good == (not problems)
    for problem in problems:
        assert problem.place.column <= len(lines[problem.place.line - 1]) + 1
        assert render(problem, {HERE: text})


def test_a_number_written_as_a_word_is_asked_for_in_figures():
    (problem,) = read_on("motor = three\n", HERE)[0]
    assert (problem.message, problem.hint) == ("a number stands in figures", "write 3")


@pytest.mark.parametrize("file", BAD, ids=lambda file: file.stem)
def test_a_line_is_mended_whatever_is_said_of_it(file, monkeypatch):
    def reworded(stop: statements.Stop) -> statements.Fault:
        fault = syntax_find_fault(stop)
        return replace(fault, message="said otherwise", hint="do otherwise")

    syntax_find_fault = syntax.find_fault
    text = file.read_bytes().decode(errors="replace").removeprefix("\ufeff")
    as_said = read_on(text, HERE)[1]
    monkeypatch.setattr(syntax, "find_fault", reworded)
    assert read_on(text, HERE)[1] == as_said
