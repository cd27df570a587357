"""Which screen opens from which: the one place that knows them all."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from types import MappingProxyType
from typing import Final

from textual.screen import Screen

from readiness.words.cautions import caution
from readiness.words.grammar import tidy
from tui.desk import AnswerDesk
from tui.screens.answers import AnswersScreen
from tui.screens.base import BaseScreen
from tui.screens.course import CourseScreen
from tui.screens.lesson import LessonScreen
from tui.screens.page import AskDay
from tui.screens.placing import PlacingScreen
from tui.screens.problems import ProblemsScreen
from tui.screens.step import DecideScreen, PauseScreen
from tui.view import StudentRow
from tui.writing import DecisionDesk, LessonDesk, PauseDesk

__all__ = ["screen_from"]


def screen_from(sheet: BaseScreen, what: str) -> Screen[None] | None:
    """Return a screen to be opened from another; None where there is nothing to open, which is said."""
    if what == "problems":
        return ProblemsScreen()
    if what == "course":
        there = sheet.browse.view is not None and sheet.browse.view.course is not None
        return CourseScreen(sheet.student) if there else None
    row = sheet.row()
    if row is not None:
        return _OF_A_STUDENT[what](sheet, row)
    if what == "pause":
        sheet.notify(caution("C1"), severity="error", timeout=20)
    sheet.say_nobody()
    return None


def _lesson(sheet: BaseScreen, row: StudentRow) -> Screen[None]:
    desk = LessonDesk(sheet.desk, row)
    return LessonScreen(desk) if row.answer.placing is None else PlacingScreen(desk)


def _placing(sheet: BaseScreen, row: StudentRow) -> Screen[None] | None:
    if row.answer.placing is not None:
        return PlacingScreen(LessonDesk(sheet.desk, row))
    sheet.notify(f"{row.record.name} has begun a unit; placing is for a student who has not.")
    return None


def _another_day(sheet: BaseScreen, row: StudentRow) -> Screen[None] | None:
    """Ask for the day, then open its lesson."""

    def take(typed: str) -> Screen[None] | str:
        day = sheet.desk.typed_day(typed, -1)
        if day is None:
            return f'"{tidy(typed)}" is not a day.'
        if day > sheet.desk.latest_day:
            return "That day has not come yet."
        return _lesson(sheet, StudentRow(row.record, row.course, day, row.calendar, row.latest))

    return AskDay("Which day was the lesson, as in tue, 9 Dec or 2025-12-09?", take)


_Opens = Callable[[BaseScreen, StudentRow], Screen[None] | None]
_OF_A_STUDENT: Final[Mapping[str, _Opens]] = MappingProxyType({
    "lesson": _lesson,
    "another day": _another_day,
    "placing": _placing,
    "answers": lambda sheet, row: AnswersScreen(AnswerDesk(sheet.desk, row.record.id)),
    "decision": lambda sheet, row: DecideScreen(DecisionDesk(sheet.desk, row)),
    "pause": lambda sheet, row: PauseScreen(PauseDesk(sheet.desk, row)),
})
