"""What else is asked about a student: one text at a time, a letter each."""

from __future__ import annotations

from typing import ClassVar, Final

from textual.app import ComposeResult
from textual.widgets import Input

from tui.actions import bindings_of
from tui.answer_desk import AnswerDesk
from tui.panes.field import WordField
from tui.screens.choice import ChoiceScreen
from tui.screens.pick import PickSkill

__all__ = ["AnswersScreen"]

DAYS: Final = ("season", "changed")
"""The answers that are about another day."""


class AnswersScreen(ChoiceScreen):
    """Plan, break, way, hand-over, review, season, what changed."""

    NAME = "answers"
    ABOUT = (
        "The answers that the commands of the same names print. The way asks for a skill or a unit; season "
        "takes the next event of the studio, and changed looks back to the lesson before; key o asks for "
        "another day, skill or unit. Nothing is written."
    )
    BINDINGS: ClassVar = bindings_of("answers")
    HEAD = "Answers about"

    def __init__(self, answers: AnswerDesk) -> None:
        """Begin with the plan."""
        super().__init__(answers.student)
        self.answers = answers

    def compose(self) -> ComposeResult:
        """Lay the screen out, with a field for a day."""
        yield from super().compose()
        yield WordField("remark", {}, "a day, as in 2025-12-19")

    def text(self) -> str:
        """Return the answer that is chosen."""
        return self.answers.told(self.chosen, self.width)

    def action_choose(self, name: str) -> None:
        """Choose an answer; ask for what it needs."""
        super().action_choose(name)
        if name == "way" or self.answers.is_open(name):
            self.action_other()

    def action_other(self) -> None:
        """Ask for another day, skill or unit."""
        if self.chosen == "way":
            self.app.push_screen(PickSkill(self.desk.course, has_units=True), self._go_to)
        elif self.chosen in DAYS:
            self.query_one(WordField).open((), "")
        else:
            self.notify("This answer needs nothing more to be chosen.")

    def _go_to(self, target: str | None) -> None:
        if target is not None:
            self.answers.target = target
            self.again()

    def on_input_submitted(self, event: Input.Submitted) -> None:
        """Take the day that was typed."""
        event.stop()
        why_not = self.answers.take_day(self.chosen, event.value) if event.value.strip() else ""
        if why_not:
            self.notify(why_not)
            return
        self.query_one(WordField).close()
        self.again()
