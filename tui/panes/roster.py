"""The students in sections, a line each: no DataTable, whose columns have one width for all sections."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from functools import cache, lru_cache
from itertools import chain
from typing import ClassVar, Final, NamedTuple

from textual import events
from textual.content import Content
from textual.widgets import OptionList, Static
from textual.widgets.option_list import Option

from readiness.lazy import dataclass
from readiness.school.evening import Comes
from readiness.terms import Verdict
from readiness.words.english import called, days_since, one_thing_line, verdict_row
from readiness.words.grammar import date_words, tidy
from readiness.words.noting import HALF_ENTERED
from tui.messages import Chosen, Pointed
from tui.panes.lines import Columns, MarkedList, columns
from tui.view import StudentRow, View, spot

__all__ = ["Listed", "Roster", "RosterHead", "RosterLine", "line_of", "sections_of"]


class Listed(NamedTuple):
    """A line of the list: a student in a section, with what is to be said there; or the section's title."""

    section: str
    key: str = ""
    note: str = ""


@dataclass(frozen=True)
class RosterLine:
    """One student as the list shows it; ``look`` is the style of a pause or of a problem."""

    name: str
    unit: str
    unit_name: str
    verdict: str
    thing: str
    last: str
    promises: str
    look: str = ""


HEAD: Final = RosterLine("Name", "Unit", "", "Answer", "The one thing", "Last", "Open")
ALL, MOST, SOME = 100, 72, 50
"""From so many cells on a line has the name of the unit; the one thing; the unit's number."""


