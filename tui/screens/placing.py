"""A new student's first lesson: one question at a time, and where it would start so far.

What is asked next follows from what was shown; every key is kept at once, like in any
lesson. The result is provisional until a second lesson (rule R10), and says so.
"""

from __future__ import annotations

from typing import ClassVar

from textual.app import ComposeResult
from textual.containers import Horizontal, VerticalScroll
from textual.content import Content
from textual.widgets import Digits, Footer, Input, Static

from readiness.words.brief import WHY_BRIEF, noted_line
from readiness.words.grammar import tidy
from readiness.words.phrases import Phrases
from readiness.words.placing import placing_sections
from tui.actions import bindings_of
from tui.lettering import fits, large
from tui.panes.sheet_list import noted_words
from tui.round import Ask
from tui.screens.base import Title
from tui.screens.noting import HELP_KEYS, NotingScreen

__all__ = ["PlacingScreen"]


class PlacingScreen(NotingScreen):
    """The questions of a placing lesson."""

    NAME = "placing"
    ABOUT = (
        "One question at a time, from easy to hard. Ask, watch, press one key. On the right stands where "
        "this student would start so far; it is provisional until a second lesson. Two clear misses in a "
        "row are enough: then stop with s."
    )
    BINDINGS: ClassVar = bindings_of("placing")
    AUTO_FOCUS: ClassVar[str] = "#question-box"

    question: Ask | None = None

    def compose(self) -> ComposeResult:
        """Lay the screen out."""
        yield Title(id="title")
        with Horizontal(id="top"):
            yield Static(id="now")
            yield Digits("0:00", id="clock")
        with Horizontal(id="placing-page"):
            with VerticalScroll(id="question-box"):
                yield Static(id="question")
            with VerticalScroll(id="so-far", can_focus=False):
                yield Static(id="so-far-text")
        yield Input(placeholder="a few words - Enter keeps them, Escape leaves them", id="remark")
        yield Static(Content(HELP_KEYS), id="help-keys")
        yield Footer()

    # drawing

    def _draw(self) -> None:
        if self.lesson is None or self.round is None:
            return
        row = self.row() or self.lesson.row
        self.tell_title(f"Where does {tidy(row.record.name)} start?")
        self.question = None if self.noted else self.lesson.next_question(self.round.lesson)
        self._draw_question()
        self._draw_so_far()

    def _draw_question(self) -> None:
        assert self.lesson is not None
        assert self.round is not None
        self.query_one("#now", Static).update(Content(noted_line(self.round.lesson)))
        pane = self.query_one("#question", Static)
        if self.question is None:
            words = (
                "Noted. Key u takes it back." if self.noted else "Nothing more to ask today. Key s notes it."
            )
            pane.update(Content(words))
            return
        skill = self.desk.course.skill[self.question.skills[0]]
        unit = self.desk.course.unit[skill.unit]
        pane.update(Content("\n").join([
            Content(WHY_BRIEF.get(self.question.why, "")),
            Content(""),
            Content.styled(tidy(skill.name), "bold"),
            Content(""),
            Content(tidy(skill.shown_when)),
            Content(""),
            Content.styled(f"unit {unit.number}, {tidy(unit.name)}", "dim"),
            *self._asked_lines(),
        ]))  # fmt: skip

    def _asked_lines(self) -> list[Content]:
        """Return what was asked so far, the latest first."""
        assert self.round is not None
        assert self.lesson is not None
        lesson = self.round.lesson
        given = [(skill, noted_words(help_)) for skill, help_ in lesson.helps.items()]
        given += [(skill, noted_words("left")) for skill in lesson.not_tried]
        lines = [Content(f"{words:<16} {self.lesson.title((skill,))}") for skill, words in reversed(given)]
        return [Content(""), Content("Asked so far:"), *lines] if lines else []

    def _draw_so_far(self) -> None:
        assert self.lesson is not None
        assert self.round is not None
        answer = self.lesson.supposed(self.round.lesson.helps)
        pane = self.query_one("#so-far-text", Static)
        if answer.placing is None:
            pane.update("")
            return
        number = self.desk.course.unit[answer.placing.start_unit].number
        say = Phrases(answer, self.desk.course, self.lesson.row.record)
        sections = [one for one in tuple(placing_sections(say))[1:5] if one.paragraphs]
        text = "\n\n".join(
            "\n".join([one.title, *(f"{part.lead}{part.text}" for part in one.paragraphs)])
            for one in sections
        )
        head = f"UNIT {number}"
        big = f"{large(head)}\n\n" if fits(head, 30) else ""
        pane.update(Content(big + text))

    # actions

    def action_mark(self, given: int) -> None:
        """Note how the question was answered, and ask the next."""
        if self.round is None or self.noted or self.question is None:
            return
        at = self.round.add(self.question.skills[0], self.question.title)
        alone = self.round.asks[at]
        if len(alone.skills) > 1:
            assert self.lesson is not None
            self.round.open_up(at, [self.lesson.title((skill,)) for skill in alone.skills])
            at = self.round.add(self.question.skills[0], self.question.title)
        self.round.mark(at, None if given < 0 else given)
        self.at = at
        self._keep()
        self._draw()

    def action_stop(self) -> None:
        """Note only what was asked."""
        if self.round is not None:
            answered = {*self.round.lesson.helps, *self.round.lesson.not_tried}
            self.round.asks = [ask for ask in self.round.asks if set(ask.skills) <= answered]
        super().action_stop()

    def _what(self) -> str:
        assert self.lesson is not None
        return f"Note this placing lesson of {tidy(self.lesson.row.record.name)}"

    def _write(self) -> str:
        assert self.lesson is not None
        assert self.round is not None
        return self.lesson.note_placing(self.round.finished())
