"""The part of the desk for a decision: what it would mean, keeping it, taking it back.

Like :mod:`tui.desk` it knows no screen. What is written is what ``readiness decide`` writes, by the
same functions of the library; in the demo that comes with the program nothing is written.
"""

from __future__ import annotations

from readiness.files.writing import Refusal
from readiness.planning.deciding import decision_on, unit_begun
from readiness.record.noting import check_day, odd_letters
from readiness.record.steps import decide
from readiness.record.taking_back import take_back
from readiness.words.brief import NOT_IN_THE_DEMO
from readiness.words.deciding import decision_question, ways_words
from readiness.words.steps import decided_words
from tui.desk import Desk
from tui.view import Row

__all__ = ["DecisionDesk"]


class DecisionDesk:
    """One student's decision on the day of the desk."""

    def __init__(self, desk: Desk, row: Row) -> None:
        """Begin; the answer that stands beside the decision is that of the row."""
        self.desk, self.row = desk, row

    def ways(self) -> tuple[str, ...]:
        """Return what was computed and what either decision would mean."""
        return ways_words(self.row.answer, self.desk.course, self.row.record)

    def question(self, decided: str) -> str:
        """Return the question before a decision is kept."""
        return decision_question(self.row.answer, self.desk.course, self.row.record, decided)

    def keep(self, decided: str, reason: str = "") -> Refusal | None:
        """Keep a decision; return why it was not, if so."""
        if self.desk.is_demo:
            return Refusal("demo", NOT_IN_THE_DEMO)
        record, answer, course = self.row.record, self.row.answer, self.desk.course
        for refusal in (*check_day(record, answer.on, self.desk.latest_day), *odd_letters(reason)):
            return refusal
        assert record.path is not None
        decision = decision_on(course, record, answer, decided, reason)
        return decide(record, record.path.parent, decision, unit_begun(course, record, answer))

    def kept(self, decided: str, width: int) -> str:
        """Return what was kept, in words."""
        course, answer = self.desk.course, self.row.answer
        begun = unit_begun(course, self.row.record, answer) if decided == "move" else None
        return decided_words(answer, course, self.row.record, decided, begun, width)

    def take_back(self) -> str:
        """Take the decision that was kept last back; return why not, if so."""
        path = self.row.record.path
        assert path is not None
        found = take_back(path, path.parent, "decision")
        return found.message if isinstance(found, Refusal) else ""
