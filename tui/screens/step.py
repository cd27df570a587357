"""What the pages of one step share: a text, a field for a few words, something kept once.

What is said, asked and kept is each page's own.
"""

from __future__ import annotations

from collections.abc import Iterator
from typing import Final

from textual.containers import Container, VerticalScroll
from textual.content import Content
from textual.events import Key
from textual.widget import Widget
from textual.widgets import Input, Static

from readiness.advice.ground import may_be_placed, unit_begun
from readiness.record.load import load_without_course, seen_from
from readiness.terms import Verdict
from readiness.words.cautions import pause_first, pause_question
from readiness.words.entries import WHY_ASKED, decided_words, decision_question, paused_words, ways_words
from readiness.words.grammar import capital, tidy, unit_words
from readiness.words.layout import Parts, lay_out, plain
from readiness.words.noting import CROSSED_OUT
from tui.actions import with_keys
from tui.outline import AnswerPane
from tui.screens.base import BaseScreen
from tui.screens.forms import AreYouSure, Pick, letter_typed
from tui.view import StudentRow, View
from tui.widgets import WordField
from tui.writing import keep_decision, keep_pause, mark_of_last, taken_back

__all__ = ["DecideScreen", "PauseScreen", "StepScreen"]


_WIDE: Final = 10_000
"""Cells for a paragraph that is broken into lines where it is shown, with the keys in it."""


class StepScreen(BaseScreen):
    """A page about one step of one student; ``WORDS`` is what its field asks for."""

    AUTO_FOCUS = "VerticalScroll"
    WORDS = ""

    is_kept = False

    def __init__(self, row: StudentRow) -> None:
        super().__init__(row.record.id)
        self.of = row

    def show(self, _view: View) -> None:
        """Take a new view; once something is kept, the page stays with the one it was kept at."""
        row = self.row()
        if row is not None and not self.is_kept:
            self.of = row
        self.draw()

    def body(self) -> Iterator[Widget]:
        with Container(id="page"):
            with VerticalScroll(id="draft"):
                yield Static(id="draft-text")
            yield from self.beside()
        yield WordField(self.desk.words(self.NAME, self.of), self.WORDS)

    def beside(self) -> Iterator[Widget]:
        """Yield what stands beside the text, or below it where there is less room."""
        yield from ()

    def draw(self) -> None:
        """Show the title and the text, as soon as there is anything to show."""
        if self.browse.view is not None:
            self.tell_title(self.headed())
            whole = with_keys(lay_out(self.told(), _WIDE).rstrip("\n"), self.NAME)
            self.query_one("#draft-text", Static).update(Content(whole))

    def headed(self) -> str:
        """Return the title."""
        raise NotImplementedError

    def told(self) -> Parts:
        """Return the text."""
        raise NotImplementedError

    def on_key(self, event: Key) -> None:
        """Take a letter that is no key as the first of the words: nothing is decided by typing them."""
        if not self.is_kept and (typed := letter_typed(event, self)):
            event.stop()
            self.begin_words(typed)

    def begin_words(self, typed: str) -> None:
        """Open the field for words that somebody began to type; those of before are there still."""
        field = self.query_one(WordField)
        field.typed.setdefault((), typed)
        field.open((), "")

    def keep_shown(self) -> None:
        """Show that something is kept, here and everywhere."""
        self.is_kept = True
        self.browse.look_now()
        self.draw()


