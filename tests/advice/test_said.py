"""What the sheet and the plan say and do not say, over the demo students on many days."""

from __future__ import annotations

import json
import re
from pathlib import Path

import pytest
from told import page_of

from readiness.advice.lesson import plan_lesson
from readiness.advice.sheet import check_sheet
from readiness.cli.main import main
from readiness.days import day_number, iso
from readiness.judging import judge
from readiness.words.lesson import plan_sections, sheet_sections

AVOIDED = [
    line
    for line in (Path(__file__).parents[1] / "words" / "avoided.txt").read_text(encoding="utf-8").splitlines()
    if line and not line.startswith("#")
]
DAYS = range(day_number("2025-09-05"), day_number("2026-02-20"), 12)


@pytest.fixture(scope="module")
def texts(course, records):
    made = {}
    for student, record in records.items():
        for day in DAYS:
            answer = judge(course, record, day)
            sheet, plan = check_sheet(course, record, answer), plan_lesson(course, record, answer)
            made["sheet", student, iso(day)] = page_of(sheet_sections, sheet, answer, course, record)
            made["plan", student, iso(day)] = page_of(plan_sections, plan, answer, course, record)
    return made


def test_no_avoided_word(texts):
    pattern = re.compile("|".join(rf"\b{re.escape(word)}" for word in AVOIDED), re.IGNORECASE)
    assert {about: pattern.findall(text) for about, text in texts.items() if pattern.search(text)} == {}


def test_nothing_is_promised_and_no_line_is_too_wide(texts):
    for text in texts.values():
        assert not re.search(r"\bwill be\b", text)
        assert max(map(len, text.splitlines())) <= 80
        assert text.endswith("\n")
        assert not text.endswith("\n\n")


def test_nobody_else_is_named(texts, records):
    for (_, student, _), text in texts.items():
        others = {record.name for name, record in records.items() if name != student}
        assert not [name for name in others if re.search(rf"\b{name}\b", text)]


def test_under_a_hold_the_hold_is_said_before_everything(texts):
    for about, text in texts.items():
        if about[1] == "linnea" and about[2] >= "2025-11-27":
            assert "Stop playing now" in text.split("\n\n")[1]
            assert not re.search("Home task|Make music", text)


def answered(capsys, *words):
    code = main(list(words))
    out, err = capsys.readouterr()
    return code, out, err


@pytest.mark.parametrize("command", ["sheet", "plan"])
def test_the_same_question_gives_the_same_bytes(command, capsys, tmp_path, monkeypatch):
    monkeypatch.chdir(tmp_path)
    for how in ([], ["--json"]):
        first = answered(capsys, command, "temwa", "--on", "2025-12-02", *how)
        assert first[0] == 0
        assert answered(capsys, command, "temwa", "--on", "2025-12-02", *how) == first


def test_the_json_of_a_plan_adds_up(capsys, tmp_path, monkeypatch):
    monkeypatch.chdir(tmp_path)
    _, out, _ = answered(capsys, "plan", "bogdan", "--on", "2025-12-05", "--minutes", "45", "--json")
    found = json.loads(out)
    assert list(found)[:6] == ["format", "student", "on", "band", "unit", "verdict"]
    assert found["lesson_on"] == "2025-12-12"
    assert sum(block["minutes"] for block in found["blocks"]) == found["minutes"] == 45


def test_the_event_of_the_studio_is_heeded(capsys, tmp_path, monkeypatch):
    monkeypatch.chdir(tmp_path)
    _, out, _ = answered(capsys, "plan", "bogdan", "--on", "2026-03-05", "--json")
    assert json.loads(out)["season"] == {
        "kind": "event", "name": "Sharing afternoon", "first": "2026-03-14", "lessons": 2,
    }  # fmt: skip


def test_the_counts_of_an_instrument_are_told_when_asked_for(capsys, tmp_path, monkeypatch):
    monkeypatch.chdir(tmp_path)
    _, out, _ = answered(capsys, "sheet", "temwa", "--keys", "61")
    assert "Right on 61 keys: 5 groups of two and 5 groups of three." in out


@pytest.mark.parametrize(
    "words, said",
    [
        (("plan", "temwa", "--minutes", "5"), "--minutes takes whole minutes from 10 to 90"),
        (("plan", "temwa", "--minutes", "many"), "--minutes takes whole minutes"),
        (("sheet", "temwa", "--keys", "0"), "--keys takes a number of keys"),
        (("sheet", "temwa", "--html", "no/such/page.html"), "Please make it first."),
        (("sheet", "temwa", "--html", "."), "Please name a file in it."),
        (("sheet", "temwa", "--paper", "a5"), "--paper is a4 or letter"),
    ],
)
def test_a_command_that_cannot_be_carried_out_is_one_sentence(words, said, capsys, tmp_path, monkeypatch):
    monkeypatch.chdir(tmp_path)
    code, out, err = answered(capsys, *words)
    assert (code, out) == (2, "")
    assert said in " ".join(err.split())


def test_a_page_is_written_over_only_where_it_is_one_of_ours(capsys, tmp_path, monkeypatch):
    monkeypatch.chdir(tmp_path)
    page = tmp_path / "temwa.html"
    for paper in ("a4", "letter"):
        code, out, err = answered(capsys, "sheet", "temwa", "--html", "temwa.html", "--paper", paper)
        assert (code, out) == (0, "")
        assert "who is it for" in err
        assert f"size: {paper}" in page.read_text(encoding="utf-8").lower()
    page.write_text("my own letter", encoding="utf-8")
    code, _, err = answered(capsys, "sheet", "temwa", "--html", "temwa.html")
    assert code == 2
    assert "nothing was written" in err
    assert page.read_text(encoding="utf-8") == "my own letter"
