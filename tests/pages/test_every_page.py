"""What every page has, whichever command makes it: its language, a heading, names for all that is not text.

HTML (WHATWG): 3.2.6 lang, 4.2.2 title, 4.9.10 scope; WAI-ARIA 1.2: the main landmark, names of pictures;
HTML 4.01, 6.2: an id begins with a letter, which style sheets and older programs count on.
"""

from __future__ import annotations

import json
import os
import re
import shutil
import subprocess
from functools import cache
from html.parser import HTMLParser
from itertools import pairwise

import pytest
from pages.test_check_sheet_page import needs_browser, printed, sheets_of_paper

from readiness.cli.main import main
from readiness.pages.document import sections_page
from readiness.pictures.formats import AFTER, BEFORE, MOST, sheets, shown
from readiness.words.layout import bullets, lay_out

PAGES = {
    "sheet": ("sheet", "temwa"), "sheet-paused": ("sheet", "linnea", "--on", "2025-12-04"),
    "handover": ("handover", "chikondi"), "handover-paused": ("handover", "linnea", "--on", "2025-12-04"),
    "share-family": ("share", "bogdan", "--for", "family"),
    "share-school": ("share", "temwa", "--for", "school"),
    "share-substitute": ("share", "temwa", "--for", "substitute"), "plan": ("plan", "noemi"),
    "plan-paused": ("plan", "linnea", "--on", "2025-12-04"),
    "share-paused": ("share", "linnea", "--for", "family", "--on", "2025-12-04"),
    "tell-paused": ("tell", "linnea", "family", "--on", "2025-12-04"),
    "tell-family": ("tell", "temwa", "family"), "tell-school": ("tell", "bogdan", "school"),
    "ask": ("ask", "all"), "ask-outside": ("ask", "numbers", "--for", "third-party"),
    "map": ("map",), "map-student": ("map", "--student", "temwa"), "map-unit": ("map", "--unit", "3"),
}  # fmt: skip
VOID = {"meta", "col", "rect", "path"}


class Reader(HTMLParser):
    """Reads a page into its elements: each with its attributes, what it is in, and its text."""

    def __init__(self, page):
        super().__init__()
        self.found, self.open = [], []
        self.feed(page)
        self.close()

    def handle_starttag(self, tag, attrs):
        element = {"tag": tag, "in": [one["tag"] for one in self.open], "text": "", **dict(attrs)}
        self.found.append(element)
        if tag not in VOID:
            self.open.append(element)

    def handle_startendtag(self, tag, attrs):
        self.found.append({"tag": tag, "in": [one["tag"] for one in self.open], "text": "", **dict(attrs)})

    def handle_endtag(self, tag):
        assert self.open.pop()["tag"] == tag

    def handle_data(self, data):
        for element in self.open:
            element["text"] += data

    def all(self, *tags):
        return [one for one in self.found if one["tag"] in tags]


@pytest.fixture(scope="module")
def page_of(tmp_path_factory):
    folder = tmp_path_factory.mktemp("pages")

    @cache
    def make(name, paper):
        file = folder / f"{name}-{paper}.html"
        assert main([*PAGES[name], "--to", str(file), "--paper", paper]) == 0
        return file

    return make


@pytest.fixture(autouse=True)
def nowhere(tmp_path, monkeypatch):
    monkeypatch.chdir(tmp_path)


@pytest.mark.parametrize("paper", ["a4", "letter"])
@pytest.mark.parametrize("name", PAGES)
def test_a_page_says_what_it_is_and_every_part_has_a_name(page_of, name, paper):
    text = page_of(name, paper).read_text(encoding="utf-8")
    page = Reader(text)
    assert page.open == []
    assert f"size: {'A4' if paper == 'a4' else 'letter'} portrait" in text
    assert [one["lang"] for one in page.all("html")] == ["en"]
    assert len(page.all("title")[0]["text"]) > 8
    (main_part,) = page.all("main")
    assert " --" not in main_part["text"]  # paper takes no options
    levels = [int(one["tag"][1]) for one in page.all("h1", "h2", "h3")]
    assert levels[0] == 1
    assert levels.count(1) == 1
    assert all(after - before <= 1 for before, after in pairwise(levels))
    assert all(one["text"].strip() for one in page.all("h1", "h2", "h3", "th", "a"))
    assert all(one.get("scope") in ("row", "col") for one in page.all("th"))
    pictures = [one for one in page.all("svg") if "figure" not in one["in"]] + page.all("figure")
    assert all(one.get("aria-label") or one.get("aria-hidden") == "true" for one in pictures)


