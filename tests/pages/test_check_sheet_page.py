"""The check sheet as a page: whole, escaped, nothing from outside, legible, on one sheet of paper or two."""

from __future__ import annotations

import re
import shutil
import subprocess
from dataclasses import replace
from html.parser import HTMLParser

import pytest
from told import text_of

from readiness.advice.handover import hand_over
from readiness.advice.sheet import LeftOut, SheetItem, check_sheet
from readiness.days import day_number
from readiness.judging import judge
from readiness.pages.document import PAPERS, sections_page
from readiness.pages.sheets import sheet_page
from readiness.record.consents import as_if_agreed
from readiness.record.load import load_record
from readiness.words.cautions import caution
from readiness.words.english import HELP_WORDS
from readiness.words.lesson import sheet_sections
from readiness.words.phrases import Phrases
from readiness.words.share import handover_sections

BROWSERS = ("chromium", "chromium-browser", "google-chrome")
BROWSER = next((found for name in BROWSERS if (found := shutil.which(name))), None)
needs_browser = pytest.mark.skipif(
    BROWSER is None, reason=f"none of {', '.join(BROWSERS)} is installed, so no page can be printed here"
)
VOID = {"meta", "col"}
DEMO = [
    ("temwa", "2025-12-02"), ("chikondi", "2025-12-02"), ("noemi", "2025-12-02"), ("rafiq", "2025-12-04"),
    ("linnea", "2025-12-04"), ("bogdan", "2025-12-05"),
]  # fmt: skip


class Outline(HTMLParser):
    """Reads a page: its tags, its text, and whether every tag is closed."""

    def __init__(self, page):
        super().__init__()
        self.tags, self.open, self.texts, self.attributes = [], [], [], []
        self.feed(page)
        self.close()

    def handle_starttag(self, tag, attrs):
        self.tags.append(tag)
        self.attributes += attrs
        if tag not in VOID:
            self.open.append(tag)

    def handle_endtag(self, tag):
        assert self.open.pop() == tag

    def handle_data(self, data):
        if self.open[-1:] != ["style"]:
            self.texts.append(data)

    @property
    def text(self):
        return " ".join(" ".join(self.texts).split())


@pytest.fixture(scope="module")
def page_of(course, demo_folder):
    def page(student, on, paper="a4", **changes):
        record = replace(load_record(demo_folder / f"{student}.toml", course).record, **changes)
        answer = judge(course, record, day_number(on))
        return sheet_page(check_sheet(course, record, answer), answer, course, record, paper)

    return page


@pytest.mark.parametrize("student, on", DEMO)
def test_every_page_is_well_formed_and_has_a_box_for_each_way_of_showing(page_of, student, on):
    outline = Outline(page_of(student, on))
    assert outline.open == []
    rows = outline.tags.count("tr") - 1
    assert outline.tags.count("i") == rows * (len(HELP_WORDS) + 1)
    for words in (*HELP_WORDS, "not asked", caution("C8")):
        assert words in outline.text


@pytest.mark.parametrize("student, on", DEMO)
def test_a_page_asks_nothing_from_outside_and_runs_nothing(page_of, student, on):
    page = page_of(student, on)
    assert not re.search(r"https?:|//|url\(|@import|<script|<img|<link|<iframe", page)
    assert not {name for name, _ in Outline(page).attributes} & {"src", "href", "srcset", "onclick", "onload"}
    assert "default-src 'none'" in page


@pytest.mark.parametrize("student, on", DEMO)
def test_no_letter_is_smaller_than_is_read_on_a_music_stand(page_of, student, on):
    """12 points at 60 cm: common practice, no source."""
    sizes = re.findall(r"([\d.]+)pt", page_of(student, on))
    assert sizes
    assert min(map(float, sizes)) >= 12


@pytest.mark.parametrize("student, on", DEMO)
def test_a_page_has_a_main_part_a_heading_and_heads_that_say_what_they_are_for(page_of, student, on):
    """HTML, section 4.9.10, the scope attribute; WAI-ARIA landmarks."""
    page = page_of(student, on)
    outline = Outline(page)
    assert (outline.tags.count("main"), outline.tags.count("h1")) == (1, 1)
    assert outline.tags.count("th") == len(re.findall(r'<th[^>]* scope="(?:col|row)"', page))
    assert not re.search(r"<th[^>]*></th>", page)
    assert page.count('class="line"') == len(re.findall(r"<td>\d+(?:\.1)?</td>", page))


