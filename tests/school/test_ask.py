"""Questions as a person asks them: texts, tables, pages, and what must not leave the school."""

from __future__ import annotations

import csv
import io
import json
import os
import re
import shutil
import subprocess
import sys
import tempfile
from html.parser import HTMLParser
from pathlib import Path

import pytest

from readiness.cli.commands import Exit
from readiness.cli.main import main
from readiness.school.questions import QUESTIONS

DAY = "2025-12-05"
HOSTILE = '=1+1 <script>alert("x")</script> & $x^2$'


@pytest.fixture
def ask(capsys, monkeypatch, course_folder, demo_folder, tmp_path):
    """Return a function that asks about the students of a folder; the demo's without one."""
    monkeypatch.chdir(tmp_path)

    def carry_out(*words, students=demo_folder, on=DAY):
        capsys.readouterr()
        where = ("--course", str(course_folder), "--students", str(students))
        code = main(["ask", *map(str, words), "--on", on, *where])
        out, err = capsys.readouterr()
        assert "Traceback" not in err
        return code, out, err

    return carry_out


@pytest.fixture
def crowd(tmp_path, demo_folder):
    """Return a folder with each demo student ten times, one with a name that means no good."""
    folder = tmp_path / "crowd"
    folder.mkdir()
    for path in demo_folder.glob("*.toml"):
        for number in range(10 if path.name != "studio.toml" else 0):
            text = path.read_text(encoding="utf-8")
            text = re.sub(r'(?m)^name = "(.*)"', rf'name = "\1 {number}"', text, count=1)
            (folder / f"{path.stem}-n{number}.toml").write_text(text, encoding="utf-8")
    one = folder / "temwa-n3.toml"
    text = one.read_text(encoding="utf-8")
    one.write_text(re.sub(r"(?m)^name = .*", lambda _: f"name = '{HOSTILE}'", text, count=1), "utf-8")
    return folder


@pytest.mark.parametrize("question", [*QUESTIONS, "all"])
def test_an_empty_list_says_so(question, ask, tmp_path):
    (tmp_path / "none").mkdir()
    code, out, _ = ask(question, students=tmp_path / "none")
    assert code == Exit.READY
    assert re.search(r"Nobody|No unit|No skill|No check|In all: 0 students", out)
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


def test_what_goes_outside_has_no_names_and_no_small_counts(ask, crowd):
    """Twenty need a look (Noemi and Temwa, ten each), ten are paused, ten are ready."""
    _, out, _ = ask("all", "--for", "third-party", students=crowd)
    assert "20 students, of 60 in all" in out
    assert not re.search(r"\b[1-4] (?:student|case)s?\b", out)
    assert not re.search("temwa|noemi|linnea|rafiq|bogdan|chikondi|script", out, re.IGNORECASE)
    (found,) = json.loads(ask("numbers", "--json", "--for", "third-party", students=crowd)[1])["rows"]
    assert found["verdicts"] == {"ready": 10, "look-again": 20, "not-yet": 10, "paused": 10, "not-placed": 10}
    assert found["units"]["sitting-high-low"] is None


def test_one_table_at_a_time(ask):
    code, _, err = ask("all", "--csv")
    assert code == Exit.WRONG
    assert "one question at a time" in err


def test_a_question_nobody_knows(ask):
    assert ask("best")[0] == Exit.WRONG


@pytest.fixture
def broken(tmp_path, demo_folder):
    """Return a folder in which Linnea, who is paused, has a file that cannot be read."""
    folder = tmp_path / "broken"
    shutil.copytree(demo_folder, folder, ignore=shutil.ignore_patterns("two-courses", "studio.toml"))
    with (folder / "linnea.toml").open("a", encoding="utf-8") as file:
        file.write("\n[[lesson]]\non = yesterday\n")
    return folder


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
    list_ = told.split("May not play at present")[1]
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


def test_where_says_that_paused_students_are_left_out(ask, crowd):
    assert "Paused students are left out: 10." in ask("where", students=crowd)[1]
    assert "Paused students are left out: 10." in ask("where", "--for", "third-party", students=crowd)[1]
    assert json.loads(ask("where", "--json", students=crowd)[1])["paused_left_out"] == 10
    for path in list(crowd.glob("linnea*"))[3:]:
        path.unlink()
    assert "Paused students are left out: 3." in ask("where", students=crowd)[1]
    outside = ask("where", "--for", "third-party", students=crowd)[1]
    assert "Paused students are left out." in outside
    found = json.loads(ask("where", "--for", "third-party", "--json", students=crowd)[1])
    assert found["paused_left_out"] is None


def test_stuck_begins_with_the_one_thing_of_the_roster(ask, capsys, course_folder, demo_folder):
    (row,) = json.loads(ask("stuck", "--json")[1])["rows"]
    main(["roster", "--json", "--on", DAY, "--course", str(course_folder), "--students", str(demo_folder)])
    answers = map(json.loads, capsys.readouterr().out.splitlines())
    assert row["one_thing"] == {one["student"]: one["one_thing"] for one in answers}["chikondi"]
    told = " ".join(ask("stuck")[1].split())
    assert re.search(r'Chikondi: stuck on "[^"]+" \(7 lesson days since 7 October, best [^)]+\)', told)
    assert told.count('begin with "Alternates') == 1


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
    assert "20 students." in told
    assert "17 more, not listed here." in told
    assert len(ask("look", "--limit", "3", "--csv", students=crowd)[1].splitlines()) == 4
    assert ask("look", "--limit", "0")[0] == Exit.WRONG


