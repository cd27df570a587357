"""The first screen: the day, then everybody, and quick questions; beside it the answer of who is marked.

The students in sections, a line each: no DataTable, whose columns have one width for all sections.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping, Sequence
from functools import cache, lru_cache, partial
from itertools import chain
from typing import ClassVar, Final, NamedTuple

from textual import events
from textual.containers import Horizontal, Vertical
from textual.content import Content
from textual.widget import Widget
from textual.widgets import Input, OptionList, Static
from textual.widgets.option_list import Option

from readiness.advice.after_break import closed_lately, pain_noted
from readiness.lazy import dataclass
from readiness.terms import Verdict
from readiness.toml.texts import folded
from readiness.words import english
from readiness.words.cautions import ASK_FIRST, GENTLE, may_play_but
from readiness.words.grammar import capital, date_words, tidy, unit_words
from readiness.words.noting import HALF_ENTERED, half_entered_words
from tui.outline import AnswerPane, Outline, large
from tui.screens.base import BaseScreen, key_strip
from tui.screens.forms import looked_for
from tui.view import StudentRow, View, spot
from tui.widgets import Chosen, Field, LazyLine, MarkedList, Pointed, Scrolled, columns

__all__ = [
    "QUESTIONS", "Listed", "Roster", "RosterHead", "RosterLine", "StudioScreen", "line_of", "sections_of",
]  # fmt: skip


class Listed(NamedTuple):
    """A line of the list: a student in a section, with what is to be said there; or the section's title."""

    section: str
    key: str = ""
    note: str = ""
    day: int | None = None
    """The day of a lesson that is not noted yet."""


@dataclass(frozen=True)
class RosterLine:
    """One student as the list shows it; ``look``: the style of a pause or problem, ``care``: what is safe."""

    name: str
    unit: str
    unit_name: str
    verdict: str
    thing: str
    last: str
    promises: str
    look: str = ""
    care: str = ""


HEAD: Final = RosterLine("Name", "Unit", "", "Answer", "The one thing", "Last", "Open")
ALL, MOST, TOLD, SOME = 100, 72, 56, 50
"""From so many cells on a line has the unit's name; the one thing; room for a note; the unit's number."""


def lay_out(line: RosterLine, width: int, note: str = "") -> str:
    """Return a line in the columns that have room; care and a note stand where something else would."""
    unit, verdict, note = line.unit.rjust(2), line.verdict, "; ".join(filter(None, (line.care, note)))
    if width >= ALL:
        unit = f"{unit}  {line.unit_name}" if line.unit_name else unit
        cells = [(line.name, 18), (unit, 30), (verdict, 24), (note or line.thing, 0), (line.last, 9)]
    elif width >= MOST:
        cells = [(line.name, 12), (unit, 4), (verdict, 24), (note or line.thing, 0), (line.last, 9)]
    elif width >= SOME:
        cells = [(line.name, 0), (unit, 4), (verdict, 24), (note or line.last, 12 if width >= TOLD else 9)]
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

    def show(self, listed: Sequence[Listed], empty: str, *, is_early: bool = False) -> None:
        """Show these, or why there are none; the cursor stays on its student if it can, else on the first.

        ``is_early``: before everybody was worked out, it stays on the first line.
        """
        before, top = self.marked_line, self.scroll_offset.y
        was_first = is_early and before == next((one for one in self.listed if one.key), None)
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

    def _made(self, row: Listed) -> Option:
        if not row.key:
            return Option(Content.styled(row.section, "bold"), disabled=True)

        def draw(width: int) -> tuple[Content, str]:
            drawn = self._line(row.key)
            return Content(lay_out(drawn, width, row.note)), drawn.look

        return Option(LazyLine(self, draw))

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


