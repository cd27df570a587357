"""Which screen opens from which: the one place that knows them all."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from types import MappingProxyType
from typing import Any, Final

from textual.screen import Screen

from readiness.toml.write import Refusal
from readiness.words.cautions import caution
from readiness.words.grammar import tidy
from tui.desk import AnswerDesk
from tui.screens.answers import AnswersScreen
from tui.screens.base import BaseScreen
from tui.screens.course import CourseScreen
from tui.screens.forms import FormField, WorkForm
from tui.screens.lesson import LessonScreen
from tui.screens.placing import PlacingScreen
from tui.screens.problems import ProblemsScreen
from tui.screens.step import DecideScreen, PauseScreen
from tui.view import StudentRow
from tui.writing import LessonDesk

__all__ = ["screen_from"]


def screen_from(sheet: BaseScreen, what: str) -> Screen[Any] | None:
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
    return LessonScreen(desk) if desk.row.answer.placing is None else PlacingScreen(desk)


def _placing(sheet: BaseScreen, row: StudentRow) -> Screen[Any] | None:
    if row.answer.placing is not None:
        return PlacingScreen(LessonDesk(sheet.desk, row))
    sheet.notify(f"{row.record.name} has begun a unit; placing is for a student who has not.")
    return None


def _another_day(sheet: BaseScreen, row: StudentRow) -> Screen[Any]:
    """Ask for the day, then open its lesson."""

    def take(given: Mapping[str, str]) -> Refusal | str:
        try:
            day = sheet.desk.typed_day(given["day"], -1)
        except ValueError as error:
            return Refusal("day", str(error))
        if day > sheet.desk.latest_day:
            return Refusal("day", "that day has not come yet.")
        lesson = _lesson(sheet, StudentRow(row.record, row.course, day, row.calendar, row.latest))
        sheet.app.call_later(sheet.app.push_screen, lesson)
        return ""

    asked = FormField("day", "Which day was the lesson, as in tue, 9 Dec or 2025-12-09?")
    return WorkForm(f"A lesson of another day · {tidy(row.record.name)}", [asked], take)


_Opens = Callable[[BaseScreen, StudentRow], Screen[Any] | None]
_OF_A_STUDENT: Final[Mapping[str, _Opens]] = MappingProxyType({
    "lesson": _lesson,
    "another day": _another_day,
    "placing": _placing,
    "answers": lambda sheet, row: AnswersScreen(AnswerDesk(sheet.desk, row.record.id)),
    "decision": lambda _sheet, row: DecideScreen(row),
    "pause": lambda _sheet, row: PauseScreen(row),
})
