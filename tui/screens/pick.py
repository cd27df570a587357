"""Choose one of a list, or a skill or unit by typing part of its name."""

from __future__ import annotations

from collections.abc import Mapping
from typing import ClassVar

from textual.app import ComposeResult
from textual.containers import Vertical
from textual.content import Content
from textual.screen import ModalScreen
from textual.widgets import Input, OptionList, Static
from textual.widgets.option_list import Option

from readiness.course.model import Course
from readiness.toml.suggest import nearest
from readiness.toml.texts import folded
from readiness.words.grammar import tidy

__all__ = ["Pick", "looked_for", "pick_skill"]

# What somebody looks for by typing part of a name, also with a slip in it.
#
# What has the letters typed comes first; only where nothing has them is each word taken for the
# nearest word there is, as the command line does, and it is said for which.


def looked_for(part: str, names: Mapping[str, str]) -> tuple[tuple[str, ...], str]:
    """Return the keys of the names that fit, and what was taken to be meant, empty where nothing was.

    Args:
        part: what was typed, without capitals and accents; names: by key, the same way.

    >>> names = {"a": "ottilie", "b": "lifts the wrist"}
    >>> looked_for("tti", names), looked_for("otilie", names), looked_for("wrst", names)
    ((('a',), ''), (('a',), 'ottilie'), (('b',), 'wrist'))
    >>> looked_for("zz", names)
    ((), '')
    """
    found = tuple(key for key, name in names.items() if part in name)
    if found or not part:
        return found, ""
    words = {word for name in names.values() for word in name.replace("-", " ").split()}
    meant = [nearest(one, words) for one in part.replace("-", " ").split()]
    if not meant or None in meant:
        return (), ""
    fits = tuple(key for key, name in names.items() if all(one in name for one in meant if one))
    return fits, " ".join(one for one in meant if one) if fits else ""


def pick_skill(course: Course, *, has_units: bool = False) -> Pick:
    """Return the question for a skill of a course; ``has_units``: or for a unit."""
    skills = [one for one in course.skills if one.id not in course.gone]
    units = course.units if has_units else ()
    titles = {one.id: f"{one.number:>2}  Unit {one.number}, {tidy(one.name)}" for one in units}
    titles |= {one.id: f"{course.unit[one.unit].number:>2}  {tidy(one.name)}" for one in skills}
    names = {one.id: folded(f"unit {one.number}, {one.name} {one.id}") for one in units}
    names |= {one.id: folded(f"{one.name} {one.id}") for one in skills}
    return Pick("skill or unit" if has_units else "skill", titles, names)


class Pick(ModalScreen[str]):
    """Answers with the name of what was chosen, or nothing; with ``names``, part of one can be typed."""

    BINDINGS: ClassVar = [("escape", "dismiss", "Back"), ("down", "to_list", "The list")]

    def __init__(self, words: str, titles: Mapping[str, str], names: Mapping[str, str] | None = None) -> None:
        """Keep what is asked or, where it is typed, what it is called; and what there is to choose from."""
        super().__init__()
        self.words, self.titles, self.names = words, titles, names

    def compose(self) -> ComposeResult:
        with Vertical(id="pick"):
            if self.names is None:
                yield Static(Content.styled(f"{self.words} - Enter chooses, Escape leads back", "bold"))
            else:
                asked = f"part of the name of a {self.words} - Enter takes it, Escape leads back"
                yield Input(placeholder=asked)
            yield OptionList(markup=False)

    def on_mount(self) -> None:
        self._fill("")

    def _fill(self, typed: str) -> None:
        found, meant = looked_for(folded(typed), self.names or self.titles)
        guess = f'Nothing called "{typed}". Did you mean {meant}?' if meant else ""
        for field in self.query(Input):
            field.border_title = Content(guess)
        options = self.query_one(OptionList)
        options.set_options(Option(Content(self.titles[one]), id=one) for one in found)
        if not found:
            words = f'No {self.words} is called "{typed}". Other letters, or Escape leads back.'
            options.add_option(Option(Content(words), disabled=True))
        options.highlighted = 0 if found else None

    def on_input_changed(self, event: Input.Changed) -> None:
        self._fill(event.value.strip())

    def on_input_submitted(self) -> None:
        self.query_one(OptionList).action_select()

    def on_option_list_option_selected(self, event: OptionList.OptionSelected) -> None:
        self.dismiss(event.option_id)

    def action_to_list(self) -> None:
        self.query_one(OptionList).focus()
