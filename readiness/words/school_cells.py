"""One row of an answer about a whole school as cells of a table, for a page.

The same facts as in ``words.school_rows``, in columns. A count that is hidden is said to be.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping
from types import MappingProxyType
from typing import Any, Final

from readiness.course.model import Course
from readiness.files.folding import HARD_SPACE
from readiness.school.counts import FEW, Numbers, Stay, Where
from readiness.school.outside import OutsideNumbers, WhereOutside
from readiness.school.students import Due, Look, Paused, Ready, Stuck
from readiness.words.grammar import HELP_WORDS, capital, date_words, listed, tidy
from readiness.words.school_rows import AWAY, HIDDEN, VERDICTS_SHORT, unit_words, who

__all__ = ["cells", "headings"]

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


def _ready(row: Ready, course: Course, on: int) -> Iterator[_Row]:
    yield (
        who(row.name, row.student), _place(course, row.unit), _date(row.since, on),
        _date(row.next_lesson, on), _skills(row.taking_along, course), _decided(row, on),
    )  # fmt: skip


def _decided(row: Ready, on: int) -> str:
    if row.stay_decided is not None:
        return f"Stay, {_date(row.stay_decided, on)}"
    return "" if row.closed is None else f"Closed, {_date(row.closed, on)}"


def _look(row: Look, course: Course, on: int) -> Iterator[_Row]:
    yield (
        who(row.name, row.student), _skills(row.items, course), _date(row.next_lesson, on),
        _day(row.earliest, on), capital(AWAY.get(row.away, "")),
    )  # fmt: skip


def _stuck(row: Stuck, course: Course, on: int) -> Iterator[_Row]:
    yield (
        who(row.name, row.student), _skill(row.skill, course), str(row.days), _date(row.since, on),
        capital(HELP_WORDS[row.best_help]), _skill(row.one_thing or row.lowest, course),
    )  # fmt: skip


def _paused(row: Paused, course: Course, on: int) -> Iterator[_Row]:
    del course
    what = "" if row.goes_on else "No playing"
    rests = f"without the {listed(row.rests)}" if row.rests else ""
    yield (
        who(row.name, row.student), _date(row.since, on), capital(", ".join(filter(None, (what, rests)))),
        listed([*map(tidy, row.told)]),
    )  # fmt: skip


def _due(row: Due, course: Course, on: int) -> Iterator[_Row]:
    yield (
        who(row.name, row.student), _place(course, row.unit), f"{row.lesson_days}, usually {row.usual}",
        f"{row.shown} of {row.asked}", _day(row.last_check, on) or "None yet",
        _date(row.next_lesson, on),
    )  # fmt: skip


def _where(row: Where | WhereOutside, course: Course, on: int) -> Iterator[_Row]:
    del on
    yield (
        _skill(row.skill, course), str(course.unit[row.unit].number), _count(row.stuck),
        _count(row.with_help),
    )  # fmt: skip


def _time(row: Stay, course: Course, on: int) -> Iterator[_Row]:
    del on
    few = ", too few to conclude" if row.cases < FEW else ""
    yield (
        _place(course, row.unit), row.band, f"{row.middle:g}", f"{row.low:g} to {row.high:g}",
        str(row.usual), f"{row.cases}{few}",
    )  # fmt: skip


def _numbers(row: Numbers | OutsideNumbers, course: Course, on: int) -> Iterator[_Row]:
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


_WHERE: Final = ("Skill", "Unit", "Students stuck", "Only with help so far")
_NUMBERS: Final = ("What", "Students")
_TABLES: Final[Mapping[type, tuple[_Row, _Cells]]] = MappingProxyType({
    Ready: (("Name", "Unit", "Ready since", "Next lesson", "Taking along", "Decided"), _ready),
    Look: (("Name", "To look at", "Next lesson", "Earliest possible move", "Beside it"), _look),
    Stuck: (("Name", "Stuck on", "Lesson days", "Since", "Best", "Begin with"), _stuck),
    Paused: (("Name", "Paused since", "Until an adult closes the hold", "Told since then"), _paused),
    Due: (("Name", "Unit", "Lessons so far", "Skills shown", "Last decision", "Next lesson"), _due),
    Where: (_WHERE, _where),
    WhereOutside: (_WHERE, _where),
    Stay: (("Unit", "Age", "Middle, in lessons", "Middle half", "Usual here", "Cases"), _time),
    Numbers: (_NUMBERS, _numbers),
    OutsideNumbers: (_NUMBERS, _numbers),
})
