"""What a picture shows: the whole course, one unit with what is around it, or a sheet for each unit.

Decides which skills and links are on the picture and how each skill is marked; where things
stand on the page, and in which language it is drawn, is decided elsewhere.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from dataclasses import field, replace
from functools import cache
from typing import Final

from readiness.course.model import Course, Skill, Strand, Unit
from readiness.judging.answer import Answer
from readiness.lazy import dataclass
from readiness.terms import State

__all__ = ["AFTER", "BEFORE", "MOST", "Link", "Shown", "sheets", "shown"]

BEFORE: Final = "builds on"
AFTER: Final = "leads to"
"""The columns on both sides of a unit that has a sheet of its own."""
MOST: Final = 12
"""Boxes in a column of such a sheet, so that its letters can be read."""


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
        answer: of the student to be shown on it, if any.
        unit: the id of the unit to show with its footings and what stands on it.
    """
    whole = Shown((course.name,), course.units, course.strands, course.skills, _links(course))
    if answer is not None:
        states = {skill: standing.state for skill, standing in answer.standings.items()}
        title = (course.name, answer.name)
        whole = replace(
            whole, title=title, states=states, on=answer.on, here=answer.unit, ahead=answer.next_unit
        )
    return whole if unit is None else _around(whole, unit)


def _links(course: Course) -> tuple[Link, ...]:
    """Return every link once; a skill that is named by itself needs no link as one of a group."""
    found: dict[tuple[str, str], bool] = {}
    for skill in course.skills:
        for before in skill.stands_on:
            found[before, skill.id] = False
        for group in skill.stands_on_some:
            for member in group.of:
                found.setdefault((member, skill.id), True)
    return tuple(Link(before, after, some) for (before, after), some in found.items())


def _around(whole: Shown, unit: str) -> Shown:
    """Return a unit with what its skills stand on and what stands on them."""
    own = {skill.id for skill in whole.skills if skill.unit == unit}
    links = tuple(link for link in whole.links if own & {link.before, link.after})
    near = own.union(*({link.before, link.after} for link in links))
    return _with(whole, tuple(skill for skill in whole.skills if skill.id in near), links, unit)


def _with(whole: Shown, skills: Sequence[Skill], links: tuple[Link, ...], unit: str) -> Shown:
    """Return a picture of these skills alone, with the units and strands that they need."""
    strands = {skill.strand for skill in skills}
    units = {skill.unit for skill in skills} | {unit}
    return replace(
        whole,
        units=tuple(one for one in whole.units if one.id in units),
        strands=tuple(one for one in whole.strands if one.id in strands),
        skills=tuple(skills),
        links=links,
        states={skill.id: whole.states[skill.id] for skill in skills} if whole.states else {},
        focus=unit,
    )


def sheets(whole: Shown) -> Iterator[Shown]:
    """Yield a sheet for each unit, two or more where one could not be read.

    The unit stands in the middle, what it builds on to the left and what it leads to on the right; a
    skill there has the number of its unit behind its name, and an id of its own.
    """
    joined: dict[str, list[int]] = {skill.id: [] for skill in whole.skills}
    for at, link in enumerate(whole.links):
        for skill_id in (link.before, link.after):
            joined[skill_id].append(at)
    place = {skill.id: at for at, skill in enumerate(whole.skills)}
    number = {one.id: one.number for one in whole.units}

    @cache
    def moved(skill_id: str, side: str) -> Skill:
        skill = whole.skills[place[skill_id]]
        name = f"{skill.name} (unit {number[skill.unit]})"
        return replace(skill, id=f"{skill.id} {side}", name=name, unit=side)

    for unit in whole.units:
        own = [skill for skill in whole.skills if skill.unit == unit.id]
        for parts in _parts(len(own)):
            size = -(-len(own) // parts) or 1
            groups = [own[at : at + size] for at in range(0, len(own) or 1, size)]
            near = [_near(whole, group, joined, place) for group in groups]
            if parts >= len(own) or max(map(_fullest, near, groups)) <= MOST:
                yield from (_sheet(one, unit, group, moved) for one, group in zip(near, groups, strict=True))
                break


def _parts(many: int) -> Iterator[int]:
    """Yield into how many sheets a unit may be parted: the fewest first, later twice as many each time."""
    parts = fewest = max(-(-many // MOST), 1)
    while parts < many:
        yield parts
        parts = parts + 1 if parts < fewest + MOST else 2 * parts
    yield max(many, 1)


def _near(
    whole: Shown, own: Iterable[Skill], joined: Mapping[str, Sequence[int]], place: Mapping[str, int]
) -> Shown:
    """Return the whole with those links alone that some skills have, and what these join.

    ``joined``: by skill, the places of its links; ``place``: its own.
    """
    links = tuple(whole.links[at] for at in sorted({at for skill in own for at in joined[skill.id]}))
    ends = {place[end] for link in links for end in (link.before, link.after)}
    return replace(whole, links=links, skills=tuple(whole.skills[at] for at in sorted(ends)))


def _fullest(near: Shown, own: Sequence[Skill]) -> int:
    """Return how many skills stand in the fullest column of a sheet."""
    before, after = ({getattr(link, end) for link in near.links} for end in ("before", "after"))
    here = {skill.id for skill in own}
    return max(len(here), len(before - here), len(after - here))


def _sheet(whole: Shown, unit: Unit, own: Sequence[Skill], moved: Callable[[str, str], Skill]) -> Shown:
    """Return a sheet; ``moved`` gives a skill as it stands on a side of it."""
    here = {skill.id for skill in own}
    links, beside = [], {BEFORE: set[str](), AFTER: set[str]()}
    for link in whole.links:
        if link.after in here and link.before not in here:
            beside[BEFORE].add(link.before)
            links.append(replace(link, before=f"{link.before} {BEFORE}"))
        elif link.before in here and link.after not in here:
            beside[AFTER].add(link.after)
            links.append(replace(link, after=f"{link.after} {AFTER}"))
        elif link.before in here:
            links.append(link)
    sides = {side: [moved(skill.id, side) for skill in whole.skills if skill.id in found]
             for side, found in beside.items()}  # fmt: skip
    skills = (*sides[BEFORE], *own, *sides[AFTER])
    columns = (Unit(BEFORE, "Builds on", 0, 0), unit, Unit(AFTER, "Leads to", 0, 0))
    states = {skill.id: whole.states[skill.id.partition(" ")[0]] for skill in skills} if whole.states else {}
    sheet = _with(replace(whole, states=states), skills, tuple(links), unit.id)
    return replace(sheet, units=columns)
