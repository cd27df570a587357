"""The list of students: one line each, drawn only where it is seen.

Fifteen hundred students cost no more than fifteen: a line is made when it comes into view.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from textwrap import wrap
from typing import ClassVar

from rich.segment import Segment
from textual import events
from textual.binding import Binding, BindingType
from textual.geometry import Region, Size
from textual.reactive import reactive
from textual.scroll_view import ScrollView
from textual.strip import Strip
from textual.widgets import Static

from readiness.lazy import dataclass
from readiness.terms import Verdict
from readiness.words.brief import called, days_since, one_thing_line, verdict_row
from readiness.words.grammar import tidy
from readiness.words.noting import HALF_ENTERED
from tui.messages import Chosen, Pointed
from tui.view import StudentRow, View

__all__ = ["RosterLine", "Roster", "RosterHead", "line_of"]


@dataclass(frozen=True)
class RosterLine:
    """One student as the list shows it; ``kind`` is student, paused or problem."""

    key: str
    name: str
    unit: str
    unit_name: str
    verdict: str
    thing: str
    last: str
    promises: str
    kind: str = "student"


HEAD = RosterLine("", "Name", "Unit", "", "Answer", "The one thing", "Last", "Open")


def lay_out(line: RosterLine, width: int) -> str:
    """Return a line in columns that fill the width."""
    is_wide = width >= 108
    unit = f"{line.unit:>2}  {line.unit_name}" if is_wide and line.unit_name else line.unit.rjust(2)
    cells = [
        (line.name, 18 if is_wide else 12),
        (unit, 30 if is_wide else 4),
        (line.verdict, 24),
        (line.thing, 0),
        (line.last, 9),
        (line.promises, 4),
    ]
    room = width - 2 - sum(wide for _, wide in cells) - 2 * (len(cells) - 1)
    parts = [_cut(text, wide or max(8, room)) for text, wide in cells]
    return f" {'  '.join(parts)} "[:width].ljust(width)


def _cut(text: str, width: int) -> str:
    """Return a text of exactly this width."""
    return text.ljust(width) if len(text) <= width else text[: width - 1] + "…"


class RosterHead(Static):
    """The names of the columns."""

    def on_resize(self, event: events.Resize) -> None:
        """Keep the columns above those of the list."""
        self.update(lay_out(HEAD, event.size.width))


class Roster(ScrollView, can_focus=True):
    """The list itself. Says :class:`Pointed` and :class:`Chosen` with a student's id."""

    COMPONENT_CLASSES: ClassVar[set[str]] = {
        "roster--row", "roster--cursor", "roster--paused", "roster--problem",
    }  # fmt: skip
    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("up", "move(-1)", show=False),
        Binding("down", "move(1)", show=False),
        Binding("pageup", "page(-1)", show=False),
        Binding("pagedown", "page(1)", show=False),
        Binding("home", "move(-1000000)", show=False),
        Binding("end", "move(1000000)", show=False),
    ]

    cursor: reactive[int] = reactive(0)
    keys: tuple[str, ...] = ()
    empty = ""

    def show(self, keys: Sequence[str], line: Callable[[str], RosterLine], empty: str) -> None:
        """Show the lines of these students, or why there are none; the cursor stays on its student if it can.

        ``line`` is asked for the line of a student when that is seen.
        """
        marked = self.marked
        self.keys, self.line, self.empty = tuple(keys), line, empty
        at = self.keys.index(marked) if marked in self.keys else 0
        self.virtual_size = Size(0, len(self.keys))
        self.set_reactive(Roster.cursor, at)
        self.refresh()
        self.scroll_to_region(Region(0, at, 1, 1), animate=False)
        self._point()

    @property
    def marked(self) -> str:
        """The key of the line under the cursor; empty where there is none."""
        return self.keys[self.cursor] if 0 <= self.cursor < len(self.keys) else ""

    def validate_cursor(self, cursor: int) -> int:
        """Keep the cursor in the list."""
        return max(0, min(cursor, len(self.keys) - 1))

    def watch_cursor(self) -> None:
        """Follow the cursor."""
        self.refresh()
        self.scroll_to_region(Region(0, self.cursor, 1, 1), animate=False)
        self._point()

    def _point(self) -> None:
        self.post_message(Pointed(self.marked))

    def action_move(self, step: int) -> None:
        """Move the cursor."""
        self.cursor += step

    def action_page(self, pages: int) -> None:
        """Move the cursor by what is seen at once."""
        self.cursor += pages * max(1, self.size.height - 1)

    def on_click(self, event: events.Click) -> None:
        """Mark a line; a click on the marked one chooses it."""
        at = event.y + self.scroll_offset.y
        if at >= len(self.keys):
            return
        if at == self.cursor and event.chain >= 2:
            self.post_message(Chosen(self.keys[at]))
        self.cursor = at

    def render_line(self, y: int) -> Strip:
        """Draw one line."""
        at = y + self.scroll_offset.y
        width = self.size.width
        if at >= len(self.keys):
            told = ["", *wrap(self.empty, max(10, width - 2))] if not self.keys else []
            text = f" {told[y]}" if y < len(told) else ""
            return Strip([Segment(_cut(text, width), self.rich_style)])
        line = self.line(self.keys[at])
        name = "roster--row" if line.kind == "student" else f"roster--{line.kind}"
        style = self.get_component_rich_style(name)
        text = lay_out(line, width)
        if at == self.cursor:
            text = f"▸{text[1:]}"
            style += self.get_component_rich_style("roster--cursor") if self.has_focus else style
        return Strip([Segment(text, style)])


# What the list of students says of each: one line a student, or a file that cannot be read.


def line_of(view: View, key: str, *, is_begun: bool = False) -> RosterLine:
    """Return the line of a student; of a file that cannot be read, what is wrong with it.

    ``is_begun`` says that a lesson of the student is half entered.
    """
    row = view.by_id.get(key)
    return _problem_line(view, key) if row is None else _line(row, view, is_begun)


def _line(row: StudentRow, view: View, is_begun: bool) -> RosterLine:
    """Return a student's line."""
    assert view.course is not None
    answer = row.answer
    unit = view.course.unit[answer.unit] if answer.unit else None
    return RosterLine(
        row.record.id,
        _name(row, view),
        str(unit.number) if unit else "-",
        tidy(unit.name) if unit else "",
        verdict_row(answer),
        _resting(row) or one_thing_line(answer, view.course),
        HALF_ENTERED if is_begun else days_since(answer),
        str(len(row.promises)) if row.promises else "",
        "paused" if answer.verdict == Verdict.PAUSED else "student",
    )


def _resting(row: StudentRow) -> str:
    """Return that a part of the body rests for another course, where this one goes on."""
    resting = row.record.resting(row.answer.on) if row.answer.verdict != Verdict.PAUSED else ()
    return f"The {resting[0].part} rests: another course is paused." if resting else ""


def _name(row: StudentRow, view: View) -> str:
    """Return the name; of two who share it the id comes first, since the column may be cut off."""
    name = tidy(row.record.name)
    is_shared = called(name, row.record.id, view.shared) != name
    return f"{row.record.id} ({name})" if is_shared else name


def _problem_line(view: View, key: str) -> RosterLine:
    """Return the line of a student file that cannot be read."""
    first = view.studio.broken[key].problems[0]
    told = f"line {first.place.line}: {first.message}"
    return RosterLine(key, key, "-", "", " ! cannot be read", told, "", "", "problem")
