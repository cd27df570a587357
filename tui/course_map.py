"""The map of a course, written like a score.

A staff for every strand, a bar for every unit, a note for every skill. What the marked note stands on, and
what stands on it, is drawn along and underlined.
With a student the head of each note says its state, also without colours: full where it is secure, open
where nobody has asked yet. Where a terminal has no such signs, letters say it.
"""

from __future__ import annotations

import os
from collections.abc import Iterable, Mapping
from functools import reduce
from itertools import pairwise
from typing import ClassVar, Final

from rich.segment import Segment
from rich.style import Style
from textual import events
from textual.binding import Binding, BindingType
from textual.geometry import Region, Size
from textual.scroll_view import ScrollView
from textual.strip import Strip

from readiness.course.model import Course, bits
from readiness.judging.answer import GAP_STATES
from readiness.lazy import dataclass
from readiness.terms import State
from readiness.words.english import STATE_LETTERS
from readiness.words.grammar import tidy
from tui.widgets import Pointed

__all__ = ["CourseMap", "Plot", "draw_lines", "note_signs", "plot"]

# Where things stand on the map of a course, and the lines along its links.
#
# Units go across, strands go down. Pure geometry: skills are ids, places are columns and rows,
# and lines are told by the four ways out of a cell, so that two lines that meet become one.

UP, RIGHT, DOWN, LEFT = 1, 2, 4, 8
_LIGHT = " ╵╶└╷│┌├╴┘─┴┐┤┬┼"
_HEAVY = " ╹╺┗╻┃┏┣╸┛━┻┓┫┳╋"

Spot = tuple[int, int]
"""Column and row."""


@dataclass(frozen=True)
class Plot:
    """Where everything stands.

    Attributes:
        at: column and row by skill id.
        units: for each unit the first column and how many it has; strands: rows by strand id.
        label: how wide the names of the strands may be.
    """

    at: Mapping[str, Spot]
    units: tuple[tuple[int, int], ...]
    strands: Mapping[str, int]
    label: int
    width: int
    height: int

    @property
    def skill_at(self) -> dict[Spot, str]:
        """Return the skills by where they stand."""
        return {spot: skill for skill, spot in self.at.items()}


def plot(course: Course, width: int, row_step: int) -> Plot:
    """Return the places for a width: keys side by side, or with room between where there is."""
    cells: dict[tuple[str, str], list[str]] = {}
    for skill in course.skills:
        if skill.id in course.gone:
            continue
        cells.setdefault((skill.strand, skill.unit), []).append(skill.id)
    most = [
        max([len(cells.get((strand.id, unit.id), ())) for strand in course.strands] or [0])
        for unit in course.units
    ]
    step = 2 if sum(2 * max(1, one) for one in most) + len(most) + 14 <= width else 1
    wide = [max(step * one - (step - 1), len(str(number))) for number, one in enumerate(most, 1)]
    needed = sum(wide) + len(wide)
    label = max(6, min(max((len(one.name) for one in course.strands), default=0), width - needed - 2))
    starts = [label + 1 + sum(wide[:i]) + i + 1 for i in range(len(wide))]
    rows = {strand.id: 1 + i * row_step for i, strand in enumerate(course.strands)}
    at = {
        skill: (starts[number] + step * i, rows[strand])
        for number, unit in enumerate(course.units)
        for strand in rows
        for i, skill in enumerate(cells.get((strand, unit.id), ()))
    }
    height = 1 + len(rows) * row_step
    return Plot(at, tuple(zip(starts, wide, strict=True)), rows, label, label + 2 + needed, height)


def draw_lines(
    where: Plot, course: Course, links: Iterable[tuple[str, str]], *, heavy: bool
) -> dict[Spot, str]:
    """Return the characters of the lines along some links (from, to), behind the skills."""
    ways: dict[Spot, int] = {}
    number = {unit.id: i for i, unit in enumerate(course.units)}
    for lower, upper in links:
        if lower not in where.at or upper not in where.at:
            continue
        (x0, y0), (x1, y1) = where.at[lower], where.at[upper]
        lane = where.units[number[course.skill[upper].unit]][0] - 1
        reduce(lambda a, b: _line(ways, a, b), [(x0, y0), (lane, y0), (lane, y1), (x1, y1)])
    taken = set(where.at.values())
    look = _HEAVY if heavy else _LIGHT
    return {spot: look[way] for spot, way in ways.items() if spot not in taken}


