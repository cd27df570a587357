"""The picture as a Mermaid flowchart, to be pasted where such charts are shown.

Names are escaped with Mermaid's own entities, and skills are numbered, so that no id can be
taken for a word of the language. What is shown is the same as in the SVG.
"""

from __future__ import annotations

import re
from collections.abc import Iterator
from typing import Final

from readiness.pictures.legend import STATE_ORDER, map_title, plain_name, state_words, unit_words
from readiness.pictures.shown import Shown
from readiness.words.brief import STATE_LETTERS
from readiness.words.grammar import tidy

__all__ = ["map_as_mermaid"]

_LOOKS: Final = {
    "secure": "fill:#000,color:#fff,stroke:#000",
    "with-help": "fill:#bbb,stroke:#000,stroke-width:3px",
    "not-shown": "fill:#bbb,stroke:#000,stroke-width:3px",
    "slipped": "fill:#bbb,stroke:#000,stroke-width:3px",
    "building": "fill:#eee,stroke:#000",
    "wobbling": "fill:#eee,stroke:#000",
    "stale": "fill:#eee,stroke:#000",
    "untried": "fill:#fff,stroke:#000",
    "set-aside": "fill:#fff,stroke:#000,stroke-dasharray:4 3",
}
_SPECIAL: Final = re.compile(r"[^\w .,:!?()+/-]")


def map_as_mermaid(shown: Shown) -> str:
    """Return the picture as one flowchart."""
    return "\n".join(_lines(shown)) + "\n"


def _lines(shown: Shown) -> Iterator[str]:
    number = {skill.id: f"s{at}" for at, skill in enumerate(shown.skills)}
    yield "flowchart LR"
    yield f"  title[{_quoted(map_title(shown))}]"
    for at, unit in enumerate(shown.units):
        yield f"  subgraph u{at}[{_quoted(unit_words(unit))}]"
        for skill in shown.skills:
            if skill.unit == unit.id:
                yield f"    {number[skill.id]}[{_quoted(plain_name(shown, skill))}]"
        yield "  end"
    for link in shown.links:
        yield f"  {number[link.before]} {'-.->' if link.some else '-->'} {number[link.after]}"
    yield from _states(shown, number)


def _states(shown: Shown, number: dict[str, str]) -> Iterator[str]:
    """Yield the legend of the letters, and how each state looks."""
    if not shown.states:
        return
    yield "  subgraph letters"
    for state in STATE_ORDER:
        yield f"    {_name(state)}[{_quoted(f'{STATE_LETTERS[state]}  {state_words(state)}')}]"
    yield "  end"
    for state in STATE_ORDER:
        same = [number[skill] for skill, its in shown.states.items() if its == state]
        yield f"  classDef {_name(state)}Look {_LOOKS[state]}"
        yield f"  class {','.join([_name(state), *same])} {_name(state)}Look"


def _name(state: str) -> str:
    return f"state{STATE_ORDER.index(state)}"


def _quoted(text: str) -> str:
    """Return a text with everything but letters, digits and plain stops as an entity."""
    return f'"{_SPECIAL.sub(lambda found: f"#{ord(found[0])};", tidy(text))}"'