class DecideScreen(StepScreen):
    """One student's decision of the day."""

    NAME = "decide"
    ABOUT = (
        "You decide whether a student moves on. What was computed and what you decide are both kept in the "
        "student's file; where the two differ, a few words say why. Key u takes it back."
    )
    WORDS = "why, in a few words - Enter keeps them"

    decided = asked = mark = reason = ""
    begins: str | None = None  # the unit that was chosen

    def beside(self) -> Iterator[Widget]:
        """Yield the answer with its reasons."""
        yield AnswerPane(id="beside")

    def show(self, view: View) -> None:
        if (row := self.row()) is not None:
            self.query_one(AnswerPane).show(self.desk, row, row.answer)
        super().show(view)
        self.refresh_bindings()

    def headed(self) -> str:
        """Say whose decision it is."""
        return f"Decide · {tidy(self.of.record.name)} · {unit_words(self.desk.course, self.of.answer.unit)}"

    def told(self) -> Parts:
        """Tell both ways alike, or ask why, or say what is kept."""
        p = self.desk.phrases(self.of)
        if self.is_kept:
            begun = unit_begun(p.course, p.record, p.answer, self.begins)
            return decided_words(p, self.decided, begun if self.decided == "move" else None)
        is_asked = self.asked and self.query_one(WordField).display
        return [self.asked] if is_asked else ways_words(p, self.begins)

    # deciding

    def action_decide(self, decided: str) -> None:
        if self.is_kept:
            self.notify("This is decided. Key u takes it back.")
            return
        self.decided = decided
        words = decision_question(self.desk.phrases(self.of), decided, self.begins)
        words += f'\n\n"{tidy(self.reason)}"' if self.reason else ""
        key = decided[0]  # the first letter of the words, where the next one is typed
        question = AreYouSure(words, "Keep it")
        question.typed = lambda more: self.begin_words(key + more)
        self.ask(question, lambda _: self._keep(self.reason))

    def check_action(self, action: str, parameters: tuple[object, ...]) -> bool | None:
        """Offer no move during a pause; the page says why. Offer units to who has not begun one."""
        if action == "other":
            return may_be_placed(self.of.record, self.of.answer) and not self.is_kept
        return (action, parameters) != ("decide", ("move",)) or self.of.answer.verdict != Verdict.PAUSED

    def action_other(self) -> None:
        """Choose the unit to begin in."""
        units = {one.id: f"{one.number:>2}  {tidy(one.name)}" for one in self.desk.course.units}
        self.ask(Pick(f"{tidy(self.of.record.name)} begins with", units), self._begin_with)

    def _begin_with(self, unit: str) -> None:
        self.begins = unit
        self.draw()

    def _keep(self, reason: str = "") -> None:
        refusal = keep_decision(self.desk, self.of, self.decided, reason, self.begins)
        if refusal is not None and refusal.id in WHY_ASKED and not reason:
            self.asked = WHY_ASKED[refusal.id]
            self.query_one(WordField).open((), "")
            self.draw()
        elif refusal is not None:
            self.notify(capital(refusal.message), severity="error", timeout=10)
        else:
            self.reason = ""
            if reason:
                self.query_one(WordField).typed.clear()
            self.mark = mark_of_last(self.of.path, "[[decision]]")
            self.keep_shown()

    def on_input_submitted(self, event: Input.Submitted) -> None:
        """Keep the decision with the words; without any it is not kept."""
        event.stop()
        self.query_one(WordField).close(is_kept=False)
        words = self.reason = " ".join(event.value.split())
        is_asked, self.asked = bool(self.asked), ""
        self.draw()
        if words and is_asked:
            self._keep(words)
        elif words:
            self.notify("Nothing is decided yet. Key m or s decides, with these words.")
        else:
            self.notify("Nothing was written: without a reason this is not decided.")

    def on_descendant_blur(self) -> None:
        """Show both ways again where the words were left."""
        if not self.query_one(WordField).display:
            self.asked = ""
        self.draw()

    def action_take_back(self) -> None:
        if not self.is_kept:
            self.notify("Nothing was decided here yet. Key m or s decides.")
        elif why_not := taken_back(self.of.path, self.mark):
            self.notify(capital(why_not), severity="error")
        else:
            self.is_kept = False
            self.browse.look_now()
            self.draw()
            self.notify(f"The decision does not count any more. {CROSSED_OUT}", timeout=15)


class PauseScreen(StepScreen):
    """One student's pause."""

    NAME = "pause"
    ABOUT = (
        "Somebody said that something hurts. Stop playing first. Choose what rests, type what was said, and "
        "the pause is kept in the student's file; only an adult ends it: key w of the student."
    )
    WORDS = "what was said - Enter keeps it"

    part = words = ""

    def on_mount(self) -> None:
        """Say that words which are kept nowhere are still here."""
        if self.query_one(WordField).typed:
            self.notify("Not kept yet. The words are still here; keys 1 to 3 bring them back.")

    def headed(self) -> str:
        """Say whose pause it is."""
        return f"Pause · {tidy(self.of.record.name)}"

    def told(self) -> Parts:
        """Say what comes first, then that the hold is kept."""
        if not self.is_kept:
            return map(plain, pause_first(self.of.record, self.of.answer.on))
        record = load_without_course(self.of.path).record or self.of.record
        return paused_words(seen_from(record, self.desk.course), record.holds[-1]) if record.holds else ()

    def action_rest(self, part: str) -> None:
        """Choose what rests, and ask for the words; those of before are there still."""
        if self.is_kept:
            self.notify("The pause is kept. Only an adult ends it.")
            return
        self.part = part
        self.query_one(WordField).open((), "")

    def begin_words(self, typed: str) -> None:
        """Take them as what was said: everything rests until a key says what does."""
        self.part = self.part or "all"
        super().begin_words(typed)

    def on_input_submitted(self, event: Input.Submitted) -> None:
        """Ask whether it is meant."""
        event.stop()
        self.words = " ".join(event.value.split())
        self.query_one(WordField).close(is_kept=False)
        if self.words:
            words = pause_question(self.of.record, self.part, self.words)
            self.app.push_screen(AreYouSure(words, "Pause"), self._keep)
        else:
            self.notify("Not kept yet: please say in a few words what was said.")

    def _keep(self, yes: int | None) -> None:
        if not yes:
            self.on_mount()
            return
        if why_not := keep_pause(self.desk, self.of, self.part, self.words):
            self.notify(capital(why_not), severity="error", timeout=20)
            return
        self.query_one(WordField).typed.clear()
        self.keep_shown()
