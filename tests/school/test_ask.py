"""Questions as a person asks them: texts, tables, and what must not leave the school."""

from __future__ import annotations

import csv
import io
import json
import re

import pytest
from school.conftest import DAY, HOSTILE

from readiness.cli.commands import Exit
from readiness.cli.main import main
from readiness.school.questions import QUESTIONS


@pytest.mark.parametrize("question", [*QUESTIONS, "all"])
def test_an_empty_list_says_so(question, ask, tmp_path):
    (tmp_path / "none").mkdir()
    code, out, _ = ask(question, students=tmp_path / "none")
    assert code == Exit.READY
    assert re.search(r"[Nn]obody|No skill|No check|In all: no students", out)
    assert ask(question, "--for", "third-party", students=tmp_path / "none")[0] == Exit.READY


@pytest.mark.parametrize("question", [q for q in QUESTIONS if q != "numbers"])
def test_the_same_in_three_shapes(question, ask):
    table = list(csv.reader(io.StringIO(ask(question, "--csv")[1])))
    rows = json.loads(ask(question, "--json")[1])["rows"]
    assert len(table) == 1 + len(rows)
    assert table[0] == list(rows[0] if rows else table[0])
    assert ask(question)[1].count("  - ") >= len(rows)
    assert ask(question, "--json") == ask(question, "--json")


def test_students_stand_in_the_order_of_their_names(ask, crowd):
    names = [row["name"] for row in json.loads(ask("look", "--json", students=crowd)[1])["rows"]]
    assert names == sorted(names, key=str.casefold)
    assert len(names) == 20


def test_a_cell_is_never_a_formula(ask, crowd):
    table = list(csv.DictReader(io.StringIO(ask("look", "--csv", students=crowd)[1])))
    (odd,) = [row["name"] for row in table if "script" in row["name"]]
    assert odd == f"'{HOSTILE}"


@pytest.fixture
def settled_crowd(crowd):
    """Return the crowd with nobody who came only in December: the table of that month is of its first day."""
    for path in crowd.glob("rafiq*"):
        path.write_text(path.read_text(encoding="utf-8").replace("2025-12-0", "2025-11-2"), encoding="utf-8")
    return crowd


def test_what_goes_outside_is_one_table_a_month(ask, settled_crowd):
    """Whatever happens in a month, and on whatever day it is asked for, nothing is left by subtracting."""

    def published(on):
        words = [("numbers", *shape, "--for", "third-party") for shape in (("--json",), (), ("--csv",))]
        return [ask(*one, students=settled_crowd, on=on)[1] for one in words]

    first = published("2025-12-01")
    assert "1 December 2025" in first[1]
    assert "Give nobody two tables that are less than a term apart" in " ".join(first[1].split())
    assert published("2025-12-05") == first
    path = settled_crowd / "temwa-n1.toml"
    hold = '\n[[hold]]\nopened = 2025-12-03\nwords = "thumb sore"\n'
    path.write_text(path.read_text(encoding="utf-8") + hold, encoding="utf-8")
    new = 'format = 1\nname = "New"\nborn = "2018-01"\n\n[[unit_start]]\nunit = "arms-that-travel"\n'
    (settled_crowd / "newling.toml").write_text(f"{new}on = 2025-12-04\n", encoding="utf-8")
    inside = json.loads(ask("numbers", "--json", students=settled_crowd, on="2025-12-31")[1])["rows"][0]
    assert (inside["students"], inside["verdicts"]["paused"]) == (61, 11)
    assert published("2025-12-31") == first
    assert published("2026-01-01") != first


def test_what_goes_outside_has_no_names_and_no_small_counts(ask, settled_crowd):
    """Twenty need a look (Noemi and Temwa, ten each), ten are paused, ten are ready."""
    _, out, _ = ask("all", "--for", "third-party", students=settled_crowd)
    assert "20 students, of 60 in all" in out
    assert not re.search(r"\b[1-4] (?:student|case)s?\b", out)
    assert not re.search("temwa|noemi|linnea|rafiq|bogdan|chikondi|script", out, re.IGNORECASE)
    (found,) = json.loads(ask("numbers", "--json", "--for", "third-party", students=settled_crowd)[1])["rows"]
    assert found["verdicts"] == {"ready": 10, "look-again": 20, "not-yet": 10, "paused": 10, "not-placed": 10}
    assert found["units"]["sitting-high-low"] is None


def test_one_table_at_a_time(ask):
    code, _, err = ask("all", "--csv")
    assert code == Exit.WRONG
    assert "one question at a time" in err


def test_a_question_nobody_knows(ask):
    assert ask("best")[0] == Exit.WRONG


