"""``readiness enter``: the codes of a sheet that was filled in on paper."""

from __future__ import annotations

import re
import tomllib

import pytest

from readiness.advice.sheet import check_sheet

ON = ("--on", "2025-12-10")
ENROLLED = ("--on", "2025-11-02")


def word_of(say, student, on, *more):
    told = " ".join(say("sheet", student, "--on", on, *more).out.split())
    return re.search(r"readiness enter \w+ ([a-z]{4})", told)[1]


@pytest.fixture
def own(say, tmp_path, monkeypatch):
    assert say("start", "own").code == 0
    monkeypatch.chdir(tmp_path / "own")


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
    word = re.search(r"readiness enter temwa ([a-z]{4})", " ".join(printed.split()))[1]
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
        (["1a", "1c"], "1c is there twice"), (["99a"], "99a names no line"), (["1z"], '"1z" is not a code'),
        (["5b", "1a", "7e", "8e"], '"5b", "7e" and "8e" are not codes; a code is a line'),
        ([], "there are no codes"), (["qqqq", "1a"], 'has the word "qqqq"'), (["2.9a"], "2.9a names no line"),
        (["1.0a"], "1.0a names no line"), (["jgk", "1a"], "does not say whose it is"),
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


def test_the_word_of_a_sheet_says_whose_it_is(own, say):
    """Two children with the same notes have the same lines; the paper of one is not read for the other."""
    for one in ("zoe", "pip"):
        assert say("enrol", one, "--name", one, "--born", "2019-10", "--unit", "1", *ENROLLED).code == 0
    zoe, pip = (word_of(say, one, "2025-11-09") for one in ("zoe", "pip"))
    assert zoe != pip
    said = say("enter", "pip", zoe, "1a", "--on", "2025-11-09")
    assert (said.code, "it is of another student" in " ".join(said.told.split())) == (2, True)
    assert say("enter", "zoe", zoe, "1a", "--on", "2025-11-09").code == 0


def test_one_paper_is_for_one_lesson(own, say):
    assert say("enrol", "zoe", "--name", "Zoe", "--born", "2019-10", "--unit", "1", *ENROLLED).code == 0
    word = word_of(say, "zoe", "2025-11-08")  # the evening before
    assert say("enter", "zoe", word, "1a", "--on", "2025-11-09").code == 0
    again = ("enter", "zoe", word, "1a", "--on", "2025-11-16")
    told = say(*again).told
    assert "made before the lesson of 9 November 2025" in " ".join(told.split())
    assert "--yes" in told
    fresh = word_of(say, "zoe", "2025-11-16")
    assert fresh != word
    assert say("enter", "zoe", fresh, "1a", "--on", "2025-11-16").code == 0
    assert say(*again[:-1], "2025-11-17", "--yes").code == 0


@pytest.mark.parametrize("minutes", [(), ("--minutes", "4")])
def test_a_decision_of_the_day_leaves_its_paper_of_use(own, say, minutes):
    assert say("enrol", "pip", "--name", "Pip", "--born", "2019-10", "--unit", "1", *ENROLLED).code == 0
    assert say("note", "pip", "1", "feet", "--on", "2025-11-09").code == 0
    word = word_of(say, "pip", "2025-11-16", *minutes)
    assert say("decide", "pip", "move", "--reason", "r", "--on", "2025-11-16").code == 0
    assert word_of(say, "pip", "2025-11-16", *minutes) != word
    assert say("enter", "pip", word, "1a", "--on", "2025-11-16").code == 0
