"""From an answer to an outline: what decides and its reasons first, then the rest of the story."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from typing import ClassVar

from rich.padding import Padding
from rich.table import Table
from rich.text import Text
from textual.binding import Binding, BindingType
from textual.widgets import OptionList
from textual.widgets.option_list import Option

from readiness.course.model import Course
from readiness.judging.answer import Answer, Blocker
from readiness.judging.findings import Finding, GroupOpen, Rule, SkillOpen
from readiness.record.model import Record
from readiness.terms import State
from readiness.words.blocking import blockers_section
from readiness.words.grammar import tidy
from readiness.words.layout import Paragraph, Section
from readiness.words.phrases import Phrases
from readiness.words.reasons import rule_words
from readiness.words.why import tell_sections
from tui.messages import Pointed

__all__ = ["OPEN_AT_FIRST", "Entry", "Outline", "headline_sentence", "reasons_outline"]

# A tree to read: entries that open to what stands under them, wrapped to the width.
#
# A tree of one-line labels would cut a sentence off, so each entry is an option of a list and
# takes the lines it needs. Right opens, left closes, Enter and a click do either.


@dataclass(frozen=True, slots=True)
class Entry:
    """One entry; ``key`` names it among all, ``subject`` is the skill it is about, if any."""

    key: str
    text: str
    under: tuple[Entry, ...] = ()
    subject: str = ""
    is_title: bool = False
    lead: str = ""


class Outline(OptionList):
    """The tree. Says :class:`Pointed` with the subject under the cursor."""

    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("right", "open(True)", show=False),
        Binding("left", "open(False)", show=False),
        Binding("space", "select", show=False),
    ]

    entries: tuple[Entry, ...] = ()
    shown: tuple[tuple[Entry, int, str], ...] = ()
    """What is seen: the entry, how deep, and the key of what it is under."""

    def __init__(self, id: str) -> None:  # noqa: A002 - Textual's own word
        """Begin empty."""
        super().__init__(id=id, markup=False)
        self.opened: set[str] = set()

    def tell(self, entries: Sequence[Entry], opened: Sequence[str]) -> None:
        """Show other entries; those whose keys are in ``opened`` are open at first."""
        self.entries = tuple(entries)
        self.opened = set(opened)
        self._fill(self._marked_key())

    def renew(self, entries: Sequence[Entry]) -> None:
        """Show entries about the same thing again; what is open stays open."""
        self.entries = tuple(entries)
        self._fill(self._marked_key())

    @property
    def subject(self) -> str:
        """The skill under the cursor: of the entry, or of what it stands under."""
        if self.highlighted is None or self.highlighted >= len(self.shown):
            return ""
        entry, _, above = self.shown[self.highlighted]
        while not entry.subject and above:
            entry, _, above = next(one for one in self.shown if one[0].key == above)
        return entry.subject

    def _marked_key(self) -> str:
        if self.highlighted is None or self.highlighted >= len(self.shown):
            return ""
        return self.shown[self.highlighted][0].key

    def _fill(self, marked: str) -> None:
        self.shown = tuple(self._seen(self.entries, 0, ""))
        top = self.scroll_offset.y
        self.set_options(Option(self._drawn(entry, depth)) for entry, depth, _ in self.shown)
        at = next((i for i, one in enumerate(self.shown) if one[0].key == marked), 0)
        self.highlighted = at if self.shown else None
        self.scroll_to(y=top, animate=False)

    def _seen(self, entries: Sequence[Entry], depth: int, above: str) -> Iterator[tuple[Entry, int, str]]:
        for entry in entries:
            yield entry, depth, above
            if entry.key in self.opened:
                yield from self._seen(entry.under, depth + 1, entry.key)

    def _drawn(self, entry: Entry, depth: int) -> Padding:
        """Return an entry with its mark, later lines hanging under the first word."""
        mark = entry.lead or ("▾" if entry.key in self.opened else "▸") if entry.under else entry.lead
        grid = Table.grid(padding=(0, 1, 0, 0), expand=True)
        grid.add_column(width=max(1, len(mark)))
        grid.add_column(ratio=1)
        grid.add_row(mark, Text(entry.text, style="bold" if entry.is_title else ""))
        top = 1 if entry.is_title and depth == 0 and entry is not self.entries[0] else 0
        return Padding(grid, (top, 0, 0, 2 * depth))

    def on_option_list_option_selected(self, event: OptionList.OptionSelected) -> None:
        """Open or close."""
        event.stop()
        entry = self.shown[event.option_index][0]
        self._turn(entry, open_it=entry.key not in self.opened)

    def on_option_list_option_highlighted(self, event: OptionList.OptionHighlighted) -> None:
        """Say what the cursor is on."""
        event.stop()
        self.post_message(Pointed(self.subject))

    def action_open(self, open_it: bool) -> None:
        """Open what is marked, or close it; closed already, go to what it stands under."""
        if self.highlighted is None:
            return
        entry, _, above = self.shown[self.highlighted]
        if not open_it and above and (not entry.under or entry.key not in self.opened):
            self.highlighted = next(i for i, one in enumerate(self.shown) if one[0].key == above)
        else:
            self._turn(entry, open_it=open_it)

    def _turn(self, entry: Entry, *, open_it: bool) -> None:
        if not entry.under:
            return
        (self.opened.add if open_it else self.opened.discard)(entry.key)
        self._fill(entry.key)


OPEN_AT_FIRST = ("decides", "story-1", "story-2")
"""The keys of what is open when the page is opened."""


def reasons_outline(answer: Answer, course: Course, record: Record) -> tuple[Entry, ...]:
    """Return the whole story of an answer; the first line of it stands in the headline."""
    say = Phrases(answer, course, record)
    deciding = blockers_section(say)
    entries: list[Entry] = []
    _, *sections = _told(answer, course, record)
    for number, section in enumerate(sections, 1):
        if section == deciding:
            blockers = tuple(_blocker(say, one) for one in answer.blockers)
            entries.append(Entry("decides", section.title, blockers, is_title=True))
        else:
            entries.append(_section(say, f"story-{number}", section))
    return tuple(entries)


def headline_sentence(answer: Answer, course: Course, record: Record) -> str:
    """Return the sentence that says the verdict."""
    return _told(answer, course, record)[0].paragraphs[-1].text


def _told(answer: Answer, course: Course, record: Record) -> list[Section]:
    """Return the sections that say something, the one without a title in front."""
    sections = [one for one in tell_sections(answer, course, record) if one.paragraphs]
    head = next(one for one in sections if not one.title)
    return [head, *(one for one in sections if one is not head)]


def _blocker(say: Phrases, blocker: Blocker) -> Entry:
    if blocker.group is not None:
        key = "group-" + "-".join(blocker.group.of)
        under = tuple(_skill(say, skill, key, ()) for skill in blocker.group.of)
        needed = f"at least {blocker.group.at_least} of {say.names(blocker.group.of, len(blocker.group.of))}"
        return Entry(key, needed, under, subject=blocker.group.of[0])
    assert blocker.skill is not None
    return _skill(say, blocker.skill, "blocker", (say.stands_on_it(blocker.skill, blocker.needed_by),))


def _skill(say: Phrases, skill: str, above: str, more: Sequence[str]) -> Entry:
    """Return a skill that opens to its notes, what is missing, what stands on it, the rules."""
    key = f"{above}-{skill}"
    notes = say.seen(skill)
    lines = [
        ("  ".join((day.ljust(_widest(notes, 0)), how.ljust(_widest(notes, 1)), line)), "·")
        for day, how, line in notes
    ]
    texts = [*more, *say.advice(skill), *_rules(say.answer.findings, skill)]
    if say.standing(skill).state not in (State.SECURE, State.SET_ASIDE):
        texts.insert(0, say.missing(skill))
    lines += [(text, "-") for text in texts]
    under = tuple(Entry(f"{key}-{i}", text, lead=lead) for i, (text, lead) in enumerate(lines))
    name = tidy(say.course.skill[skill].name)
    return Entry(key, f"{name}: {say.state(skill)}", under, subject=skill)


def _widest(rows: Sequence[Sequence[str]], column: int) -> int:
    return max((len(row[column]) for row in rows), default=0)


def _rules(findings: Sequence[Finding], skill: str) -> Iterator[str]:
    """Yield the numbers a skill was judged by, each with its line."""
    waiting = list(findings)
    while waiting:
        one = waiting.pop(0)
        if isinstance(one, SkillOpen) and one.skill == skill:
            yield from (_rule(child) for child in one.because if isinstance(child, Rule))
            return
        if isinstance(one, GroupOpen):
            waiting += one.because


def _rule(rule: Rule) -> str:
    place = f"{rule.place.file.name}:{rule.place.line}, " if rule.place else ""
    whose = f"changed{f' by {rule.changed_by}' if rule.changed_by else ''}" if rule.changed else "the default"
    return f"Rule: {rule_words(rule)} ({place}{whose})"


def _section(say: Phrases, key: str, section: Section) -> Entry:
    """Return a section as an entry; what is indented stands under the line before."""
    return Entry(key, section.title or section.paragraphs[0].text, _nested(say, key, section), is_title=True)


def _subject(say: Phrases, text: str) -> str:
    """Return the skill a line begins with, so that a what-if can be about it."""
    asked = (*say.answer.deciding, *say.answer.rest, say.answer.one_thing)
    return next((skill for skill in asked if skill and text.startswith(say.titled(skill))), "")


def _nested(say: Phrases, key: str, section: Section) -> tuple[Entry, ...]:
    top: list[tuple[Paragraph, list[Paragraph]]] = []
    paragraphs = section.paragraphs if section.title else section.paragraphs[1:]
    for one in paragraphs:
        if top and one.indent > 0:
            top[-1][1].append(one)
        else:
            top.append((one, []))
    return tuple(
        Entry(
            f"{key}-{i}",
            head.text,
            tuple(
                Entry(f"{key}-{i}-{j}", one.text, lead=one.lead.strip() or "·") for j, one in enumerate(under)
            ),
            subject=_subject(say, head.text),
            lead="" if under else "·",
        )
        for i, (head, under) in enumerate(top)
    )