def _line(ways: dict[Spot, int], a: Spot, b: Spot) -> Spot:
    """Lay one straight line from one corner to the next; return the latter."""
    (xa, ya), (xb, yb) = a, b
    xs, ys = (range(min(one), max(one) + 1) for one in ((xa, xb), (ya, yb)))
    forth, back = (RIGHT, LEFT) if ya == yb else (DOWN, UP)
    for here, there in pairwise([(x, y) for x in xs for y in ys]):
        ways[here] = ways.get(here, 0) | forth
        ways[there] = ways.get(there, 0) | back
    return b


NOTES: Final[Mapping[str, str]] = {
    State.SECURE: "●",
    State.BUILDING: "◐",
    State.WOBBLING: "◑",
    State.STALE: "◌",
    State.UNTRIED: "○",
    State.WITH_HELP: "◔",
    State.NOT_SHOWN: "◇",
    State.SLIPPED: "◆",
    State.SET_ASIDE: "-",
}
"""The head of a note for each state."""


def note_signs() -> Mapping[str, str]:
    """Return the sign of each state: a note, or a letter where the terminal has letters alone."""
    return STATE_LETTERS if os.environ.get("TERM") == "linux" else NOTES


PLAIN = "○"
AROUND = 9
"""Rows of the screen that are left for the title, the letters, the card and the footer."""


