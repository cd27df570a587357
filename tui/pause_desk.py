"""The part of the desk for a pause: what comes first, and keeping the hold.

Like :mod:`tui.desk` it knows no screen. What is written is what ``readiness pause`` writes; in the
demo that comes with the program nothing is written. Nothing here takes a hold back.
"""

from __future__ import annotations

from readiness.files.writing import Refusal
from readiness.record.load import load_without_course
from readiness.record.noting import check_day, odd_letters
from readiness.record.steps import open_hold
from readiness.words.brief import NOT_IN_THE_DEMO
from readiness.words.pausing import pause_first, pause_question
from readiness.words.steps import paused_words, unpaused_words
from tui.desk import Desk
from tui.view import Row

__all__ = ["PauseDesk"]


class PauseDesk:
    """One student's pause on the day of the desk."""

    def __init__(self, desk: Desk, row: Row) -> None:
        """Begin; nothing is kept yet."""
        self.desk, self.row = desk, row

    def first(self) -> tuple[str, ...]:
        """Return what comes first, and what is asked then."""
        return pause_first(self.row.record, self.row.answer.on)

    def question(self, part: str, words: str) -> str:
        """Return the question before the hold is kept."""
        return pause_question(self.row.record, part, words)

    def keep(self, part: str, words: str) -> str:
        """Keep the hold; return why it was not, with what comes first all the same."""
        refusal = self._refused(part, words)
        return unpaused_words(refusal.message) if refusal is not None else ""

    def _refused(self, part: str, words: str) -> Refusal | None:
        if self.desk.is_demo:
            return Refusal("demo", NOT_IN_THE_DEMO)
        record, day = self.row.record, self.row.answer.on
        for refusal in (*check_day(record, day, self.desk.latest_day), *odd_letters(words)):
            return refusal
        assert record.path is not None
        return open_hold(record, record.path.parent, day, words, part)

    def kept(self, width: int) -> str:
        """Return what was kept, in words."""
        path = self.row.record.path
        assert path is not None
        record = load_without_course(path).record or self.row.record
        return paused_words(record, record.holds[-1], width) if record.holds else ""
