"""The shell of a page to print, and titled sections as a page: one file, nothing from outside, all escaped.

A :class:`Markup` is text that is already safe; everything else is escaped where it is put in,
so a name such as ``<b>`` stays a name.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from dataclasses import replace
from hashlib import sha256
from html import escape
from itertools import groupby
from typing import Final

from readiness.lazy import dataclass
from readiness.words.grammar import MORE
from readiness.words.layout import BLANK, Paragraph, Parts, Section, in_sections

__all__ = [
    "HEIGHTS", "PAPERS", "Markup", "document", "is_as_written", "joined", "sealed", "sections_page", "tag",
]  # fmt: skip

_SEAL: Final = "<!-- {} -->\n"
"""Stands below a page that is written, so that one nobody changed is known before it is written over."""

PAPERS: Final[Mapping[str, str]] = {"a4": "A4 portrait", "letter": "letter portrait"}
HEIGHTS: Final[Mapping[str, int]] = {"a4": 278, "letter": 260}
"""What the margins leave of each paper, in mm."""

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
    return Markup("".join(part.text if isinstance(part, Markup) else escape(part) for part in content))


_WIDE: Final = '<meta name="viewport" content="width=device-width, initial-scale=1">\n'
# 0.519 is the height of an x in Arial by its size: letters are as high, and pages as long, in any other font.
_STYLE: Final = """\
* { box-sizing: border-box; }
body { font: 12pt/1.15 Arial, "Liberation Sans", Helvetica, "DejaVu Sans Condensed", sans-serif;
  font-size-adjust: 0.519; color: #000; background: #fff; margin: 0; overflow-wrap: anywhere; }
main:has(> .ruled, > .write, > footer) { display: flex; flex-direction: column; }
h1 { font-size: 14pt; margin: 0 0 1.5mm; }
h2 { font-size: 12pt; margin: 2mm 0 0.3mm; break-after: avoid; }
ul { margin: 0; padding-left: 5mm; }
li, p { margin: 0 0 0.3mm; break-inside: avoid; }
table { border-collapse: collapse; width: 100%; }
th, td { text-align: left; vertical-align: top; padding: 0.5mm 1mm; border-top: 0.25mm solid #444; }
tr { break-inside: avoid; }
thead { display: table-header-group; }
.ruled { flex: 1 1 auto; contain: size; overflow: hidden; }
.ruled div { height: 9mm; border-bottom: 0.2mm dotted #444; }
@media screen { body { max-width: 190mm; margin: 8mm auto; padding: 0 4mm; } }
"""


def document(title: str, style: str, paper: str, *body: Content, language: str = "en") -> str:
    """Return a whole page: a title, what is on it, in letters that are read on a music stand.

    Args:
        title: the title, as text; style: what this page has beyond every page's style.
        paper: one of ``PAPERS``; body: what stands in its main part, in which language.
    """
    sheet = f"@page {{ size: {PAPERS[paper]}; margin: 9mm 12mm; }}\n"
    sheet += f"main {{ min-height: {HEIGHTS[paper]}mm; }}\n"
    return (
        f'<!doctype html>\n<html lang="{language}">\n<head>\n<meta charset="utf-8">\n'
        f'<meta http-equiv="Content-Security-Policy" content="{_POLICY}">\n'
        f'<meta name="generator" content="readiness">\n{_WIDE}'
        f"{tag('title', title).text}\n"
        f"<style>\n{sheet}{_STYLE}{style}</style>\n</head>\n"
        f"<body>\n{tag('main', *body).text}\n</body>\n</html>\n"
    )


def sealed(page: str) -> str:
    """Return a page with a line below by which :func:`is_as_written` knows it again."""
    return page + _SEAL.format(sha256(page.encode()).hexdigest())


def is_as_written(data: bytes) -> bool:
    """Return whether a file is a page as :func:`sealed` made it, and nobody changed anything since."""
    page, _, seal = data.removesuffix(b"\n").rpartition(b"\n")
    return seal + b"\n" == _SEAL.format(sha256(page + b"\n").hexdigest()).encode()


# Titled sections of sentences as a page.

_BEFORE_LINES: Final = 192
"""So many mm a page to write on has for what is told, on any paper; the rest, near a third, is ruled."""
_SECTIONS: Final = """\
th { white-space: nowrap; width: 1%; padding-right: 4mm; }
.box { border: 0.7mm solid #000; padding: 0.5mm 3mm; }
.box h2 { margin-top: 1mm; }
.write { flex: 1; display: flex; flex-direction: column; break-inside: avoid; }
.letter p { margin: 0 0 3mm; line-height: 1.4; }
td:has(.blank) { display: flex; gap: 2mm; align-items: end; height: 8.5mm; }
.blank { flex: 1; border-bottom: 0.3mm solid #000; height: 7mm; }
"""


def sections_page(told: Parts, paper: str, *, kind: str = "", language: str = "") -> str:
    """Return sections as one page: the first line that a text of them has as its heading, the rest below.

    Args:
        told: what is on it.
        paper: one of ``PAPERS``.
        kind: ``stand``: a box around what comes first, nearly a third of the sheet to write on;
            ``letter``: with room between the paragraphs.
        language: that of what stands below the heading, where it is not English.
    """
    (head, *others) = (section for section in in_sections(told) if [*_on_paper(section)])
    first, *rest = (*([Paragraph(head.title)] if head.title else []), *_on_paper(head))
    boxed = {1: "box"} if kind == "stand" else {}
    body = [tag("h1", first.text), *_parts(rest)]
    body += [
        tag("section", *_section(one), class_=boxed.get(at, kind), lang=language)
        for at, one in enumerate(others, 1)
    ]
    if kind == "stand":
        third = f"min-height: {HEIGHTS[paper] - _BEFORE_LINES}mm"
        lines = tag("div", *[tag("div", "")] * (HEIGHTS[paper] // 9), class_="ruled")
        body[-1] = tag("section", *_section(others[-1]), lines, class_="write", style=third)
    return document(first.text, _SECTIONS, paper, *body)


def _section(section: Section) -> Iterator[Markup]:
    if section.title:
        yield tag("h2", section.title)
    yield from _parts(_on_paper(section))


def _on_paper(section: Section) -> Iterator[Paragraph]:
    """Yield what is shown of a section, without how more is asked for: nobody can ask paper."""
    for one in section.shown(full=False):
        if text := one.text.partition(MORE)[0].rstrip():
            yield replace(one, text=text)


def _parts(paragraphs: Iterable[Paragraph]) -> Iterator[Markup]:
    """Yield entries as lists, rows as tables."""
    for (is_row, is_item), found in groupby(paragraphs, lambda each: (bool(each.row), each.lead == "- ")):
        if is_row:
            rows = []
            for each in found:
                first, *others = each.row
                cells = (tag("td", _written(cell)) for cell in (*others, each.text))
                rows.append(tag("tr", tag("th", first, scope="row"), *cells))
            yield tag("table", tag("tbody", *rows))
        elif is_item:
            yield tag("ul", *(tag("li", _written(each.text)) for each in found))
        else:
            yield from (tag("p", _written(each.text)) for each in found)


def _written(text: str) -> Markup:
    """Return a text in which what is to be filled in is a line to write on."""
    first, *others = text.split(BLANK)
    line = Markup('<span class="blank"></span>')
    return joined(first, *(part for other in others for part in (line, other)))
