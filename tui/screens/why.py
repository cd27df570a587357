"""The page the program is for: why a student moves up or not, and what if."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from pathlib import Path

from textual.content import Content
from textual.widget import Widget

from readiness.terms import Verdict
from readiness.words.english import odd_lines, supposed_line
from readiness.words.grammar import tidy, unit_words
from tui.messages import Chosen, Pointed
from tui.panes.lines import Fitted
from tui.panes.reasons import AnswerPane, Outline
from tui.panes.switches import Supposed, Switches
from tui.screens.base import BaseScreen
from tui.view import StudentRow, View

__all__ = ["WhyScreen"]


class WhyScreen(BaseScreen):
    """One student's answer with its reasons."""

    NAME = "why"
    ABOUT = (
        "The answer stands in large letters; below it what decides. Enter opens a line to the notes it "
        "rests on, with the line of the file. The four switches ask what if: the answer is worked out again "
        "at once, and nothing is saved."
    )
    AUTO_FOCUS = "Outline"

    def __init__(self, student: str) -> None:
        super().__init__(student)
        self.supposed = Supposed()

    def body(self) -> Iterator[Widget]:
        yield AnswerPane(Switches(id="switches"), id="answer")

    # data in

    def show(self, _view: View) -> None:
        self._draw()

    def _draw(self) -> None:
        row = self.row()
        if row is None:
            self.tell_unread()
            return
        course = self.desk.course
        changes = self.supposed.changes(course, row.answer)
        answer = self.desk.supposed(row, changes)[0] if changes else row.answer
        self.tell_title(f"{tidy(row.record.name)} · {unit_words(course, row.answer.unit)}")
        supposed = f" {supposed_line(row.answer, answer)} " if changes else ""
        self.query_one(AnswerPane).show(self.desk, row, answer, supposed, self._beside(row))
        self._draw_switches(changes)

    def _beside(self, row: StudentRow) -> Iterator[str]:
        """Yield what is to be known of the day and of the file."""
        if self.browse.view is not None and self.browse.view.since:
            yield self.browse.view.since
        yield from odd_lines(row.odd)

    def _draw_switches(self, changes: Mapping[str, str]) -> None:
        row = self.row()
        if row is None:
            return
        switches = self.query_one(Switches)
        switches.display = row.answer.verdict not in (Verdict.PAUSED, Verdict.NOT_PLACED)
        switches.show(self.supposed, self.desk.course, row.answer, self._marked_skill())

        def told(width: int) -> Content:
            text = self.desk.compared(row, changes, max(24, width)) if changes else ""
            return Content(text.partition("\n\n")[2].strip())

        switches.query_one(Fitted).tell(told)

    def _marked_skill(self) -> str:
        """Return the skill that is marked, else the first that decides."""
        row = self.row()
        subject = self.query_one(Outline).subject
        if subject or row is None:
            return subject
        return next((one.skill for one in row.answer.blockers if one.skill), row.answer.one_thing or "")

    # messages

    def on_pointed(self, message: Pointed) -> None:
        """Let the switches be about the marked skill."""
        row = self.row()
        if row is not None and message.key:
            self._draw_switches(self.supposed.changes(self.desk.course, row.answer))

    def on_chosen(self, message: Chosen) -> None:
        if not isinstance(message, Pointed):
            self.action_suppose(message.key)

    # actions

    def place(self) -> tuple[Path, int] | None:
        """Return the line of the last note about the marked skill, else that of the last lesson."""
        row, skill = self.row(), self._marked_skill()
        if row is not None and skill in row.answer.standings:
            for note in reversed(row.answer.standings[skill].evidence):
                return row.path, note.line
        return super().place()

    def action_suppose(self, name: str) -> None:
        if self.row() is None or not self.query_one(Switches).display:
            return
        skill = self._marked_skill()
        self.supposed.turn(name, skill, self.desk.course.skill[skill].kind if skill else "")
        self._draw()

    def _text(self) -> str:
        row = self.row()
        if row is None:
            return ""
        changes = self.supposed.changes(self.desk.course, row.answer)
        return self.desk.compared(row, changes) if changes else self.desk.text(row)

    def action_copy(self) -> None:
        self.app.copy_to_clipboard(self._text())
        self.notify("Copied as plain text. If your terminal does not allow it: key f saves it as a file.")

    def action_save_text(self) -> None:
        row = self.row()
        if row is None:
            return
        path = Path.cwd() / f"{row.record.id}-why.txt"
        try:
            path.write_text(self._text(), encoding="utf-8")
        except OSError as error:
            self.notify(f"Not saved: {error.strerror}.", severity="error")
        else:
            self.notify(f"Saved as {path}. It names a child; keep it where only you can read it.")

    def action_tellings(self) -> None:
        from tui.screens.answers import TellingsScreen

        assert self.student is not None
        self.app.push_screen(TellingsScreen(self.student))

    def action_go(self, step: int) -> None:
        """Go to another student, with nothing supposed."""
        self.supposed = Supposed()
        super().action_go(step)
