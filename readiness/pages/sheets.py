"""Sheets to write on: the check, and the home tasks of a week.

The check has a row an item, a box for each way of showing, a line to write on.

Read from a music stand, so no letter is smaller than 12 points; a short sheet fills its paper, a long one
takes a second. The order and the reasons are the sheet's, the sentences are those of ``words.lesson``.

The home tasks of one week as a page for the fridge: large letters, a box a day, no name if wished.

For the child and the family: nothing of how it went, no note, no verdict. Left off while there is a pause.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from datetime import date
from typing import Final

from readiness.advice.sheet import CheckSheet, SheetItem
from readiness.course.model import Course
from readiness.judging.answer import Answer
from readiness.pages.document import Markup, document, joined, tag
from readiness.record.model import Record, Task
from readiness.terms import Verdict
from readiness.words import lesson as said
from readiness.words.cautions import after_hold, caution, hold_section
from readiness.words.english import CODES
from readiness.words.grammar import tidy
from readiness.words.letter_english import Letters
from readiness.words.phrases import Phrases
from readiness.words.placing_round import start_words

__all__ = ["fridge_page", "sheet_page"]

_STYLE: Final = """\
body { line-height: 1.15; }
.fields { display: flex; gap: 6mm; margin: 0 0 2mm; }
.fields span { flex: 1; border-bottom: 0.3mm solid #000; height: 9mm; }
.stop { border: 0.6mm solid #000; padding: 2mm 3mm; font-weight: bold; }
table { table-layout: fixed; }
col.number { width: 8mm; } col.box { width: 9.5mm; }
thead th { border: 0; }
th { font-weight: normal; }
th.box { height: 26mm; padding: 0; vertical-align: bottom; text-align: center; }
th.box span { writing-mode: vertical-rl; transform: rotate(180deg); line-height: 1; max-height: 26mm; }
tbody tr:nth-last-child(-n+3) { break-after: avoid; }
.part td, .part th { border-top: 0; padding: 0 1mm; }
b { font-weight: 600; }
i.box { display: block; width: 6.5mm; height: 6.5mm; margin: 0 auto; border: 0.35mm solid #000; }
.line { height: 7mm; border-bottom: 0.2mm dotted #444; }
.ruled { flex-basis: 0; }
footer { border-top: 0.25mm solid #444; padding-top: 1mm; break-inside: avoid; }
"""


_LINE: Final = tag("div", "", class_="line")


def sheet_page(sheet: CheckSheet, answer: Answer, course: Course, record: Record, paper: str = "a4") -> str:
    """Return a check sheet, and the answer it was made from, as a page of HTML; ``paper``: a4 or letter."""
    p, is_paused = Phrases(answer, course, record), answer.verdict == Verdict.PAUSED
    pause = hold_section(record, answer.on).paragraphs
    stops = *after_hold(course, record, answer.on), *(one.text for one in pause)
    start = [] if sheet.placing is None else [tag("p", start_words(sheet.placing, course))]
    last = ("" if is_paused else " ".join(said.CONDUCT), f"{said.FOR_WHOM} {caution('C8')}")
    title = said.sheet_title(p, sheet)
    columns = Markup('<col class="number"><col>' + '<col class="box">' * len(said.BOXES))
    named = (f"{code} {words}" for code, words in zip((*CODES, "-"), said.BOXES, strict=True))
    heads = (tag("th", tag("span", words), class_="box", scope="col") for words in named)
    head = tag("tr", tag("th", "#", scope="col"), tag("th", said.WHAT, scope="col"), *heads)
    rows = (row for number, item in enumerate(sheet.items, 1) for row in _rows(sheet, item, number, p))
    return document(
        title, _STYLE, paper,
        tag("h1", f"{title} · {sheet.word}"),
        tag("div", *(tag("span", field) for field in said.FIELDS), class_="fields"),
        *(tag("p", words, class_="stop") for words in (*stops, said.PAUSED * is_paused) if words),
        *start,
        tag("table", tag("colgroup", columns), tag("thead", head), tag("tbody", *rows)),
        tag("footer", *(tag("p", words) for words in last if words)),
        tag("div", *[tag("div", "")] * 30, class_="ruled"),
    )  # fmt: skip


def _rows(sheet: CheckSheet, item: SheetItem, number: int, p: Phrases) -> Iterator[Markup]:
    """Yield the rows of an item; those seen in one glance have one row each."""

    def row(number: str, *what: Markup, said_of: Sequence[str], line: Markup, kind: str = "") -> Markup:
        remarks = (tag("div", words) for words in p.remarks(sheet.said, said_of))
        boxes = (tag("td", Markup('<i class="box"></i>')) for _ in said.BOXES)
        what_is = tag("th", *what, *remarks, line, scope="row")
        return tag("tr", tag("td", number), what_is, *boxes, class_=kind)

    if len(item.skills) <= 1:
        parts = [tag("b", said.item_title(p, item))]
        for one in (p.course.skill[skill] for skill in item.skills):
            look = [tidy(one.shown_when), *([said.beat_words(p)] if one.beats else [])]
            look += [said.expected_words(item.expected)] if item.expected else []
            why = Markup(f" <em>{joined(said.why_words(p, item)).text}</em>")
            parts += [why, tag("div", " ".join(look))]
        yield row(str(number), *parts, said_of=item.skills, line=_LINE)
        return
    for at, skill in enumerate(item.skills):
        lead = tag("div", said.GLANCE) if at == 0 else Markup("")
        line = _LINE if at == len(item.skills) - 1 else Markup("")
        name = tag("b", tidy(p.course.skill[skill].name))
        due = f"needed: {p.state_short(skill)}" if skill in said.needed_at_a_glance(p, item) else ""
        what, kind = (lead, name, Markup(" "), tag("em", due)), "part" if at else ""
        yield row(f"{number}.{at + 1}", *(what if due else what[:2]), said_of=(skill,), line=line, kind=kind)


_LARGE: Final = """\
body { font-size: 20pt; line-height: 1.25; }
h1 { font-size: 28pt; margin: 0 0 6mm; }
main { gap: 6mm; }
section { border-top: 0.5mm solid #000; padding-top: 4mm; break-inside: avoid; }
p { margin: 0 0 3mm; }
table { width: 100%; border-collapse: collapse; table-layout: fixed; }
th { font-size: 16pt; font-weight: normal; padding: 0 0 1mm; }
i { display: block; width: 16mm; height: 16mm; margin: 0 auto; border: 0.6mm solid #000; }
footer { margin-top: auto; border-top: 0.5mm solid #000; padding-top: 3mm; font-size: 16pt; }
"""
_WEEK: Final = 7


def fridge_page(
    tasks: Sequence[Task], on: int, spoken: Sequence[Letters], code: str, name: str, paper: str,
    first: Sequence[str],
) -> str:  # fmt: skip
    """Return the page of the seven days after a lesson of a day, without a name unless one is given.

    ``spoken``: the sentences of the language ``code``, and of those in which safety is said once more.
    ``first``: what stands above all tasks.
    """
    say = spoken[0]
    begins, ends = say.day(on + 1, on + 1), say.day(on + _WEEK, on + 1)
    title = say.week[bool(name)].format(named=tidy(name), first=begins, last=ends)
    days = [say.week_days[date.fromordinal(on + ahead).weekday()] for ahead in range(1, _WEEK + 1)]
    stop = dict.fromkeys(one.week_stop for one in spoken)
    footer = tag("footer", *(tag("p", words) for words in (*stop, say.week_last)))
    above = (tag("p", tag("b", words)) for words in dict.fromkeys(first))
    heads = tag("thead", tag("tr", *(tag("th", day, scope="col") for day in days)))
    week = tag("table", heads, tag("tbody", tag("tr", *(tag("td", Markup("<i></i>")) for _ in days))))
    sections = []
    for task in tasks:  # what it is, how long and how often where that is said, and a box a day
        counts = ((say.week_minutes, task.minutes_day), (say.week_often, task.days_planned))
        often = [forms.get(count, forms[0]).format(count=count) for forms, count in counts if count]
        told = (tag("p", tag("b", tidy(task.text))), *([tag("p", ", ".join(often))] if often else []))
        sections.append(tag("section", *told, week))
    return document(title, _LARGE, paper, tag("h1", title), *above, *sections, footer, language=code)
