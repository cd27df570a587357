"""The part of the desk for a lesson: today's sheet, what is kept, noting and taking back.

Like :mod:`tui.desk` it knows no screen. It writes only through the library: half-entered
answers beside the student's file, and the finished lesson as one block at its end.
"""

from __future__ import annotations

from collections.abc import Mapping
from datetime import date
from pathlib import Path

from readiness.files.writing import Refusal
from readiness.judging.answer import Answer
from readiness.planning.sheet import Sheet, check_sheet
from readiness.record import half_done
from readiness.record.append import add_blocks, take_back
from readiness.record.blocks import block
from readiness.record.model import HELPS
from readiness.record.noting import NewLesson, check_lesson, lesson_text, note_lesson
from readiness.words.brief import NOT_IN_THE_DEMO, glance_words
from readiness.words.grammar import tidy
from tui.desk import Desk
from tui.round import Ask, Round
from tui.view import Row

__all__ = ["LessonDesk"]


class LessonDesk:
    """One student's lesson on the day of the desk."""

    def __init__(self, desk: Desk, row: Row) -> None:
        """Take the sheet of the day; the student's file is that of the row."""
        assert row.record.path is not None
        self.desk, self.row = desk, row
        self.path: Path = row.record.path
        self.folder = self.path.parent
        self.sheet: Sheet = check_sheet(desk.course, row.record, row.answer)

    def kept(self) -> NewLesson | None:
        """Return what was half entered before, if anything was and it can still be noted."""
        lesson = half_done.offered(self.path)
        known = self.desk.course.skill
        if lesson is None or lesson.is_empty:
            return None
        return lesson if {*lesson.helps, *lesson.not_tried, *lesson.remarks} <= set(known) else None

    def round(self, kept: NewLesson | None = None) -> Round:
        """Return a round over today's sheet, with what was kept of it."""
        lesson = kept or NewLesson(self.row.answer.on)
        asks = [Ask(item.skills, item.why, self.title(item.skills)) for item in self.sheet.items]
        found = Round(asks, lesson)
        found.asks = [
            ask if ask.why != "added" else Ask(ask.skills, "added", self.title(ask.skills))
            for ask in found.asks
        ]
        return found

    def title(self, skills: tuple[str, ...]) -> str:
        """Return what a line of the sheet is called."""
        names = [tidy(self.desk.course.skill[skill].name) for skill in skills]
        return glance_words(names)

    def keep(self, lesson: NewLesson) -> str:
        """Keep a half-entered lesson safe; return why it could not be, if so."""
        if self.desk.is_demo:
            return ""
        if lesson.is_empty:
            half_done.drop(self.path)
            return ""
        refusal = half_done.keep(self.path, lesson)
        return refusal.message if refusal else ""

    def drop(self) -> None:
        """Forget what was half entered."""
        if not self.desk.is_demo:
            half_done.drop(self.path)

    def supposed(self, helps: Mapping[str, int]) -> Answer:
        """Return the answer with what was shown so far."""
        if not helps:
            return self.row.answer
        changes = {f"show.{skill}": HELPS[given] for skill, given in helps.items()}
        return self.desk.supposed(self.row, changes)[0]

    def next_question(self, lesson: NewLesson) -> Ask | None:
        """Return what a placing lesson asks next, after what was answered."""
        answered = {*lesson.helps, *lesson.not_tried}
        answer = self.supposed(lesson.helps)
        sheet = check_sheet(self.desk.course, self.row.record, answer)
        for item in sheet.items:
            open_ = tuple(skill for skill in item.skills if skill not in answered)
            if open_:
                return Ask(open_[:1], item.why, self.title(open_[:1]))
        return None

    def note(self, lesson: NewLesson) -> str:
        """Note the finished lesson; return why it was not, if so."""
        if self.desk.is_demo:
            return NOT_IN_THE_DEMO
        refusals = note_lesson(self.desk.course, self.row.record, lesson, self.folder, self.desk.latest_day)
        return self._after(refusals)

    def note_placing(self, lesson: NewLesson) -> str:
        """Note a placing lesson: the lesson and, in the same entry, that it was one."""
        if self.desk.is_demo:
            return NOT_IN_THE_DEMO
        listed = (*lesson.helps, *lesson.not_tried)
        refusals = check_lesson(self.desk.course, self.row.record, lesson, listed, self.desk.latest_day)
        if not refusals:
            text = lesson_text(lesson)
            if not any(one.on == lesson.on for one in self.row.record.placings):
                text = block("placing", [("on", date.fromordinal(lesson.on))]) + "\n" + text
            refusal = add_blocks(self.path, self.folder, text)
            refusals = () if refusal is None else (refusal,)
        return self._after(refusals)

    def _after(self, refusals: tuple[Refusal, ...]) -> str:
        if refusals:
            return " ".join(one.message for one in refusals)
        half_done.drop(self.path)
        return ""

    def take_back(self) -> str:
        """Take the lesson that was noted last back; return why not, if so."""
        found = take_back(self.path, self.folder)
        return found.message if isinstance(found, Refusal) else ""
