"""The answers to questions over a school as one page: what is on it, tables, a few plain charts.

A long table is folded until somebody opens it; on paper it is open. For a reader outside the page
is made from counts of which the small ones are hidden already, so a chart cannot show what the
table does not.
"""

from __future__ import annotations

import hashlib
import io
import re
import warnings
from collections.abc import Iterator, Sequence
from operator import itemgetter
from typing import TYPE_CHECKING, Any, Final

from readiness.course.model import Course
from readiness.pages.document import Markup, document, joined, tag
from readiness.school.counts import Stay
from readiness.school.questions import Reply
from readiness.words import school as said
from readiness.words.cautions import caution
from readiness.words.grammar import capital, tidy, unit_words

if TYPE_CHECKING:
    from matplotlib.axes import Axes
    from matplotlib.figure import Figure

__all__ = ["school_page"]

# Plain charts as SVG that stands in a page: bars, and bars with a middle.
# Drawn by matplotlib, which is loaded only here and only when a page is made. Words stay words,
# so a chart can be searched and read aloud; the numbers are in the bars and in the list beside
# it too. Nothing in it depends on the clock or on chance: the same counts give the same bytes.

_INK: Final = "#1d3557"
_LIGHT: Final = "#a8bccf"
_ROW: Final = 0.32
"""The height of a row, in inches."""
_SETTINGS: Final[Any] = {
    "svg.fonttype": "none",
    "svg.hashsalt": "readiness",
    "font.size": 9,
    "font.family": "sans-serif",
}
_NO_METADATA: Final = dict.fromkeys(("Creator", "Date", "Format", "Type"))
_ID: Final = re.compile(r"""(\bid="|href="#|url\(#)""")
_METADATA: Final = re.compile(r"<metadata>.*?</metadata>", re.DOTALL)
_WIDEST: Final = 44
"""Letters of a name beside a bar."""


def _bars(title: str, rows: Sequence[tuple[str, int]]) -> Markup:
    counts = [count for _, count in rows]
    figure, axes = _chart(title, [name for name, _ in rows])
    axes.bar_label(axes.barh(range(len(rows)), counts, color=_INK, height=0.6), padding=3)
    axes.set_xlim(0, max(counts, default=1) * 1.12 or 1)
    axes.xaxis.set_visible(False)
    return _svg(figure, title)


def _spans(title: str, names: Sequence[str], rows: Sequence[Stay], legend: Sequence[str]) -> Markup:
    """Return stretches as horizontal bars; ``legend`` says what the bar, its dot and the mark are."""
    figure, axes = _chart(title, names)
    at, lows = range(len(rows)), [row.low for row in rows]
    widths = [row.high - row.low for row in rows]
    axes.barh(at, widths, left=lows, color=_LIGHT, edgecolor=_INK, height=0.6, label=legend[0])
    axes.plot([row.middle for row in rows], at, "o", color=_INK, label=legend[1])
    axes.plot([row.usual for row in rows], at, "x", color="#9b2226", markersize=7, label=legend[2])
    axes.set_xlim(left=0)
    axes.legend(loc="upper center", bbox_to_anchor=(0.5, -0.6 / (len(rows) + 1)), ncols=3, frameon=False)
    return _svg(figure, title)


def _chart(title: str, names: Sequence[str]) -> tuple[Figure, Axes]:
    """Return an empty chart with a row for each name, the first on top."""
    import matplotlib as mpl
    from matplotlib.figure import Figure

    short = [name if len(name) <= _WIDEST else f"{name[: _WIDEST - 3]}..." for name in names]
    with mpl.rc_context(_SETTINGS):
        figure = Figure(figsize=(7.2, 0.7 + _ROW * max(len(names), 1)))
        axes = figure.subplots()
    axes.set_yticks(range(len(names)), labels=short, parse_math=False)
    axes.set_ylim(len(names) - 0.4, -0.6)
    axes.set_title(title, loc="left", fontsize=10, parse_math=False)
    axes.tick_params(length=0)
    axes.spines[["top", "right", "bottom"]].set_visible(False)
    return figure, axes


def _svg(figure: Figure, title: str) -> Markup:
    """Return a chart as an element of a page; no id in it is that of another chart."""
    import matplotlib as mpl

    text = io.StringIO()
    with mpl.rc_context(_SETTINGS), warnings.catch_warnings():
        warnings.simplefilter("ignore")  # letters its own typeface lacks; the browser has them
        figure.savefig(text, format="svg", bbox_inches="tight", metadata=_NO_METADATA)
    svg = text.getvalue()
    own = f"c{hashlib.sha256(svg.encode()).hexdigest()[:8]}"
    drawing = _ID.sub(rf"\g<1>{own}-", _METADATA.sub("", svg[svg.index("<svg") :]))
    return tag("figure", Markup(drawing), class_="chart", **{"role": "img", "aria-label": title})


