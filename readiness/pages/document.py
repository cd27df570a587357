"""The shell of a page to print: one file, nothing from outside, every text escaped.

A :class:`Markup` is text that is already safe; everything else is escaped where it is put in,
so a name such as ``<b>`` stays a name.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from html import escape
from itertools import groupby
from types import MappingProxyType
from typing import Final

from readiness.lazy import dataclass
from readiness.words.layout import Paragraph, Section

__all__ = ["HEIGHTS", "MADE_BY", "PAPERS", "Markup", "document", "joined", "sections_page", "tag"]

MADE_BY: Final = '<meta name="generator" content="readiness">'
"""Stands in every page, so that a page is known again before it is written over."""

PAPERS: Final[Mapping[str, str]] = MappingProxyType({"a4": "A4 portrait", "letter": "letter portrait"})

_POLICY: Final = "default-src 'none'; style-src 'unsafe-inline'"
"""What the browser may load: nothing but the style that stands in the page itself."""


@dataclass(frozen=True)
class Markup:
    """HTML that is safe to put into a page as it is."""

    text: str


Content = Markup | str


def tag(name: str, *content: Content, **attributes: str) -> Markup:
    """Return an element; ``class_`` stands for ``class``.

    >>> tag("td", "a < b", class_="name").text
    '<td class="name">a &lt; b</td>'
    """
    given = "".join(f' {key.rstrip("_")}="{escape(value)}"' for key, value in attributes.items() if value)
    return Markup(f"<{name}{given}>{joined(*content).text}</{name}>")


def joined(*content: Content) -> Markup:
    """Return contents one after the other, texts escaped."""
    return Markup("".join(one.text if isinstance(one, Markup) else escape(one) for one in content))


def document(title: str, style: str, paper: str, *body: Content) -> str:
    """Return a whole page.

    Args:
        title: the title, as text.
        style: the style sheet.
        paper: one of ``PAPERS``.
        body: what is on the page.
    """
    return (
        '<!doctype html>\n<html lang="en">\n<head>\n<meta charset="utf-8">\n'
        f'<meta http-equiv="Content-Security-Policy" content="{_POLICY}">\n{MADE_BY}\n'
        f"{tag('title', title).text}\n"
        f"<style>\n@page {{ size: {PAPERS[paper]}; margin: 9mm 12mm; }}\n{style}</style>\n</head>\n"
        f"<body>\n{joined(*body).text}\n</body>\n</html>\n"
    )


# Titled sections of sentences as a page to print, in letters that are read on a music stand.

_STYLE: Final = """\
* { box-sizing: border-box; }
body { font: 12pt/1.25 Arial, "Liberation Sans", Helvetica, sans-serif; color: #000; margin: 0; }
main { display: flex; flex-direction: column; max-width: 186mm; margin: 0 auto; }
h1 { font-size: 15pt; margin: 0 0 2mm; }
h2 { font-size: 12pt; margin: 2.5mm 0 0.5mm; break-after: avoid; }
ul { margin: 0; padding-left: 5mm; }
li, p { margin: 0.3mm 0; break-inside: avoid; }
table { border-collapse: collapse; width: 100%; }
th, td { border: 0.25mm solid #444; padding: 1mm 2mm; text-align: left; vertical-align: top; }
th { white-space: nowrap; width: 1%; }
.box { border: 0.7mm solid #000; padding: 1mm 3mm 2mm; }
.box h2 { margin-top: 0; }
.ruled { flex: 1 1 0; min-height: 25mm; contain: size; overflow: hidden; }
.ruled div { height: 9mm; border-bottom: 0.2mm dotted #444; }
"""
HEIGHTS: Final = {"a4": "279mm", "letter": "261mm"}
"""What the margins leave of each paper."""
_LINES: Final = 30


def sections_page(title: str, sections: Iterable[Section], paper: str) -> str:
    """Return sections as one page: a heading, a box with what comes first, the rest, and lines to write on.

    Args:
        title: the title of the document.
        sections: what is on it.
        paper: one of ``PAPERS``.
    """
    head, first, *others = (section for section in sections if section.paragraphs)
    lines = tag("div", *[tag("div", "")] * _LINES, class_="ruled")
    body = tag(
        "main",
        tag("h1", " ".join(one.text for one in head.paragraphs)),
        tag("section", *_section(first), class_="box"),
        *(tag("section", *_section(section)) for section in others),
        lines,
    )
    return document(title, f"{_STYLE}main {{ min-height: {HEIGHTS[paper]}; }}\n", paper, body)


def _section(section: Section) -> Iterator[Markup]:
    """Yield a section: its entries as a list, its rows as a table."""
    if section.title:
        yield tag("h2", section.title)
    for kind, found in groupby(section.shown(full=False), key=_kind):
        if kind == "row":
            rows = (tag("tr", tag("th", one.lead.strip(), scope="row"), tag("td", one.text)) for one in found)
            yield tag("table", tag("tbody", *rows))
        elif kind == "item":
            yield tag("ul", *(tag("li", one.text) for one in found))
        else:
            yield from (tag("p", one.text) for one in found)


def _kind(paragraph: Paragraph) -> str:
    return {"": "text", "- ": "item"}.get(paragraph.lead, "row")
