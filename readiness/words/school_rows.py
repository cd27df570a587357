"""One row of an answer about a whole school: a student with a day, or a count, as a sentence and as cells.

How they are put together on a page is decided in ``words.school``.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping, Sequence
from types import MappingProxyType
from typing import Any, Final

from readiness.course.model import Course
from readiness.school.counts import FEW, Numbers, Stay, Where
from readiness.school.disclosure import OutsideCount, OutsideNumbers, WhereOutside
from readiness.school.students import Due, OneLook, Paused, Promised, Ready, Stuck
from readiness.terms import Verdict
from readiness.toml.folding import HARD_SPACE
from readiness.words.english import ENGLISH, HELP_WORDS
from readiness.words.grammar import capital, counted, date_words, listed, quoted, tidy
from readiness.words.layout import Paragraph, item, under

__all__ = [
    "AWAY", "HIDDEN", "NAMED_AT_MOST", "VERDICTS_SHORT", "cells", "count_words", "headings", "row_lines",
    "skill_name", "unit_words", "who",
]  # fmt: skip

HIDDEN: Final = "not shown"
"""In place of a count; the cautions say why."""

NAMED_AT_MOST: Final = 3
"""So many names stand in a sentence; more are counted."""

VERDICTS_SHORT: Final[Mapping[str, str]] = MappingProxyType({
    **{verdict: ENGLISH.verdict(verdict, None, 0) for verdict in Verdict},
    Verdict.READY: "Ready for the next unit, or to finish the course",
})


def unit_words(course: Course, unit: str | None) -> str:
    """Return a unit with its number and name."""
    if unit is None:
        return "no unit yet"
    return f"unit {course.unit[unit].number}, {tidy(course.unit[unit].name)}"


# ---------------------------------------------------------------- lists of students


def who(name: str, student: str) -> str:
    """Return the name; with the id where the id is another word.

    >>> who("Temwa", "temwa"), who("Mia", "mia-k")
    ('Temwa', 'Mia (mia-k)')
    """
    words = tidy(name)
    return words if student == words.casefold() else f"{words} ({student})"


def _who(row: Any) -> str:  # noqa: ANN401 - any row about one student
    return who(row.name, row.student)


def _ready(row: Ready, course: Course, on: int) -> Iterator[Paragraph]:
    along = counted(len(row.taking_along), "thing")
    finish = f", with {along} to finish on the way" if row.taking_along else ""
    since = f"since {date_words(row.since, on)}{finish}; next lesson {date_words(row.next_lesson, on)}"
    yield item(f"{_who(row)}: {since}{_decided(row, on)}.")
    yield from _names(row.taking_along, course)


def _decided(row: Ready, on: int) -> str:
    """Return what the teacher decided since the student is ready; nothing where nothing was."""
    if row.stay_decided is not None:
        return f"; you decided to stay, on {date_words(row.stay_decided, on)}"
    return f"; the unit was finished on {date_words(row.closed, on)}" if row.closed is not None else ""


AWAY: Final[Mapping[str | None, str]] = MappingProxyType(
    {"on-a-break": "on a break", "first-lesson-back": "just back from a break"}
)
"""Where a break alone stands in the way."""


def _look(row: OneLook, course: Course, on: int) -> Iterator[Paragraph]:
    lesson = date_words(row.next_lesson, on)
    away = f"{AWAY[row.away]}; " if row.away in AWAY else ""
    what = f"{counted(len(row.items), 'look')} on {lesson}" if row.items else f"next lesson {lesson}"
    first = f"; ready on {date_words(row.earliest, on)} at the earliest" if row.earliest is not None else ""
    yield item(f"{_who(row)}: {away}{what}{first}.")
    yield from _names(row.items, course, more=len(row.items) > NAMED_AT_MOST)


def _stuck(row: Stuck, course: Course, on: int) -> Iterator[Paragraph]:
    first = row.one_thing or row.lowest
    begin = "Try another way in." if first == row.skill else f"Begin with {skill_name(first, course)}."
    tried = f"has been tried on {counted(row.days, 'day')} without getting easier"
    yield item(f"{_who(row)}: {skill_name(row.skill, course)} {tried}. {begin}")
    yield _more(f"Since {date_words(row.since, on)}; with the least help: {HELP_WORDS[row.best_help]}.")


def _paused(row: Paused, course: Course, on: int) -> Iterator[Paragraph]:
    del course
    since, rests = date_words(row.since, on), f"Nothing here uses the {listed(row.rests)}"
    if row.goes_on:
        until = "until an adult ends the pause"
        yield item(f"{_who(row)}: another course is PAUSED since {since}. {rests} {until}.")
    else:
        also = f" In another course too: {rests[:1].lower()}{rests[1:]}." if row.rests else ""
        yield item(f"{_who(row)}: PAUSED since {since}. No playing until an adult ends the pause.{also}")
    if row.told:
        yield under(f"Told since then: {listed([*map(tidy, row.told)])}.")


def _due(row: Due, course: Course, on: int) -> Iterator[Paragraph]:
    why = f"{row.shown} of {row.asked} shown at least once, {row.secure} secure"
    if row.by_lessons:
        why = f"{row.lesson_days} lessons in it, usually {row.usual}; {why}"
    unit = f"unit {course.unit[row.unit].number}"
    yield item(f"{_who(row)}, {unit}: {why}; next lesson {date_words(row.next_lesson, on)}.")
    last = "No decision yet" if row.last_check is None else f"Last decision {date_words(row.last_check, on)}"
    yield _more(f"{capital(unit_words(course, row.unit))}. {last}.")


def _promised(row: Promised, course: Course, on: int) -> Iterator[Paragraph]:
    del course
    due = "" if row.due is None else f", due {date_words(row.due, on)}"
    over = "" if row.days_over is None else f" ({counted(row.days_over, 'day')} over)"
    what = f"promise {row.number} to {tidy(row.to)}" if row.kind == "promise" else f"task {row.number}"
    given = f"given {date_words(row.given, on)}{due}{over}"
    yield item(f"{_who(row)}, {what}, {given}: {tidy(row.text).rstrip('.')}.")


def _more(text: str) -> Paragraph:
    return Paragraph(text, indent=4, more=True)


def _names(skills: Sequence[str], course: Course, *, more: bool = True) -> Iterator[Paragraph]:
    """Yield the names of some skills, a line each."""
    yield from (Paragraph(tidy(course.skill[one].name), 4, more=more) for one in skills)


def skill_name(skill: str, course: Course) -> str:
    """Return the name of a skill as it stands in a sentence."""
    return quoted(course.skill[skill].name)


# ---------------------------------------------------------------- counts


def count_words(count: int | None, noun: str) -> str:
    """Return a count with its noun, or that it is not shown."""
    return HIDDEN if count is None else counted(count, noun)


def _where(row: Where | WhereOutside, course: Course, on: int) -> Iterator[Paragraph]:
    del on
    parts = [("stuck", row.stuck), ("with help so far", row.with_help)]
    told = [f"{what}: {count_words(count, 'student')}" for what, count in parts if count != 0]
    name, unit = tidy(course.skill[row.skill].name), course.unit[row.unit].number
    yield item(f"{name} (unit {unit}); {'; '.join(told)}.")


def _time(row: Stay, course: Course, on: int) -> Iterator[Paragraph]:
    del on
    few = " Too few to conclude." if row.cases < FEW else ""
    took = f"{row.middle:g} lessons in the middle, half of them {row.low:g} to {row.high:g}"
    cases = f"usual here {row.usual}. {counted(row.cases, 'case')}.{few}"
    yield item(f"{capital(unit_words(course, row.unit))}, age {row.band}: {took}; {cases}")


def _numbers(row: Numbers | OutsideNumbers, course: Course, on: int) -> Iterator[Paragraph]:
    del on
    counts = [(VERDICTS_SHORT[verdict], count) for verdict, count in row.verdicts]
    counts += [(capital(unit_words(course, unit)), count) for unit, count in row.units]
    yield item(f"In all: {count_words(row.students, 'student')}.")
    yield from (item(f"{what}: {counted(count, 'student')}.") for what, count in counts if count)
    hidden = [what for what, count in counts if count is None]
    if hidden:
        yield item(f"{capital(HIDDEN)}: {'; '.join(hidden)}.")


def _outside(row: OutsideCount, course: Course, on: int) -> Iterator[Paragraph]:
    del course, on
    of = "" if row.of is None else f", of {row.of} in all"
    yield item(f"{capital(count_words(row.count, 'student'))}{of}.")


def row_lines(row: object, course: Course, on: int) -> Iterator[Paragraph]:
    """Yield the lines of one row, what is not needed every time marked so.

    Args:
        row: of a :class:`~readiness.school.questions.Reply`.
        course: as it is on the day; on: the day of the answer.
    """
    return _SAY[type(row)](row, course, on)


_SAY: Final[Mapping[type, Callable[[Any, Course, int], Iterator[Paragraph]]]] = MappingProxyType({
    Ready: _ready,
    OneLook: _look,
    Stuck: _stuck,
    Paused: _paused,
    Due: _due,
    Promised: _promised,
    Where: _where,
    WhereOutside: _where,
    Stay: _time,
    Numbers: _numbers,
    OutsideNumbers: _numbers,
    OutsideCount: _outside,
})


# One row of an answer about a whole school as cells of a table, for a page.
#
# The same facts as in the sentences, in columns. A count that is hidden is said to be.

_Row = tuple[str, ...]
_Cells = Callable[[Any, Course, int], Iterator[_Row]]


def headings(row: object) -> _Row:
    """Return what stands over the columns of rows of this kind; nothing for one that is no table."""
    return _TABLES[type(row)][0] if type(row) in _TABLES else ()


def cells(row: object, course: Course, on: int) -> Iterator[_Row]:
    """Yield the cells of one row of an answer; the counts of a school are several rows.

    Args:
        row: of a :class:`~readiness.school.questions.Reply`.
        course: as it is on the day; on: the day of the answer.
    """
    return _TABLES[type(row)][1](row, course, on)


def _ready_cells(row: Ready, course: Course, on: int) -> Iterator[_Row]:
    yield (
        who(row.name, row.student), _place(course, row.unit), _date(row.since, on),
        _date(row.next_lesson, on), _skills(row.taking_along, course), _decided_cells(row, on),
    )  # fmt: skip


def _decided_cells(row: Ready, on: int) -> str:
    if row.stay_decided is not None:
        return f"Stay, {_date(row.stay_decided, on)}"
    return "" if row.closed is None else f"Finished, {_date(row.closed, on)}"


def _look_cells(row: OneLook, course: Course, on: int) -> Iterator[_Row]:
    yield (
        who(row.name, row.student), _skills(row.items, course), _date(row.next_lesson, on),
        _day(row.earliest, on), capital(AWAY.get(row.away, "")),
    )  # fmt: skip


def _stuck_cells(row: Stuck, course: Course, on: int) -> Iterator[_Row]:
    yield (
        who(row.name, row.student), _skill(row.skill, course), str(row.days), _date(row.since, on),
        capital(HELP_WORDS[row.best_help]), _skill(row.one_thing or row.lowest, course),
    )  # fmt: skip


def _paused_cells(row: Paused, course: Course, on: int) -> Iterator[_Row]:
    del course
    what = "" if row.goes_on else "No playing"
    rests = f"without the {listed(row.rests)}" if row.rests else ""
    yield (
        who(row.name, row.student), _date(row.since, on), capital(", ".join(filter(None, (what, rests)))),
        listed([*map(tidy, row.told)]),
    )  # fmt: skip


def _due_cells(row: Due, course: Course, on: int) -> Iterator[_Row]:
    yield (
        who(row.name, row.student), _place(course, row.unit), f"{row.lesson_days}, usually {row.usual}",
        f"{row.shown} of {row.asked}", str(row.secure), _day(row.last_check, on) or "None yet",
        _date(row.next_lesson, on),
    )  # fmt: skip


def _where_cells(row: Where | WhereOutside, course: Course, on: int) -> Iterator[_Row]:
    del on
    yield (
        _skill(row.skill, course), str(course.unit[row.unit].number), _count(row.stuck),
        _count(row.with_help),
    )  # fmt: skip


def _time_cells(row: Stay, course: Course, on: int) -> Iterator[_Row]:
    del on
    few = ", too few to conclude" if row.cases < FEW else ""
    yield (
        _place(course, row.unit), row.band, f"{row.middle:g}", f"{row.low:g} to {row.high:g}",
        str(row.usual), f"{row.cases}{few}",
    )  # fmt: skip


def _numbers_cells(row: Numbers | OutsideNumbers, course: Course, on: int) -> Iterator[_Row]:
    del on
    yield "In all", _count(row.students)
    counts = [(VERDICTS_SHORT[verdict], count) for verdict, count in row.verdicts]
    counts += [(unit_words(course, unit), count) for unit, count in row.units]
    yield from ((capital(what), _count(count)) for what, count in counts if count != 0)


def _skills(skills: tuple[str, ...], course: Course) -> str:
    return "; ".join(_skill(skill, course) for skill in skills)


def _skill(skill: str, course: Course) -> str:
    return tidy(course.skill[skill].name)


def _place(course: Course, unit: str | None) -> str:
    return capital(unit_words(course, unit))


def _day(day: int | None, on: int) -> str:
    return "" if day is None else _date(day, on)


def _date(day: int | None, on: int) -> str:
    """Return a day that no line ends in."""
    return date_words(day, on).replace(" ", HARD_SPACE)


def _count(count: int | None) -> str:
    return HIDDEN if count is None else str(count)


_WHERE: Final = ("Skill", "Unit", "Students stuck", "With help so far")
_NUMBERS: Final = ("What", "Students")
_TABLES: Final[Mapping[type, tuple[_Row, _Cells]]] = MappingProxyType({
    Ready: (("Name", "Unit", "Ready since", "Next lesson", "To finish on the way", "Decided"), _ready_cells),
    OneLook: (("Name", "Look at", "Next lesson", "Ready at the earliest", "Beside it"), _look_cells),
    Stuck: (("Name", "Stuck on", "Days tried", "Since", "With the least help", "Begin with"), _stuck_cells),
    Paused: (("Name", "Paused since", "Until an adult ends the pause", "Told since then"), _paused_cells),
    Due: (
        ("Name", "Unit", "Lessons so far", "Shown at least once", "Secure", "Last decision", "Next lesson"),
        _due_cells,
    ),
    Where: (_WHERE, _where_cells),
    WhereOutside: (_WHERE, _where_cells),
    Stay: (("Unit", "Age", "Middle, in lessons", "Half of them", "Usual here", "Cases"), _time_cells),
    Numbers: (_NUMBERS, _numbers_cells),
    OutsideNumbers: (_NUMBERS, _numbers_cells),
})
