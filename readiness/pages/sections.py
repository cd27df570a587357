"""Titled sections of sentences as a page to print, in letters that are read at arm's length."""

from __future__ import annotations

from collections.abc import Iterable
from typing import Final

from readiness.pages.document import Markup, document, tag
from readiness.words.page import Section

__all__ = ["sections_page"]

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
