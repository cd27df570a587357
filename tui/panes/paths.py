"""Where things stand on the map of a course, and the lines along its links.

Units go across, strands go down. Pure geometry: skills are ids, places are columns and rows,
and lines are told by the four ways out of a cell, so that two lines that meet become one.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from functools import reduce
from itertools import pairwise

from readiness.course.model import Course

__all__ = ["Plot", "draw_lines", "plot"]

UP, RIGHT, DOWN, LEFT = 1, 2, 4, 8
_LIGHT = " ╵╶└╷│┌├╴┘─┴┐┤┬┼"
_HEAVY = " ╹╺┗╻┃┏┣╸┛━┻┓┫┳╋"

Spot = tuple[int, int]
"""Column and row."""


@dataclass(frozen=True, slots=True)
class Plot:
    """Where everything stands.

    Attributes:
        at: column and row by skill id.
        units: for each unit the first column and how many it has; strands: rows by strand id.
        label: how wide the names of the strands may be.
        width, height: of the whole.
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
    roomy = sum(2 * max(1, one) for one in most) + len(most) + 14 <= width
    step = 2 if roomy else 1
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
        corners = [(x0, y0), (lane, y0), (lane, y1), (x1, y1)]
        reduce(lambda a, b: _line(ways, a, b), corners)
    taken = set(where.at.values())
    look = _HEAVY if heavy else _LIGHT
    return {spot: look[way] for spot, way in ways.items() if spot not in taken}


def _line(ways: dict[Spot, int], a: Spot, b: Spot) -> Spot:
    """Lay one straight line from one corner to the next; return the latter."""
    (xa, ya), (xb, yb) = a, b
    if ya == yb:
        forth, back, step = (RIGHT, LEFT, 1) if xb > xa else (LEFT, RIGHT, -1)
        spots = [(x, ya) for x in range(xa, xb + step, step)] if xa != xb else []
    else:
        forth, back, step = (DOWN, UP, 1) if yb > ya else (UP, DOWN, -1)
        spots = [(xa, y) for y in range(ya, yb + step, step)]
    for here, there in pairwise(spots):
        ways[here] = ways.get(here, 0) | forth
        ways[there] = ways.get(there, 0) | back
    return b
