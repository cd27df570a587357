"""The page the program is for: why a student moves up or not, what else is asked, and the what-if switches.

Nothing of the what-if is ever saved. No SelectionList: a switch wraps, has the key that turns it, and says
why it cannot be turned.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field
from functools import partial
from pathlib import Path
from typing import Final

from textual.app import ComposeResult
from textual.containers import VerticalScroll
from textual.content import Content
from textual.widget import Widget
from textual.widgets import Input, OptionList, Static
from textual.widgets.option_list import Option

from readiness.course.model import Course
from readiness.judging.answer import Answer
from readiness.terms import Verdict
from readiness.words.english import KIND_WORDS, odd_lines, supposed_line
from readiness.words.grammar import date_words, tidy, unit_words
from tui.actions import Action, actions_of, with_keys
from tui.desk import AnswerDesk, Tell
from tui.outline import AnswerPane, Outline
from tui.screens.base import BaseScreen
from tui.screens.forms import pick_skill
from tui.view import StudentRow, View
from tui.widgets import Chosen, Fitted, Pointed, WordField
from tui.writing import unused

__all__ = ["AnswersScreen", "ChoiceScreen", "Supposed", "Switches", "TellingsScreen", "WhyScreen"]

CHOOSE = "choose("


class ChoiceScreen(BaseScreen):
    """The texts are the rows ``choose('...')`` of the table; the first is shown at first."""

    AUTO_FOCUS = "VerticalScroll"
    HEAD = ""
    """What stands before the name in the title."""

    def __init__(self, student: str) -> None:
        super().__init__(student)
        self.chosen = next(_name(row) for row in self._choices())

    def _choices(self) -> Iterator[Action]:
        return (row for row in actions_of(self.NAME) if row.id.startswith(CHOOSE))

    def body(self) -> Iterator[Widget]:
        yield Static(id="choices")
        with VerticalScroll(id="draft"):
            yield Static(id="draft-text")

    def show(self, _view: View) -> None:
        row = self.row()
        if row is None:
            self.tell_unread()
            return
        self.tell_title(f"{self.HEAD} {tidy(row.record.name)}")
        parts = [self._choice(one) for one in self._choices()]
        self.query_one("#choices", Static).update(Content(" ").join(parts))
        tell = partial(with_keys, screen=self.NAME)
        self.query_one("#draft-text", Static).update(Content(self._whole(tell)))

    def _choice(self, row: Action) -> Content:
        is_chosen, words = _name(row) == self.chosen, f"{row.all_keys} {row.title}"
        part = Content.styled(f"[{words}]" if is_chosen else f" {words} ", "bold" if is_chosen else "")
        return part.stylize(f"@click=screen.{row.id}")

    def on_resize(self) -> None:
        self.again()

    @property
    def width(self) -> int:
        """How wide the lines may be."""
        return max(30, min(84, self.app.size.width - 6))

    def text(self, tell: Tell = str) -> str:
        """Return the text that is chosen; empty where the student cannot be read."""
        raise NotImplementedError

    def _whole(self, tell: Tell = str) -> str:
        return self.as_old(self.text(tell))

    def action_choose(self, name: str) -> None:
        self.chosen = name
        self.query_one("#draft", VerticalScroll).scroll_home(animate=False)
        self.again()

    def action_copy(self) -> None:
        self.app.copy_to_clipboard(self._whole())
        self.notify("Copied. Read it once more before you use it.")


def _name(row: Action) -> str:
    return row.id.removeprefix(CHOOSE).strip("')")


DAYS: Final = ("season", "changed")
"""The answers that are about another day."""


class AnswersScreen(ChoiceScreen):
    """Plan, break, way, hand-over, review, season, what changed."""

    NAME = "answers"
    ABOUT = (
        "The answers that the commands of the same names print. The way asks for a skill or a unit; season "
        "takes the next event of the studio, and changed looks back to the lesson before; key o asks for "
        "another day, skill or unit, key f shows all of an answer. Nothing is written."
    )
    HEAD = "Answers about"

    def __init__(self, answers: AnswerDesk) -> None:
        super().__init__(answers.student)
        self.answers = answers
        self.unfolded = False

    def body(self) -> Iterator[Widget]:
        yield from super().body()
        yield WordField({}, "a day, as in fri or 19 Dec - Enter asks")

    def text(self, tell: Tell = str) -> str:
        """Return the answer that is chosen."""
        return self.answers.told(self.chosen, self.width, full=self.unfolded, tell=tell)

    def action_unfold(self) -> None:
        self.unfolded = not self.unfolded
        self.again()

    def action_choose(self, name: str) -> None:
        super().action_choose(name)
        if name == "way" or self.answers.is_open(name):
            self.action_other()

    def action_other(self) -> None:
        if self.chosen == "way":
            self.ask(pick_skill(self.desk.course, has_units=True), self._go_to)
        elif self.chosen in DAYS:
            self.query_one(WordField).open((), "")
        else:
            self.notify("This answer needs nothing more to be chosen.")

    def _go_to(self, target: str) -> None:
        self.answers.target = target
        self.again()

    def on_input_submitted(self, event: Input.Submitted) -> None:
        event.stop()
        why_not = self.answers.take_day(self.chosen, event.value) if event.value.strip() else ""
        if why_not:
            self.notify(why_not)
            return
        self.query_one(WordField).close()
        self.again()


class TellingsScreen(ChoiceScreen):
    """One draft at a time; the keys 1 to 3 choose for whom."""

    NAME = "tellings"
    ABOUT = (
        "Drafts from the same facts for three readers. Choose with 1, 2, 3; c copies the one you see, and "
        "only that. Edit it before you use it; the program sends nothing."
    )
    HEAD = "What to say about"

    def text(self, tell: Tell = str) -> str:
        """Return the draft for the reader that is chosen."""
        row = self.row()
        return self.desk.telling(self.chosen, row, self.width, tell) if row else ""


NAMES = ("cue", "day", "carry", "show")


@dataclass(slots=True)
class Supposed:
    """What is supposed at the moment: each switch that is on, with the kind or the skill it is on for."""

    on: set[tuple[str, str]] = field(default_factory=set)

    def turn(self, name: str, skill: str, kind: str) -> None:
        """Turn one switch for the skill that is marked, or all off."""
        about = {"cue": kind, "day": kind, "carry": name, "show": skill}
        if name == "nothing":
            self.on.clear()
        elif about[name]:
            self.on ^= {(name, about[name])}

    def changes(self, course: Course, answer: Answer) -> dict[str, str]:
        """Return the changes by their names in the rules; a showing needs a lesson to come."""
        band, changes = course.band[answer.band], dict[str, str]()
        for name, about in sorted(self.on, key=lambda one: (NAMES.index(one[0]), one[1])):
            if name == "cue":
                changes[f"accepts.{about}"] = "cue"
            elif name == "day":
                rule = f"days_needed.{about}"
                changes[rule] = str(max(1, band.whole(rule) - 1))
            elif name == "carry":
                changes["carry_limit"] = str(band.whole("carry_limit") + 1)
            elif answer.next_lesson is not None:
                changes[f"show.{about}"] = "alone"
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
        kinds, name = KIND_WORDS[kind] if kind else "", tidy(course.skill[skill].name) if skill else ""
        days = course.band[answer.band].whole(f"days_needed.{kind}") if kind else 0
        on = f" on {date_words(answer.next_lesson, answer.on)}" if answer.next_lesson is not None else ""
        rows = [
            (f"a reminder counts for {kinds}", kind),
            (f"{max(1, days - 1)} in place of {days} days for {kinds}", kind),
            ("one thing more may come along", "carry"),
            (f"{tidy(answer.name)} shows it{on}: {name}", skill),
        ]
        turned = [(switch, about) in supposed.on for switch, (_, about) in zip(NAMES, rows, strict=True)]
        usable = [bool(kind), bool(kind) and days > 1, True, bool(skill) and answer.next_lesson is not None]
        why_not = "(no lesson to come)" if skill and answer.next_lesson is None else "(mark a skill first)"
        options = self.query_one(OptionList)
        at = options.highlighted or 0
        options.set_options(
            Option(Content(f"{key} [{'on ' if is_on and can else 'off'}] {text if can else why_not}"))
            for key, ((text, _), is_on, can) in enumerate(zip(rows, turned, usable, strict=True), 1)
        )
        options.highlighted = at

    def on_option_list_option_selected(self, event: OptionList.OptionSelected) -> None:
        event.stop()
        self.post_message(Chosen(NAMES[event.option_index]))

    def on_option_list_option_highlighted(self, event: OptionList.OptionHighlighted) -> None:
        """Keep the cursor to itself."""
        event.stop()


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
        if self.browse.view is not None:
            yield from filter(None, (self.browse.view.from_before, self.browse.view.since))
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
        return self.as_old(self.desk.compared(row, changes) if changes else self.desk.text(row))

    def action_copy(self) -> None:
        self.app.copy_to_clipboard(self._text())
        self.notify("Copied as plain text. If your terminal does not allow it: key f saves it as a file.")

    def action_save_text(self) -> None:
        row = self.row()
        if row is None:
            return
        path = unused(f"{row.record.id}-why.txt")
        try:
            path.write_text(self._text(), encoding="utf-8")
        except OSError as error:
            self.notify(f"Not saved: {error.strerror}.", severity="error")
        else:
            self.notify(f"Saved as {path}. It names a child; keep it where only you can read it.")

    def action_tellings(self) -> None:
        assert self.student is not None
        self.app.push_screen(TellingsScreen(self.student))

    def action_go(self, step: int) -> None:
        """Go to another student, with nothing supposed."""
        self.supposed = Supposed()
        super().action_go(step)