class Seen(HTMLParser):
    """What a browser would make of a page."""

    def __init__(self, page):
        super().__init__()
        self.tags, self.ids, self.reached, self.text = [], [], [], ""
        self.feed(page)

    def handle_starttag(self, tag, attrs):
        self.tags.append(tag)
        for name, value in attrs:
            if name == "id":
                self.ids.append(value)
            if name in ("href", "src", "xlink:href", "action", "data") and not (value or "").startswith("#"):
                self.reached.append(value)

    def handle_data(self, data):
        self.text += data


@pytest.fixture
def page(ask, crowd, tmp_path):
    code, _, err = ask("all", "--html", tmp_path / "school.html", students=crowd)
    assert code == Exit.READY
    assert "who is it for" in err
    return tmp_path / "school.html"


def test_the_page_fetches_nothing_and_names_stay_names(page):
    text = page.read_text(encoding="utf-8")
    seen = Seen(text)
    assert seen.reached == []
    assert not {"script", "img", "iframe", "link", "object"} & set(seen.tags)
    assert "@import" not in text
    assert HOSTILE in seen.text
    assert len(seen.ids) == len(set(seen.ids))
    assert seen.tags.count("svg") >= 3


def test_the_page_has_contents_tables_and_folds_what_is_long(page):
    text = page.read_text(encoding="utf-8")
    seen = Seen(text)
    links = re.findall(r'<a href="#(\w+)">', text)
    assert links == [*QUESTIONS]
    assert set(links) <= set(seen.ids)
    assert [one for one in seen.ids if one in QUESTIONS] == links
    assert links[:2] == ["paused", "ready"]
    assert seen.tags.count("table") >= 6
    assert text.count("<td>10 students") == 0
    assert ">May not play at present</a>: 10 students</li>" in text
    folded = re.findall(r"<details>.*?</details>", text)
    assert all(one.count("<tr>") > 20 for one in folded)
    tables = re.findall(r"<table>.*?</table>", text)
    assert len(folded) == sum(one.count("<tr>") > 21 for one in tables)


def test_a_page_for_outside_does_not_end_in_a_question_for_the_teacher(ask, crowd, tmp_path):
    file = tmp_path / "p.html"
    for reader, asks in (("third-party", False), ("school", True)):
        file.unlink(missing_ok=True)
        ask("all", "--html", file, "--for", reader, students=crowd)
        assert ("need the names" in file.read_text(encoding="utf-8")) == asks


def test_the_same_page_every_time(page, ask, crowd):
    before = page.read_bytes()
    assert ask("all", "--html", page, students=crowd)[0] == Exit.READY
    assert page.read_bytes() == before


def test_a_page_for_outside_shows_no_small_bar(ask, crowd, tmp_path):
    for path in list(crowd.glob("linnea*"))[3:]:
        path.unlink()
    file = tmp_path / "p.html"
    assert ask("numbers", "--html", file, "--for", "third-party", students=crowd)[0] == Exit.READY
    page = file.read_text(encoding="utf-8")
    drawn = "".join(re.findall(r"<svg.*?</svg>", page, re.DOTALL))
    assert "To be looked at again" in drawn
    assert "Paused for care" not in drawn
    assert "<td>Paused for care</td><td>not shown</td>" in page


def test_without_the_charts_it_says_what_to_install(ask, tmp_path, monkeypatch):
    monkeypatch.setitem(sys.modules, "matplotlib", None)
    code, _, err = ask("numbers", "--html", tmp_path / "p.html")
    assert code == Exit.WRONG
    assert "pip install 'readiness[charts]'" in err
    assert not (tmp_path / "p.html").exists()


CHROMIUM = shutil.which("chromium") or shutil.which("chromium-browser")


@pytest.mark.skipif(CHROMIUM is None, reason="no browser is installed")
def test_a_browser_draws_the_charts(page):
    """The browser's own reading of the page: every chart is there, as wide as it was drawn or less."""
    with tempfile.TemporaryDirectory() as profile:
        done = subprocess.run(
            [CHROMIUM, "--headless", "--no-sandbox", "--disable-gpu", "--disable-quic", "--no-first-run",
             "--disable-background-networking", "--disable-component-update", "--disable-sync",
             f"--user-data-dir={profile}", "--dump-dom", page.as_uri()],
            capture_output=True, check=False, timeout=120, env={**os.environ, "HOME": profile},
        )  # fmt: skip
    seen = Seen(done.stdout.decode())
    assert seen.tags.count("svg") == Seen(page.read_text(encoding="utf-8")).tags.count("svg")
    assert HOSTILE in seen.text
    assert "script" not in seen.tags
    assert Path(page).is_file()