class CourseMap(ScrollView, can_focus=True):
    """The map. Says :class:`Pointed` with the skill under the cursor."""

    COMPONENT_CLASSES: ClassVar[set[str]] = {
        "map--ground", "map--label", "map--unit", "map--key", "map--settled", "map--gap",
        "map--chosen", "map--lit", "map--line", "map--staff",
    }  # fmt: skip
    BINDINGS: ClassVar[list[BindingType]] = [
        Binding(way, f"go('{way}')", show=False) for way in ("left", "right", "up", "down")
    ]

    course: Course | None = None
    states: Mapping[str, State] = {}
    unit: str | None = None
    chosen = ""
    where: Plot | None = None
    row_step = 1

    def show(self, course: Course, states: Mapping[str, State], unit: str | None) -> None:
        """Show a course, with the states of a student or none, and the unit the student is in."""
        self.course, self.states, self.unit = course, states, unit
        here = [skill for skill in course.skills if skill.id not in course.gone]
        if self.chosen not in {skill.id for skill in here}:
            self.chosen = ([skill.id for skill in here if unit in (None, skill.unit)] or [here[0].id])[0]
        self._lay_out()
        self.post_message(Pointed(self.chosen))

    def on_resize(self) -> None:
        self._lay_out()

    def _lay_out(self) -> None:
        if self.course is None or not self.size.width:
            return
        room, strands = self.app.size.height - AROUND, len(self.course.strands)
        self.row_step = 2 if room >= 2 * strands + 1 else 1
        self.styles.height = max(5, min(1 + strands * self.row_step, room))
        self.where = plot(self.course, self.size.width, self.row_step)
        self.virtual_size = Size(self.where.width, self.where.height)
        self._draw()

    def _draw(self) -> None:
        """Work out every cell of the map."""
        assert self.course is not None
        assert self.where is not None
        self.cells: dict[int, dict[int, tuple[str, str]]] = {}
        self._draw_staves(self.where)
        self._draw_names(self.course, self.where)
        plan, skill_of = self.course.plan, self.course.skill
        i = plan.index[self.chosen]
        below, above = set(plan.names(plan.ancestors[i])), set(plan.names(plan.descendants[i]))
        lit = below | above
        down = [(lower, one) for one in (*below, self.chosen) for lower in skill_of[one].stands_on]
        some = (one for group in skill_of[self.chosen].stands_on_some for one in group.of)
        down += [(lower, self.chosen) for lower in some]
        up = [(self.chosen, plan.ids[j]) for j in bits(plan.descendants[i]) if plan.needs[j] >> i & 1]
        for links, heavy in ((up, False), (down, True)):
            for (x, y), char in draw_lines(self.where, self.course, links, heavy=heavy).items():
                self._write(x, y, char, "map--line")
        for skill, (x, y) in self.where.at.items():
            sign = note_signs()[self.states[skill]] if self.states else PLAIN
            self._write(x, y, sign, self._look(skill, lit))
        self.refresh()
        self.scroll_to_region(Region(*self.where.at[self.chosen], 1, 1), animate=False)

    def _draw_staves(self, where: Plot) -> None:
        """Draw a line for every strand and a bar before every unit."""
        bars = {start - 1 for start, _ in where.units} | {where.width - 1}
        for y in range(1, max(where.strands.values(), default=0) + 1):
            is_staff = y in where.strands.values()
            for x in range(where.label + 1, where.width) if is_staff else sorted(bars):
                self._write(x, y, ("┼" if x in bars else "─") if is_staff else "│", "map--staff")

    def _draw_names(self, course: Course, where: Plot) -> None:
        for number, (unit, (start, wide)) in enumerate(zip(course.units, where.units, strict=True), 1):
            text = str(number).ljust(wide)[:wide]
            name = "map--unit" if unit.id == self.unit else "map--label"
            self._write(start, 0, text, name)
        for strand in course.strands:
            name = tidy(strand.name)
            name = name if len(name) <= where.label else name[: where.label - 1] + "…"
            self._write(0, where.strands[strand.id], name, "map--label")

    def _write(self, x: int, y: int, text: str, name: str) -> None:
        self.cells.setdefault(y, {}).update({x + i: (char, name) for i, char in enumerate(text)})

    def _look(self, skill: str, lit: set[str]) -> str:
        if skill == self.chosen:
            return "map--chosen"
        state = self.states.get(skill, "")
        name = "map--gap" if state in GAP_STATES else "map--settled" if state == State.SECURE else "map--key"
        return f"{name} map--lit" if skill in lit else name

    def render_line(self, y: int) -> Strip:
        """Draw one row."""
        ground = self.get_component_rich_style("map--ground")
        top, left = self.scroll_offset.y, self.scroll_offset.x
        row = getattr(self, "cells", {}).get(y + top, {})
        styles = {name: self._style(name) for _, name in row.values()}
        cells = (row.get(x, (" ", "")) for x in range(left, left + self.size.width))
        return Strip([Segment(char, styles.get(name, ground)) for char, name in cells])

    def _style(self, names: str) -> Style:
        style = Style()
        for name in names.split():
            style += self.get_component_rich_style(name, partial=name == "map--lit")
        return style

    def choose(self, skill: str) -> None:
        """Move the cursor to a skill."""
        if self.where is not None and skill in self.where.at:
            self.chosen = skill
            self._draw()
            self.post_message(Pointed(skill))

    def action_go(self, way: str) -> None:
        """Move to the nearest key in one direction."""
        if self.where is None:
            return
        x, y = self.where.at[self.chosen]
        sign = 1 if way in ("right", "down") else -1
        if way in ("left", "right"):
            far = {skill: (sign * (at[0] - x), 0) for skill, at in self.where.at.items() if at[1] == y}
        else:
            far = {skill: (sign * (at[1] - y), abs(at[0] - x)) for skill, at in self.where.at.items()}
        if ahead := [(how_far, skill) for skill, how_far in far.items() if how_far[0] > 0]:
            self.choose(min(ahead)[1])

    def on_mouse_move(self, event: events.MouseMove) -> None:
        self.tooltip = self._named(*self._spot(event))

    def _spot(self, event: events.MouseEvent) -> Spot:
        return event.x + self.scroll_offset.x, event.y + self.scroll_offset.y

    def _named(self, x: int, y: int) -> str | None:
        if self.course is None or self.where is None:
            return None
        if skill := self.where.skill_at.get((x, y)):
            return tidy(self.course.skill[skill].name)
        units = zip(self.course.units, self.where.units, strict=True)
        here = (one for one, (start, wide) in units if y == 0 and start <= x < start + wide)
        return next((f"Unit {one.number}, {tidy(one.name)}" for one in here), None)

    def on_click(self, event: events.Click) -> None:
        if self.where is not None:
            self.choose(self.where.skill_at.get(self._spot(event), ""))