def test_a_name_never_becomes_markup(page_of):
    page = page_of("temwa", "2025-12-02", name="<script>alert(1)</script>&\"'")
    assert "<script" not in page
    assert "<script>alert(1)</script>&\"'" in Outline(page).text


def test_a_beat_has_the_speed_of_the_age_and_nothing_else_has_one(page_of, course, demo_folder):
    low, high = course.band["4-5"].numbers["beat_range"]
    record = load_record(demo_folder / "temwa.toml", course).record
    answer = judge(course, record, day_number("2025-12-02"))
    sheet = check_sheet(course, record, answer)
    beats = sum(course.skill[item.skills[0]].beats for item in sheet.items if item.skills)
    words = f"{low} to {high} beats a minute suit this age."
    assert beats == Outline(page_of("temwa", "2025-12-02")).text.count(words) == 1
    assert (
        text_of(sheet_sections, sheet, Phrases(answer, course, record), width=200, full=True).count(words)
        == 1
    )
    assert words not in text_of(sheet_sections, sheet, Phrases(answer, course, record), width=200)


def test_under_a_hold_the_page_begins_with_it(page_of):
    text = Outline(page_of("linnea", "2025-12-04")).text
    stop = "Stop playing now. Do not play through pain. Tell the family the same day"
    assert text.index(stop) < text.index("Hears major and minor")
    assert "Show me" not in text


@pytest.fixture(scope="module")
def fullest(course, demo_folder):
    """Return the fullest page: fourteen items, the longest words, everything left out for every reason."""

    def page(paper):
        record = load_record(demo_folder / "bogdan.toml", course).record
        answer = judge(course, record, day_number("2025-12-05"))
        sheet = check_sheet(course, record, answer)
        longest = sorted(course.skills, key=lambda skill: -len(skill.name + skill.shown_when))[:13]
        glance = tuple(item for item in sheet.items if item.why == "always-look")
        items = (*glance, *(SheetItem((skill.id,), "probe", quiet=True, hard=False) for skill in longest))
        reasons = ("certain", "no-room", "optional", "set-aside")
        full = replace(
            sheet,
            items=items,
            left_out=tuple(LeftOut(skill.id, why) for why in reasons for skill in longest),
            cautions=("C2", "C3", "C5", "C6", "C7", "C11", "C13"),
        )
        assert len(items) == 14
        return sheet_page(full, replace(answer, name="Maximiliana Theodora"), course, record, paper)

    return page


def printed(page, folder):
    """Return the PDF a browser makes of a page."""
    source, target = folder / "page.html", folder / "page.pdf"
    source.write_text(page, encoding="utf-8")
    subprocess.run(
        [
            BROWSER, "--headless", "--no-sandbox", "--disable-gpu", "--no-pdf-header-footer",
            f"--user-data-dir={folder / 'profile'}", f"--print-to-pdf={target}", source.as_uri(),
        ],
        check=True,
        capture_output=True,
    )  # fmt: skip
    return target.read_bytes()


def sheets_of_paper(pdf):
    return len(re.findall(rb"/Type\s*/Page\b", pdf))


@needs_browser
@pytest.mark.parametrize("paper, width", [("a4", 594), ("letter", 612)])
def test_the_fullest_page_fits_the_two_sides_of_a_sheet(fullest, paper, width, tmp_path):
    pdf = printed(fullest(paper), tmp_path)
    assert sheets_of_paper(pdf) == 2
    assert re.search(rb"/MediaBox\s*\[0 0 %d" % width, pdf)


@needs_browser
@pytest.mark.parametrize("paper", PAPERS)
@pytest.mark.parametrize("student, on", DEMO)
def test_a_demo_page_of_seven_items_or_fewer_fits_one_side(page_of, student, on, paper, tmp_path):
    page = page_of(student, on, paper)
    items = page.count('<tr') - 1 - page.count('class="part"')
    assert sheets_of_paper(printed(page, tmp_path)) == (1 if items <= 7 else 2)


@needs_browser
@pytest.mark.parametrize("student, on", DEMO)
def test_a_hand_over_is_one_sheet_also_of_the_shorter_paper(student, on, tmp_path, course, demo_folder):
    record = load_record(demo_folder / f"{student}.toml", course).record
    p = Phrases(judge(course, record, day_number(on)), course, record)
    sharing = as_if_agreed(record, "substitute", p.answer.on)
    told = handover_sections(hand_over(course, record, p.answer), p, sharing)
    assert sheets_of_paper(printed(sections_page(told, "letter", kind="stand"), tmp_path)) == 1
