"""A text before it is laid out: titled sections of paragraphs.

Whoever tells a story makes these; the command line lays them out in lines, a screen may
show them in its own way. Nothing here makes a sentence.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass

from readiness.words.grammar import wrap

__all__ = ["Paragraph", "Section", "columns", "item", "lay_out", "under"]


@dataclass(frozen=True, slots=True)
class Paragraph:
    """One paragraph: ``indent`` in spaces, ``lead`` stands before its first line."""

    text: str
    indent: int = 0
    lead: str = ""


@dataclass(frozen=True, slots=True)
class Section:
    """A title (may be empty) with its paragraphs."""

    title: str
    paragraphs: tuple[Paragraph, ...]


def item(text: str) -> Paragraph:
    """Return an entry of a list."""
    return Paragraph(text, lead="- ")


def under(text: str) -> Paragraph:
    """Return what is said about the entry above."""
    return Paragraph(text, indent=4)


def columns(rows: Sequence[Sequence[str]], indent: int = 4) -> tuple[Paragraph, ...]:
    """Return rows of cells lined up in columns; only the last column may need more lines."""
    if not rows:
        return ()
    widths = [max(len(row[column]) for row in rows) for column in range(len(rows[0]) - 1)]
    return tuple(
        Paragraph(
            row[-1], indent, "".join(f"{cell:<{wide}}  " for cell, wide in zip(row, widths, strict=False))
        )
        for row in rows
    )


def lay_out(sections: Iterable[Section], width: int) -> str:
    """Return sections as lines no wider than ``width``, a blank line between sections.

    Sections without paragraphs are left out. The text ends with a line break.
    """
    blocks = []
    for section in sections:
        if not section.paragraphs:
            continue
        lines = wrap(section.title, width) if section.title else []
        step = 2 if section.title else 0
        for paragraph in section.paragraphs:
            lines += wrap(paragraph.text, width, indent=paragraph.indent + step, lead=paragraph.lead)
        blocks.append("\n".join(lines))
    return "\n\n".join(blocks) + "\n"
