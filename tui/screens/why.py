"""The page the program is for: why a student moves up or not, and the what-if switches beside it.

The what-if switches and what they change. Nothing here is ever saved.

No SelectionList: a switch wraps, has the key that turns it, and says why it cannot be turned.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field
from pathlib import Path

from textual.app import ComposeResult
from textual.containers import VerticalScroll
from textual.content import Content
from textual.widget import Widget
from textual.widgets import OptionList, Static
from textual.widgets.option_list import Option

from readiness.course.model import Course
from readiness.judging.answer import Answer
from readiness.terms import Verdict
from readiness.words.english import KIND_WORDS, odd_lines, supposed_line
from readiness.words.grammar import date_words, tidy, unit_words
from tui.messages import Chosen, Pointed
from tui.panes.lines import Fitted
from tui.panes.reasons import AnswerPane, Outline
from tui.screens.base import BaseScreen
from tui.view import StudentRow, View

__all__ = ["Supposed", "Switches", "WhyScreen"]

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
            chosen = self.cue if name == "cue" else self.day
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


class WhyScreen(BaseScreen):
    """One student's answer with its reasons."""

    NAME = "why"
    ABOUT = (
        "The answer stands in large letters; below it what decides. Enter opens a line to the notes it "
        "rests on, with the line of the file. The four switches ask what if: the answer is worked out again "
        "at once, and nothing is saved."
    )
    AUTO_FOCUS = "Outline"

    def __init__(self, student: str) -> None:
        super().__init__(student)
        self.supposed = Supposed()

    def body(self) -> Iterator[Widget]:
        yield AnswerPane(Switches(id="switches"), id="answer")

    # data in

    def show(self, _view: View) -> None:
        self._draw()

    def _draw(self) -> None:
        row = self.row()
        if row is None:
            self.tell_unread()
            return
        course = self.desk.course
        changes = self.supposed.changes(course, row.answer)
        answer = self.desk.supposed(row, changes)[0] if changes else row.answer
        self.tell_title(f"{tidy(row.record.name)} · {unit_words(course, row.answer.unit)}")
        supposed = f" {supposed_line(row.answer, answer)} " if changes else ""
        self.query_one(AnswerPane).show(self.desk, row, answer, supposed, self._beside(row))
        self._draw_switches(changes)

    def _beside(self, row: StudentRow) -> Iterator[str]:
        """Yield what is to be known of the day and of the file."""
        if self.browse.view is not None and self.browse.view.since:
            yield self.browse.view.since
        yield from odd_lines(row.odd)

    def _draw_switches(self, changes: Mapping[str, str]) -> None:
        row = self.row()
        if row is None:
            return
        switches = self.query_one(Switches)
        switches.display = row.answer.verdict not in (Verdict.PAUSED, Verdict.NOT_PLACED)
        switches.show(self.supposed, self.desk.course, row.answer, self._marked_skill())

        def told(width: int) -> Content:
            text = self.desk.compared(row, changes, max(24, width)) if changes else ""
            return Content(text.partition("\n\n")[2].strip())

        switches.query_one(Fitted).tell(told)

    def _marked_skill(self) -> str:
        """Return the skill that is marked, else the first that decides."""
        row = self.row()
        subject = self.query_one(Outline).subject
        if subject or row is None:
            return subject
        return next((one.skill for one in row.answer.blockers if one.skill), row.answer.one_thing or "")

    # messages

    def on_pointed(self, message: Pointed) -> None:
        """Let the switches be about the marked skill."""
        row = self.row()
        if row is not None and message.key:
            self._draw_switches(self.supposed.changes(self.desk.course, row.answer))

    def on_chosen(self, message: Chosen) -> None:
        if not isinstance(message, Pointed):
            self.action_suppose(message.key)

    # actions

    def place(self) -> tuple[Path, int] | None:
        """Return the line of the last note about the marked skill, else that of the last lesson."""
        row, skill = self.row(), self._marked_skill()
        if row is not None and skill in row.answer.standings:
            for note in reversed(row.answer.standings[skill].evidence):
                return row.path, note.line
        return super().place()

    def action_suppose(self, name: str) -> None:
        if self.row() is None or not self.query_one(Switches).display:
            return
        skill = self._marked_skill()
        self.supposed.turn(name, skill, self.desk.course.skill[skill].kind if skill else "")
        self._draw()

    def _text(self) -> str:
        row = self.row()
        if row is None:
            return ""
        changes = self.supposed.changes(self.desk.course, row.answer)
        return self.desk.compared(row, changes) if changes else self.desk.text(row)

    def action_copy(self) -> None:
        self.app.copy_to_clipboard(self._text())
        self.notify("Copied as plain text. If your terminal does not allow it: key f saves it as a file.")

    def action_save_text(self) -> None:
        row = self.row()
        if row is None:
            return
        path = Path.cwd() / f"{row.record.id}-why.txt"
        try:
            path.write_text(self._text(), encoding="utf-8")
        except OSError as error:
            self.notify(f"Not saved: {error.strerror}.", severity="error")
        else:
            self.notify(f"Saved as {path}. It names a child; keep it where only you can read it.")

    def action_tellings(self) -> None:
        from tui.screens.answers import TellingsScreen

        assert self.student is not None
        self.app.push_screen(TellingsScreen(self.student))

    def action_go(self, step: int) -> None:
        """Go to another student, with nothing supposed."""
        self.supposed = Supposed()
        super().action_go(step)
