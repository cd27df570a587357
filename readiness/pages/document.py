"""The shell of a page to print: one file, nothing from outside, every text escaped.

A :class:`Markup` is text that is already safe; everything else is escaped where it is put in,
so a name such as ``<b>`` stays a name.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from html import escape
from types import MappingProxyType
from typing import Final

from readiness.words.layout import Section

__all__ = ["MADE_BY", "PAPERS", "Markup", "document", "joined", "sections_page", "tag"]

MADE_BY: Final = '<meta name="generator" content="readiness">'
"""Stands in every page, so that a page is known again before it is written over."""

PAPERS: Final[Mapping[str, str]] = MappingProxyType({"a4": "A4 portrait", "letter": "letter portrait"})

_POLICY: Final = "default-src 'none'; style-src 'unsafe-inline'"
"""What the browser may load: nothing but the style that stands in the page itself."""


@dataclass(frozen=True, slots=True)
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


# Titled sections of sentences as a page to print, in letters that are read at arm's length.

_STYLE: Final = """\
body { font: 11pt/1.35 "Noto Sans", "Liberation Sans", Arial, sans-serif; color: #111;
  max-width: 186mm; margin: 0 auto; }
h1 { font-size: 15pt; margin: 0 0 3mm; border-bottom: 1.5pt solid #111; }
h2 { font-size: 11.5pt; margin: 3mm 0 0.8mm; break-after: avoid; }
ul { margin: 0; padding-left: 5mm; }
li { margin: 0.4mm 0; break-inside: avoid; }
p { margin: 0.4mm 0; }
"""


def sections_page(title: str, sections: Iterable[Section], paper: str) -> str:
    """Return sections as one page; the first one is its heading.

    Args:
        title: the title of the document.
        sections: what is on it.
        paper: one of ``PAPERS``.
    """
    shown = [section for section in sections if section.paragraphs]
    head = [tag("h1", " ".join(one.text for one in section.paragraphs)) for section in shown[:1]]
    body = [part for section in shown[1:] for part in _section(section)]
    return document(title, _STYLE, paper, *head, *body)


def _section(section: Section) -> tuple[Markup, ...]:
    title = (tag("h2", section.title),) if section.title else ()
    if all(one.lead == "- " for one in section.paragraphs):
        return (*title, tag("ul", *(tag("li", one.text) for one in section.paragraphs)))
    return (*title, *(tag("p", f"{one.lead}{one.text}") for one in section.paragraphs))