def lay_out(line: RosterLine, width: int, note: str = "") -> str:
    """Return a line in the columns that have room; a note stands where the one thing would."""
    unit, verdict = line.unit.rjust(2), line.verdict if width >= MOST else note or line.verdict
    if width >= ALL:
        unit = f"{unit}  {line.unit_name}" if line.unit_name else unit
        cells = [(line.name, 18), (unit, 30), (verdict, 24), (note or line.thing, 0), (line.last, 9)]
    elif width >= MOST:
        cells = [(line.name, 12), (unit, 4), (verdict, 24), (note or line.thing, 0), (line.last, 9)]
    elif width >= SOME:
        cells = [(line.name, 0), (unit, 4), (verdict, 24), (line.last, 9)]
    else:
        return columns([(line.name, 0), (verdict, min(24, width // 2))], width)
    return columns([*cells, (line.promises, 4)] if width >= MOST else cells, width)


class RosterHead(Static):
    """What the columns are."""

    def on_resize(self) -> None:
        """Fit the columns to those of the list, whose last cell is for the bar."""
        self.update(f" {lay_out(HEAD, max(20, self.size.width - 2))}", layout=False)


class Roster(MarkedList):
    """The list. Says :class:`Pointed` with who is under the cursor, :class:`Chosen` for a double click."""

    COMPONENT_CLASSES: ClassVar[set[str]] = {"roster--paused", "roster--problem"}
    listed: tuple[Listed, ...] = ()

    def __init__(self, line: Callable[[str], RosterLine]) -> None:
        """Begin empty; ``line`` is asked for the line of a student when that is seen."""
        super().__init__(id="roster")
        self._line = line
        self._option = cache(self._made)  # the next list has most of them again

    def show(self, listed: Sequence[Listed], empty: str) -> None:
        """Show these, or why there are none; the cursor stays on its student if it can, else on the first."""
        before, top = self.marked_line, self.scroll_offset.y
        was_first = before == next((one for one in self.listed if one.key), None)
        self.listed = tuple(listed)
        self.set_options(map(self._option, listed) if listed else [Option(Content(empty), disabled=True)])
        same = [i for i, one in enumerate(self.listed) if before and one.key == before.key]
        first = next((i for i, one in enumerate(self.listed) if one.key), None)
        exact = (i for i in same if before and self.listed[i].section == before.section)
        self.highlighted = next(exact, same[0] if same and not was_first else first)
        self.scroll_to(y=top, animate=False)
        if self.highlighted is None:
            self.post_message(Pointed(""))
        else:
            self.call_after_refresh(self.scroll_to_highlight)

    def _made(self, one: Listed) -> Option:
        if not one.key:
            return Option(Content.styled(one.section, "bold"), disabled=True)

        def draw(width: int) -> tuple[Content, str]:
            drawn = self._line(one.key)
            return Content(lay_out(drawn, width, one.note)), drawn.look

        return Option(Columns(self, draw))

    @property
    def marked_line(self) -> Listed | None:
        """The line under the cursor."""
        return self.listed[self.highlighted] if self.highlighted is not None and self.listed else None

    @property
    def marked(self) -> str:
        """The student under the cursor; empty where there is none."""
        return self.marked_line.key if self.marked_line else ""

    def on_option_list_option_highlighted(self, event: OptionList.OptionHighlighted) -> None:
        event.stop()
        self.post_message(Pointed(self.marked))

    async def _on_click(self, event: events.Click) -> None:
        """Mark a line; a double click chooses it."""
        event.prevent_default()
        at = event.style.meta.get("option")
        if at is not None and not self.options[at].disabled:
            self.highlighted = at
            if event.chain >= 2:
                self.post_message(Chosen(self.marked))


# The sections of the day, then everybody.


@lru_cache(maxsize=1)
def sections_of(view: View) -> tuple[Listed, ...]:
    """Return the lines of the day: who comes, who is not noted, what is due, who waits; then everybody."""
    day = view.agenda
    coming = _coming(view)
    parts = (
        ("Cannot be read now", [(one, "") for one in view.studio.broken]),
        (coming, [(one.student, _note_of(one)) for one in day.comes]),
        ("Here, and not noted yet", [(one.student, f"on {_on(one.on, view)}") for one in day.not_noted]),
        ("Promised by today", [(one.student, tidy(one.text)) for one in day.due]),
        ("May not play", [(one, "") for one in day.may_not_play]),
        ("Wait for your decision", [(one, "") for one in day.waits]),
        ("No lesson day known: any day may be the first", [(one, "") for one in day.undated]),
        ("Everybody", [(one, "") for one in view.by_id]),
    )
    told = [part for part in parts if part[1] or part[0] is coming]
    lines = ((Listed(title), *(Listed(title, *row) for row in rows)) for title, rows in told)
    return tuple(chain.from_iterable(lines))


def _note_of(lesson: Comes) -> str:
    return "noted" if lesson.is_noted else "planned" if lesson.is_planned else ""


def _coming(view: View) -> str:
    day = view.agenda
    if day.comes:
        return "Come today"
    nothing = "Nothing is due today." if day.is_empty else "Nobody comes today."
    if not day.next:
        return nothing
    names = [tidy(one.name) for one in day.next]
    more = f" and {len(names) - 3} more" if len(names) > 3 else ""
    return f"{nothing} Next, on {_on(day.next[0].on, view)}: {', '.join(names[:3])}{more}."


def _on(day: int, view: View) -> str:
    return date_words(day, view.day)


# What the list says of each student, or of a file that cannot be read.


def line_of(view: View, key: str, *, is_begun: bool = False) -> RosterLine:
    """Return the line of a student; of a file that cannot be read, what is wrong with it.

    ``is_begun`` says that a lesson of the student is half entered.
    """
    row = view.by_id.get(key)
    return _problem_line(view, key) if row is None else _line(row, view, is_begun)


def _line(row: StudentRow, view: View, is_begun: bool) -> RosterLine:
    assert view.course is not None
    answer = row.answer
    unit = view.course.unit[answer.unit] if answer.unit else None
    name = tidy(row.record.name)
    is_shared = called(name, row.record.id, view.shared) != name
    return RosterLine(
        f"{row.record.id} ({name})" if is_shared else name,
        str(unit.number) if unit else "-",
        tidy(unit.name) if unit else "",
        verdict_row(answer),
        _resting(row) or one_thing_line(answer, view.course),
        HALF_ENTERED if is_begun else days_since(answer),
        str(len(row.promises)) if row.promises else "",
        "roster--paused" if answer.verdict == Verdict.PAUSED else "",
    )


def _resting(row: StudentRow) -> str:
    """Return that a part of the body rests for another course, where this one goes on."""
    resting = row.record.resting(row.answer.on) if row.answer.verdict != Verdict.PAUSED else ()
    return f"The {resting[0].part} rests: another course is paused." if resting else ""


def _problem_line(view: View, key: str) -> RosterLine:
    first = view.studio.broken[key].problems[0] if key in view.studio.broken else None
    told = f"{spot(first)}: {first.message}" if first else ""
    return RosterLine(key, "-", "", " ! cannot be read", told, "", "", "roster--problem")
