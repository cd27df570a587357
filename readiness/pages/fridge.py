"""The home tasks of one week as a page for the fridge: large letters, a box a day, no name if wished.

For the child and the family: nothing of how it went, no note, no verdict. Left off while there is a pause.
"""

from __future__ import annotations

from collections.abc import Sequence
from datetime import date
from typing import Final

from readiness.pages.document import Markup, document, tag
from readiness.record.model import Task
from readiness.words.grammar import tidy
from readiness.words.letter_english import Letters

__all__ = ["fridge_page"]

_STYLE: Final = """\
body { font-size: 20pt; line-height: 1.25; }
h1 { font-size: 28pt; margin: 0 0 6mm; }
main { gap: 6mm; }
section { border-top: 0.5mm solid #000; padding-top: 4mm; break-inside: avoid; }
p { margin: 0 0 3mm; }
table { width: 100%; border-collapse: collapse; table-layout: fixed; }
th { font-size: 16pt; font-weight: normal; padding: 0 0 1mm; }
i { display: block; width: 16mm; height: 16mm; margin: 0 auto; border: 0.6mm solid #000; }
footer { margin-top: auto; border-top: 0.5mm solid #000; padding-top: 3mm; font-size: 16pt; }
"""
_WEEK: Final = 7


def fridge_page(
    tasks: Sequence[Task], on: int, spoken: Sequence[Letters], code: str, name: str = "", paper: str = "a4",
    ended: Sequence[str] = (),
) -> str:  # fmt: skip
    """Return the page of the seven days after a lesson of a day, without a name unless one is given.

    ``spoken``: the sentences of the language ``code``, and of those in which safety is said once more.
    ``ended``: what was said by whoever ended a pause that the child still comes back from.
    """
    say = spoken[0]
    first, last = say.day(on + 1, on + 1), say.day(on + _WEEK, on + 1)
    title = say.week[bool(name)].format(named=tidy(name), first=first, last=last)
    days = [say.week_days[date.fromordinal(on + ahead).weekday()] for ahead in range(1, _WEEK + 1)]
    stop = dict.fromkeys(one.week_stop for one in spoken)
    first_of_all = dict.fromkeys(one.ended.format(one.quoted(words)) for one in spoken for words in ended)
    footer = tag("footer", *(tag("p", words) for words in (*stop, say.week_last)))
    above = (tag("p", tag("b", words)) for words in first_of_all)
    heads = tag("thead", tag("tr", *(tag("th", day, scope="col") for day in days)))
    week = tag("table", heads, tag("tbody", tag("tr", *(tag("td", Markup("<i></i>")) for _ in days))))
    sections = []
    for task in tasks:  # what it is, how long and how often where that is said, and a box a day
        counts = ((say.week_minutes, task.minutes_day), (say.week_often, task.days_planned))
        often = [forms.get(count, forms[0]).format(count=count) for forms, count in counts if count]
        told = (tag("p", tag("b", tidy(task.text))), *([tag("p", ", ".join(often))] if often else []))
        sections.append(tag("section", *told, week))
    return document(title, _STYLE, paper, tag("h1", title), *above, *sections, footer, language=code)
