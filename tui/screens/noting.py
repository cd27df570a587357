"""What a lesson and a placing lesson share: keys of help, a clock, undo, and nothing lost.

After every key the round is kept beside the student's file. It becomes a lesson only when
the teacher stops and says so; one key takes it back. Where it cannot be kept, nobody is led
away from it.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping
from dataclasses import replace
from datetime import datetime
from typing import ClassVar

from textual.containers import Horizontal
from textual.content import Content
from textual.widget import Widget
from textual.widgets import Digits, Input, Static

from readiness.advice.offer import KEYS, Answers
from readiness.record.noting import NewLesson
from readiness.words.english import noted_line
from readiness.words.grammar import capital, date_words, tidy
from readiness.words.noting import NOTHING_THERE, pausing_words, touch_words
from readiness.words.placing_round import beside_words
from tui.actions import help_keys, with_keys
from tui.panes.field import WordField
from tui.screens.base import BaseScreen
from tui.screens.page import AreYouSure, TextPage
from tui.view import View
from tui.writing import LessonDesk

__all__ = ["NotingScreen"]


class NotingScreen(BaseScreen):
    """One student's lesson being noted. Whoever derives from it asks, and draws."""

    CALLED: ClassVar[str] = "lesson"
    NOTHING_ASKED: ClassVar[str] = "No line is asked now; an arrow leads to one."

    def __init__(self, lesson: LessonDesk) -> None:
        super().__init__(lesson.row.record.id)
        self.lesson = lesson
        self.round = self._round(lesson.kept)
        self.began: datetime | None = None
        self.noted = False

    # what a lesson and a placing lesson do each in their own way

    def _round(self, kept: NewLesson | None) -> Answers:
        """Return a round with what was kept."""
        raise NotImplementedError

    def _sheet(self) -> Iterator[Widget]:
        """Yield what stands between the head and the field."""
        raise NotImplementedError

    def _draw(self) -> None:
        """Show the round as it stands."""
        raise NotImplementedError

    def _finished(self) -> NewLesson:
        """Return the lesson to be noted."""
        raise NotImplementedError

    def _outcome(self) -> str:
        """Return what the answers so far come to."""
        raise NotImplementedError

    def _write(self) -> str:
        """Note the lesson; return why it was not, if so."""
        raise NotImplementedError

    def _other(self) -> None:
        """Find another skill."""

    # laying out

    def body(self) -> Iterator[Widget]:
        with Horizontal(id="top"):
            yield Static(id="now")
            yield Digits("0:00", id="clock")
        yield from self._sheet()
        yield WordField(self.lesson.unfinished)
        yield Static(Content(help_keys()), id="help-keys")

    @property
    def who(self) -> str:
        """What the student is called."""
        return tidy((self.row() or self.lesson.row).record.name)

    def on_mount(self) -> None:
        self.began = self.desk.now()
        self.set_interval(1, self._tick)
        if (was := self.lesson.kept) is not None:
            self.notify(f"Kept from {date_words(was.on)}. Go on, or x to start again.")

    def _tick(self) -> None:
        assert self.began is not None
        seconds = int((self.desk.now() - self.began).total_seconds())
        self.query_one(Digits).update(f"{seconds // 60}:{seconds % 60:02}")

    def show(self, _view: View | None = None) -> None:
        """Take a new view; what is being entered stays, and what a pause does not allow is asked no more."""
        row = self.row()
        if row is not None and not self.noted:
            self.lesson.take(row.record)
            self.round.rest(row.record, self.lesson.row.day)
        self._draw()

    # answering

    def _can_change(self) -> bool:
        if self.noted:
            self.notify("This lesson is noted. Key u takes it back, Escape goes back to the student.")
        return not self.noted

    def _keep(self) -> None:
        if why_not := self.lesson.keep(self.round.lesson):
            self.notify(capital(why_not), severity="error")

    def action_press(self, key: str) -> None:
        """Do what a key of the round means (see KEYS); what needs words opens a field for them."""
        if self.noted and KEYS[key] == "back":
            self._take_back()
        elif self._can_change():
            skills, was = self.round.asked_skills, self.round.lesson
            does = self.round.press(key)
            if self.round.lesson is not was:
                self._keep()
            self._draw()
            self._opens(skills).get(does, lambda: None)()
            record = self.lesson.row.record
            if not touch_words(record, was) and (told := touch_words(record, self.round.lesson)):
                self.notify(told, severity="warning", timeout=15)
            if does is None:
                self.notify(NOTHING_THERE.get(KEYS[key], self.NOTHING_ASKED))

    def _opens(self, skills: tuple[str, ...]) -> Mapping[int | str | None, Callable[[], None]]:
        words = self.round.words(skills) if skills else self.round.lesson.note
        return {
            "remark": lambda: self.query_one(WordField).open(skills, words),
            "whole": lambda: self.query_one(WordField).open((), self.round.lesson.note),
            "other": self._other,
            "stop": self._stop,
            "done": self._note_at_once,
        }

    def _take_back(self) -> None:
        why_not = self.lesson.take_back()
        if why_not:
            self.notify(capital(why_not), severity="error")
            return
        self.noted = False
        self._keep()
        self.browse.look_now()
        self.notify("The lesson is out of the file again; your answers are still here.")
        self._draw()

    # words

    def beside(self, skills: tuple[str, ...]) -> str:
        """Return what was noted of some skills beside how they were shown: words, a liking, a second try."""
        words = self.round.words(skills)
        told = (f'"{words}"' if words else "", capital(beside_words(self.round.lesson, skills)))
        return " - ".join(filter(None, told))

    def on_input_submitted(self, event: Input.Submitted) -> None:
        """Keep the words; where they speak of pain, say how to pause."""
        event.stop()
        field = self.query_one(WordField)
        words = " ".join(event.value.split())
        self.round.remark(field.subject, words)
        self._keep()
        field.close()
        self._draw()
        if hurt := pausing_words(self.lesson.row.record, NewLesson(self.round.lesson.on, note=words)):
            self.app.push_screen(TextPage(f"{with_keys(hurt, self.NAME)}\n\nEnter or Escape goes on."))

    # noting, leaving

    def action_afresh(self) -> None:
        """Ask whether to forget what was half entered."""
        if self._can_change() and not self.round.lesson.is_empty:
            words = f"Forget what was entered ({noted_line(self.round.lesson)}) and start again?"
            self.app.push_screen(AreYouSure(words, "Start again", is_usual=False), self._begin_afresh)

    def _begin_afresh(self, yes: bool | None) -> None:
        if yes:
            if why_not := self.lesson.drop():
                self.notify(capital(why_not), severity="error")
            self.lesson = LessonDesk(self.desk, self.lesson.asked)
            self.round = self._round(None)
            self.query_one(WordField).forget()
            self.show()

    def _has_answers(self) -> bool:
        """Say so where nothing was entered that could be noted."""
        is_empty = replace(self.round.lesson, not_tried=()).is_empty
        if is_empty:
            self.notify("Nothing was entered yet, so there is nothing to note.")
        return not is_empty

    def _stop(self) -> None:
        """Ask whether to note what was seen."""
        if not self._has_answers():
            return
        lesson = self.round.lesson
        doubt = "\n\n".join(filter(None, (self.lesson.held(lesson), self.lesson.doubts(lesson))))
        words = (
            f"Note this {self.CALLED} of {self.who}, {date_words(lesson.on)}\n\n"
            f"{noted_line(self._finished())}\n\n{doubt or self._outcome()}"
        )
        self.app.push_screen(AreYouSure(words, "Note it", is_usual=not doubt), self._note)

    def _note_at_once(self) -> None:
        """Note what was seen, without a question where nothing has to be asked."""
        if self.lesson.doubts(self.round.lesson) or self.lesson.held(self.round.lesson):
            self._stop()
        else:
            self._note(self._has_answers())

    def _note(self, yes: bool | None) -> None:
        if not yes:
            return
        why_not = self._write()
        if why_not:
            self.notify(capital(why_not), severity="error", timeout=10)
            return
        self.noted = True
        self.app.clear_notifications()  # what was said of keeping the answers is settled now
        self.browse.look_now()
        self._draw()
        if hurt := pausing_words(self.lesson.row.record, self.round.lesson):
            self.notify(hurt, severity="warning", timeout=20)

    def unkept(self) -> str:
        """Return what would be lost by leaving, and why it cannot be kept; empty where nothing would."""
        return "" if self.noted else self.lesson.unkept(self.round.lesson)

    def action_back(self) -> None:
        """Go back, if what was entered is kept."""
        if lost := self.unkept():
            self.app.push_screen(TextPage(f"{lost}\n\nEnter or Escape closes this."))
            return
        if not self.noted and not self.round.lesson.is_empty:
            until = " until you leave the program" if self.desk.is_demo else ""
            self.notify(f"Kept{until}. It is offered again when you open the lesson.")
        super().action_back()
