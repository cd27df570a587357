"""The answers to questions over a whole school, in words.

Lists are in order of name; nobody is put before anybody. An empty list says so. For a reader
outside there are counts only, and a small one is said to be hidden, never left out quietly.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping, Sequence
from types import MappingProxyType
from typing import Any, Final

from readiness.course.model import Course
from readiness.school.counts import FEW, Numbers, Stay, Where
from readiness.school.outside import OutsideCount, OutsideNumbers, WhereOutside
from readiness.school.questions import LISTS, Reply
from readiness.school.students import Due, Look, Paused, Ready, Stuck
from readiness.words.cautions import caution
from readiness.words.grammar import HELP_WORDS, capital, counted, date_words, listed, quoted, tidy
from readiness.words.page import Paragraph, Section, item, lay_out

__all__ = [
    "CHART_WORDS", "FOR_OUTSIDE", "FOR_SCHOOL", "HIDDEN", "QUESTION_WORDS", "SPAN_WORDS",
    "VERDICTS_SHORT", "caution_section", "reply_sections", "reply_words",
    "title_words", "unit_words",
]  # fmt: skip

HIDDEN: Final = "not shown"
"""In place of a count; the cautions say why."""

QUESTION_WORDS: Final[Mapping[str, str]] = MappingProxyType({
    "ready": "Ready and waiting",
    "look": "Need a look",
    "stuck": "No change for a while",
    "paused": "May not play at present",
    "due": "A check is due",
    "where": "Where students get stuck most",
    "time": "How long units take",
    "numbers": "How many are where",
})
"""The heading of each question."""

CHART_WORDS: Final[Mapping[str, str]] = MappingProxyType({
    "verdicts": "Students by what was found",
    "units": "Students by unit",
    "stuck": "Skills that students are stuck on, by number of students",
    "with_help": "Skills shown only with help so far, by number of students",
    "time": "Lesson days a unit takes, by age",
})
"""The title of each chart."""

SPAN_WORDS: Final = ("the middle half of the cases", "the middle", "usual in this course")
PAGE_TITLE: Final = "Questions over the school"
FOR_SCHOOL: Final = "For the school; it may have names on it: keep it where no family sees another's."
FOR_OUTSIDE: Final = f"For readers outside: counts only, no names, and nothing under {FEW}."

_NOBODY: Final[Mapping[str, str]] = MappingProxyType({
    "ready": "Nobody is ready and waiting.",
    "look": "Nobody needs only a look.",
    "stuck": "Nobody is stuck: whatever was tried often has changed, or nothing was.",
    "paused": "Nobody is paused: no hold is open.",
    "due": "No check is due.",
    "where": "No skill is stuck or with help for anybody.",
    "time": "No unit was begun and left here yet.",
})
_NOTHING_OUTSIDE: Final = f"Nothing here comes from {FEW} students or more, so nothing is shown."

VERDICTS_SHORT: Final[Mapping[str, str]] = MappingProxyType({
    "ready": "ready to move on",
    "look-again": "to be looked at again",
    "not-yet": "stay for now and strengthen",
    "paused": "paused for care",
    "not-placed": "not placed yet",
})


def reply_words(replies: Sequence[Reply], course: Course, width: int = 80) -> str:
    """Return answers as text, with the cautions that belong to them at the end."""
    head = Section("", (Paragraph(title_words(replies)),))
    return lay_out((head, *reply_sections(replies, course), caution_section(replies)), width)


def title_words(replies: Sequence[Reply]) -> str:
    """Return what the answers are about, and the day."""
    return f"{PAGE_TITLE}, {date_words(replies[0].on)}"


def reply_sections(replies: Sequence[Reply], course: Course) -> tuple[Section, ...]:
    """Return each answer as a titled list."""
    return tuple(_section(reply, course) for reply in replies)


def _section(reply: Reply, course: Course) -> Section:
    then = course.on(reply.on)
    lines = [item(capital(words)) for row in reply.rows for words in _SAY[type(row)](row, then, reply.on)]
    nothing = _NOTHING_OUTSIDE if reply.outside else _NOBODY.get(reply.question, "")
    return Section(QUESTION_WORDS[reply.question], tuple(lines or [item(nothing)]))


def caution_section(replies: Sequence[Reply]) -> Section:
    """Return the cautions of some answers, each once."""
    return Section("Cautions", tuple(map(item, dict.fromkeys(c for one in replies for c in _cautions(one)))))


def _cautions(reply: Reply) -> Iterator[str]:
    if reply.question == "time":
        yield "Lesson days are counted, so weeks without a lesson are left out."
    if reply.outside:
        yield f"Counts under {FEW} are not shown, nor those that would give one of them away."
        return
    if reply.question == "paused" and reply.rows:
        yield caution("C1")
    if reply.question in ("where", "time") and _has_few(reply):
        yield caution("C12")
    if reply.question in LISTS and reply.rows:
        yield caution("C14")


def _has_few(reply: Reply) -> bool:
    """Return whether a figure comes from few cases."""
    counts = [row.cases if isinstance(row, Stay) else max(row.stuck, row.with_help) for row in reply.rows]
    return any(count < FEW for count in counts)


def unit_words(course: Course, unit: str | None) -> str:
    """Return a unit with its number and name."""
    if unit is None:
        return "no unit yet"
    return f"unit {course.unit[unit].number}, {tidy(course.unit[unit].name)}"


# ---------------------------------------------------------------- lists of students


def _who(row: Any) -> str:  # noqa: ANN401 - any row about one student
    """Return the name; with the id where the id is another word."""
    name = tidy(row.name)
    return name if row.student == name.casefold() else f"{name} ({row.student})"


def _ready(row: Ready, course: Course, on: int) -> Iterator[str]:
    along = ""
    if row.taking_along:
        along = f", taking along {_names(row.taking_along, course)}"
    yield (
        f"{_who(row)}: ready to move on{along}; since {date_words(row.since, on)}, "
        f"next lesson {date_words(row.next_lesson, on)}."
    )


_AWAY: Final = {"on-a-break": "on a break; ", "first-lesson-back": "just back from a break; "}


def _look(row: Look, course: Course, on: int) -> Iterator[str]:
    lesson = date_words(row.next_lesson, on)
    away = _AWAY.get(row.away or "", "")
    what = f"look at {_names(row.items, course)} on {lesson}" if row.items else f"next lesson {lesson}"
    first = f"; earliest possible move {date_words(row.earliest, on)}" if row.earliest is not None else ""
    yield f"{_who(row)}: {away}{what}{first}."


def _stuck(row: Stuck, course: Course, on: int) -> Iterator[str]:
    begin = f"begin with {quoted(course.skill[row.lowest].name)} under it"
    if row.lowest == row.skill:
        begin = "nothing weak lies under it"
    yield (
        f"{_who(row)}: {quoted(course.skill[row.skill].name)}, tried on {counted(row.days, 'day')} in a row "
        f"since {date_words(row.since, on)}, best {HELP_WORDS[row.best_help]}; {begin}."
    )


def _paused(row: Paused, course: Course, on: int) -> Iterator[str]:
    del course
    yield f"{_who(row)}: PAUSED since {date_words(row.since, on)}; no playing until an adult closes the hold."


def _due(row: Due, course: Course, on: int) -> Iterator[str]:
    why = []
    if row.by_lessons:
        why.append(f"{counted(row.lesson_days, 'lesson')} in the unit, which usually takes {row.usual}")
    if row.by_shown:
        why.append(f"{row.shown} of {counted(row.asked, 'skill')} shown already")
    last = f"last decision {date_words(row.last_check, on)}" if row.last_check else "no decision yet"
    yield (
        f"{_who(row)}, {unit_words(course, row.unit)}: {'; '.join(why)}; {last}, "
        f"next lesson {date_words(row.next_lesson, on)}."
    )


def _names(skills: Sequence[str], course: Course) -> str:
    return listed([quoted(course.skill[skill].name) for skill in skills])


# ---------------------------------------------------------------- counts


def _count(count: int | None, noun: str) -> str:
    return HIDDEN if count is None else counted(count, noun)


def _where(row: Where | WhereOutside, course: Course, on: int) -> Iterator[str]:
    del on
    parts = [("stuck", row.stuck), ("only with help so far", row.with_help)]
    told = [f"{what} {_count(count, 'student')}" for what, count in parts if count != 0]
    yield f"{quoted(course.skill[row.skill].name)} (unit {course.unit[row.unit].number}): {'; '.join(told)}."


def _time(row: Stay, course: Course, on: int) -> Iterator[str]:
    del on
    few = " Too few to conclude." if row.cases < FEW else ""
    yield (
        f"{unit_words(course, row.unit)}, age {row.band}: middle {row.middle:g} lessons, the middle half "
        f"{row.low:g} to {row.high:g}, from {counted(row.cases, 'case')}; usual here {row.usual}.{few}"
    )


def _numbers(row: Numbers | OutsideNumbers, course: Course, on: int) -> Iterator[str]:
    del on
    yield f"in all: {_count(row.students, 'student')}."
    counts = [(VERDICTS_SHORT[verdict], count) for verdict, count in row.verdicts]
    counts += [(unit_words(course, unit), count) for unit, count in row.units]
    yield from (f"{what}: {counted(count, 'student')}." for what, count in counts if count)
    hidden = [what for what, count in counts if count is None]
    if hidden:
        yield f"{HIDDEN}: {'; '.join(hidden)}."


def _outside(row: OutsideCount, course: Course, on: int) -> Iterator[str]:
    del course, on
    of = "" if row.of is None else f", of {row.of} in all"
    yield f"{_count(row.count, 'student')}{of}."


_SAY: Final[Mapping[type, Callable[[Any, Course, int], Iterator[str]]]] = MappingProxyType({
    Ready: _ready,
    Look: _look,
    Stuck: _stuck,
    Paused: _paused,
    Due: _due,
    Where: _where,
    WhereOutside: _where,
    Stay: _time,
    Numbers: _numbers,
    OutsideNumbers: _numbers,
    OutsideCount: _outside,
})
