"""The part of the desk for what else is asked about a student: plan, break, way, hand-over and more.

Like :mod:`tui.desk` it knows no screen. Every text is the one that the command of the same name
prints, by the same functions of the library.
"""

from __future__ import annotations

from datetime import date
from typing import Final

from readiness.days import YEARS, day_number
from readiness.files.folding import fold
from readiness.planning.season import event_on, events_ahead
from readiness.record.rhythm import Event
from readiness.words.grammar import date_words, tidy
from tui.desk import Desk
from tui.view import Row

__all__ = ["AnswerDesk"]


class AnswerDesk:
    """One student's answers on the day of the desk, and what was asked of them.

    ``target`` is the skill or unit of a way; ``days`` are the days that were typed, by answer.
    """

    def __init__(self, desk: Desk, student: str) -> None:
        """Begin with nothing typed."""
        self.desk, self.student = desk, student
        self.target = ""
        self.days: dict[str, int] = {}

    def told(self, name: str, width: int) -> str:
        """Return an answer as text, or what has to be said first; empty where the student cannot be read."""
        row = self.desk.row(self.student)
        if row is None:
            return ""
        if self.is_open(name):
            return _FIRST[name]
        told: str = getattr(self, f"_{name}")(row, width)
        return told

    def is_open(self, name: str) -> bool:
        """Return whether something has to be chosen before this can be answered."""
        row = self.desk.row(self.student)
        if name == "way":
            return row is None or not (self.target in row.course.skill or self.target in row.course.unit)
        return row is not None and name in _FIRST and self._day(name, row) is None

    def take_day(self, name: str, typed: str) -> str:
        """Keep a day that was typed for an answer; return why not, if so."""
        row = self.desk.row(self.student)
        try:
            day = day_number(typed.strip())
        except ValueError:
            return f'This takes a day such as 2025-12-19, and "{tidy(typed)}" is none.'
        if row is None or not _fits(name, day, row):
            side = "after" if name == "season" else "before"
            on = f" {date_words(row.day)}, the day asked about" if row else ""
            return f"This takes a day {side}{on}."
        self.days[name] = day
        return ""

    def _day(self, name: str, row: Row) -> int | None:
        """Return the day that was typed, else the one that is usually meant."""
        typed = self.days.get(name)
        if typed is not None and _fits(name, typed, row):
            return typed
        if name == "season":
            return next((one.first for one in events_ahead(self._events, row.day)), None)
        return max((one.on for one in row.record.lessons if one.on < row.day), default=None)

    @property
    def _events(self) -> tuple[Event, ...]:
        return self.desk.view.studio.events if self.desk.view else ()

    # the answers, in the order of their keys

    def _plan(self, row: Row, width: int) -> str:
        from readiness.planning.next_lesson import plan_lesson
        from readiness.words.plan import tell_plan

        plan = plan_lesson(row.course, row.record, row.answer, None, self._events)
        return tell_plan(plan, row.answer, row.course, row.record, width)

    def _back(self, row: Row, width: int) -> str:
        from readiness.planning.after_break import after_break
        from readiness.planning.keep_warm import near_break
        from readiness.words.back import tell_back

        course = row.course.on(row.day)
        warm = near_break(course, row.record, row.answer, self._events)
        found = after_break(course, row.record, row.answer)
        return tell_back(found, warm, row.answer, course, row.record, width)

    def _way(self, row: Row, width: int) -> str:
        from readiness.planning.way import way_to
        from readiness.words.way import tell_way

        course = row.course.on(row.day)
        way = way_to(course, row.record, row.day, self.target, row.calendar)
        return tell_way(way, row.answer, course, row.record, width)

    def _handover(self, row: Row, width: int) -> str:
        from readiness.planning.handover import hand_over
        from readiness.record.sharing import as_if_agreed
        from readiness.words.cautions import caution
        from readiness.words.handover import tell_handover
        from readiness.words.phrases import Phrases

        page = hand_over(row.course, row.record, row.answer, self._events)
        sharing = as_if_agreed(row.record, "substitute", row.day)
        told = tell_handover(page, Phrases(row.answer, row.course, row.record), sharing, width)
        return "\n".join((told, *fold(caution("C8"), width)))

    def _fading(self, row: Row, width: int) -> str:
        from readiness.planning.after_break import after_break
        from readiness.planning.fading import fading
        from readiness.words.fading import tell_fading

        found = fading(row.course, row.record, row.day)
        back = after_break(row.course, row.record, row.answer)
        return tell_fading(found, back, row.course.on(row.day), row.record, width)

    def _season(self, row: Row, width: int) -> str:
        from readiness.planning.big_day import prepare
        from readiness.words.season import tell_season

        day = self._day("season", row)
        assert day is not None
        event = event_on(day, events_ahead(self._events, row.day))
        big_day = prepare(row.course, row.record, row.answer, event)
        return tell_season(big_day, row.answer, row.course.on(row.day), row.record, width)

    def _changed(self, row: Row, width: int) -> str:
        from readiness.planning.changed import Question, why_changed
        from readiness.words.changed import tell_changed
        from readiness.workbench.course_then import course_then

        since = self._day("changed", row)
        assert since is not None
        then = course_then(row.course, since, row.day)
        found = why_changed(Question(row.record, since, row.day, then.course, then.edits, row.calendar))
        return tell_changed(found, then.now.on(row.day), row.record, then.known_by, width)


def _fits(name: str, day: int, row: Row) -> bool:
    """Return whether a day can be asked about: one ahead for a season, one before for what changed."""
    return YEARS[0] <= date.fromordinal(day).year <= YEARS[-1] and (
        day > row.day if name == "season" else day < row.day
    )


_FIRST: Final = {
    "way": "The way to what? Key o chooses a skill or a unit.",
    "season": "No event lies ahead in the calendar of the studio. Key o asks for a day.",
    "changed": "No lesson was noted before this day. Key o asks for the earlier day.",
}
"""What is said where something has to be chosen first."""
