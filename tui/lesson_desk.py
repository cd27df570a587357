"""The part of the desk for a lesson: today's sheet, what is kept, noting and taking back.

Like :mod:`tui.desk` it knows no screen. It writes only through the library: half-entered
answers beside the student's file, and the finished lesson as one block at its end. In the demo
that comes with the program nothing is written; there the desk itself keeps what was entered.
"""

from __future__ import annotations

from collections.abc import Mapping
from functools import cached_property
from pathlib import Path

from readiness.files.writing import Refusal
from readiness.judging.answer import Answer
from readiness.planning.placing.round import PlacingRound, placing_round
from readiness.planning.sheet import Sheet, check_sheet
from readiness.planning.under_hold import played_under_hold
from readiness.record import half_done
from readiness.record.model import HELPS
from readiness.record.noting import NewLesson, note_lesson
from readiness.record.placing_lesson import note_placing_lesson
from readiness.record.taking_back import take_back
from readiness.words.brief import NOT_IN_THE_DEMO, glance_words, noted_line
from readiness.words.grammar import capital, tidy
from readiness.words.held import played_words
from readiness.words.phrases import Phrases
from readiness.words.remarked import remark_lines
from tui.desk import Desk
from tui.round import Ask, Round
from tui.view import Row

__all__ = ["LessonDesk"]


class LessonDesk:
    """One student's lesson on the day of the desk."""

    def __init__(self, desk: Desk, row: Row) -> None:
        """Begin; the student's file is that of the row."""
        assert row.record.path is not None
        self.desk, self.row = desk, row
        self.path: Path = row.record.path
        self.folder = self.path.parent
        self.unfinished = desk.unfinished.setdefault(self.path, {})
        self._placing: tuple[object, PlacingRound] | None = None

    @cached_property
    def sheet(self) -> Sheet:
        """Today's sheet."""
        return check_sheet(self.desk.course, self.row.record, self.row.answer)

    def kept(self) -> NewLesson | None:
        """Return what was half entered before, if anything was."""
        lesson = self.desk.in_hand.get(self.path) or half_done.offered(self.path)
        if lesson is None or lesson.is_empty:
            return None
        return half_done.understood(self.desk.course, lesson)

    def round(self, kept: NewLesson | None = None) -> Round:
        """Return a round over today's sheet, with what was kept of it."""
        asks = [Ask(item.skills, item.why) for item in self.sheet.items]
        return Round(asks, kept or NewLesson(self.row.answer.on), self.title)

    def placing(self, kept: NewLesson | None = None) -> Round:
        """Return a round whose questions follow from the answers, with what was kept of it."""
        return Round((), kept or NewLesson(self.row.answer.on), self.title)

    def remark(self, skills: tuple[str, ...]) -> str:
        """Return what was last remarked about the skills of a line, empty for nothing."""
        say = Phrases(self.row.answer, self.desk.course, self.row.record)
        return "  ".join(remark_lines(say, self.sheet.said, skills))

    @cached_property
    def disliked(self) -> frozenset[str]:
        """What was noted as not liked, up to the day of the lesson."""
        return self.row.record.disliked(self.row.answer.on)

    def title(self, skills: tuple[str, ...]) -> str:
        """Return what a line of the sheet is called."""
        return glance_words([tidy(self.desk.course.skill[skill].name) for skill in skills])

    def keep(self, lesson: NewLesson) -> str:
        """Keep a half-entered lesson safe; return why it could not be, if so."""
        if lesson.is_empty:
            return self.drop()
        if self.desk.is_demo:
            self.desk.in_hand[self.path] = lesson
            return ""
        refusal = half_done.keep(self.path, lesson, self.row.record)
        return refusal.message if refusal else ""

    def unkept(self, lesson: NewLesson) -> str:
        """Return what would be lost by leaving it, and why it cannot be kept; empty where nothing would."""
        why_not = "" if lesson.is_empty else self.keep(lesson)
        if not why_not:
            return ""
        return (
            f"Not kept: {noted_line(lesson)}. {capital(why_not)} It is still here. "
            "Key s notes it; key x forgets it, and then Escape leads back."
        )

    def drop(self) -> str:
        """Forget what was half entered; return why it is still there, if so."""
        self.desk.in_hand.pop(self.path, None)
        if self.desk.is_demo:
            return ""
        refusal = half_done.drop(self.path)
        return refusal.message if refusal else ""

    def held(self, lesson: NewLesson) -> str:
        """Return what comes first where something was played while a hold is open; empty elsewhere."""
        course = self.desk.course
        played = played_under_hold(course, self.row.record, lesson.on, lesson.helps)
        return " ".join(played_words(course, played, was_noted=False))

    def supposed(self, helps: Mapping[str, int]) -> Answer:
        """Return the answer with what was shown so far."""
        if not helps:
            return self.row.answer
        changes = {f"show.{skill}": HELPS[given] for skill, given in helps.items()}
        return self.desk.supposed(self.row, changes)[0]

    def stands(self, lesson: NewLesson) -> PlacingRound:
        """Return where a placing lesson stands with these answers, and its next look."""
        asked = (lesson.on, tuple(lesson.helps.items()), lesson.not_tried)
        if self._placing is None or self._placing[0] != asked:
            found = placing_round(
                self.desk.course, self.row.record, lesson.on, lesson.helps, lesson.not_tried
            )
            self._placing = (asked, found)
        return self._placing[1]

    def note(self, lesson: NewLesson) -> str:
        """Note the finished lesson; return why it was not, if so."""
        if self.desk.is_demo:
            return NOT_IN_THE_DEMO
        self.keep(lesson)
        refusals = note_lesson(self.desk.course, self.row.record, lesson, self.folder, self.desk.latest_day)
        return self._after(refusals)

    def note_placing(self, lesson: NewLesson) -> str:
        """Note a placing lesson; return why it was not, if so."""
        if self.desk.is_demo:
            return NOT_IN_THE_DEMO
        self.keep(lesson)
        latest = self.desk.latest_day
        refusals = note_placing_lesson(self.desk.course, self.row.record, lesson, self.folder, latest)
        return self._after(refusals)

    def _after(self, refusals: tuple[Refusal, ...]) -> str:
        if refusals:
            return " ".join(one.message for one in refusals)
        self.drop()
        return ""

    def take_back(self) -> str:
        """Take the lesson that was noted last back; return why not, if so."""
        found = take_back(self.path, self.folder, "lesson")
        return found.message if isinstance(found, Refusal) else ""
