"""The home tasks of one week as a page for the fridge: large letters, a box a day, no name if wished.

For the child and the family: nothing of how it went, no note, no verdict. Left off while there is a pause.
"""

from __future__ import annotations

from collections.abc import Sequence
from datetime import date
from typing import Final

from readiness.pages.document import HEIGHTS, Markup, document, tag
from readiness.record.model import Task
from readiness.words.grammar import tidy
from readiness.words.today import DAY_HEADS, FRIDGE_LAST, FRIDGE_STOP, fridge_title, how_often

__all__ = ["fridge_page"]

_STYLE: Final = """\
* { box-sizing: border-box; }
body { margin: 0; color: #000; background: #fff; overflow-wrap: anywhere; }
body { font: 20pt/1.25 Arial, "Liberation Sans", Helvetica, sans-serif; }
h1 { font-size: 28pt; margin: 0 0 6mm; }
main { display: flex; flex-direction: column; gap: 6mm; }
section { border-top: 0.5mm solid #000; padding-top: 4mm; break-inside: avoid; }
p { margin: 0 0 3mm; }
table { width: 100%; border-collapse: collapse; table-layout: fixed; }
th { font-size: 16pt; font-weight: normal; padding: 0 0 1mm; }
i { display: block; width: 16mm; height: 16mm; margin: 0 auto; border: 0.6mm solid #000; }
footer { margin-top: auto; border-top: 0.5mm solid #000; padding-top: 3mm; font-size: 16pt; }
@media screen { body { max-width: 190mm; margin: 8mm auto; padding: 0 4mm; } }
"""
_WEEK: Final = 7


def fridge_page(tasks: Sequence[Task], on: int, name: str = "", paper: str = "a4") -> str:
    """Return the page of the seven days after a lesson of a day, without a name unless one is given."""
    title = fridge_title(tidy(name), on + 1, on + _WEEK)
    days = [DAY_HEADS[date.fromordinal(on + ahead).weekday()] for ahead in range(1, _WEEK + 1)]
    body = (
        tag("h1", title),
        *(_task(task, days) for task in tasks),
        tag("footer", tag("p", FRIDGE_STOP), tag("p", FRIDGE_LAST)),
    )
    style = f"{_STYLE}main {{ min-height: {HEIGHTS[paper]}; }}\n"
    return document(title, style, paper, tag("main", *body))


def _task(task: Task, days: Sequence[str]) -> Markup:
    heads = tag("tr", *(tag("th", day, scope="col") for day in days))
    boxes = tag("tr", *(tag("td", Markup("<i></i>")) for _ in days))
    often = how_often(task.minutes_day, task.days_planned)
    told = (tag("p", tag("b", tidy(task.text))), *([tag("p", often)] if often else []))
    return tag("section", *told, tag("table", tag("thead", heads), tag("tbody", boxes)))
