"""The what-if switches and what they change. Nothing here is ever saved.

No SelectionList: a switch wraps, has the key that turns it, and says why it cannot be turned.
"""

from __future__ import annotations

from dataclasses import dataclass, field

from textual.app import ComposeResult
from textual.containers import VerticalScroll
from textual.content import Content
from textual.widgets import OptionList, Static
from textual.widgets.option_list import Option

from readiness.course.model import Course
from readiness.judging.answer import Answer
from readiness.words.english import KIND_WORDS
from readiness.words.grammar import date_words, tidy
from tui.messages import Chosen
from tui.panes.lines import Fitted

__all__ = ["Supposed", "Switches"]

NAMES = ("cue", "day", "carry", "show")


@dataclass(slots=True)
class Supposed:
    """What is supposed at the moment: for which kinds, for which skills."""

    cue: set[str] = field(default_factory=set)
    day: set[str] = field(default_factory=set)
    carry: bool = False
    show: set[str] = field(default_factory=set)

    def turn(self, name: str, skill: str, kind: str) -> None:
        """Turn one switch for the skill that is marked, or all off."""
        if name == "carry":
            self.carry = not self.carry
        elif name == "nothing":
            self.cue, self.day, self.show, self.carry = set(), set(), set(), False
        elif name == "show" and skill:
            self.show ^= {skill}
        elif kind and name in ("cue", "day"):
            chosen: set[str] = getattr(self, name)
            chosen ^= {kind}

    def changes(self, course: Course, answer: Answer) -> dict[str, str]:
        """Return the changes by their names in the rules; a showing needs a lesson to come."""
        band = course.band[answer.band]
        changes = {f"accepts.{kind}": "cue" for kind in sorted(self.cue)}
        changes |= {
            f"days_needed.{kind}": str(max(1, band.whole(f"days_needed.{kind}") - 1))
            for kind in sorted(self.day)
        }
        if self.carry:
            changes["carry_limit"] = str(band.whole("carry_limit") + 1)
        if answer.next_lesson is not None:
            changes |= {f"show.{skill}": "alone" for skill in sorted(self.show)}
        return changes


class Switches(VerticalScroll):
    """Four switches and, below, what they change. Says :class:`Chosen` with a switch's name."""

    def compose(self) -> ComposeResult:
        yield Static("What if ...", classes="pane-title")
        yield OptionList(id="switch-list", markup=False)
        yield Fitted(id="changed")

    def show(self, supposed: Supposed, course: Course, answer: Answer, skill: str) -> None:
        """Show the switches for the skill that is marked."""
        kind = course.skill[skill].kind if skill else None
        band = course.band[answer.band]
        kinds, name = KIND_WORDS[kind] if kind else "", tidy(course.skill[skill].name) if skill else ""
        days = band.whole(f"days_needed.{kind}") if kind else 0
        rows = [
            (f"a reminder counts for {kinds}", kind in supposed.cue),
            (f"{max(1, days - 1)} in place of {days} days for {kinds}", kind in supposed.day),
            ("one thing more may come along", supposed.carry),
            (f"{tidy(answer.name)} shows it{_on(answer)}: {name}", skill in supposed.show),
        ]
        usable = [bool(kind), bool(kind) and days > 1, True, bool(skill) and answer.next_lesson is not None]
        why_not = "(no lesson to come)" if skill and answer.next_lesson is None else "(mark a skill first)"
        options = self.query_one(OptionList)
        at = options.highlighted or 0
        options.set_options(
            Option(Content(f"{key} [{'on ' if is_on and can else 'off'}] {text if can else why_not}"))
            for key, ((text, is_on), can) in enumerate(zip(rows, usable, strict=True), 1)
        )
        options.highlighted = at

    def on_option_list_option_selected(self, event: OptionList.OptionSelected) -> None:
        event.stop()
        self.post_message(Chosen(NAMES[event.option_index]))

    def on_option_list_option_highlighted(self, event: OptionList.OptionHighlighted) -> None:
        """Keep the cursor to itself."""
        event.stop()


def _on(answer: Answer) -> str:
    """Return on which day a showing is supposed."""
    return "" if answer.next_lesson is None else f" on {date_words(answer.next_lesson, answer.on)}"
