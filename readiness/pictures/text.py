"""The picture as plain text: units, their skills, and what each stands on.

For a screen reader, a mail or a printer that knows letters only.
"""

from __future__ import annotations

from collections.abc import Iterator

from readiness.pictures.legend import footings, letters_line, map_title, small_print, unit_words
from readiness.pictures.shown import Shown
from readiness.words.brief import STATE_LETTERS
from readiness.words.grammar import tidy, wrap

__all__ = ["map_as_text"]


def map_as_text(shown: Shown, width: int = 80) -> str:
    """Return the outline, no line wider than ``width``."""
    return "\n".join(_lines(shown, width)) + "\n"


def _lines(shown: Shown, width: int) -> Iterator[str]:
    yield from wrap(map_title(shown), width)
    yield from wrap(small_print(shown), width)
    if shown.states:
        yield from wrap(letters_line(), width)
    strands = {strand.id: tidy(strand.name) for strand in shown.strands}
    for unit in shown.units:
        yield ""
        mark = {shown.here: " <- here", shown.ahead: " <- next"}.get(unit.id, "")
        yield from wrap(f"{unit_words(unit)}{mark}", width)
        for skill in shown.skills:
            if skill.unit == unit.id:
                state = shown.states.get(skill.id)
                lead = "- " if state is None else f"{STATE_LETTERS[state]}  "
                name = f"{tidy(skill.name)} ({skill.id}) - {strands[skill.strand]}"
                yield from wrap(name, width, indent=2, lead=lead)
                yield from wrap(footings(shown, skill), width, indent=4 + len(lead))