@pytest.mark.parametrize("name", PAGES)
def test_a_page_has_the_title_that_the_text_has_in_its_first_line(page_of, name, capsys):
    (title,) = (one["text"] for one in Reader(page_of(name, "a4").read_text(encoding="utf-8")).all("h1"))
    capsys.readouterr()
    main([*PAGES[name]])
    first, *_ = lines = capsys.readouterr().out.splitlines()
    assert title.startswith(first) or first.startswith(title)
    assert " ".join(lines).startswith(title)


def test_the_title_of_a_first_section_is_the_title_of_its_page():
    told = [bullets("Promised, Temwa", ["A new song.", "Cards."])]
    page = Reader(sections_page(told, "a4"))
    assert [one["text"] for one in page.all("h1")] == ["Promised, Temwa"]
    assert [one["text"] for one in page.all("li")] == ["A new song.", "Cards."]
    assert lay_out(told, 80).startswith("Promised, Temwa")


@needs_browser
@pytest.mark.parametrize("paper", ["a4", "letter"])
def test_a_list_takes_no_more_sheets_than_its_lines(page_of, paper, tmp_path):
    """A browser that stretches what is on several sheets may end in an empty one."""
    page = page_of("ask", paper).read_text(encoding="utf-8")
    whole, plain = printed(page, tmp_path), printed(re.sub(r"\nmain.*\}", "", page), tmp_path)
    assert sheets_of_paper(whole) == sheets_of_paper(plain) > 1


@pytest.mark.parametrize("name", PAGES)
def test_ids_begin_with_a_letter_stand_once_and_every_link_leads_to_one(page_of, name):
    page = Reader(page_of(name, "a4").read_text(encoding="utf-8"))
    ids = [one["id"] for one in page.found if "id" in one and "pattern" not in one["tag"]]
    assert len(set(ids)) == len(ids)
    assert all(one[0].isascii() and one[0].isalpha() and " " not in one for one in ids)
    assert {one["href"].removeprefix("#") for one in page.all("a")} <= set(ids)


def test_every_skill_has_its_place_on_one_sheet_with_all_that_is_joined_to_it(course):
    whole = shown(course)
    links, middle = set(), []
    for sheet in sheets(whole):
        own = [skill.id for skill in sheet.skills if skill.unit == sheet.focus]
        middle += own
        for unit in sheet.units:
            assert sum(skill.unit == unit.id for skill in sheet.skills) <= MOST or len(own) == 1
        for link in sheet.links:
            assert {link.before, link.after} & set(own)
            before, after = link.before.removesuffix(f" {BEFORE}"), link.after.removesuffix(f" {AFTER}")
            links.add((before, after, link.some))
    assert sorted(middle) == sorted(skill.id for skill in course.skills)
    assert links == {(link.before, link.after, link.some) for link in whole.links}


def axe():
    """Return whether node, axe-core, playwright-core (by NODE_PATH) and a browser are there."""
    node, browser = shutil.which("node"), shutil.which("chromium")
    if node is None or browser is None:
        return False
    wanted = "require.resolve('axe-core'); require.resolve('playwright-core')"
    return subprocess.run([node, "-e", wanted], capture_output=True, check=False).returncode == 0


_AXE = """
const {chromium} = require('playwright-core');
(async () => {
  const browser = await chromium.launch({executablePath: process.argv[1], args: ['--no-sandbox']});
  const page = await (await browser.newContext({bypassCSP: true})).newPage();
  const said = {};
  for (const file of process.argv.slice(2)) {
    await page.goto('file://' + file);
    await page.addScriptTag({path: require.resolve('axe-core')});
    const found = await page.evaluate(() => axe.run());
    said[file] = found.violations.map(v => v.id + ': ' + v.nodes[0].html.slice(0, 120));
  }
  console.log(JSON.stringify(said));
  await browser.close();
})();
"""


@pytest.mark.skipif(not axe(), reason="node, axe-core, playwright-core and chromium are not all here")
def test_axe_finds_nothing(page_of):
    files = [str(page_of(name, "a4")) for name in PAGES]
    command = [shutil.which("node"), "-e", _AXE, shutil.which("chromium"), *files]
    said = subprocess.run(command, capture_output=True, text=True, check=True, env=os.environ, timeout=240)
    assert {file: found for file, found in json.loads(said.stdout).items() if found} == {}
