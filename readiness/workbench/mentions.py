"""Where a student's record names something of the course.

Asked before a skill is retired, and to see that no record points nowhere. Nothing is judged.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from readiness.course.model import Course
from readiness.record.model import Record

__all__ = ["Mention", "fits", "mentions"]


@dataclass(frozen=True, slots=True)
class Mention:
    """How a record speaks of some skills.

    Attributes:
        student, name: whose record.
        notes: on how many days it was noted; first, last: the first and last of them.
        aside: whether it was set aside; tasks: how many home tasks are for it.
        other_way: whether another way of showing it was agreed on.
    """

    student: str
    name: str
    notes: int
    first: int | None
    last: int | None
    aside: bool
    tasks: int
    other_way: bool = False


def mentions(record: Record, skills: frozenset[str]) -> Mention | None:
    """Return how a record speaks of some skills, None where it does not."""
    whole = record.entire
    days = sorted({
        lesson.on
        for lesson in whole.lessons
        if any(one.skill in skills for one in lesson.showings)
        or not skills.isdisjoint(lesson.named)
    })  # fmt: skip
    aside = any(entry.skill in skills for entry in whole.set_aside)
    tasks = sum(task.for_skill in skills for task in whole.tasks)
    other_way = any(entry.skill in skills for entry in whole.alternatives)
    if not (days or aside or tasks or other_way):
        return None
    first, last = (days[0], days[-1]) if days else (None, None)
    return Mention(record.id, record.name, len(days), first, last, aside, tasks, other_way)


def fits(record: Record, course: Course) -> bool:
    """Return whether everything a record names is in the course or one beside it."""
    taught = (course, *course.beside)
    return all(any(name in getattr(one, kind) for one in taught) for kind, name in _names(record.entire))


def _names(record: Record) -> Iterator[tuple[str, str]]:
    for lesson in record.lessons:
        yield from (("skill", one.skill) for one in lesson.showings)
        yield from (("skill", name) for name in lesson.named)
    yield from (("skill", entry.skill) for entry in record.set_aside)
    yield from (("skill", entry.skill) for entry in record.alternatives)
    yield from (("skill", task.for_skill) for task in record.tasks)
    yield from (("unit", start.unit) for start in record.unit_starts)
    yield from (("unit", block.through) for block in record.settled)
    yield from (("unit", decision.unit) for decision in record.decisions)
    yield from (("band", choice.band) for choice in record.band_choices)
