"""The answers to questions over a school as one page: lists, and a few plain charts.

For a reader outside it is made from counts of which the small ones are hidden already, so a
chart cannot show what the list does not.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from typing import Final

from readiness.course.model import Course
from readiness.pages.charts import Bar, Span, bars, spans
from readiness.pages.document import Markup, document, tag
from readiness.school.counts import Stay
from readiness.school.questions import Reply
from readiness.words.cautions import caution
from readiness.words.grammar import capital, tidy
from readiness.words.page import Section
from readiness.words.school import (
    CHART_WORDS,
    FOR_OUTSIDE,
    FOR_SCHOOL,
    SPAN_WORDS,
    VERDICTS_SHORT,
    caution_section,
    reply_sections,
    title_words,
    unit_words,
)

__all__ = ["school_page"]

MOST_ROWS: Final = 15
"""A chart of skills has no more rows than this; the list has them all."""

_STYLE: Final = """\
body { font: 11pt/1.4 "Noto Sans", "Liberation Sans", Arial, sans-serif; color: #111; background: #fff;
  max-width: 186mm; margin: 6mm auto; padding: 0 4mm; overflow-wrap: anywhere; }
h1 { font-size: 16pt; margin: 0 0 3mm; border-bottom: 1.5pt solid #111; }
h2 { font-size: 12.5pt; margin: 6mm 0 1mm; break-after: avoid; }
ul { margin: 0; padding-left: 5mm; }
li { margin: 0.6mm 0; break-inside: avoid; }
figure { margin: 3mm 0; break-inside: avoid; }
figure svg { max-width: 100%; height: auto; }
.whom { margin-top: 6mm; border-top: 0.5pt solid #444; padding-top: 1mm; font-size: 9pt; }
"""


def school_page(replies: Sequence[Reply], course: Course, paper: str = "a4") -> str:
    """Return the answers as a page of HTML.

    Args:
        replies: one or more answers of one day.
        course: the course.
        paper: a4 or letter.
    """
    title = title_words(replies)
    parts: list[Markup] = [tag("h1", title)]
    for reply, section in zip(replies, reply_sections(replies, course), strict=True):
        parts += [*_list(section), *_charts(reply, course.on(reply.on))]
    whom = FOR_OUTSIDE if replies[0].outside else FOR_SCHOOL
    parts += [*_list(caution_section(replies)), tag("p", f"{whom} {caution('C8')}", class_="whom")]
    return document(title, _STYLE, paper, tag("main", *parts))


def _list(section: Section) -> tuple[Markup, ...]:
    if not section.paragraphs:
        return ()
    lines = tag("ul", *(tag("li", one.text) for one in section.paragraphs))
    return tag("h2", section.title), lines


def _charts(reply: Reply, course: Course) -> Iterator[Markup]:
    """Yield the charts of an answer; one without anything in it is left out."""
    for name, rows in _bars(reply, course):
        seen = [row for row in rows if row.count][:MOST_ROWS]
        if seen:
            yield bars(CHART_WORDS[name], seen)
    if reply.question == "time" and reply.rows:
        yield spans(CHART_WORDS["time"], [_span(row, course) for row in reply.rows], SPAN_WORDS)


def _span(row: Stay, course: Course) -> Span:
    name = f"{row.band}: {unit_words(course, row.unit)}"
    return Span(name, row.low, row.middle, row.high, row.usual)


def _bars(reply: Reply, course: Course) -> Iterator[tuple[str, list[Bar]]]:
    if reply.question == "numbers":
        (found,) = reply.rows
        yield "verdicts", [Bar(capital(VERDICTS_SHORT[name]), count or 0) for name, count in found.verdicts]
        yield "units", [Bar(capital(unit_words(course, unit)), count or 0) for unit, count in found.units]
    if reply.question == "where":
        for name in ("stuck", "with_help"):
            rows = [Bar(tidy(course.skill[row.skill].name), getattr(row, name) or 0) for row in reply.rows]
            yield name, sorted(rows, key=lambda row: -row.count)
