"""A lesson beside the piano: what its plan and sheet have, one key a level of help, nothing lost."""

from __future__ import annotations

from collections.abc import Iterator
from typing import ClassVar

from textual.content import Content
from textual.events import Key
from textual.widget import Widget
from textual.widgets import Static

from readiness.advice.offer import Answers
from readiness.record.noting import NewLesson
from readiness.words.english import WHY_BRIEF, before_and_now, noted_line
from readiness.words.grammar import capital, date_words, tidy, unit_words
from readiness.words.noting import noted_quietly
from readiness.words.paused import ended_lines
from readiness.words.sheet import expected_words
from tui.messages import Pointed
from tui.panes.sheet_list import SheetList
from tui.screens.noting import NotingScreen
from tui.screens.pick import pick_skill

__all__ = ["LessonScreen"]


class LessonScreen(NotingScreen):
    """One student's sheet of the day."""

    NAME = "lesson"
    ABOUT = (
        "Go down the lesson and press one figure for each line: how it was shown. Enter passes a line by as "
        "not asked. A capital letter goes to its line; of several, one figure answers them all. Every key is "
        "kept at once, also when the terminal closes; it is offered again next time. With q the lesson is "
        "noted in the student's file."
    )
    AUTO_FOCUS: ClassVar[str] = "#sheet"

    def _round(self, kept: NewLesson | None) -> Answers:
        return self.lesson.round(self.lesson.offer.lines, kept)

    def _sheet(self) -> Iterator[Widget]:
        yield SheetList(id="sheet")
        yield Static(id="about-line")

    # drawing

    def _draw(self) -> None:
        row = self.row() or self.lesson.row
        day = self.lesson.row.day
        other = "" if day == row.day else f" of {date_words(day, row.day)}"
        self.tell_title(f"Lesson{other} · {self.who} · {unit_words(self.desk.course, row.answer.unit)}")
        self._draw_now()
        self.query_one(SheetList).show(self.round, self.lesson.title, self.lesson.last)
        self._draw_line()

    def _draw_now(self) -> None:
        before, day = self.lesson.row.answer, self.lesson.row.day
        now = self.lesson.supposed(self.round.lesson.helps)
        pane, notice = self.query_one("#now", Static), self.lesson.notice
        pane.set_class(bool(notice), "-paused")
        pane.set_class(self.noted, "-noted")
        if self.noted:
            pane.update(Content(noted_quietly(self._finished(), before, now, self.desk.course)))
        elif notice:
            pane.update(Content(notice))
        else:
            minutes = f"{self.lesson.sheet.minutes} minutes · {noted_line(self.round.lesson)}"
            ended = ended_lines(self.desk.course, self.lesson.row.record, day)
            pane.update(Content("\n".join((*ended, before_and_now(before, now), minutes))))

    def _draw_line(self) -> None:
        if skills := self.round.asked_skills:
            told = " - ".join(filter(None, (self.beside(skills), self._about(skills))))
        elif self.round.lines:
            told = "That was the last line. Key q notes it; a letter or an arrow leads back to one."
        else:
            told = "Nothing needs a look today. Key + finds a skill."
        self.query_one("#about-line", Static).update(Content(told))

    def _about(self, skills: tuple[str, ...]) -> str:
        """Return why a line is there, how it was last, and what counts."""
        if len(asked := self.round.asked) > 1:
            names = "; ".join(self.lesson.title(line.skills) for line in asked)
            return f"{names}. One key answers all of these."
        why = (WHY_BRIEF.get(self.round.asked[0].why, ""), self.lesson.last(skills))
        told = f"{capital('; '.join(filter(None, why)))}."
        if len(skills) > 1:
            return f"{self.lesson.title(skills)}. {told} Key s takes it apart."
        skill = self.desk.course.skill[skills[0]]
        counts = expected_words(self.lesson.sheet.instrument) if skill.counts_groups else ""
        shown = f"Shown when: {tidy(skill.shown_when)}"
        return "  ".join(filter(None, [told, shown, counts, self.lesson.remark(skills)]))

    def on_pointed(self, message: Pointed) -> None:
        at = self.query_one(SheetList).highlighted
        if message.key == str(at) and at not in (self.round.at, *self.round.picked):
            self.round.at, self.round.picked = int(message.key), []
            self._draw_line()

    def on_key(self, event: Key) -> None:
        """A capital letter calls its line."""
        if event.is_printable and event.key.isupper():
            event.stop()
            self.action_press(event.key)

    # noting

    def _finished(self) -> NewLesson:
        return self.round.finished()

    def _outcome(self) -> str:
        return before_and_now(self.lesson.row.answer, self.lesson.supposed(self.round.lesson.helps))

    def _write(self) -> str:
        return self.lesson.note(self._finished())

    def _other(self) -> None:
        """Find any other skill by a few letters; it is asked next."""
        self.app.push_screen(pick_skill(self.desk.course), self._add)

    def _add(self, skill: str | None) -> None:
        if skill is not None:
            self.round.picked = [self.round.line_of((skill,))]
            self._draw()
