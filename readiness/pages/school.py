"""The answers to questions over a school as one page: what is on it, tables, a few plain charts.

A long table is folded until somebody opens it; on paper it is open. For a reader outside the page
is made from counts of which the small ones are hidden already, so a chart cannot show what the
table does not.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from typing import Final

from readiness.course.model import Course
from readiness.pages.charts import Bar, Span, bars, spans
from readiness.pages.document import Markup, document, joined, tag
from readiness.school.counts import Stay
from readiness.school.questions import Reply
from readiness.words.cautions import caution
from readiness.words.grammar import capital, tidy
from readiness.words.page import Section
from readiness.words.school import (
    CHART_WORDS,
    FOR_OUTSIDE,
    FOR_SCHOOL,
    QUESTION_WORDS,
    SPAN_WORDS,
    Part,
    Told,
    caution_section,
    contents_words,
    folded_words,
    tell_reply,
    title_words,
)
from readiness.words.school_cells import cells, headings
from readiness.words.school_leads import head_words
from readiness.words.school_rows import VERDICTS_SHORT, sentences, unit_words

__all__ = ["school_page"]

MOST_ROWS: Final = 15
"""A chart of skills has no more rows than this; the list has them all."""

LONG: Final = 20
"""A table with more rows than this is folded."""

_STYLE: Final = """\
body { font: 11pt/1.4 "Noto Sans", "Liberation Sans", Arial, sans-serif; color: #111; background: #fff;
  max-width: 186mm; margin: 6mm auto; padding: 0 4mm; overflow-wrap: anywhere; }
h1 { font-size: 16pt; margin: 0 0 3mm; border-bottom: 1.5pt solid #111; }
h2 { font-size: 12.5pt; margin: 6mm 0 1mm; break-after: avoid; }
ul { margin: 0; padding-left: 5mm; }
li { margin: 0.6mm 0; break-inside: avoid; }
table { border-collapse: collapse; width: 100%; margin: 1.5mm 0; font-size: 9.5pt; }
th, td { text-align: left; vertical-align: top; padding: 0.7mm 2mm 0.7mm 0; border-bottom: 0.4pt solid #999;
  overflow-wrap: break-word; max-width: 70mm; }
th { border-bottom: 1pt solid #111; }
thead { display: table-header-group; }
tr { break-inside: avoid; }
h3 { font-size: 11pt; margin: 3mm 0 0; break-after: avoid; }
p { margin: 1mm 0; }
a { color: #1d3557; }
summary { cursor: pointer; margin: 1mm 0; color: #1d3557; text-decoration: underline; }
.lacks { border: 1pt solid #9b2226; padding: 1mm 2mm; }
@media print { details::details-content { content-visibility: visible; block-size: auto; }
  summary { display: none; } }
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
    title = title_words(replies, course)
    parts: list[Markup] = [tag("h1", title)]
    parts += [tag("p", words, class_="lacks") for words in head_words(replies[0])]
    parts += [_contents(replies)] if len(replies) > 1 else []
    for reply in replies:
        then = course.on(reply.on)
        parts += [*_answer(reply, tell_reply(reply), then), *_charts(reply, then)]
    whom = FOR_OUTSIDE if replies[0].outside else f"{FOR_SCHOOL} {caution('C8')}"
    parts += [*_list(caution_section(replies)), tag("p", whom, class_="whom")]
    return document(title, _STYLE, paper, tag("main", *parts))


def _contents(replies: Sequence[Reply]) -> Markup:
    """Return the list of what is on the page, each with a link to it."""
    links = (
        tag("li", tag("a", QUESTION_WORDS[one.question], href=f"#{one.question}"), contents_words(one))
        for one in replies
    )
    return tag("nav", tag("ul", *links))


def _answer(reply: Reply, told: Told, course: Course) -> Iterator[Markup]:
    """Yield one answer: its title, what is said first, the tables, what is said last."""
    yield tag("h2", told.title, id=reply.question)
    yield from (tag("p", words) for words in told.lead)
    for part in told.parts:
        yield from [tag("h3", part.title)] if part.title else []
        yield _folded(part, _table(part, course, reply.on))
    yield from (tag("p", words) for words in told.last)


def _folded(part: Part, table: Markup) -> Markup:
    """Return a table, one that is long behind a line to open it."""
    if len(part.rows) <= LONG:
        return table
    return tag("details", tag("summary", folded_words(len(part.rows))), table)


def _table(part: Part, course: Course, on: int) -> Markup:
    """Return rows as a table without the columns in which nothing stands, or as the sentences they are."""
    names = headings(part.rows[0])
    if not names:
        said = (words for row in part.rows for words in sentences(row, course, on))
        return joined(*(tag("p", capital(words)) for words in said))
    rows = [row for one in part.rows for row in cells(one, course, on)]
    used = [i for i in range(len(names)) if any(row[i] for row in rows)]
    heads = tag("tr", *(tag("th", names[i], scope="col") for i in used))
    lines = (tag("tr", *(tag("td", row[i]) for i in used)) for row in rows)
    return tag("table", tag("thead", heads), tag("tbody", *lines))


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
