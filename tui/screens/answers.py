"""What else is asked about a student, a letter each: in one row, where Textual's Tabs take three of 24."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Final

from textual.containers import VerticalScroll
from textual.content import Content
from textual.widget import Widget
from textual.widgets import Input, Static

from readiness.words.grammar import tidy
from tui.actions import Action, actions_of, with_keys
from tui.desk import AnswerDesk
from tui.panes.lines import WordField
from tui.screens.base import BaseScreen
from tui.screens.forms import pick_skill
from tui.view import View

__all__ = ["AnswersScreen", "ChoiceScreen", "TellingsScreen"]

# One text about a student out of several; a letter or figure each chooses which.

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
        self.query_one("#draft-text", Static).update(Content(with_keys(self.text(), self.NAME)))

    def _choice(self, row: Action) -> Content:
        is_chosen, words = _name(row) == self.chosen, f"{row.all_keys} {row.title}"
        part = Content.styled(f"[{words}]" if is_chosen else f" {words} ", "bold" if is_chosen else "")
        return part.stylize(f"@click=screen.{row.id}")

    def on_resize(self) -> None:
        self.again()

    def again(self) -> None:
        """Show it anew, from its first line."""
        if self.browse.view is not None:
            self.show(self.browse.view)

    @property
    def width(self) -> int:
        """How wide the lines may be."""
        return max(30, min(84, self.app.size.width - 6))

    def text(self) -> str:
        """Return the text that is chosen; empty where the student cannot be read."""
        raise NotImplementedError

    def action_choose(self, name: str) -> None:
        self.chosen = name
        self.query_one("#draft", VerticalScroll).scroll_home(animate=False)
        self.again()

    def action_copy(self) -> None:
        self.app.copy_to_clipboard(self.text())
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
        yield WordField({}, "a day, as in 2025-12-19")

    def text(self) -> str:
        """Return the answer that is chosen."""
        return self.answers.told(self.chosen, self.width, full=self.unfolded)

    def action_unfold(self) -> None:
        self.unfolded = not self.unfolded
        self.again()

    def action_choose(self, name: str) -> None:
        super().action_choose(name)
        if name == "way" or self.answers.is_open(name):
            self.action_other()

    def action_other(self) -> None:
        if self.chosen == "way":
            self.app.push_screen(pick_skill(self.desk.course, has_units=True), self._go_to)
        elif self.chosen in DAYS:
            self.query_one(WordField).open((), "")
        else:
            self.notify("This answer needs nothing more to be chosen.")

    def _go_to(self, target: str | None) -> None:
        if target is not None:
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


# The same answer told to three readers: drafts to edit and copy. Nothing is sent.


class TellingsScreen(ChoiceScreen):
    """One draft at a time; the keys 1 to 3 choose for whom."""

    NAME = "tellings"
    ABOUT = (
        "Drafts from the same facts for three readers. Choose with 1, 2, 3; c copies the one you see, and "
        "only that. Edit it before you use it; the program sends nothing."
    )
    HEAD = "What to say about"

    def text(self) -> str:
        """Return the draft for the reader that is chosen."""
        row = self.row()
        return self.desk.telling(self.chosen, row, self.width) if row else ""
