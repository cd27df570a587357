"""The page over a school as a browser and a reader outside see it."""

from __future__ import annotations

import os
import re
import shutil
import subprocess
import sys
import tempfile
from html.parser import HTMLParser
from pathlib import Path

import pytest
from school.conftest import HOSTILE

from readiness.cli.commands import Exit
from readiness.school.questions import QUESTIONS


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
    assert ">May not play</a>: 10 students</li>" in text
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
    assert "Look again first" in drawn
    assert "Paused: something hurts" not in drawn
    assert "<td>Paused: something hurts</td><td>not shown</td>" in page


def test_without_the_charts_it_says_what_to_install(ask, tmp_path, monkeypatch):
    monkeypatch.setitem(sys.modules, "matplotlib", None)
    code, _, err = ask("numbers", "--html", tmp_path / "p.html")
    assert code == Exit.WRONG
    assert "pip install '.[charts]'" in err
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
