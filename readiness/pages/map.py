"""The map as a page: its units by name, then a sheet of paper for each, two where one could not be read.

On a sheet the unit stands in the middle, between what its skills build on and what they lead to.
"""

from __future__ import annotations

from collections.abc import Iterator
from itertools import groupby
from typing import Final

from readiness.course.model import Unit
from readiness.pages.document import HEIGHTS, Markup, document, tag
from readiness.pictures.formats import (
    FEWER_CROSS,
    LINE_WORDS,
    STATE_ORDER,
    Shown,
    letters_line,
    map_title,
    sheets,
    small_print,
    state_words,
    unit_words,
)
from readiness.pictures.svg import mark_as_svg, shadings_as_svg, sheet_as_svg
from readiness.words.grammar import counted, listed

__all__ = ["map_page"]

_STYLE: Final = """\
section { break-before: page; display: flex; flex-direction: column; }
section svg { width: 100%; }
nav ol { list-style: none; padding: 0; }
a { color: #000; }
td:first-child { width: 9mm; }
"""


def map_page(content: Shown, paper: str) -> str:
    """Return the map as a page of HTML; of one unit alone where it is one that is shown."""
    whole = Markup(shadings_as_svg())
    drawn = [
        (sheet, next(unit for unit in sheet.units if unit.id == sheet.focus))
        for sheet in sheets(content)
        if content.focus in (None, sheet.focus)
    ]
    units = (tag("li", tag("a", unit_words(unit), href=f"#u{unit.number}"), _here(content, unit))
             for unit, _ in groupby(unit for _, unit in drawn))  # fmt: skip
    title = map_title(content)
    link, some, _, always = (words for _, words in LINE_WORDS)
    legend = [tag("p", f"A line: {link}. A dashed line: {some}. {always.capitalize()}.")]
    if content.states:
        rows = (tag("tr", tag("td", Markup(mark_as_svg(state))), tag("td", state_words(state)))
                for state in STATE_ORDER)  # fmt: skip
        legend.append(tag("table", tag("tbody", *rows)))
    front = (tag("h1", title), tag("p", small_print(content)), *legend, tag("h2", "Units"))
    index = tag("nav", tag("ol", *units))
    style = f"{_STYLE}section svg {{ max-height: {HEIGHTS[paper] - 34}mm; }}\n"
    return document(title, style, paper, whole, *front, index, *_pages(content, drawn))


def _here(content: Shown, unit: Unit) -> str:
    return {content.here: " - here", content.ahead: " - next"}.get(unit.id, "")


def _pages(content: Shown, drawn: list[tuple[Shown, Unit]]) -> Iterator[Markup]:
    unit_of = {skill.id: skill.unit for skill in content.skills}
    for unit, same in groupby(drawn, lambda pair: pair[1]):
        found = [sheet for sheet, _ in same]
        for at, sheet in enumerate(found, 1):
            part = f", sheet {at} of {len(found)}" if len(found) > 1 else ""
            title = f"Unit {unit_words(unit)}{part}"
            name = {one.id: one.name for one in sheet.skills}
            ways = [f"{name[link.before]} comes before {name[link.after]}" for link in sheet.links]
            aloud = f"{title}: {counted(len(sheet.skills), 'skill')}. {listed(ways)}."
            picture, suffices = sheet_as_svg(sheet, aloud, f"u{unit.number}-{at}-")
            head = tag("h2", title, _here(sheet, unit), id=f"u{unit.number}" if at == 1 else "")
            # the names of the units whose numbers stand on the sheet
            shown = {skill.id.partition(" ")[0] for skill in sheet.skills if skill.unit != sheet.focus}
            units = {unit_of[skill] for skill in shown if skill in unit_of}
            foot = [f"Units: {'; '.join(unit_words(one) for one in content.units if one.id in units)}."]
            foot += [*([letters_line()] if sheet.states else []), *([] if suffices else [FEWER_CROSS])]
            yield tag("section", head, Markup(picture), *(tag("p", words) for words in foot))