@lru_cache(maxsize=1)
def sections_of(view: View) -> tuple[Listed, ...]:
    """Return the lines of the day: who comes, who is not noted, what is due, who waits; then everybody."""
    day = view.agenda
    coming = _coming(view)
    parts = (
        ("Cannot be read now", [(one, "") for one in view.studio.broken]),
        (coming, [
            (one.student, "perhaps" if one.perhaps else "noted" * one.is_noted or "planned" * one.is_planned)
            for one in day.comes
        ]),
        ("Here, and not noted yet", [
            (one.student, f"on {date_words(one.on, view.day)}", one.on)
            for one in day.not_noted if one.none is None
        ]),
        ("Promised by today", [(one.student, tidy(one.text)) for one in day.due]),
        ("May not play", [(one, "") for one in day.may_not_play]),
        ("Wait for your decision", [(one, "") for one in day.waits]),
        ("No lesson day known: any day may be the first", [(one, "") for one in day.undated]),
        ("Everybody", [(one, "") for one in view.by_id]),
    )  # fmt: skip
    told = [part for part in parts if part[1] or part[0] is coming]
    lines = ((Listed(title), *(Listed(title, *row) for row in rows)) for title, rows in told)
    return tuple(chain.from_iterable(lines))


def _coming(view: View) -> str:
    day = view.agenda
    if day.comes:
        return "Come today"
    nothing = "Nothing is due today." if day.is_empty else "Nobody comes today."
    if not day.next:
        return nothing
    names = [tidy(one.answer.name) for one in day.next]
    more = f" and {len(names) - 3} more" if len(names) > 3 else ""
    return f"{nothing} Next, on {date_words(day.next[0].on, view.day)}: {', '.join(names[:3])}{more}."


def line_of(view: View, key: str, *, is_begun: bool = False) -> RosterLine:
    """Return a student's line, half entered or not; of a file that cannot be read, what is wrong."""
    if (row := view.by_id.get(key)) is None:
        return _problem_line(view, key)
    assert view.course is not None
    answer = row.answer
    unit = view.course.unit[answer.unit] if answer.unit else None
    name = tidy(row.record.name)
    is_shared = english.called(name, row.record.id, view.shared) != name
    return RosterLine(
        f"{row.record.id} ({name})" if is_shared else name,
        str(unit.number) if unit else "-",
        tidy(unit.name) if unit else "",
        english.verdict_row(answer),
        english.one_thing_line(answer, view.course),
        HALF_ENTERED if is_begun else english.days_since(answer),
        str(len(row.promises)) if row.promises else "",
        "roster--paused" if answer.verdict == Verdict.PAUSED else "",
        _care(row),
    )


def _care(row: StudentRow) -> str:
    """Return that something may hurt, rests for another course or rested until lately, as ``today`` does."""
    record, day, is_paused = row.record, row.answer.on, row.answer.verdict == Verdict.PAUSED
    rests = may_play_but(hold.part for hold in record.resting(day))
    care = ASK_FIRST if pain_noted(record, day) else GENTLE if closed_lately(row.course, record, day) else ""
    return "" if is_paused else rests or care


def _problem_line(view: View, key: str) -> RosterLine:
    first = view.studio.broken[key].problems[0] if key in view.studio.broken else None
    told = f"{spot(first)}: {first.message}" if first else ""
    return RosterLine(key, "-", "", " ! cannot be read", told, "", "", "roster--problem")


QUESTIONS: Final[Mapping[str, str]] = {
    "today": "today",
    "paused": "may not play",
    "ready": "ready",
    "look": "needs a look",
    "stuck": "stuck",
    "due": "check due",
}
"""The quick questions, in the order of their keys; all but the first as ``readiness ask`` has them."""

MOMENT: Final = 0.05
"""Seconds that the cursor rests on a student before the answer is shown beside the list."""


