"""A lesson beside the piano: today's sheet, one key a level of help, nothing lost."""

from __future__ import annotations

from typing import ClassVar

from textual.app import ComposeResult
from textual.containers import Horizontal
from textual.content import Content
from textual.widgets import Digits, Footer, Input, OptionList, Static

from readiness.words.brief import LARGE, WHY_BRIEF, before_and_now, noted_line, unit_line
from readiness.words.grammar import capital, tidy
from tui.actions import bindings_of
from tui.lettering import large
from tui.messages import Pointed
from tui.panes.sheet_list import SheetList
from tui.screens.base import Title
from tui.screens.noting import HELP_KEYS, NotingScreen
from tui.screens.pick import PickSkill

__all__ = ["LessonScreen"]


class LessonScreen(NotingScreen):
    """One student's sheet of the day."""

    NAME = "lesson"
    ABOUT = (
        "Go down the sheet and press one key for each line: how it was shown. Every key is kept at once, "
        "also when the terminal closes; it is offered again next time. With s the lesson is noted in the "
        "student's file; what was not answered counts as not asked."
    )
    BINDINGS: ClassVar = bindings_of("lesson")

    def compose(self) -> ComposeResult:
        """Lay the screen out."""
        yield Title(id="title")
        with Horizontal(id="top"):
            yield Static(id="now")
            yield Digits("0:00", id="clock")
        yield SheetList(id="sheet")
        yield Static(id="about-line")
        yield Input(placeholder="a few words - Enter keeps them, Escape leaves them", id="remark")
        yield Static(Content(HELP_KEYS), id="help-keys")
        yield Footer()

    # drawing

    def _draw(self) -> None:
        if self.lesson is None or self.round is None:
            return
        row = self.row() or self.lesson.row
        self.tell_title(f"Lesson · {tidy(row.record.name)} · {unit_line(row.answer, self.desk.course)}")
        self._draw_now()
        self.query_one(SheetList).show(self.round, self.at)
        self._draw_line()

    def _draw_now(self) -> None:
        assert self.lesson is not None
        assert self.round is not None
        before = self.lesson.row.answer
        now = self.lesson.supposed(self.round.lesson.helps)
        pane = self.query_one("#now", Static)
        pane.set_class(now.verdict == "paused", "-paused")
        if now.verdict == "paused":
            pane.update(Content("NO PLAYING. Only what is on this list, and only if it is comfortable."))
        elif self.noted:
            words = f"Noted. Before: {LARGE[before.verdict].lower()}. Key u takes it back."
            pane.update(Content(f"{large(LARGE[now.verdict])}\n{words}"))
        else:
            minutes = f"{self.lesson.sheet.minutes} minutes · {noted_line(self.round.lesson)}"
            pane.update(Content(f"{before_and_now(before, now)}\n{minutes}"))

    def _draw_line(self) -> None:
        assert self.round is not None
        pane = self.query_one("#about-line", Static)
        if not self.round.asks:
            pane.update("Nothing needs a look today. Key + puts a skill on the sheet.")
            return
        ask = self.round.asks[self.at]
        if len(ask.skills) == 1:
            words = f"Shown when: {tidy(self.desk.course.skill[ask.skills[0]].shown_when)}"
        elif ask.skills:
            words = f"{ask.title}. Enter takes it apart."
        else:
            words = f"{capital(WHY_BRIEF[ask.why])}. Key r keeps a word about the lesson."
        remark = self.round.words(self.at)
        pane.update(Content(f'"{remark}" - {words}' if remark else words))

    def on_pointed(self, message: Pointed) -> None:
        """Follow the cursor of the sheet."""
        if message.key and self.round is not None and int(message.key) < len(self.round.asks):
            self.at = int(message.key)
            self._draw_line()

    def on_option_list_option_selected(self, _event: OptionList.OptionSelected) -> None:
        """Enter on a line takes a glance apart."""
        self.action_part()

    # actions

    def action_mark(self, given: int) -> None:
        """Note how the marked line was shown, and go on to the next."""
        if not self._can_change():
            return
        assert self.round is not None
        if self.round.asks[self.at].skills:
            self.round.mark(self.at, None if given < 0 else given)
            self._keep()
        self.at = min(self.at + 1, len(self.round.asks) - 1)
        self._draw()

    def action_part(self) -> None:
        """Take a glance apart."""
        if self._can_change():
            assert self.round is not None
            assert self.lesson is not None
            skills = self.round.asks[self.at].skills
            self.round.open_up(self.at, [self.lesson.title((skill,)) for skill in skills])
            self._draw()

    def action_add(self) -> None:
        """Choose another skill for the sheet."""
        if self.noted or self.round is None:
            return
        self.app.push_screen(PickSkill(self.desk.course), self._add)

    def _add(self, skill: str | None) -> None:
        if skill is not None and self.round is not None and self.lesson is not None:
            self.at = self.round.add(skill, self.lesson.title((skill,)))
            self._draw()
