"""What a lesson and a placing lesson share: keys of help, a clock, undo, and nothing lost.

After every key the round is kept beside the student's file. It becomes a lesson only when
the teacher stops and says so; one key takes it back.
"""

from __future__ import annotations

from datetime import datetime
from typing import ClassVar, Final

from textual.widgets import Digits, Input

from readiness.words.brief import before_and_now, noted_line
from readiness.words.grammar import date_words, tidy
from tui.actions import ACTIONS
from tui.lesson_desk import LessonDesk
from tui.round import Round
from tui.screens.base import Sheet
from tui.screens.sure import AreYouSure
from tui.view import View

__all__ = ["HELP_KEYS", "NotingScreen"]

HELP_KEYS: Final = "  ".join(
    f"{row.all_keys} {row.title.lower()}" for row in ACTIONS if row.id.startswith("mark(")
)
"""The keys of help in one line, from the table of actions."""


class NotingScreen(Sheet):
    """One student's lesson being noted. Whoever derives from it lays out and draws."""

    AUTO_FOCUS: ClassVar[str] = "#sheet"

    def __init__(self, student: str) -> None:
        """Keep whose lesson it is."""
        super().__init__()
        self._student = student
        self.lesson: LessonDesk | None = None
        self.round: Round | None = None
        self.at = 0
        self.began: datetime | None = None
        self.noted = False
        self.is_about_lesson = False

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

    def show(self, _view: View) -> None:
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
        """Show the round as it stands."""

    # actions

    def _can_change(self) -> bool:
        if self.noted:
            self.notify("This lesson is noted. Key u takes it back, Escape goes back to the student.")
        return self.round is not None and bool(self.round.asks) and not self.noted

    def _keep(self) -> None:
        assert self.lesson is not None
        assert self.round is not None
        why_not = self.lesson.keep(self.round.lesson)
        if why_not:
            self.notify(why_not, severity="error")

    def action_remark(self) -> None:
        """Open the field for a word of remark about the marked line."""
        if self._can_change():
            assert self.round is not None
            self._open_field(self.round.words(self.at), is_about_lesson=False)

    def action_about_lesson(self) -> None:
        """Open the field for a word about the whole lesson."""
        if self._can_change():
            assert self.round is not None
            self._open_field(self.round.lesson.note, is_about_lesson=True)

    def _open_field(self, words: str, *, is_about_lesson: bool) -> None:
        self.is_about_lesson = is_about_lesson
        field = self.query_one(Input)
        field.value = words
        field.display = True
        field.focus()

    def on_input_submitted(self, event: Input.Submitted) -> None:
        """Keep the words."""
        event.stop()
        words = " ".join(event.value.split())
        if self.round is not None and self.is_about_lesson:
            self.round.note(words)
        elif self.round is not None:
            self.round.remark(self.at, words)
        self._keep()
        self._close_field()
        self._draw()

    def _close_field(self) -> None:
        self.query_one(Input).display = False
        self.query_one(self.AUTO_FOCUS).focus()

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
