"""Whether the courses of one studio can share their students' files.

A skill with the same id is the same skill in both, so both must agree on what it is; a unit
belongs to one course alone. Each course for itself is checked elsewhere (``course.checks``).
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from itertools import combinations
from typing import Final

from readiness.course.model import Course, Skill
from readiness.files.problems import Place, Problem

__all__ = ["check_together"]

_AGREE: Final = ("kind", "fade", "must_be_seen", "days", "quiet", "asks_pain")
"""What decides how many days a skill needs and how long it keeps."""


def check_together(courses: Sequence[Course]) -> Iterator[Problem]:
    """Yield where two courses mean different things by one id, at the second of the two places."""
    for first, second in combinations(courses, 2):
        for skill in second.skills:
            if skill.id in first.skill:
                yield from _differences(first.skill[skill.id], skill, first)
        for unit in second.units:
            if unit.id in first.unit:
                yield _unit_twice(unit.id, first, second)


def _differences(one: Skill, other: Skill, first: Course) -> Iterator[Problem]:
    assert other.place is not None
    for name in _AGREE:
        there, here = (str(getattr(skill, name)).lower() for skill in (one, other))
        if there != here:
            yield Problem(
                "skill-means-two-things",
                "warning",
                other.place,
                f'"{other.id}" has {name} = {here}, and {there} in "{first.name}"',
                "a skill with the same id is the same skill: let both agree, or give one another id",
                one.place,
                "the other course",
            )


def _unit_twice(unit: str, first: Course, second: Course) -> Problem:
    assert second.folder is not None
    return Problem(
        "unit-in-two-courses",
        "error",
        Place(second.folder / "graph.toml", 1, 1),
        f'there is a unit "{unit}" here and in "{first.name}" too',
        "a student file could not say which of the two was begun: give one another id",
    )
