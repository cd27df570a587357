"""The shell of a page to print: one file, nothing from outside, every text escaped.

A :class:`Markup` is text that is already safe; everything else is escaped where it is put in,
so a name such as ``<b>`` stays a name.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from html import escape
from types import MappingProxyType
from typing import Final

__all__ = ["MADE_BY", "PAPERS", "Markup", "document", "joined", "tag"]

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
