"""A text before it is laid out: titled sections of paragraphs.

Whoever tells a story makes these; the command line lays them out in lines, a screen may
show them in its own way. Nothing here makes a sentence.

What answers the question stands first and fits a screen. What is only wanted now and then (dates, lines of
the files, rules, cautions in full) is marked ``more`` and shown on request.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Iterable, Iterator, Sequence
from dataclasses import replace
from itertools import zip_longest
from typing import Final, NamedTuple
from unicodedata import combining, east_asian_width

from readiness.lazy import dataclass
from readiness.toml.texts import HARD_SPACE
from readiness.words.grammar import MORE, commands, wrap

__all__ = [
    "BLANK", "Heading", "Page", "Paragraph", "Section", "Parts", "as_markdown", "asked_for", "asking_more",
    "bullets", "cells", "columns", "copied", "fit", "in_sections", "item", "items", "lay_out", "noted",
    "plain", "under",
]  # fmt: skip

BLANK: Final = "________"
"""Where something is to be filled in by hand."""
_ROOM: Final = 22
"""A row with fewer letters than this beside its first cells has its text on the line below them."""


@dataclass(frozen=True)
class Paragraph:
    """One paragraph: ``indent`` in spaces, ``lead`` before its first line; ``more``: only on request."""

    text: str
    indent: int = 0
    lead: str = ""
    more: bool = False
    about: str = ""
    """The id of the skill it is about, where it is about one."""
    row: tuple[str, ...] = ()
    """The cells before the text, where it is a row of a table."""
    brief: bool = False
    """Whether it stands in the short answer only, in place of what is shown on request."""
    whole: bool = False
    """Whether its line is never broken, because somebody copies it."""


@dataclass(frozen=True)
class Section:
    """A title (may be empty) with its paragraphs; ``more``: all of it is shown on request only."""

    title: str
    paragraphs: tuple[Paragraph, ...]
    more: bool = False

    def shown(self, *, full: bool, named: bool = True) -> tuple[Paragraph, ...]:
        """Return the paragraphs that are shown: all of them, or what answers the question.

        ``named``: commands ask about the same course and students, as ``grammar.asked_with`` says.
        """
        told = (one for one in self.paragraphs if not (one.brief if full else self.more or one.more))
        return tuple(replace(one, text=commands(one.text)) if named else one for one in told)


class Heading(NamedTuple):
    """A title over what follows it, up to the next title or section; nothing where nothing follows."""

    title: str
    more: bool = False


Parts = Iterable[Section | Heading | Paragraph | str]
"""What is to be laid out; sentences and paragraphs in a row are one section, below the heading before."""
Page = Iterator[Section | Heading | Paragraph | str]
"""A text as it is told from its first part to its last."""


def item(text: str, *, more: bool = False) -> Paragraph:
    """Return an entry of a list."""
    return Paragraph(text, lead="- ", more=more)


def items(texts: Iterable[str], *, more: bool = False) -> Iterator[Paragraph]:
    """Yield entries of a list; empty texts are left out."""
    return (item(text, more=more) for text in texts if text)


def bullets(title: str, texts: Iterable[str], *, more: bool = False) -> Section:
    """Return a list under its title."""
    return Section(title, tuple(items(texts)), more)


def plain(*texts: str, more: bool = False) -> Section:
    """Return paragraphs without a title; empty texts are left out."""
    return Section("", tuple(Paragraph(text) for text in texts if text), more)


def under(text: str, *, more: bool = False) -> Paragraph:
    """Return what is said about the entry above."""
    return Paragraph(text, indent=4, more=more)


def copied(*texts: str) -> tuple[Paragraph, ...]:
    """Return lines that somebody copies, a little to the right."""
    return tuple(Paragraph(text, 2, whole=True) for text in texts)


def noted(*texts: str, indent: int = 0) -> tuple[Paragraph, ...]:
    """Return what is shown on request only; empty texts are left out."""
    return tuple(Paragraph(text, indent, more=True) for text in texts if text)


def asking_more(then: str, *beside: str, in_one: bool = False) -> tuple[Paragraph, ...]:
    """Return what stands ``beside`` it in short, and what to ask next; where all is shown, not for all.

    ``in_one``: as one paragraph.
    """
    whole = " · ".join(one.replace(" ", HARD_SPACE) for one in then.split(" · "))
    short = (*filter(None, beside), f"{MORE} · {whole}")
    short = (" ".join(short),) if in_one else short
    return (*(Paragraph(text, brief=True) for text in short), *noted(f"More: {then}"))


def asked_for(paragraphs: Iterable[Paragraph]) -> Iterator[Paragraph]:
    """Yield paragraphs as what is shown on request only."""
    return (replace(paragraph, more=True) for paragraph in paragraphs)


def columns(
    rows: Sequence[Sequence[str]], indent: int = 4, about: Sequence[str] = ()
) -> tuple[Paragraph, ...]:
    """Return rows of cells lined up in columns; only the last column may need more lines.

    ``about``: the skill that each row is about.
    """
    if not rows:
        return ()
    widths = [max(cells(row[column]) for row in rows) for column in range(len(rows[0]) - 1)]
    return tuple(
        Paragraph(
            row[-1],
            indent,
            "".join(f"{cell}{' ' * (wide - cells(cell))}  " for cell, wide in zip(row, widths, strict=False)),
            row=tuple(row[:-1]),
            about=skill,
        )
        for row, skill in zip_longest(rows, about, fillvalue="")
    )


def cells(text: str) -> int:
    """Return how many columns of a terminal a text takes (Unicode, annex 11: wide and full-width ones two).

    >>> cells("Temwa"), cells("手"), cells("e\u0301")
    (5, 2, 1)
    """
    return sum(0 if combining(letter) else 2 if east_asian_width(letter) in "WF" else 1 for letter in text)


def in_sections(told: Parts) -> Iterator[Section]:
    """Yield a text as sections alone; some of them may be empty."""
    head, loose = Heading(""), list[Paragraph]()
    for one in told:
        if isinstance(one, (Section, Heading)):
            yield Section(head.title, tuple(loose), head.more)
            head, loose = one if isinstance(one, Heading) else Heading(""), []
            yield from (one,) if isinstance(one, Section) else ()
        elif one:
            loose.append(Paragraph(one) if isinstance(one, str) else one)
    yield Section(head.title, tuple(loose), head.more)


def lay_out(
    told: Parts, width: int, *, full: bool = True, named: bool = True, tell: Callable[[str], str] = str
) -> str:
    """Return a text as lines no wider than ``width``, with a blank line between its sections.

    Sections without paragraphs are left out, and what is marked ``more`` unless ``full``. ``tell`` puts each
    paragraph in the words of whoever shows it; ``named`` is as for ``Section.shown``.
    """
    blocks = []
    for section in in_sections(told):
        shown = section.shown(full=full, named=named)
        if not shown:
            continue
        block = wrap(section.title, width) if section.title else []
        for one in shown:
            indent = min(one.indent + 2 * bool(section.title), width // 2)
            text = tell(one.text)
            whole, is_low = [f"{' ' * indent}{text}"], one.row and indent + len(one.lead) > width - _ROOM
            block += wrap("  ".join(filter(None, one.row)), width, indent=indent) if is_low else []
            lead, indent = ("", indent + 4) if is_low else (one.lead, indent)
            block += whole if one.whole else wrap(text, width, indent=indent, lead=lead)
        blocks.append("\n".join(block))
    return "\n\n".join(blocks) + "\n" if blocks else ""


def fit(make: Callable[[int], Page], sizes: Iterable[int], lines: int) -> Page:
    """Yield a text as it is made at the first size at which its short form has at most so many lines.

    Counted at 80 columns and as the screens have it, so that every width tells the same; at the last size
    where it has none.
    """
    told = list[Section | Heading | Paragraph | str]()
    for size in sizes:
        told = [*make(size)]
        if lay_out(told, 80, full=False, named=False).count("\n") <= lines:
            break
    return iter(told)


def as_markdown(told: Parts) -> str:
    """Return a text as Markdown (CommonMark 0.31): a heading each, and lists."""
    blocks = []
    for section in in_sections(told):
        if not (shown := section.shown(full=True)):
            continue
        lines_of = [f"### {marked(section.title)}\n"] if section.title else []
        for one in shown:
            lead = one.lead if one.lead == "- " or not one.lead else f"- {marked(one.lead.strip())}: "
            lines_of.append(f"{'  - ' if one.indent and not one.lead else lead}{marked(one.text)}")
        blocks.append("\n".join(lines_of))
    return "\n\n".join(blocks) + "\n"


def marked(text: str) -> str:
    r"""Return a text of which Markdown makes nothing else.

    >>> print(marked("a*b_c <d>"))
    a\*b\_c \<d>
    """
    return re.sub(r"([\\`*_<\[#|~])", r"\\\1", text)
