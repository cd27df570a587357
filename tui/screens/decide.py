"""Move on, or stay: the teacher's decision, kept beside what was computed.

Both ways stand there alike. One key chooses, one question asks whether it is meant, and where
the decision differs from the verdict a few words say why. One key takes it back.
"""

from __future__ import annotations

from typing import ClassVar

from textual.widgets import Input

from readiness.words.brief import unit_line
from readiness.words.deciding import WHY_ASKED
from readiness.words.grammar import capital, tidy
from tui.actions import bindings_of
from tui.decision_desk import DecisionDesk
from tui.panes.field import WordField
from tui.screens.step import StepScreen
from tui.screens.sure import AreYouSure
from tui.view import View

__all__ = ["DecideScreen"]


class DecideScreen(StepScreen):
    """One student's decision of the day."""

    NAME = "decide"
    ABOUT = (
        "You decide whether a student moves on. What was computed and what you decide are both kept in the "
        "student's file; where the two differ, a few words say why. Key u takes it back."
    )
    BINDINGS: ClassVar = bindings_of("decide")
    WORDS = "why, in a few words"

    def __init__(self, decision: DecisionDesk) -> None:
        """Begin with nothing decided."""
        super().__init__()
        self.decision = decision
        self.decided = self.asked = ""

    @property
    def student(self) -> str:
        """Whose decision it is."""
        return self.decision.row.record.id

    def show(self, _view: View) -> None:
        """Take a new view; until something is decided, the page follows it."""
        row = self.row()
        if row is not None and not self.is_kept:
            self.decision.row = row
        self.draw()

    def headed(self) -> str:
        """Say whose decision it is."""
        row = self.decision.row
        return f"Decide · {tidy(row.record.name)} · {unit_line(row.answer, self.desk.course)}"

    def told(self, width: int) -> str:
        """Tell both ways alike, or ask why, or say what is kept."""
        ways = (self.asked,) if self.query_one(WordField).display else self.decision.ways()
        return self.decision.kept(self.decided, width) if self.is_kept else "\n\n".join(ways)

    # deciding

    def action_decide(self, decided: str) -> None:
        """Ask whether it is meant."""
        if self.is_kept:
            self.notify("This is decided. Key u takes it back.")
            return
        self.decided = decided
        self.app.push_screen(AreYouSure(self.decision.question(decided), "Keep it"), self._keep)

    def _keep(self, yes: bool | None, reason: str = "") -> None:
        if not yes:
            return
        refusal = self.decision.keep(self.decided, reason)
        if refusal is not None and refusal.id in WHY_ASKED and not reason:
            self.asked = WHY_ASKED[refusal.id]
            self.query_one(WordField).open((), "")
            self.draw()
        elif refusal is not None:
            self.notify(capital(refusal.message), severity="error", timeout=10)
        else:
            self.keep_shown()

    def on_input_submitted(self, event: Input.Submitted) -> None:
        """Keep the decision with the words; without any it is not kept."""
        event.stop()
        self.query_one(WordField).close()
        words = " ".join(event.value.split())
        self.draw()
        if words:
            self._keep(True, words)
        else:
            self.notify("Nothing was written: without a reason this is not decided.")

    def on_descendant_blur(self) -> None:
        """Show both ways again where the words were left."""
        self.draw()

    def action_take_back(self) -> None:
        """Take the decision back."""
        if not self.is_kept:
            self.notify("Nothing was decided here yet. Key m or s decides.")
        elif why_not := self.decision.take_back():
            self.notify(capital(why_not), severity="error")
        else:
            self.is_kept = False
            self.browse.look_now()
            self.draw()
            self.notify("The decision is out of the file again.")
