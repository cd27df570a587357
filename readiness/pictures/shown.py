"""What a picture shows: the whole course, or one unit with what is under it and over it.

Decides which skills and links are on the picture and how each skill is marked; where things
stand on the page, and in which language it is drawn, is decided elsewhere.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import field

from readiness.course.model import Course, Skill, Strand, Unit
from readiness.judging.answer import Answer
from readiness.lazy import dataclass
from readiness.terms import State

__all__ = ["Link", "Shown", "shown"]


@dataclass(frozen=True)
class Link:
    """``before`` comes before ``after``; ``some``: as one of a group, not by itself."""

    before: str
    after: str
    some: bool = False


@dataclass(frozen=True)
class Shown:
    """The content of a picture. Units, strands and skills are in the order of the file.

    Attributes:
        title: the course's name, and the student's.
        states: of a student, by skill; empty without one.
        here, ahead: the unit the student is in, and the next.
        focus: the unit the picture is about, None for the whole course.
    """

    title: tuple[str, ...]
    units: tuple[Unit, ...]
    strands: tuple[Strand, ...]
    skills: tuple[Skill, ...]
    links: tuple[Link, ...]
    states: Mapping[str, State] = field(default_factory=dict)
    on: int | None = None
    here: str | None = None
    ahead: str | None = None
    focus: str | None = None


def shown(course: Course, answer: Answer | None = None, unit: str | None = None) -> Shown:
    """Return what a picture of a course shows.

    Args:
        course: what is taught.
        answer: of the student to be shown on it, if any.
        unit: the id of the unit to show with its footings and what stands on it.
    """
    links = tuple(_links(course))
    if unit is not None:
        of = {skill.id: skill.unit for skill in course.skills}
        links = tuple(one for one in links if unit in (of[one.before], of[one.after]))
    near = {end for one in links for end in (one.before, one.after)}
    skills = tuple(one for one in course.skills if unit is None or one.unit == unit or one.id in near)
    units, strands = {one.unit for one in skills}, {one.strand for one in skills}
    return Shown(
        title=(course.name, *((answer.name,) if answer else ())),
        units=tuple(one for one in course.units if one.id in units or unit is None),
        strands=tuple(one for one in course.strands if one.id in strands),
        skills=skills,
        links=links,
        states={one.id: answer.standings[one.id].state for one in skills} if answer else {},
        on=answer.on if answer else None,
        here=answer.unit if answer else None,
        ahead=answer.next_unit if answer else None,
        focus=unit,
    )


def _links(course: Course) -> list[Link]:
    """Return every link once; a skill that is named by itself needs no link as one of a group."""
    found: dict[tuple[str, str], bool] = {}
    for skill in course.skills:
        for before in skill.stands_on:
            found[before, skill.id] = False
        for group in skill.stands_on_some:
            for member in group.of:
                found.setdefault((member, skill.id), True)
    return [Link(before, after, some) for (before, after), some in found.items()]