MOST_ROWS: Final = 15
"""A chart of skills has no more rows than this; the list has them all."""

LONG: Final = 20
"""A table with more rows than this is folded."""

_STYLE: Final = """\
h1 { border-bottom: 1.5pt solid #000; padding-bottom: 1mm; }
h2 { font-size: 13pt; margin-top: 6mm; }
h3 { font-size: 12pt; margin: 3mm 0 0; break-after: avoid; }
p { margin: 1mm 0; }
table { margin: 1.5mm 0; }
th, td { padding-right: 2mm; max-width: 70mm; overflow-wrap: break-word; }
a, summary { color: #1d3557; text-decoration: underline; }
summary { cursor: pointer; margin: 1mm 0; }
.lacks { border: 1pt solid #9b2226; padding: 1mm 2mm; }
figure { margin: 3mm 0; break-inside: avoid; }
figure svg { max-width: 100%; height: auto; }
.whom { margin-top: 6mm; border-top: 0.5pt solid #444; padding-top: 1mm; }
@media print { details::details-content { content-visibility: visible; block-size: auto; }
  summary { display: none; } }
"""


def school_page(replies: Sequence[Reply], course: Course, paper: str = "a4") -> str:
    """Return one or more answers of one day as a page of HTML; ``paper``: a4 or letter."""
    title = said.title_words(replies, course)
    parts: list[Markup] = [tag("h1", title)]
    parts += [tag("p", words, class_="lacks") for words in said.head_words(replies[0])]
    if len(replies) > 1:
        links = (tag("a", said.QUESTION_WORDS[one.question], href=f"#{one.question}") for one in replies)
        counts = map(said.contents_words, replies)
        parts.append(tag("nav", tag("ul", *(tag("li", *one) for one in zip(links, counts, strict=True)))))
    for reply in replies:
        then = course.on(reply.on)
        parts += [*_answer(reply, then), *_charts(reply, then)]
    whom = said.FOR_OUTSIDE if replies[0].outside else f"{said.FOR_SCHOOL} {caution('C8')}"
    cautions = said.caution_section(replies)
    if cautions.paragraphs:
        parts += [tag("h2", cautions.title), tag("ul", *(tag("li", one.text) for one in cautions.paragraphs))]
    return document(title, _STYLE, paper, *parts, tag("p", whom, class_="whom"))


def _answer(reply: Reply, course: Course) -> Iterator[Markup]:
    """Yield one answer: its title, what is said first, the tables, what is said last.

    A table has no columns in which nothing stands; what has no columns is told in sentences.
    """
    yield tag("h2", said.QUESTION_WORDS[reply.question], id=reply.question)
    yield from (tag("p", words) for words in said.lead_words(reply))
    for title, found in said.parts(reply):
        yield from [tag("h3", title)] if title else []
        names, told = said.headings(found[0]), [said.row_words(row, course, reply.on) for row in found]
        rows = [cells for row in told for cells in row.cells]
        used = [i for i in range(len(names)) if any(row[i] for row in rows)]
        heads = tag("tr", *(tag("th", names[i], scope="col") for i in used))
        lines = (tag("tr", *(tag("td", row[i]) for i in used)) for row in rows)
        table = tag("table", tag("thead", heads), tag("tbody", *lines))
        table = table if names else joined(*(tag("p", line.text) for row in told for line in row.lines))
        summary = tag("summary", said.FOLDED.format(len(found)))
        yield tag("details", summary, table) if len(found) > LONG else table
    yield from (tag("p", words) for words in [said.more_words(reply)] if words)


def _charts(reply: Reply, course: Course) -> Iterator[Markup]:
    charts: dict[str, list[tuple[str, int]]] = {}
    if reply.question == "numbers":
        (found,) = reply.rows
        charts["verdicts"] = [(said.VERDICTS_SHORT[one], count or 0) for one, count in found.verdicts]
        charts["units"] = [(capital(unit_words(course, unit)), count or 0) for unit, count in found.units]
    if reply.question == "where":
        found = [(tidy(course.skill[row.skill].name), row) for row in reply.rows]
        stuck = [(name, row.stuck or 0) for name, row in found]
        helped = [(name, row.with_help or 0) for name, row in found]
        charts["stuck"] = sorted(stuck, key=itemgetter(1), reverse=True)
        charts["with_help"] = sorted(helped, key=itemgetter(1), reverse=True)
    for name, rows in charts.items():
        if seen := [row for row in rows if row[1]][:MOST_ROWS]:
            yield _bars(said.CHART_WORDS[name], seen)
    if reply.question == "time" and reply.rows:
        names = [f"{course.years(row.band)}: {unit_words(course, row.unit)}" for row in reply.rows]
        yield _spans(said.CHART_WORDS["time"], names, reply.rows, said.SPAN_WORDS)
