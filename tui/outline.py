"""The verdict in large letters, and its reasons as an outline, each line of which opens.

Textual's Digits knows digits alone, and its Tree would not wrap.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from typing import ClassVar, Final

from textual.app import ComposeResult
from textual.binding import Binding, BindingType
from textual.containers import Horizontal, Vertical
from textual.content import Content
from textual.widget import Widget
from textual.widgets import OptionList, Static
from textual.widgets.option_list import Option

from readiness.judging.answer import Answer
from readiness.lazy import dataclass
from readiness.terms import Verdict
from readiness.words.cautions import ended_lines
from readiness.words.english import verdict_large
from readiness.words.layout import Paragraph, Section, in_sections
from readiness.words.phrases import Phrases
from readiness.words.why import why_sections
from tui.actions import with_keys
from tui.desk import Desk
from tui.view import StudentRow
from tui.widgets import Hanging, MarkedList, Pointed, Scrolled

__all__ = ["AnswerPane", "Headline", "Outline", "OutlineEntry", "fits", "large"]

# Large letters, three rows high, for the one line that is read from across the room.
#
# Drawn from dots, two dots to a character cell, so that a verdict stands about three times as
# tall as the text around it. The words themselves always stand below in ordinary letters.

_DOTS: Final = {
    "A": "0110 1001 1001 1111 1001 1001",
    "D": "1110 1001 1001 1001 1001 1110",
    "E": "1111 1000 1110 1000 1000 1111",
    "G": "0111 1000 1011 1001 1001 0111",
    "I": "1 1 1 1 1 1",
    "K": "1001 1010 1100 1100 1010 1001",
    "L": "1000 1000 1000 1000 1000 1111",
    "N": "1001 1101 1101 1011 1011 1001",
    "O": "0110 1001 1001 1001 1001 0110",
    "P": "1110 1001 1001 1110 1000 1000",
    "R": "1110 1001 1001 1110 1010 1001",
    "S": "0111 1000 0110 0001 0001 1110",
    "T": "11111 00100 00100 00100 00100 00100",
    "Y": "10001 10001 01010 00100 00100 00100",
    "U": "1001 1001 1001 1001 1001 0110",
    "0": "0110 1001 1001 1001 1001 0110",
    "1": "010 110 010 010 010 111",
    "2": "1110 0001 0110 1000 1000 1111",
    "3": "1110 0001 0110 0001 0001 1110",
    "4": "1001 1001 1111 0001 0001 0001",
    "5": "1111 1000 1110 0001 0001 1110",
    "6": "0110 1000 1110 1001 1001 0110",
    "7": "1111 0001 0010 0100 0100 0100",
    "8": "0110 1001 0110 1001 1001 0110",
    "9": "0110 1001 1001 0111 0001 0110",
    "+": "000 010 010 111 010 010",
    " ": "00 00 00 00 00 00",
}  # fmt: skip
_CELLS: Final = {("0", "0"): " ", ("1", "0"): "▀", ("0", "1"): "▄", ("1", "1"): "█"}


def large(words: str) -> str:
    """Return words as three lines of large letters; a letter without a drawing is left out.

    >>> print(large("LI"))
    █    █
    █    █
    █▄▄▄ █
    """
    letters = [_DOTS[letter].split() for letter in words.upper() if letter in _DOTS]
    rows = []
    for top in (0, 2, 4):
        cells = (
            "".join(_CELLS[pair] for pair in zip(dots[top], dots[top + 1], strict=True)) for dots in letters
        )
        rows.append(" ".join(cells).rstrip())
    return "\n".join(rows)


def fits(words: str, width: int) -> bool:
    """Return whether the words have room in large letters."""
    return max(map(len, large(words).split("\n"))) <= width


SCARCE: Final = 22
"""With fewer rows than these the verdict stands in ordinary letters."""


class Headline(Scrolled):
    """Large words, one sentence, whether it is only supposed, and what is to be known beside it."""

    words = ""

    def compose(self) -> ComposeResult:
        yield Static(id="large")
        yield Static(id="sentence")

    def show(
        self, words: str, sentence: str, *, is_paused: bool, supposed: str = "", beside: Iterable[str] = ()
    ) -> None:
        """Show a verdict, with each thing of ``beside`` on a line below; ``supposed`` is said above it."""
        self.set_class(is_paused, "-paused")
        self.words = words
        self.on_resize()
        parts = [Content.styled(supposed, "bold reverse"), Content("  ")] if supposed else []
        told = [Content("\n").join([Content(sentence), *map(Content, beside)])]
        self.query_one("#sentence", Static).update(Content("").join([*parts, *told]))

    def on_resize(self) -> None:
        """Take large letters where they have room, and rows are not scarce."""
        has_room = fits(self.words, self.size.width) and self.app.size.height >= SCARCE
        self.query_one("#large", Static).update(Content(large(self.words) if has_room else self.words))


@dataclass(frozen=True)
class OutlineEntry:
    """One entry; ``key`` names it among all, ``subject`` is the skill it is about, if any."""

    key: str
    text: str
    under: tuple[OutlineEntry, ...] = ()
    subject: str = ""
    is_title: bool = False
    lead: str = ""


class Outline(MarkedList):
    """A tree whose entries wrap; right opens, left closes. Says :class:`Pointed` with the marked subject."""

    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("right", "open(True)", show=False),
        Binding("left", "open(False)", show=False),
        Binding("space", "select", show=False),
    ]

    entries: tuple[OutlineEntry, ...] = ()
    shown: tuple[tuple[OutlineEntry, int, str], ...] = ()
    """What is seen: the entry, how deep, and the key of what it is under."""

    def __init__(self, id: str) -> None:  # noqa: A002 - Textual's own word
        super().__init__(id)
        self.opened: set[str] = set()
        self._gone: tuple[str, int | None] = ("", None)

    def tell(self, entries: Sequence[OutlineEntry], opened: Sequence[str]) -> None:
        """Show other entries; those whose keys are in ``opened`` are open at first."""
        self.entries = tuple(entries)
        self.opened = set(opened)
        self._fill(self._marked_key())

    def renew(self, entries: Sequence[OutlineEntry]) -> None:
        """Show entries about the same thing again; what is open stays open.

        A skill whose entry has gone stays the subject until the cursor moves, and is found again when it
        comes back: a switch that was turned for it is turned back by the same key.
        """
        about, marked, was_gone = self.subject, self._marked_key(), bool(self._gone[0])
        self.entries = tuple(entries)
        keys = {entry.key: entry.subject for entry, _, _ in self._seen(self.entries, 0, "")}
        if about and (was_gone or marked not in keys):
            marked = next((key for key, subject in keys.items() if subject == about), marked)
        self._gone = ("", None)
        self._fill(marked)
        if self.subject != about:
            self._gone = (about, self.highlighted)

    @property
    def subject(self) -> str:
        """The skill under the cursor: of the entry, or of what it stands under."""
        about, at = self._gone
        if about and self.highlighted == at:
            return about
        if self.marked is None:
            return ""
        entry, above = self.marked
        while not entry.subject and above:
            entry, _, above = next(one for one in self.shown if one[0].key == above)
        return entry.subject

    @property
    def marked(self) -> tuple[OutlineEntry, str] | None:
        """The entry under the cursor, and the key of what it is under; None where there is none."""
        if self.highlighted is None or self.highlighted >= len(self.shown):
            return None
        entry, _, above = self.shown[self.highlighted]
        return entry, above

    def _marked_key(self) -> str:
        return self.marked[0].key if self.marked else ""

    def _fill(self, marked: str) -> None:
        self.shown = tuple(self._seen(self.entries, 0, ""))
        top = self.scroll_offset.y
        self.set_options(Option(self._drawn(entry, depth)) for entry, depth, _ in self.shown)
        at = next((i for i, one in enumerate(self.shown) if one[0].key == marked), 0)
        self.highlighted = at if self.shown else None
        self.scroll_to(y=top, animate=False)

    def _seen(
        self, entries: Sequence[OutlineEntry], depth: int, above: str
    ) -> Iterator[tuple[OutlineEntry, int, str]]:
        for entry in entries:
            yield entry, depth, above
            if entry.key in self.opened:
                yield from self._seen(entry.under, depth + 1, entry.key)

    def _drawn(self, entry: OutlineEntry, depth: int) -> Hanging:
        mark = entry.lead or ("-" if entry.key in self.opened else "+") if entry.under else entry.lead
        told = with_keys(entry.text, getattr(self.screen, "NAME", ""))
        text = Content.styled(told, "bold") if entry.is_title else Content(told)
        is_spaced = entry.is_title and depth == 0 and entry is not self.entries[0]
        return Hanging(f"{'  ' * depth}{mark or ' '} ", text, is_spaced=is_spaced)

    def on_option_list_option_selected(self, event: OptionList.OptionSelected) -> None:
        event.stop()
        entry = self.shown[event.option_index][0]
        self._turn(entry, open_it=entry.key not in self.opened)

    def on_option_list_option_highlighted(self, event: OptionList.OptionHighlighted) -> None:
        event.stop()
        self.post_message(Pointed(self.subject))

    def action_open(self, open_it: bool) -> None:
        """Open what is marked, or close it; closed already, go to what it stands under."""
        if self.marked is None:
            return
        entry, above = self.marked
        if not open_it and above and (not entry.under or entry.key not in self.opened):
            self.highlighted = next(i for i, one in enumerate(self.shown) if one[0].key == above)
        else:
            self._turn(entry, open_it=open_it)

    def _turn(self, entry: OutlineEntry, *, open_it: bool) -> None:
        if not entry.under:
            return
        (self.opened.add if open_it else self.opened.discard)(entry.key)
        self._fill(entry.key)


class AnswerPane(Vertical):
    """One student's answer, with all it rests on."""

    student = ""
    _told: object = None

    def __init__(self, *more: Widget, id: str) -> None:  # noqa: A002 - Textual's own word
        super().__init__(id=id)
        self._more = more

    def compose(self) -> ComposeResult:
        yield Headline(id="headline")
        with Horizontal(classes="reasons"):
            yield Outline(id="outline")
            yield from self._more

    def show(
        self, desk: Desk, row: StudentRow, answer: Answer, supposed: str = "", beside: Iterable[str] = ()
    ) -> None:
        """Show an answer about a student; what was open of the same one stays open."""
        if self._told == (asked := (row, desk.course, answer, supposed, beside := tuple(beside))):
            return
        self._told = asked
        p = Phrases(answer, desk.course, row.record)
        told = [one for one in in_sections(why_sections(p)) if one.paragraphs]
        first, *sections, _commands = told  # which here are keys
        beside = (*ended_lines(desk.course, row.record, answer.on), *beside)
        self.query_one(Headline).show(
            verdict_large(answer), first.paragraphs[-1].text, is_paused=answer.verdict == Verdict.PAUSED,
            supposed=supposed, beside=beside,
        )  # fmt: skip
        entries = [_section(f"section-{number}", one) for number, one in enumerate(sections, 1)]
        outline = self.query_one(Outline)
        if self.student == row.record.id:
            outline.renew(entries)
            return
        self.student = row.record.id
        opened = [f"section-{number}" for number, one in enumerate(sections, 1) if one.shown(full=False)]
        has_room = self.app.size.height >= ROOMY and sections[:1]
        outline.tell(entries, [*opened, *(one.key for one in entries[0].under if has_room)])


ROOMY: Final = 34
"""From so many rows on what is missing is open at once."""


def _section(key: str, section: Section) -> OutlineEntry:
    """Return a section as an entry; what is shown on request stands under the line before."""
    top: list[tuple[Paragraph, list[Paragraph]]] = []
    for one in section.paragraphs if section.title else section.paragraphs[1:]:
        if top and (one.more or one.indent):
            top[-1][1].append(one)
        else:
            top.append((one, []))
    under = tuple(_line(f"{key}-{i}", head, behind) for i, (head, behind) in enumerate(top))
    return OutlineEntry(key, section.title or section.paragraphs[0].text, under, is_title=True)


def _line(key: str, head: Paragraph, behind: Sequence[Paragraph]) -> OutlineEntry:
    under = tuple(
        OutlineEntry(f"{key}-{i}", _text(one), subject=one.about, lead="·") for i, one in enumerate(behind)
    )
    return OutlineEntry(key, _text(head), under, subject=head.about, lead="" if under else "·")


def _text(paragraph: Paragraph) -> str:
    return paragraph.text if paragraph.lead.strip() in ("", "-") else f"{paragraph.lead}{paragraph.text}"
