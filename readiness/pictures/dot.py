"""The picture in the DOT language of Graphviz, for whoever wants to lay it out anew.

Each unit is a cluster. Where things stand is left to the program that
reads it; what is shown, and how a state is marked, is the same as in the SVG.
"""

from __future__ import annotations

from collections.abc import Iterator
from typing import Final

from readiness.course.model import Skill
from readiness.judging.answer import GAP_STATES
from readiness.pictures.legend import letters_line, map_title, plain_name, small_print, unit_words
from readiness.pictures.shown import Shown
from readiness.words.grammar import tidy

__all__ = ["map_as_dot"]

_OPEN: Final = ("building", "wobbling", "stale")


def map_as_dot(shown: Shown) -> str:
    """Return the picture as one DOT file."""
    return "\n".join(_lines(shown)) + "\n"


def _lines(shown: Shown) -> Iterator[str]:
    label = [map_title(shown), small_print(shown), *([letters_line()] if shown.states else [])]
    yield f"digraph {_quoted(map_title(shown))} {{"
    yield f"  graph [rankdir=LR, labelloc=t, ranksep=1.2, label={_quoted(*label)}];"
    yield '  node [shape=box, style=filled, fillcolor=white, fontname="Helvetica", fontsize=11];'
    yield "  edge [arrowsize=0.6];"
    for unit in shown.units:
        yield f"  subgraph {_quoted(f'cluster {unit.id}')} {{"
        here = ", penwidth=3" if unit.id in (shown.here, shown.focus) else ""
        yield f"    graph [label={_quoted(unit_words(unit))}{here}];"
        yield from (f"    {_skill(shown, one)}" for one in shown.skills if one.unit == unit.id)
        yield "  }"
    for link in shown.links:
        dashed = " [style=dashed]" if link.some else ""
        yield f"  {_quoted(link.before)} -> {_quoted(link.after)}{dashed};"
    yield "}"


def _skill(shown: Shown, skill: Skill) -> str:
    marks = [f"label={_quoted(plain_name(shown, skill))}", *_look(shown, skill)]
    return f"{_quoted(skill.id)} [{', '.join(marks)}];"


def _look(shown: Shown, skill: Skill) -> Iterator[str]:
    """Yield how a state and what is always looked at are marked."""
    if skill.always_look:
        yield "penwidth=3"
    state = shown.states.get(skill.id)
    if state == "secure":
        yield "fillcolor=black, fontcolor=white"
    elif state in GAP_STATES:
        yield 'style="filled,diagonals", fillcolor=gray80'
    elif state in _OPEN:
        yield "fillcolor=gray92"
    elif state == "set-aside":
        yield 'style="filled,dashed"'


def _quoted(*lines: str) -> str:
    """Return lines of text as one DOT string."""
    escaped = (tidy(line).replace("\\", "\\\\").replace('"', '\\"') for line in lines)
    return '"' + "\\n".join(escaped) + '"'
