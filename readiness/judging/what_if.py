"""What if: the same question with one number changed, or one showing more.

Recomputed from the start, compared elsewhere, and never saved. A change is refused with a
:class:`ChangeError` that holds what was typed and what could have been meant.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import replace

from readiness.course.model import Band, Course
from readiness.judging.answer import Answer
from readiness.judging.engine import judge_known
from readiness.judging.history import Known, known_on
from readiness.lazy import dataclass
from readiness.record.model import HELPS, Record
from readiness.record.rhythm import NO_CALENDAR, Calendar
from readiness.toml.texts import nearest

__all__ = ["SHOW", "ChangeError", "changed_value", "what_if", "with_numbers"]

SHOW = "show."


@dataclass(frozen=True)
class ChangeError(ValueError):
    """A change that cannot be made: ``name`` or ``value`` is not one of ``choices``.

    Attributes:
        part: "name" or "value".
        typed: what was typed; meant: the nearest choice, if any; wanted: what fits.
    """

    part: str
    typed: str
    wanted: str
    meant: str | None = None

    def __str__(self) -> str:
        meant = f"; did you mean {self.meant}?" if self.meant else ""
        return f'"{self.typed}" is not known; it takes {self.wanted}{meant}'


def what_if(
    course: Course, record: Record, on: int, changes: Mapping[str, str], calendar: Calendar = NO_CALENDAR
) -> tuple[Answer, dict[str, object]]:
    """Return the answer with these changes, and the changes as values.

    With a showing it is the answer of the next lesson to come, with that lesson supposed; with
    numbers alone that of the day asked about.

    Args:
        changes: pacing rules by dotted name (``days_needed.motor``), for every band, and
            ``show.SKILL``: shown in the next lesson to come with that help.

    Raises:
        ChangeError: a name or a value that does not exist, or no lesson is to come.
    """
    course = course.on(on)
    values = {name: changed_value(course, name, text) for name, text in changes.items()}
    numbers = {name: value for name, value in values.items() if not name.startswith(SHOW)}
    known = known_on(course, record, on, calendar)
    shown = {
        course.plan.index[name.removeprefix(SHOW)]: HELPS.index(str(value))
        for name, value in values.items()
        if name.startswith(SHOW)
    }
    supposed = _at_next_lesson(course, known, shown) if shown else known
    changed = with_numbers(course, numbers) if numbers else course
    return judge_known(changed, record, supposed), values


def _at_next_lesson(course: Course, known: Known, shown: Mapping[int, int]) -> Known:
    """Return what would be known on the next lesson day if these skills were shown in it, with these helps.

    Under a hold only what is quiet would be evidence (rule R1a).
    """
    lesson = known.next_lesson
    if lesson is None:
        raise ChangeError("name", SHOW + course.plan.ids[min(shown)], "a lesson to come, and none is")
    paused = known.is_under_hold(lesson)
    supposed = replace(known.with_showings((), lesson), day=lesson)
    for skill, help_given in shown.items():
        if not paused or course.plan.quiet >> skill & 1:
            supposed = supposed.with_showings((skill,), lesson, help_given)
    return supposed


def with_numbers(course: Course, numbers: Mapping[str, object]) -> Course:
    """Return the course with these pacing numbers in every band; links stay as they are."""
    bands = tuple(replace(band, numbers={**band.numbers, **numbers}) for band in course.bands)
    return replace(course, bands=bands, entire=None)


def changed_value(course: Course, name: str, text: str) -> object:
    """Return the value of one change, checked.

    Raises:
        ChangeError: no such rule, skill, number or help.
    """
    if name.startswith(SHOW):
        skill = name.removeprefix(SHOW)
        if skill not in course.skill:
            meant = nearest(skill, course.skill)
            raise ChangeError("name", name, "show.SKILL with a skill's id", meant and SHOW + meant)
        return _one_of(text, HELPS)
    band = course.bands[0]
    if name not in band.numbers:
        last = [rule for rule in band.numbers if rule.rpartition(".")[2] == name]  # that was typed alone
        last = last or [rule for rule in band.numbers if name and rule.startswith(name)]
        meant = " or ".join(last) or nearest(name, band.numbers)
        raise ChangeError("name", name, "a number of the pacing file, as in carry_limit=1", meant)
    return _like(band, name, text)


def _like(band: Band, name: str, text: str) -> object:
    """Return the text as a value of the same kind as the rule has now."""
    if name.startswith("accepts."):
        return _one_of(text, HELPS[:2])
    now = band.numbers[name]
    if not isinstance(now, (int, float)):
        raise ChangeError("name", name, "a rule that is one number")
    try:
        value = float(text) if isinstance(now, float) else int(text)
    except ValueError:
        wanted = "a number" if isinstance(now, float) else "a whole number"
        raise ChangeError("value", text, wanted) from None
    least = 0 if name in _MAY_BE_ZERO else 1 if isinstance(now, int) else 0.0
    if not least <= value <= _MOST:
        raise ChangeError("value", text, f"a number from {least} to {_MOST}")
    return value


_MAY_BE_ZERO = frozenset({"carry_limit", "spread_days"})
_MOST = 1000


def _one_of(text: str, choices: Sequence[str]) -> str:
    if text not in choices:
        raise ChangeError("value", text, " or ".join(choices), nearest(text, choices))
    return text
