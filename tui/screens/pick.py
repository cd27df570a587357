"""Choose one skill of the course by typing part of its name."""

from __future__ import annotations

from typing import ClassVar

from textual.app import ComposeResult
from textual.containers import Vertical
from textual.content import Content
from textual.screen import ModalScreen
from textual.widgets import Input, OptionList
from textual.widgets.option_list import Option

from readiness.course.model import Course
from readiness.words.grammar import tidy
from tui.guessing import looked_for
from tui.view import folded

__all__ = ["PickSkill"]


class PickSkill(ModalScreen[str]):
    """Answers with the skill's id, or nothing."""

    BINDINGS: ClassVar = [("escape", "dismiss", "Back"), ("down", "to_list", "The list")]

    def __init__(self, course: Course) -> None:
        """Keep the course to choose from."""
        super().__init__()
        self.course = course
        self.skills = [one for one in course.skills if one.id not in course.gone]

    def compose(self) -> ComposeResult:
        """Lay the page out."""
        with Vertical(id="pick"):
            yield Input(placeholder="part of a skill's name - Enter takes it, Escape leads back")
            yield OptionList(markup=False)

    def on_mount(self) -> None:
        """Show all skills at first."""
        self._fill("")

    def _fill(self, typed: str) -> None:
        names = {one.id: folded(f"{one.name} {one.id}") for one in self.skills}
        keys, meant = looked_for(folded(typed), names)
        found = [self.course.skill[one] for one in keys]
        guess = f'Nothing called "{typed}". Did you mean {meant}?' if meant else ""
        self.query_one(Input).border_title = Content(guess)
        options = self.query_one(OptionList)
        options.set_options(
            Option(Content(f"{self.course.unit[one.unit].number:>2}  {tidy(one.name)}"), id=one.id)
            for one in found
        )
        if not found:
            words = f'No skill is called "{typed}". Other letters, or Escape leads back.'
            options.add_option(Option(Content(words), disabled=True))
        options.highlighted = 0 if found else None

    def on_input_changed(self, event: Input.Changed) -> None:
        """Show what fits."""
        self._fill(event.value.strip())

    def on_input_submitted(self) -> None:
        """Take what is marked."""
        self.query_one(OptionList).action_select()

    def on_option_list_option_selected(self, event: OptionList.OptionSelected) -> None:
        """Answer."""
        self.dismiss(event.option_id)

    def action_to_list(self) -> None:
        """Go from the field to the list."""
        self.query_one(OptionList).focus()
