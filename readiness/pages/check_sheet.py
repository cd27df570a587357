"""The check sheet as a page: one row an item, a box for each way of showing, room to write.

Fits one page of A4 or Letter; a long sheet is set smaller. The order and the reasons are the
sheet's, the sentences are those of ``words.sheet``.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from typing import Final

from readiness.advice.sheet import Sheet, SheetItem
from readiness.course.model import Course
from readiness.judging.answer import Answer
from readiness.pages.document import Markup, document, joined, tag
from readiness.record.model import Record
from readiness.terms import Verdict
from readiness.words.both import resting_section
from readiness.words.cautions import caution
from readiness.words.grammar import tidy
from readiness.words.phrases import Phrases
from readiness.words.remarked import remark_lines
from readiness.words.sheet import (
    BOXES,
    CONDUCT,
    FIELDS,
    FOR_WHOM,
    LEFT_OUT,
    NOTE,
    ONE_GLANCE,
    PAUSED,
    WHAT,
    expected_words,
    item_title,
    left_out_lines,
    sheet_title,
    short_why,
    start_lines,
)

__all__ = ["sheet_page"]

NAMES: Final = 3
"""How many names of what was left out have room in the small print."""
SIZES: Final = (("roomy", 11), ("middle", 13))
"""Settings with the most rows they are for; more rows are set tight."""

_STYLE: Final = """\
* { box-sizing: border-box; }
body { margin: 0; color: #000; background: #fff; }
body { font: 10.5pt/1.25 system-ui, "Helvetica Neue", Arial, sans-serif; }
h1 { font-size: 13pt; margin: 0 0 2mm; }
h1, td { overflow-wrap: anywhere; }
.fields { display: flex; gap: 6mm; margin: 0 0 2mm; }
.fields span { flex: 1; border-bottom: 0.3mm solid #000; height: 7mm; padding-top: 2mm; font-size: 9pt; }
.stop { border: 0.6mm solid #000; padding: 2mm 3mm; margin: 0 0 2mm; font-weight: bold; }
.small { font-size: 8.5pt; }
table { width: 100%; border-collapse: collapse; table-layout: fixed; }
col.number { width: 7mm; } col.box { width: 8.5mm; } col.note { width: 34mm; }
th { font-weight: normal; font-size: 8.5pt; text-align: left; vertical-align: bottom; padding: 0 1mm 1mm; }
th.box { height: 25mm; padding: 0 0 1mm; text-align: center; }
th.box span { writing-mode: vertical-rl; transform: rotate(180deg); line-height: 1; max-height: 25mm; }
td { border-top: 0.25mm solid #444; padding: 0.8mm 1mm; vertical-align: middle; }
td.note { border-left: 0.25mm solid #444; }
tr.part td { border-top: 0.15mm dotted #777; }
tr.first td { border-top: 0.25mm solid #444; }
tr { break-inside: avoid; }
tbody tr:last-child td { border-bottom: 0.25mm solid #444; }
.roomy tr.whole td { height: 13mm; }
.middle tr.whole td { height: 11mm; }
.roomy tr.part td, .middle tr.part td { height: 7.2mm; }
.name { font-weight: 600; }
.why { font-size: 8.5pt; font-style: italic; }
.look { font-size: 8.5pt; line-height: 1.2; }
i.box { display: block; width: 6.2mm; height: 6.2mm; margin: 0 auto; border: 0.35mm solid #000; }
ul { margin: 2mm 0 0; padding-left: 4.5mm; font-size: 8pt; line-height: 1.25; }
.whom { margin: 2mm 0 0; border-top: 0.25mm solid #444; padding-top: 1mm; font-size: 8pt; }
.tight { font-size: 9pt; }
.tight h1 { font-size: 11pt; margin-bottom: 1mm; }
.tight .look, .tight .why, .tight ul, .tight .whom { font-size: 7pt; line-height: 1.12; }
.tight i.box { width: 5.2mm; height: 5.2mm; }
.tight col.box { width: 7.2mm; } .tight col.note { width: 31mm; }
.tight td { padding: 0.2mm 1mm; }
.tight tr.part td { height: 6mm; }
.tight th.box, .tight th.box span { height: auto; max-height: 23mm; }
.tight ul, .tight .whom { margin-top: 1mm; }
@media screen { body { max-width: 190mm; margin: 8mm auto; padding: 0 4mm; } }
"""


def sheet_page(sheet: Sheet, answer: Answer, course: Course, record: Record, paper: str = "a4") -> str:
    """Return a check sheet as a page of HTML.

    Args:
        sheet: the sheet.
        answer: what it was made from.
        course: the course.
        record: the student's record.
        paper: a4 or letter.
    """
    say = Phrases(answer, course, record)
    title = sheet_title(say)
    is_paused = answer.verdict == Verdict.PAUSED
    rows = sum(_rows_of(item) for item in sheet.items)
    size = next((name for name, most in SIZES if rows <= most), "tight")
    main = tag(
        "main",
        tag("h1", title),
        tag("div", *(tag("span", field) for field in FIELDS), class_="fields"),
        *([tag("p", caution("C1"), " ", PAUSED, class_="stop")] if is_paused else []),
        *(tag("p", line, class_="small") for line in start_lines(sheet, say)),
        *(tag("p", words.text, class_="stop small") for words in resting_section(say).paragraphs),
        _table(sheet, say),
        tag("ul", *(tag("li", line) for line in _small_print(sheet, say))),
        tag("p", f"{FOR_WHOM} {caution('C8')}", class_="whom"),
        class_=size,
    )
    return document(title, _STYLE, paper, main)


def _rows_of(item: SheetItem) -> int:
    """Return how many rows an item takes: one a skill that is marked by itself."""
    return max(1, len(item.skills))


def _table(sheet: Sheet, say: Phrases) -> Markup:
    columns = (
        Markup('<col class="number"><col>' + '<col class="box">' * len(BOXES) + '<col class="note">')
    )  # fmt: skip
    head = tag(
        "tr",
        tag("th", ""),
        tag("th", WHAT),
        *(tag("th", tag("span", words), class_="box") for words in BOXES),
        tag("th", NOTE),
    )
    rows = (row for number, item in enumerate(sheet.items, 1) for row in _rows(sheet, item, number, say))
    return tag("table", tag("colgroup", columns), tag("thead", head), tag("tbody", *rows))


def _rows(sheet: Sheet, item: SheetItem, number: int, say: Phrases) -> Iterator[Markup]:
    """Yield the rows of an item; those seen in one glance have one row each."""
    if len(item.skills) <= 1:
        yield _row(str(number), joined(_what(item, say), *_remarks(sheet, item.skills, say)))
        return
    for place, skill in enumerate(item.skills):
        name = tag("span", tidy(say.course.skill[skill].name), class_="name")
        reason = tag("span", f" - {ONE_GLANCE}", class_="why") if place == 0 else Markup("")
        what = joined(name, reason, *_remarks(sheet, (skill,), say))
        yield _row(str(number) if place == 0 else "", what, first=place == 0)


def _remarks(sheet: Sheet, skills: Sequence[str], say: Phrases) -> Iterator[Markup]:
    """Yield what was last remarked about some skills."""
    return (tag("div", line, class_="look") for line in remark_lines(say, sheet.said, skills))


def _row(number: str, what: Markup, *, first: bool | None = None) -> Markup:
    """Return a row; ``first`` tells the first row of a glance from its others, None is no glance."""
    boxes = (tag("td", Markup('<i class="box"></i>')) for _ in BOXES)
    cells = (tag("td", number), tag("td", what), *boxes, tag("td", "", class_="note"))
    kind = {None: "whole", True: "part first", False: "part"}[first]
    return tag("tr", *cells, class_=kind)


def _what(item: SheetItem, say: Phrases) -> Markup:
    """Return what to look at, why and what to look for."""
    if not item.skills:
        return tag("span", item_title(say, item), class_="name")
    skill = say.course.skill[item.skills[0]]
    look = [tidy(skill.shown_when), *([expected_words(item.expected)] if item.expected else [])]
    return joined(
        tag("span", tidy(skill.name), class_="name"),
        tag("span", f" - {short_why(item)}", class_="why"),
        tag("div", " ".join(look), class_="look"),
    )


def _small_print(sheet: Sheet, say: Phrases) -> Iterator[str]:
    if say.answer.verdict != Verdict.PAUSED:
        yield " ".join(CONDUCT)
    left = " ".join(left_out_lines(sheet.left_out, say, NAMES))
    if left:
        yield f"{LEFT_OUT} {left}"
    said = [caution(one) for one in sheet.cautions if one not in ("C1", "C14")]
    if said:
        yield " ".join(said)