class StudioScreen(BaseScreen):
    """Everybody at a glance."""

    NAME = "studio"
    ABOUT = (
        "The day first: who comes, who was here and is not noted, what was promised, who may not play, who "
        "waits for your decision. Then everybody: first who may not play, then by name, never by who is "
        "further. Last: how long ago the last lesson was. Open: promises that are not answered yet. A check "
        "is due when the usual lessons of the unit are over, or when all its skills but as many as may come "
        "along were shown already, and no decision was made in the last days."
    )
    AUTO_FOCUS = "Roster"

    question = "today"
    typed = ""
    is_early = True

    def __init__(self) -> None:
        super().__init__()
        self.lines: dict[str, RosterLine] = {}

    def body(self) -> Iterator[Widget]:
        yield Static(key_strip(400), id="keys")
        yield Static(id="questions")
        yield Static(id="banner")
        with Horizontal(id="page"):
            with Vertical(id="left"):
                yield RosterHead(id="head")
                yield Roster(self._line)
            yield AnswerPane(id="beside")
        with Scrolled(id="below"):
            yield Static(id="card")

    def on_mount(self) -> None:
        self._show_questions()
        self.tell_title("readiness")

    # data in

    def show(self, view: View) -> None:
        if self.browse.is_whole:
            self.query("#progress").remove()
        course = f" · {tidy(view.course.name)}" if view.course and view.studio.where.beside else ""
        self.tell_title((view.studio.name or "readiness") + course)
        errors = view.errors
        banner = self.query_one("#banner", Static)
        banner.display = bool(errors or view.since)
        banner.update(Content(view.since))
        if errors:
            first, more = errors[0], f" (and {len(errors) - 1} more)" if len(errors) > 1 else ""
            old = " What stands below is from before." if view.is_old and view.rows else ""
            banner.update(Content(f"! {spot(first)} {first.message}{more}.{old} Key p."))
        self._show_questions()
        self.lines = {}
        self._fill()

    def show_progress(self, done: int, of: int) -> None:
        """Show how far the first reading is, where it takes long enough to be seen."""
        from textual.widgets import ProgressBar

        if self.question != "today":
            self._fill()
        for bar in self.query(ProgressBar):
            bar.update(total=of, progress=done)
            return
        self.mount(ProgressBar(total=of, id="progress", show_eta=False), after="#page")

    def _show_questions(self) -> None:
        parts = []
        for key, (name, title) in enumerate(QUESTIONS.items(), 1):
            words = f"{key} {title}"
            is_asked = name == self.question
            shown = f"[{words}]" if is_asked else f" {words} "
            part = Content.styled(shown, "bold" if is_asked else "")
            parts.append(part.stylize(f"@click=screen.ask('{name}')"))
        self.query_one("#questions", Static).update(Content("").join(parts))

    def _fill(self) -> None:
        view = self.browse.view
        if view is not None:
            listed, empty = self._listed(view), self._why_empty(view)
            self.query_one(Roster).show(listed, empty, is_early=self.is_early)
            self.is_early = not self.browse.is_whole
            self.refresh_bindings()

    def _listed(self, view: View) -> Sequence[Listed]:
        part, is_today = folded(self.typed), self.question == "today"
        if is_today and not part and self.browse.is_whole and view.course is not None and view.rows:
            self._say_meant("")
            return sections_of(view)
        names = view.names
        if not is_today:
            rows = (row for row in view.rows if row.is_worked_out and self.question in row.lists)
            names = {row.record.id: row.found_by for row in rows}
        found, meant = looked_for(part, names)
        self._say_meant(meant)
        broken = view.studio.broken if is_today and not part else ()
        return [Listed("", key) for key in (*broken, *found)]

    def _say_meant(self, meant: str) -> None:
        """Say at the field for what a slip was taken."""
        guess = f'Nobody called "{self.typed}". Did you mean {capital(meant)}?' if meant else ""
        for field in self.query(Field):
            field.border_title = Content(guess)

    def _line(self, key: str) -> RosterLine:
        """Return a line, made when it is first seen."""
        view = self.browse.view
        assert view is not None
        if key not in self.lines:
            self.lines[key] = line_of(view, key, is_begun=self._is_begun(key))
        return self.lines[key]

    def _is_begun(self, key: str) -> bool:
        row = self.desk.row(key)
        return row is not None and bool(self.desk.begun(row) or self.desk.unwritten(row))

    def on_screen_resume(self) -> None:
        self.lines = {}
        self._fill()

    def _why_empty(self, view: View) -> str:
        """Return why nobody is in the list, and what to do about it."""
        if view.course is None:
            return "The course cannot be read, so nothing can be said yet. Key p shows the line."
        if not view.rows:
            where = view.studio.where.students
            return f"No students yet. Key w adds one, as `readiness enrol` does; each is a file in {where}."
        asked = "" if self.question == "today" else f": {QUESTIONS[self.question]}"
        if self.typed:
            return f'Nobody called "{self.typed}"{asked}. Escape shows everyone again.'
        if not self.browse.is_whole:
            return f"Nobody so far{asked}. Not everybody has been looked at yet."
        return f"Nobody{asked}. Key 1 shows the day and everyone."

    # messages

    def on_resize(self) -> None:
        self.call_after_refresh(self.on_pointed)

    def on_pointed(self) -> None:
        """Show who is marked: a few lines below, or, where there is room, the answer beside the list."""
        if self.has_class("-wide"):
            self.set_timer(MOMENT, partial(self._show_beside, self.student))
            return
        row = self.row()
        words = f"The file of {self.student} cannot be read now. Enter shows where and why."
        lines = self._card(row) if row else [Content(words if self.student else "")]
        self.query_one("#card", Static).update(Content("\n").join(lines))

    def _show_beside(self, key: str | None) -> None:
        """Show the answer of a student beside the list, if the cursor is still there."""
        row, beside = self.row(), self.query_one(AnswerPane)
        if key == self.student:
            beside.visible = row is not None
            if row is not None:
                beside.show(self.desk, row, row.answer, beside=(self._who(row), *self._known(row)))

    def _card(self, row: StudentRow) -> list[Content]:
        course = self.desk.course
        lines = [Content.styled(self._who(row), "bold")]
        thing = english.one_thing_line(row.answer, course)
        if self.has_class("-tall"):
            lines = [Content(large(english.verdict_large(row.answer))), Content(""), *lines]
        if thing:
            is_name = row.answer.one_thing is not None
            lines.append(Content(f"The one thing: {thing}" if is_name else capital(thing)))
        known = self._known(row)
        if self.has_class("-tall") and row.answer.one_thing is not None:
            known += [f"  - {tidy(one)}" for one in course.skill[row.answer.one_thing].remedies]
        return [*lines, *map(Content, known)]

    def _who(self, row: StudentRow) -> str:
        return f"{tidy(row.record.name)} · {unit_words(self.desk.course, row.answer.unit)}"

    def _known(self, row: StudentRow) -> list[str]:
        """Return what is to be known of a student beside the answer."""
        begun, brought = self.desk.begun(row), english.brought_line(row.answer, self.desk.course)
        found = [f"{care}."] if (care := _care(row)) else []
        found += [left] if (left := self.desk.unwritten(row)) else []
        found += [half_entered_words(begun)] if begun is not None else []
        promised = (english.promise_line(one, row.answer.on) for one in row.promises)
        return [*found, *english.odd_lines(row.odd), *promised, *filter(None, [brought])]

    def on_chosen(self, message: Chosen) -> None:
        """Open the student who was clicked twice."""
        if not isinstance(message, Pointed):
            self.action_open_why()

    def on_input_changed(self, event: Input.Changed) -> None:
        self.typed = event.value.strip()
        self._fill()

    def on_input_submitted(self) -> None:
        self.query_one(Roster).focus()

    # actions

    @property
    def student(self) -> str | None:
        """The marked student."""
        return self.query_one(Roster).marked or None

    @property
    def lesson_day(self) -> int | None:
        """The day that is not noted yet, on a line about one."""
        marked = self.query_one(Roster).marked_line
        return marked.day if marked else None

    def action_open_why(self) -> None:
        """Open the marked student, or the problems of a file that cannot be read."""
        if isinstance(self.focused, Outline):
            self.focused.action_select()
            return
        marked = self.query_one(Roster).marked
        if marked and self.desk.row(marked) is None:
            self.action_open("problems")
        elif marked:
            self.browse.go_to(marked)

    def action_ask(self, question: str) -> None:
        self.question = question
        self._show_questions()
        self._fill()

    def action_find(self) -> None:
        if not self.query(Field):
            words = "part of a name - Enter keeps it, Escape clears it"
            self.mount(Field(placeholder=words, id="find"), after="#below")
        self.query_one(Field).focus()
        self.refresh_bindings()

    def action_back(self) -> None:
        """Clear the field and the question."""
        self.query(Field).remove()
        self.typed = ""
        self.action_ask("today")
        self.query_one(Roster).focus()

    def check_action(self, action: str, parameters: tuple[object, ...]) -> bool | None:
        """Offer the way back only where there is something to go back from."""
        del parameters
        return action != "back" or self.question != "today" or bool(self.typed or self.query(Field))

    async def action_leave(self) -> None:
        await self.app.action_quit()
