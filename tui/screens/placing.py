"""A new student's first lessons: one look at a time, and where it would start so far.

What is asked next is what tells most after all that was shown (``advice.placing``); every key
is kept at once, like in any lesson. The start is rule R10's, the same the command ``place`` shows.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import replace
from typing import ClassVar

from textual.containers import Horizontal, VerticalScroll
from textual.content import Content
from textual.widget import Widget
from textual.widgets import Static

from readiness.advice.offer import Answers
from readiness.advice.placing.round import PlacingRound
from readiness.record.noting import NewLesson
from readiness.words.english import noted_line
from readiness.words.grammar import tidy
from readiness.words.layout import Paragraph, lay_out
from readiness.words.phrases import Phrases
from readiness.words.placing_round import begin_words, next_look, room_words, so_far_words, start_words
from tui.actions import with_keys
from tui.panes.headline import fits, large
from tui.panes.lines import Fitted
from tui.panes.sheet_list import noted_words
from tui.screens.noting import NotingScreen

__all__ = ["PlacingScreen"]


class PlacingScreen(NotingScreen):
    """The looks of a placing lesson."""

    NAME = "placing"
    CALLED = "placing lesson"
    NOTHING_ASKED = "Key q notes what was seen, u goes back, Escape keeps it for later."
    ABOUT = (
        "One look at a time: always the one that tells most about where to start, the easier one where two "
        "tell as much. Ask, watch, press one key. Beside it stands where this student would start so far. It "
        "says when it is enough; with q it ends sooner, and what was seen is noted."
    )
    AUTO_FOCUS: ClassVar[str] = "#question-box"

    def _round(self, kept: NewLesson | None) -> Answers:
        return self.lesson.round((), kept)

    def _sheet(self) -> Iterator[Widget]:
        with Horizontal(id="placing-page"):
            with VerticalScroll(id="question-box"):
                yield Static(id="question")
            with VerticalScroll(id="so-far"):
                yield Fitted(id="so-far-text")

    @property
    def stands(self) -> PlacingRound:
        """Where the round stands."""
        return self.lesson.stands(self.round.lesson)

    # drawing

    def _draw(self) -> None:
        self.tell_title(f"Where does {self.who} start?")
        look, lines = self.stands.next, self.round.lines
        self.round.at = self.round.line_of(look.skills, look.why) if look else len(lines)
        self._draw_now()
        self.query_one("#question", Static).update(Content("\n").join(self._question()))
        self.query_one(Fitted).tell(self._so_far)

    def _draw_now(self) -> None:
        pane = self.query_one("#now", Static)
        pane.set_class(self.stands.stop == "paused", "-paused")
        pane.update(Content(f"{noted_line(self.round.lesson)}\n{self._keys()}"))

    def _keys(self) -> str:
        """Return where the round stands, and the key that ends it."""
        if self.noted:
            return "Noted. Key u takes it back."
        if self.stands.stop == "paused":
            return self.lesson.notice
        if self.round.asked:
            return f"{room_words(self.stands)} Key q stops here and notes what was seen."
        return "" if self.round.lesson.is_empty else "Key q notes what was seen."

    def _question(self) -> Iterator[Content]:
        """Yield what is asked for, or why nothing is, and what was asked before."""
        asked, course = self.round.asked_skills, self.desk.course
        if self.noted or not asked:
            ended: Iterable[Paragraph] = () if self.stands.next else next_look(self.stands, course)
            begins = begin_words(self.stands, self.lesson.row.record.id, course, other="")
            last: Iterable[str] = (begins if self.noted or not begins else self.NOTHING_ASKED,)
        else:
            ended, last = next_look(self._told_now(asked), course), self._more(asked)
        first, *rest = (with_keys(one, self.NAME) for one in (*(one.text for one in ended), *last))
        yield Content.styled(first, "bold" if asked and not self.noted else "")
        yield from (Content(line) for one in rest for line in ("", one))
        lesson = self.round.lesson
        given = [(skill, noted_words(help_)) for skill, help_ in lesson.helps.items()]
        given += [(skill, noted_words("left")) for skill in lesson.not_tried]
        if given:
            yield from (Content(""), Content("Asked so far:"))
        for skill, words in reversed(given):
            yield Content(f"{words:<16} {self.lesson.title((skill,))}")

    def _told_now(self, asked: tuple[str, ...]) -> PlacingRound:
        """Return the round with the look that is shown: a glance may have been taken apart."""
        look = self.stands.next
        return replace(self.stands, next=look and replace(look, skills=asked))

    def _more(self, asked: tuple[str, ...]) -> Iterator[str]:
        """Yield what was noted beside it, and which unit it is from."""
        if beside := self.beside(asked):
            yield beside
        if len(asked) > 1:
            yield "Key s takes the glance apart."
        else:
            unit = self.desk.course.unit[self.desk.course.skill[asked[0]].unit]
            yield f"From unit {unit.number}, {tidy(unit.name)}."

    def _so_far(self, width: int) -> Content:
        now = self.stands
        answer = self.lesson.supposed(self.round.lesson.helps)
        told = so_far_words(now, Phrases(answer, self.desk.course, self.lesson.row.record))
        text = lay_out(told, max(20, width)).rstrip("\n")
        head = f"UNIT {self.desk.course.unit[now.start].number}"
        big = f"{large(head)}\n\n" if text and now.looks and fits(head, width) else ""
        return Content(big + text)

    # noting

    def _finished(self) -> NewLesson:
        return self.round.lesson

    def _outcome(self) -> str:
        return start_words(self.stands, self.desk.course)

    def _write(self) -> str:
        return self.lesson.note(self._finished(), is_placing=True)
