"""A lesson beside the piano: today's sheet, one key a level of help, nothing lost."""

from __future__ import annotations

from collections.abc import Iterator
from typing import ClassVar

from textual.content import Content
from textual.widget import Widget
from textual.widgets import OptionList, Static

from readiness.record.noting import NewLesson
from readiness.terms import Verdict
from readiness.words.brief import WHY_BRIEF, before_and_now, noted_line, unit_line
from readiness.words.grammar import capital, date_words, tidy
from readiness.words.noting import noted_quietly
from readiness.words.sheet import expected_words
from tui.actions import bindings_of
from tui.messages import Pointed
from tui.panes.sheet_list import SheetList
from tui.round import Ask, Round
from tui.screens.noting import NotingScreen
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
    AUTO_FOCUS: ClassVar[str] = "#sheet"

    def _round(self, kept: NewLesson | None) -> Round:
        return self.lesson.round(kept)

    def _body(self) -> Iterator[Widget]:
        yield SheetList(id="sheet")
        yield Static(id="about-line")

    # drawing

    def _draw(self) -> None:
        row = self.row() or self.lesson.row
        day = self.lesson.row.day
        other = "" if day == row.day else f" of {date_words(day, row.day)}"
        self.tell_title(f"Lesson{other} · {self.who} · {unit_line(row.answer, self.desk.course)}")
        self._draw_now()
        self.query_one(SheetList).show(self.round, self.at)
        self._draw_line()

    def _draw_now(self) -> None:
        before = self.lesson.row.answer
        now = self.lesson.supposed(self.round.lesson.helps)
        pane = self.query_one("#now", Static)
        pane.set_class(now.verdict == Verdict.PAUSED, "-paused")
        pane.set_class(self.noted, "-noted")
        if self.noted:
            pane.update(Content(noted_quietly(self._finished(), before, now, self.desk.course)))
        elif now.verdict == Verdict.PAUSED:
            pane.update(Content("NO PLAYING. Only what is on this list, and only if it is comfortable."))
        else:
            minutes = f"{self.lesson.sheet.minutes} minutes · {noted_line(self.round.lesson)}"
            pane.update(Content(f"{before_and_now(before, now)}\n{minutes}"))

    def _draw_line(self) -> None:
        pane = self.query_one("#about-line", Static)
        if self.ask is None:
            pane.update("Nothing needs a look today. Key + puts a skill on the sheet.")
            return
        pane.update(Content(" - ".join(filter(None, (self.beside(self.ask), self._about(self.ask))))))

    def _about(self, ask: Ask) -> str:
        if len(ask.skills) == 1:
            skill = self.desk.course.skill[ask.skills[0]]
            shown_when = f"Shown when: {tidy(skill.shown_when)}"
            counts = expected_words(self.lesson.sheet.instrument) if skill.counts_groups else ""
            return "  ".join(filter(None, [shown_when, counts, self.lesson.remark(ask.skills)]))
        if ask.skills:
            return f"{self.round.title(self.at)}. Enter takes it apart."
        return f"{capital(WHY_BRIEF[ask.why])}. Key r keeps a word about the lesson."

    def on_pointed(self, message: Pointed) -> None:
        """Follow the cursor of the sheet."""
        if message.key and int(message.key) < len(self.round.asks):
            self.at = int(message.key)
            self._draw_line()

    def on_option_list_option_selected(self, _event: OptionList.OptionSelected) -> None:
        """Enter on a line takes a glance apart."""
        self.action_part()

    # noting

    def _go_on(self) -> None:
        self.at = min(self.at + 1, len(self.round.asks) - 1)

    def _finished(self) -> NewLesson:
        return self.round.finished()

    def _outcome(self) -> str:
        return before_and_now(self.lesson.row.answer, self.lesson.supposed(self.round.lesson.helps))

    def _write(self) -> str:
        return self.lesson.note(self._finished())

    def action_add(self) -> None:
        """Choose another skill for the sheet."""
        if self._can_change():
            self.app.push_screen(PickSkill(self.desk.course), self._add)

    def _add(self, skill: str | None) -> None:
        if skill is not None:
            self.at = self.round.add(skill)
            self._draw()
