"""A lesson beside the piano: today's sheet, one key a level of help, nothing lost.

After every key the round is kept beside the student's file. It becomes a lesson only when
the teacher stops and says so; then the answer before and after stands in large letters, and
one key takes it back.
"""

from __future__ import annotations

from datetime import datetime
from typing import ClassVar

from textual.app import ComposeResult
from textual.containers import Horizontal
from textual.content import Content
from textual.widgets import Digits, Footer, Input, OptionList, Static

from readiness.words.brief import LARGE, WHY_BRIEF, before_and_now, noted_line, unit_line
from readiness.words.grammar import date_words, tidy
from tui.actions import ACTIONS, bindings_of
from tui.desk import View
from tui.lesson_desk import LessonDesk
from tui.lettering import large
from tui.messages import Pointed
from tui.panes.sheet_list import SheetList
from tui.round import Round
from tui.screens.base import Sheet, Title
from tui.screens.pick import PickSkill
from tui.screens.sure import AreYouSure

__all__ = ["LessonScreen"]

HELP_KEYS = "  ".join(f"{row.all_keys} {row.title.lower()}" for row in ACTIONS if row.id.startswith("mark("))


class LessonScreen(Sheet):
    """One student's sheet of the day."""

    NAME = "lesson"
    ABOUT = (
        "Go down the sheet and press one key for each line: how it was shown. Every key is kept at once, also "
        "when the terminal closes; it is offered again next time. With s the lesson is noted in the student's "
        "file; what was not answered counts as not asked."
    )
    BINDINGS: ClassVar = bindings_of("lesson")
    AUTO_FOCUS = "SheetList"

    def __init__(self, student: str) -> None:
        """Keep whose lesson it is."""
        super().__init__()
        self._student = student
        self.lesson: LessonDesk | None = None
        self.round: Round | None = None
        self.at = 0
        self.began: datetime | None = None
        self.noted = False

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

    @property
    def student(self) -> str:
        """Whose lesson it is."""
        return self._student

    def on_mount(self) -> None:
        """Start the clock."""
        self.began = self.desk.now()
        self.set_interval(1, self._tick)
        super().on_mount()

    def _tick(self) -> None:
        assert self.began is not None
        seconds = int((self.desk.now() - self.began).total_seconds())
        self.query_one(Digits).update(f"{seconds // 60}:{seconds % 60:02}")

    # data in

    def show(self, view: View) -> None:
        """Take a new view; what is being entered stays."""
        row = self.row()
        if row is None or self.round is not None:
            if self.round is not None:
                self._draw()
            return
        self.lesson = LessonDesk(self.desk, row)
        kept = self.lesson.kept()
        self.round = self.lesson.round(kept)
        if kept is not None:
            self.notify(f"Kept from {date_words(kept.on)}: {noted_line(kept)}. Go on, or x to begin afresh.")
        self._draw()

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
            pane.update(Content(f"{large(LARGE[now.verdict])}\nNoted. Before: {LARGE[before.verdict].lower()}. Key u takes it back."))
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
            pane.update(Content(f"Shown when: {tidy(self.desk.course.skill[ask.skills[0]].shown_when)}"))
        elif ask.skills:
            pane.update(Content(f"{ask.title}. Enter takes it apart."))
        else:
            pane.update(Content(f"{WHY_BRIEF[ask.why]}: the student chooses. Key r keeps a word about the lesson.".capitalize()))

    def on_pointed(self, message: Pointed) -> None:
        """Follow the cursor of the sheet."""
        if message.key and self.round is not None and int(message.key) < len(self.round.asks):
            self.at = int(message.key)
            self._draw_line()

    def on_option_list_option_selected(self, event: OptionList.OptionSelected) -> None:
        """Enter on a line takes a glance apart."""
        self.action_part()

    # actions

    def _can_change(self) -> bool:
        if self.noted:
            self.notify("This lesson is noted. Key u takes it back, Escape goes back to the student.")
        return self.round is not None and bool(self.round.asks) and not self.noted

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

    def _keep(self) -> None:
        assert self.lesson is not None
        assert self.round is not None
        why_not = self.lesson.keep(self.round.lesson)
        if why_not:
            self.notify(why_not, severity="error")

    def action_part(self) -> None:
        """Take a glance apart."""
        if self._can_change():
            assert self.round is not None
            assert self.lesson is not None
            skills = self.round.asks[self.at].skills
            self.round.open_up(self.at, [self.lesson.title((skill,)) for skill in skills])
            self._draw()

    def action_remark(self) -> None:
        """Open the field for a word of remark."""
        if self._can_change():
            assert self.round is not None
            field = self.query_one(Input)
            field.value = self.round.words(self.at)
            field.display = True
            field.focus()

    def on_input_submitted(self, event: Input.Submitted) -> None:
        """Keep the remark."""
        event.stop()
        if self.round is not None:
            self.round.remark(self.at, " ".join(event.value.split()))
            self._keep()
        self._close_field()
        self._draw()

    def _close_field(self) -> None:
        self.query_one(Input).display = False
        self.query_one(SheetList).focus()

    def action_undo(self) -> None:
        """Take the last answer back; after noting, the lesson."""
        if self.round is None or self.lesson is None:
            return
        if self.noted:
            self._take_back()
        elif self.round.undo():
            self._keep()
            self._draw()
        else:
            self.notify("Nothing to take back.")

    def _take_back(self) -> None:
        assert self.lesson is not None
        why_not = self.lesson.take_back()
        if why_not:
            self.notify(why_not, severity="error")
            return
        self.noted = False
        self._keep()
        self.browse.look_now()
        self.notify("The lesson is out of the file again; your answers are still here.")
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

    def action_afresh(self) -> None:
        """Ask whether to forget what was half entered."""
        if self._can_change() and self.round is not None and not self.round.lesson.is_empty:
            words = f"Forget what was entered ({noted_line(self.round.lesson)}) and begin afresh?"
            self.app.push_screen(AreYouSure(words, "Begin afresh"), self._begin_afresh)

    def _begin_afresh(self, yes: bool | None) -> None:
        if yes and self.lesson is not None:
            self.lesson.drop()
            self.round, self.at = self.lesson.round(), 0
            self._draw()

    def action_stop(self) -> None:
        """Ask whether to note what was seen."""
        if not self._can_change():
            return
        assert self.round is not None
        assert self.lesson is not None
        if not self.round.lesson.helps and not self.round.lesson.note:
            self.notify("Nothing was entered yet, so there is nothing to note.")
            return
        now = self.lesson.supposed(self.round.lesson.helps)
        words = (
            f"{self._what()}, {date_words(self.round.lesson.on)}\n\n{noted_line(self.round.finished())}\n\n"
            f"{before_and_now(self.lesson.row.answer, now)}"
        )
        self.app.push_screen(AreYouSure(words, "Note it"), self._note)

    def _what(self) -> str:
        assert self.lesson is not None
        return f"Note this lesson of {tidy(self.lesson.row.record.name)}"

    def _note(self, yes: bool | None) -> None:
        if not yes or self.round is None or self.lesson is None:
            return
        why_not = self._write()
        if why_not:
            self.notify(why_not, severity="error", timeout=10)
            return
        self.noted = True
        self.browse.look_now()
        self._draw()

    def _write(self) -> str:
        assert self.lesson is not None
        assert self.round is not None
        return self.lesson.note(self.round.finished())

    def action_back(self) -> None:
        """Leave the field; else go back. What was entered is kept."""
        if self.query_one(Input).has_focus:
            self._close_field()
            return
        if self.round is not None and not self.noted and not self.round.lesson.is_empty:
            self.notify("Kept. It is offered again when you open the lesson.")
        super().action_back()
