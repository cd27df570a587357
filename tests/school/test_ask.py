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


def test_the_same_page_every_time(page, ask, crowd):
    before = page.read_bytes()
    assert ask("all", "--html", page, students=crowd)[0] == Exit.READY
    assert page.read_bytes() == before


def test_a_page_for_outside_shows_no_small_bar(ask, crowd, tmp_path):
    for path in list(crowd.glob("linnea*"))[3:]:
        path.unlink()
    file = tmp_path / "p.html"
    assert ask("numbers", "--html", file, "--for", "third-party", students=crowd)[0] == Exit.READY
    text = Seen(file.read_text(encoding="utf-8")).text
    assert "Paused for care" not in text
    assert "paused for care" in text  # among what is not shown


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
