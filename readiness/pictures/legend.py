"""The words on a picture of the course: its title, its legend, the names of units."""

from __future__ import annotations

from typing import Final

from readiness.course.model import Skill, Unit
from readiness.pictures.shown import Shown
from readiness.words.brief import STATE_BRIEF, STATE_LETTERS
from readiness.words.grammar import counted, date_words, listed, tidy

__all__ = [
    "LINE_WORDS", "STATE_ORDER", "footings", "letters_line", "map_title", "plain_name", "small_print",
    "state_words", "unit_words",
]  # fmt: skip

LINE_WORDS: Final = (
    ("link", "comes before"),
    ("some", "comes before, as one of a group"),
    ("bridge", "lines that only cross: one passes over"),
    ("always", "thick frame: looked at in every check"),
)
"""What the lines and frames of a picture mean, by the name of the sample beside it."""

STATE_ORDER: Final = (
    "secure", "building", "wobbling", "stale", "untried", "with-help", "not-shown", "slipped", "set-aside",
)  # fmt: skip
"""The states in the order of the legend: settled, open, where help was needed, left out."""


def map_title(shown: Shown) -> str:
    """Return the title of a picture."""
    course, *student = (tidy(name) for name in shown.title)
    whole = course
    if shown.focus is not None:
        unit = next(one for one in shown.units if one.id == shown.focus)
        whole = f"{unit_words(unit)}, what it stands on and what stands on it - {course}"
    if not student or shown.on is None:
        return whole
    return f"{student[0]}, {date_words(shown.on)} - {whole}"


def unit_words(unit: Unit) -> str:
    """Return a unit's number and name."""
    return f"{unit.number} {tidy(unit.name)}"


def state_words(state: str) -> str:
    """Return a state for the legend."""
    return STATE_BRIEF[state]


def plain_name(shown: Shown, skill: Skill) -> str:
    """Return a skill's name, behind the letter of its state where a student is shown."""
    state = shown.states.get(skill.id)
    return tidy(skill.name) if state is None else f"{STATE_LETTERS[state]}  {tidy(skill.name)}"


def letters_line() -> str:
    """Return what the letters mean, in one line."""
    return "; ".join(f"{STATE_LETTERS[state]} {state_words(state)}" for state in STATE_ORDER)


def footings(shown: Shown, skill: Skill) -> str:
    """Return what a skill stands on, as far as it is on the picture; empty where nothing is."""
    here = {one.id: one for one in shown.skills}
    number = {unit.id: unit.number for unit in shown.units}

    def named(other: str) -> str:
        one = here[other]
        return tidy(one.name) + (f" (unit {number[one.unit]})" if one.unit != skill.unit else "")

    drawn = {link.before for link in shown.links if link.after == skill.id}
    parts = [named(other) for other in skill.stands_on if other in drawn]
    for group in skill.stands_on_some:
        members = [named(member) for member in group.of if member in drawn]
        if members:
            parts.append(f"at least {group.at_least} of {listed(members)}")
    return f"stands on {'; '.join(parts)}" if parts else ""


def small_print(shown: Shown) -> str:
    """Return what stands small at the foot of a picture: how much is on it, and what it is not."""
    much = f"{counted(len(shown.skills), 'skill')}, {counted(len(shown.links), 'link')}."
    if not shown.states:
        return f"{much} Read from left to right: a skill stands on what its lines come from."
    return f"{much} The letters say what was noted up to this day; they compare nobody. The teacher decides."
