"""What a reader outside may see of the counts: nothing under five, and nothing that gives it away.

A count is also given away by the total it is missing from. So where one is hidden, another is
hidden with it, and the total only stands where at least two different counts could be behind
every hidden one. No names: there is no way to ask for them here.

And it is given away by a table of another day: 55 and then 54 of 65 is one child. So there is one
table a month, that of its first day, and who came since is not in it. Why not the last table kept
beside the studio, and hidden what differs by little: it would know only what was published from
that copy of the folder, it would be one more file about children, and from month to month most
counts differ by few, so nothing would be left. What is taken from one month's table by that of the
next is what happened in a month; who gets both is told so on the page. It cannot help that somebody
is forgotten, or that a note of an earlier day is added, between two tables of one month.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from datetime import date
from typing import Protocol, TypeVar

from readiness.course.model import Course
from readiness.lazy import dataclass
from readiness.record.model import Record
from readiness.school.counts import FEW, VERDICTS, Numbers, Stay, Where

__all__ = [
    "Hidden", "OutsideCount", "OutsideNumbers", "WhereOutside", "apart", "hide_small", "in_course_order",
    "list_outside", "numbers_outside", "published_day", "there_on", "time_outside", "where_outside",
]  # fmt: skip

Hidden = int | None
"""A count, None where it is hidden."""


@dataclass(frozen=True)
class OutsideCount:
    """How many students are on a list, of how many."""

    count: Hidden
    of: Hidden


@dataclass(frozen=True)
class OutsideNumbers:
    """:class:`Numbers` with what is hidden."""

    students: Hidden
    units: tuple[tuple[str | None, Hidden], ...]
    verdicts: tuple[tuple[str, Hidden], ...]


@dataclass(frozen=True)
class WhereOutside:
    """:class:`Where` with what is hidden."""

    skill: str
    unit: str
    stuck: Hidden
    with_help: Hidden


def published_day(day: int) -> int:
    """Return the day that a reader outside gets the table of: the first of the month.

    >>> date.fromordinal(published_day(date(2025, 12, 24).toordinal())).isoformat()
    '2025-12-01'
    """
    return date.fromordinal(day).replace(day=1).toordinal()


def there_on(record: Record, day: int) -> bool:
    """Return whether a student had come by a day: something is dated by then, or nothing is at all."""
    seen = record.entire.seen
    days = [
        *seen.lesson_days,
        *(one.on for one in seen.unit_starts),
        *(one.on for one in seen.settled),
        *(one.on for one in seen.placings),
        *(one.opened for one in seen.holds),
    ]
    return not days or min(days) <= day


def hide_small(counts: Sequence[int]) -> tuple[tuple[Hidden, ...], Hidden]:
    """Return the parts of a whole, small ones hidden, and their total.

    >>> hide_small((3, 40, 20))
    ((None, 40, None), 63)
    >>> hide_small((2, 1))
    ((None, None), None)
    """
    hidden = {i for i, count in enumerate(counts) if count < FEW}
    while hidden and len(hidden) < len(counts) and _give_away([counts[i] for i in hidden]):
        least = min(count for i, count in enumerate(counts) if i not in hidden)
        hidden |= {i for i, count in enumerate(counts) if count == least}
    total = sum(counts)
    gives_away = total < FEW or (hidden and len(counts) < 2)
    parts = tuple(None if i in hidden else count for i, count in enumerate(counts))
    return parts, None if gives_away else total


def _give_away(hidden: Sequence[int]) -> bool:
    """Return whether hidden counts follow from their sum, for one who knows that they are small."""
    largest = FEW - 1
    return len(hidden) < 2 or sum(hidden) < FEW or all(count == largest for count in hidden)


def numbers_outside(found: Numbers) -> OutsideNumbers:
    """Return how many students are where, without what is small.

    Who is in no unit yet is counted among the verdicts alone: told in both tables, a small count
    hidden in one of them would follow from the other.
    """
    placed = [(unit, count) for unit, count in found.units if unit is not None]
    units, _ = hide_small([count for _, count in placed])
    verdicts, total = hide_small([count for _, count in found.verdicts])
    return OutsideNumbers(
        total,
        tuple((unit, count) for (unit, _), count in zip(placed, units, strict=True)),
        tuple(zip(VERDICTS, verdicts, strict=True)),
    )


def list_outside(found: Numbers, students: int, verdict: str | None = None) -> OutsideCount:
    """Return how many students are on a list.

    Args:
        found: the numbers of the same day.
        students: how many students are on it.
        verdict: the verdict that all on it have, if it is all of them: then the count is the
            one :func:`numbers_outside` shows, or two answers would give one another away.
    """
    if verdict is not None:
        numbers = numbers_outside(found)
        return OutsideCount(dict(numbers.verdicts)[verdict], numbers.students)
    (count, _), total = hide_small((students, found.students - students))
    return OutsideCount(count, total)


def where_outside(found: Sequence[Where], course: Course, students: int) -> tuple[WhereOutside, ...]:
    """Return where students get stuck, rows without anything to show left out.

    The rows are in the order of the course: one by their counts would tell the hidden ones.

    Args:
        found: the rows; course: gives the order.
        students: how many students they are from.
    """
    rows = [
        WhereOutside(one.skill, one.unit, apart(one.stuck, students), apart(one.with_help, students))
        for one in in_course_order(found, course)
    ]
    return tuple(row for row in rows if (row.stuck, row.with_help) != (None, None))


class _OfSkill(Protocol):
    @property
    def skill(self) -> str:
        """The id of a skill."""


R = TypeVar("R", bound=_OfSkill)


def in_course_order(rows: Iterable[R], course: Course) -> list[R]:
    """Return rows about skills in the order of the course."""
    order = {skill: i for i, skill in enumerate(course.skill)}
    return sorted(rows, key=lambda row: order[row.skill])


def apart(count: int, students: int) -> Hidden:
    """Return a count, None where it or those it leaves are few."""
    return hide_small((count, students - count))[0][0]


def time_outside(found: Sequence[Stay]) -> tuple[Stay, ...]:
    """Return how long units take, without those of few cases."""
    return tuple(one for one in found if one.cases >= FEW)
