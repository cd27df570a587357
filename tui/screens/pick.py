"""Choose one skill of the course, or a unit, by typing part of its name."""

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
    """Answers with the id of the skill or unit, or nothing."""

    BINDINGS: ClassVar = [("escape", "dismiss", "Back"), ("down", "to_list", "The list")]

    def __init__(self, course: Course, *, has_units: bool = False) -> None:
        """Keep the course to choose from; ``has_units``: its units too."""
        super().__init__()
        skills = [one for one in course.skills if one.id not in course.gone]
        units = course.units if has_units else ()
        self.kind = "skill or unit" if has_units else "skill"
        self.titles = {one.id: f"{one.number:>2}  Unit {one.number}, {tidy(one.name)}" for one in units}
        self.titles |= {one.id: f"{course.unit[one.unit].number:>2}  {tidy(one.name)}" for one in skills}
        self.names = {one.id: folded(f"unit {one.number}, {one.name} {one.id}") for one in units}
        self.names |= {one.id: folded(f"{one.name} {one.id}") for one in skills}

    def compose(self) -> ComposeResult:
        """Lay the page out."""
        with Vertical(id="pick"):
            yield Input(placeholder=f"part of the name of a {self.kind} - Enter takes it, Escape leads back")
            yield OptionList(markup=False)

    def on_mount(self) -> None:
        """Show all at first."""
        self._fill("")

    def _fill(self, typed: str) -> None:
        found, meant = looked_for(folded(typed), self.names)
        guess = f'Nothing called "{typed}". Did you mean {meant}?' if meant else ""
        self.query_one(Input).border_title = Content(guess)
        options = self.query_one(OptionList)
        options.set_options(Option(Content(self.titles[one]), id=one) for one in found)
        if not found:
            words = f'No {self.kind} is called "{typed}". Other letters, or Escape leads back.'
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
