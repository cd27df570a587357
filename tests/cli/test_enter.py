"""``readiness enter``: the codes of a sheet that was filled in on paper."""

from __future__ import annotations

import re
import tomllib

import pytest

from readiness.advice.sheet import check_sheet

ON = ("--on", "2025-12-10")


@pytest.fixture
def temwa(studio, monkeypatch, say):
    monkeypatch.chdir(studio)
    return studio / "students" / "temwa.toml"


@pytest.fixture
def sheet(course, records, answered):
    return check_sheet(course, records["temwa"], answered("temwa", "2025-12-10"))


def last(path):
    return tomllib.loads(path.read_text(encoding="utf-8"))["lesson"][-1]


def test_the_codes_of_a_printed_sheet_are_noted_line_by_line(temwa, say, sheet):
    printed = say("sheet", "temwa", "--full", *ON).out
    assert f" · {sheet.word}\n" in say("sheet", "temwa", *ON).out
    word = re.search(r"readiness enter temwa ([a-z]{3})", " ".join(printed.split()))[1]
    assert word == sheet.word
    one, two, three, four = (item.skills for item in sheet.items[:4])
    said = say("enter", "temwa", word, "1a", "2a", "3c", "4-", *ON)
    assert said.code == 0
    noted = last(temwa)
    assert noted["alone"] == [*one, *two]
    assert (noted["cue"], noted["not_tried"]) == ([*three], [*four])
    assert said.out.startswith("Without help: ")


def test_codes_may_stand_together_and_a_part_of_the_glance_has_its_own(temwa, say, sheet):
    glance = next(i for i, item in enumerate(sheet.items, 1) if len(item.skills) > 1)
    skills = sheet.items[glance - 1].skills
    assert say("enter", "temwa", f"{glance}.2N{glance}a", *ON).code == 0
    noted = last(temwa)
    assert noted["not_shown"] == [skills[1]]
    assert set(noted["alone"]) == {*skills} - {skills[1]}


@pytest.mark.parametrize(
    ("words", "told"),
    [
        (["1a", "1c"], "1c is there twice"), (["99a"], "99a names no line"), (["1z"], '"1z" is no code'),
        ([], "there are no codes"), (["qqq", "1a"], 'has the word "qqq"'), (["2.9a"], "2.9a names no line"),
        (["1.0a"], "1.0a names no line"),
    ],
)  # fmt: skip
def test_what_is_no_code_is_said_and_nothing_is_written(temwa, say, words, told):
    before = temwa.read_bytes()
    said = say("enter", "temwa", *words, *ON)
    assert (said.code, told in " ".join(said.told.split())) == (2, True)
    assert temwa.read_bytes() == before


def test_a_sheet_from_before_the_lesson_is_known_by_its_word(temwa, say, sheet):
    """Something of that day is noted already, so a sheet printed now would have other lines."""
    assert say("note", "temwa", "5", "wrist-lift,rounded-hand-keys", *ON).code == 0
    assert say("enter", "temwa", sheet.word, "1c", *ON).code == 0
    assert last(temwa)["cue"] == [*sheet.items[0].skills]


def test_the_page_has_the_codes_too(temwa, say, sheet, tmp_path):
    assert say("sheet", "temwa", "--html", tmp_path / "sheet.html", *ON).code == 0
    page = (tmp_path / "sheet.html").read_text(encoding="utf-8")
    assert f" · {sheet.word}</h1>" in page
    for words in ("a without help", "c with a reminder", "- not asked", ">2.1<"):
        assert words in page
