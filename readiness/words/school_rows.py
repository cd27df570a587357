"""One row of an answer about a whole school: a student with a day, or a count, as a sentence and as cells.

The same facts in both; a count that is hidden is said to be. How rows are put together on a page is decided
in ``words.school``.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping, Sequence
from types import MappingProxyType
from typing import Any, Final, NamedTuple

from readiness.course.model import Course
from readiness.school.counts import FEW, Numbers, Stay, Where
from readiness.school.disclosure import OutsideCount, OutsideNumbers, WhereOutside
from readiness.school.students import Due, OneLook, Paused, Promised, Ready, Stuck
from readiness.terms import Verdict
from readiness.toml.folding import HARD_SPACE
from readiness.words.grammar import (
    ENGLISH,
    HELP_WORDS,
    capital,
    counted,
    date_words,
    listed,
    quoted,
    tidy,
    uncapital,
    unit_words,
)
from readiness.words.layout import Paragraph, asked_for, item, under

__all__ = ["AWAY", "VERDICTS_SHORT", "cells", "headings", "row_lines", "who"]

HIDDEN: Final = "not shown"
"""In place of a count; the cautions say why."""

NAMED_AT_MOST: Final = 3
"""So many names stand in a sentence; more are counted."""

VERDICTS_SHORT: Final[Mapping[str, str]] = MappingProxyType({
    **{verdict: ENGLISH.verdict(verdict, None, 0) for verdict in Verdict},
    Verdict.READY: "Ready for the next unit, or to finish the course",
})

AWAY: Final[Mapping[str | None, str]] = MappingProxyType(
    {"on-a-break": "on a break", "first-lesson-back": "just back from a break"}
)
"""Where a break alone stands in the way."""


def who(name: str, student: str) -> str:
    """Return the name; with the id where the id is another word.

    >>> who("Temwa", "temwa"), who("Mia", "mia-k")
    ('Temwa', 'Mia (mia-k)')
    """
    words = tidy(name)
    return words if student == words.casefold() else f"{words} ({student})"


def row_lines(row: object, course: Course, on: int) -> Iterator[Paragraph]:
    """Yield the lines of one row, what is not needed every time marked so.

    ``row`` is of a :class:`~readiness.school.questions.Reply`, ``course`` as it is on the day ``on``.
    """
    return _KINDS[type(row)].lines(_Rows(course, on), row)


def cells(row: object, course: Course, on: int) -> Iterator[tuple[str, ...]]:
    """Yield the cells of one row of an answer; the counts of a school are several rows."""
    return _KINDS[type(row)].cells(_Rows(course, on), row)


def headings(row: object) -> tuple[str, ...]:
    """Return what stands over the columns of rows of this kind; nothing for one that is no table."""
    named = _KINDS[type(row)].headings if type(row) in _KINDS else ""
    return tuple(named.split("|")) if named else ()


class _Rows(NamedTuple):
    """The rows of a day."""

    course: Course
    on: int

    def day(self, day: int | None) -> str:
        return date_words(day, self.on)

    def cell_day(self, day: int | None) -> str:
        """Return a day that no line ends in; empty without one."""
        return "" if day is None else date_words(day, self.on).replace(" ", HARD_SPACE)

    def skill(self, skill: str) -> str:
        return tidy(self.course.skill[skill].name)

    def place(self, unit: str | None) -> str:
        return capital(unit_words(self.course, unit))

    def names(self, skills: Sequence[str], *, more: bool = True) -> Iterator[Paragraph]:
        """Yield the names of some skills, a line each."""
        yield from (Paragraph(self.skill(skill), 4, more=more) for skill in skills)

    # lists of students

    def ready(self, row: Ready) -> Iterator[Paragraph]:
        along = counted(len(row.taking_along), "thing")
        finish = f", with {along} to finish on the way" if row.taking_along else ""
        decided = f"; the unit was finished on {self.day(row.closed)}" if row.closed is not None else ""
        if row.stay_decided is not None:
            decided = f"; you decided to stay, on {self.day(row.stay_decided)}"
        since = f"since {self.day(row.since)}{finish}; next lesson {self.day(row.next_lesson)}{decided}"
        yield item(f"{_who(row)}: {since}.")
        yield from self.names(row.taking_along)

    def ready_cells(self, row: Ready) -> Iterator[tuple[str, ...]]:
        decided = f"Finished, {self.cell_day(row.closed)}" if row.closed is not None else ""
        if row.stay_decided is not None:
            decided = f"Stay, {self.cell_day(row.stay_decided)}"
        days = (self.cell_day(row.since), self.cell_day(row.next_lesson))
        along = "; ".join(map(self.skill, row.taking_along))
        yield (_who(row), self.place(row.unit), *days, along, decided)

    def look(self, row: OneLook) -> Iterator[Paragraph]:
        lesson = self.day(row.next_lesson)
        away = f"{AWAY[row.away]}; " if row.away in AWAY else ""
        what = f"{counted(len(row.items), 'look')} on {lesson}" if row.items else f"next lesson {lesson}"
        first = "" if row.earliest is None else f"; ready on {self.day(row.earliest)} at the earliest"
        yield item(f"{_who(row)}: {away}{what}{first}.")
        yield from self.names(row.items, more=len(row.items) > NAMED_AT_MOST)

    def look_cells(self, row: OneLook) -> Iterator[tuple[str, ...]]:
        days = (self.cell_day(row.next_lesson), self.cell_day(row.earliest))
        yield (_who(row), "; ".join(map(self.skill, row.items)), *days, capital(AWAY.get(row.away, "")))

    def stuck(self, row: Stuck) -> Iterator[Paragraph]:
        first = row.one_thing or row.lowest
        begin = "Try another way in." if first == row.skill else f"Begin with {quoted(self.skill(first))}."
        tried = f"{quoted(self.skill(row.skill))} has been {ENGLISH.tried(row.days)}"
        yield item(f"{_who(row)}: {tried}. {begin}")
        least = f"Since {self.day(row.since)}; with the least help: {HELP_WORDS[row.best_help]}."
        yield Paragraph(least, 4, more=True)

    def stuck_cells(self, row: Stuck) -> Iterator[tuple[str, ...]]:
        since, least = self.cell_day(row.since), capital(HELP_WORDS[row.best_help])
        first = self.skill(row.one_thing or row.lowest)
        yield (_who(row), self.skill(row.skill), str(row.days), since, least, first)

    def paused(self, row: Paused) -> Iterator[Paragraph]:
        since, rests = self.day(row.since), f"Nothing here uses the {listed(row.rests)}"
        until = "until an adult ends the pause"
        if row.goes_on:
            yield item(f"{_who(row)}: another course is PAUSED since {since}. {rests} {until}.")
        else:
            also = f" In another course too: {uncapital(rests)}." if row.rests else ""
            yield item(f"{_who(row)}: PAUSED since {since}. No playing {until}.{also}")
        if row.told:
            yield under(f"Told since then: {listed([*map(tidy, row.told)])}.")

    def paused_cells(self, row: Paused) -> Iterator[tuple[str, ...]]:
        rests = f"without the {listed(row.rests)}" if row.rests else ""
        what = capital(", ".join(filter(None, ("" if row.goes_on else "No playing", rests))))
        yield (_who(row), self.cell_day(row.since), what, listed([*map(tidy, row.told)]))

    def due(self, row: Due) -> Iterator[Paragraph]:
        why = f"{row.shown} of {row.asked} shown at least once, {row.secure} secure"
        if row.by_lessons:
            why = f"{row.lesson_days} lessons in it, usually {row.usual}; {why}"
        unit = f"unit {self.course.unit[row.unit].number}"
        yield item(f"{_who(row)}, {unit}: {why}; next lesson {self.day(row.next_lesson)}.")
        last = "No decision yet" if row.last_check is None else f"Last decision {self.day(row.last_check)}"
        yield from asked_for([under(f"{self.place(row.unit)}. {last}.")])

    def due_cells(self, row: Due) -> Iterator[tuple[str, ...]]:
        lessons, shown = f"{row.lesson_days}, usually {row.usual}", f"{row.shown} of {row.asked}"
        days = (self.cell_day(row.last_check) or "None yet", self.cell_day(row.next_lesson))
        yield (_who(row), self.place(row.unit), lessons, shown, str(row.secure), *days)

    def promised(self, row: Promised) -> Iterator[Paragraph]:
        due = "" if row.due is None else f", due {self.day(row.due)}"
        over = "" if row.days_over is None else f" ({counted(row.days_over, 'day')} over)"
        promise = f"promise {row.number} to {tidy(row.to)}"
        what = promise if row.kind == "promise" else f"task {row.number}"
        given = f"given {self.day(row.given)}{due}{over}"
        yield item(f"{_who(row)}, {what}, {given}: {tidy(row.text).rstrip('.')}.")

    # counts

    def where(self, row: Where | WhereOutside) -> Iterator[Paragraph]:
        parts = [("stuck", row.stuck), ("with help so far", row.with_help)]
        told = "; ".join(f"{what}: {_students(count)}" for what, count in parts if count != 0)
        yield item(f"{self.skill(row.skill)} (unit {self.course.unit[row.unit].number}); {told}.")

    def where_cells(self, row: Where | WhereOutside) -> Iterator[tuple[str, ...]]:
        unit = str(self.course.unit[row.unit].number)
        yield (self.skill(row.skill), unit, _count(row.stuck), _count(row.with_help))

    def time(self, row: Stay) -> Iterator[Paragraph]:
        few = " Too few to conclude." if row.cases < FEW else ""
        took = f"{row.middle:g} lessons in the middle, half of them {row.low:g} to {row.high:g}"
        cases = f"usual here {row.usual}. {counted(row.cases, 'case')}.{few}"
        yield item(f"{self.place(row.unit)}, age {row.band}: {took}; {cases}")

    def time_cells(self, row: Stay) -> Iterator[tuple[str, ...]]:
        half, few = f"{row.low:g} to {row.high:g}", ", too few to conclude" if row.cases < FEW else ""
        figures = (f"{row.middle:g}", half, str(row.usual), f"{row.cases}{few}")
        yield (self.place(row.unit), row.band, *figures)

    def counts(self, row: Numbers | OutsideNumbers) -> list[tuple[str, int | None]]:
        units = ((self.place(unit), count) for unit, count in row.units)
        return [*((VERDICTS_SHORT[verdict], count) for verdict, count in row.verdicts), *units]

    def numbers(self, row: Numbers | OutsideNumbers) -> Iterator[Paragraph]:
        yield item(f"In all: {_students(row.students)}.")
        yield from (item(f"{what}: {_students(count)}.") for what, count in self.counts(row) if count)
        if hidden := [what for what, count in self.counts(row) if count is None]:
            yield item(f"{capital(HIDDEN)}: {'; '.join(hidden)}.")

    def numbers_cells(self, row: Numbers | OutsideNumbers) -> Iterator[tuple[str, ...]]:
        yield "In all", _count(row.students)
        yield from ((capital(what), _count(count)) for what, count in self.counts(row) if count != 0)

    def outside(self, row: OutsideCount) -> Iterator[Paragraph]:
        of = "" if row.of is None else f", of {row.of} in all"
        yield item(f"{capital(_students(row.count))}{of}.")

    def no_cells(self, _row: object) -> Iterator[tuple[str, ...]]:
        yield from ()


def _who(row: Ready | OneLook | Stuck | Paused | Due | Promised) -> str:
    return who(row.name, row.student)


def _students(count: int | None) -> str:
    """Return how many students, or that it is not shown."""
    return HIDDEN if count is None else counted(count, "student")


def _count(count: int | None) -> str:
    return HIDDEN if count is None else str(count)


class _Kind(NamedTuple):
    """How rows of one kind are told, and what stands over their columns, with strokes between."""

    lines: Callable[[_Rows, Any], Iterator[Paragraph]]
    cells: Callable[[_Rows, Any], Iterator[tuple[str, ...]]] = _Rows.no_cells
    headings: str = ""


_WHERE: Final = _Kind(_Rows.where, _Rows.where_cells, "Skill|Unit|Students stuck|With help so far")
_NUMBERS: Final = _Kind(_Rows.numbers, _Rows.numbers_cells, "What|Students")
_KINDS: Final[Mapping[type, _Kind]] = MappingProxyType({
    Ready: _Kind(_Rows.ready, _Rows.ready_cells,
                 "Name|Unit|Ready since|Next lesson|To finish on the way|Decided"),
    OneLook: _Kind(_Rows.look, _Rows.look_cells,
                   "Name|Look at|Next lesson|Ready at the earliest|Beside it"),
    Stuck: _Kind(_Rows.stuck, _Rows.stuck_cells,
                 "Name|Stuck on|Days tried|Since|With the least help|Begin with"),
    Paused: _Kind(_Rows.paused, _Rows.paused_cells,
                  "Name|Paused since|Until an adult ends the pause|Told since then"),
    Due: _Kind(_Rows.due, _Rows.due_cells,
               "Name|Unit|Lessons so far|Shown at least once|Secure|Last decision|Next lesson"),
    Promised: _Kind(_Rows.promised),
    Where: _WHERE, WhereOutside: _WHERE,
    Stay: _Kind(_Rows.time, _Rows.time_cells,
                "Unit|Age|Middle, in lessons|Half of them|Usual here|Cases"),
    Numbers: _NUMBERS, OutsideNumbers: _NUMBERS,
    OutsideCount: _Kind(_Rows.outside),
})  # fmt: skip