@pytest.mark.parametrize("question", [*QUESTIONS, "all"])
@pytest.mark.parametrize("reader", ["school", "third-party"])
def test_an_answer_says_itself_that_a_file_could_not_be_read(question, reader, ask, broken, tmp_path):
    for shape in ([], ["--json"], ["--html", tmp_path / "p.html"]):
        code, out, err = ask(question, "--for", reader, *shape, students=broken)
        said = (tmp_path / "p.html").read_text(encoding="utf-8") if shape[:1] == ["--html"] else out
        assert code == Exit.WRONG
        assert "linnea.toml" in err
        if reader == "third-party":
            assert "linnea" not in said.casefold()
        if shape != ["--json"]:
            some = "1 student file" if reader == "school" else "Fewer than 5 student files"
            assert f"{some} could not be read" in " ".join(said.split())
    found = json.loads(ask(question, "--for", reader, "--json", students=broken)[1])
    for one in found["answers"] if question == "all" else [found]:
        assert one["unread"] == (1 if reader == "school" else None)
        assert one.get("unread_files") == (["linnea.toml"] if reader == "school" else None)


def test_a_table_stays_a_table_and_the_code_says_that_it_lacks_somebody(ask, broken, demo_folder):
    code, out, _ = ask("look", "--csv", students=broken)
    assert code == Exit.WRONG
    assert out == ask("look", "--csv")[1]
    assert ask("look", "--csv")[0] == Exit.READY


def test_who_may_not_play_names_every_file_that_could_not_be_read(ask, broken):
    for number in range(12):
        (broken / f"mia{number}.toml").write_text("format = x\n", encoding="utf-8")
    told = " ".join(ask("paused", students=broken)[1].split())
    assert "13 student files could not be read" in told
    assert "5 more" in told.split("May not play")[0]
    list_ = told.split("May not play")[1]
    assert all(f"mia{number}.toml" in list_ for number in range(12))
    assert "Nobody whose file could be read is paused." in list_
    assert "please ask before any of these students plays" in list_


def test_five_files_that_could_not_be_read_are_counted_for_a_reader_outside(ask, broken):
    for number in range(4):
        (broken / f"mia{number}.toml").write_text("format = x\n", encoding="utf-8")
    assert json.loads(ask("where", "--for", "third-party", "--json", students=broken)[1])["unread"] == 5
    assert "5 student files could not be read; the counts lack them." in ask(
        "where", "--for", "third-party", students=broken
    )[1]


def test_where_says_that_paused_students_are_left_out(ask, settled_crowd):
    assert "Paused students are left out: 10." in ask("where", students=settled_crowd)[1]
    outside = ask("where", "--for", "third-party", students=settled_crowd)[1]
    assert "Paused students are left out: 10." in outside
    assert json.loads(ask("where", "--json", students=settled_crowd)[1])["paused_left_out"] == 10
    for path in list(settled_crowd.glob("linnea*"))[3:]:
        path.unlink()
    assert "Paused students are left out: 3." in ask("where", students=settled_crowd)[1]
    outside = ask("where", "--for", "third-party", students=settled_crowd)[1]
    assert "Paused students are left out." in outside
    found = json.loads(ask("where", "--for", "third-party", "--json", students=settled_crowd)[1])
    assert found["paused_left_out"] is None


def test_stuck_begins_with_the_one_thing_of_the_roster(ask, capsys, course_folder, demo_folder):
    (row,) = json.loads(ask("stuck", "--json")[1])["rows"]
    main(["roster", "--json", "--on", DAY, "--course", str(course_folder), "--students", str(demo_folder)])
    answers = map(json.loads, capsys.readouterr().out.splitlines())
    assert row["one_thing"] == {one["student"]: one["one_thing"] for one in answers}["chikondi"]
    told = " ".join(ask("stuck", "--full")[1].split())
    assert "Chikondi. Stuck on: Hands take turns every four beats. Days tried: 7." in told
    assert "Since: 7 October. With the least help: with a reminder." in told
    assert told.count("Begin with: Alternates") == 1
    assert " ".join(ask("stuck")[1].split()).count("Begin with: Alternates") == 1


def test_one_unit_alone(ask, crowd):
    rows = json.loads(ask("look", "--unit", "3", "--json", students=crowd)[1])["rows"]
    every = json.loads(ask("look", "--json", students=crowd)[1])["rows"]
    assert 0 < len(rows) < len(every)
    (found,) = json.loads(ask("numbers", "--unit", "3", "--json", students=crowd)[1])["rows"]
    assert found["students"] == sum(found["verdicts"].values()) == max(found["units"].values())
    assert "unit 3" in ask("look", "--unit", "3", students=crowd)[1].splitlines()[0]
    assert ask("look", "--unit", "x")[0] == Exit.WRONG


def test_one_unit_is_not_for_a_reader_outside(ask):
    """The rest of the school, taken from the whole, would give a small count away."""
    code, out, err = ask("numbers", "--unit", "3", "--for", "third-party")
    assert (code, out) == (Exit.WRONG, "")
    assert "small counts" in err


def test_a_list_that_is_cut_says_how_many_more(ask, crowd):
    whole = json.loads(ask("look", "--json", students=crowd)[1])
    some = json.loads(ask("look", "--json", "--limit", "3", students=crowd)[1])
    assert (some["rows"], some["more"], whole["more"]) == (whole["rows"][:3], 17, 0)
    told = ask("look", "--limit", "3", students=crowd)[1]
    assert "17 more, not listed here." in told
    assert len(ask("look", "--limit", "3", "--csv", students=crowd)[1].splitlines()) == 4
    assert ask("look", "--limit", "0")[0] == Exit.WRONG
