"""A course compiled for judging: skills as small numbers, sets of skills as bits.

Judging one student asks the same questions of the graph many times (what stands on this,
what is open in this unit). Here they are answered once for all, so that judging only
combines whole numbers. Bit ``i`` of a set stands for skill ``i`` in the order of the file.
A plan knows nothing of any student, and it assumes a course without loops.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass, field
from graphlib import TopologicalSorter
from typing import Any

from readiness.course.model import FADES, KINDS, Course

__all__ = ["EntryGroup", "Plan", "bits", "compile_plan"]


@dataclass(frozen=True, slots=True)
class EntryGroup:
    """A group of one skill: ``at_least`` of the skills in ``members`` (a set of bits)."""

    owner: int
    at_least: int
    members: int


@dataclass(frozen=True, slots=True)
class Plan:
    """The skill graph as numbers. Tuples are indexed by skill, except where said.

    Attributes:
        ids, index: skill ids by number, and back.
        unit, kind, fade, minutes: by skill; kind and fade index KINDS and FADES.
        needs: the direct prerequisites (``stands_on``) as a set.
        ancestors, descendants: over ``stands_on``, any number of links.
        depth: how many ancestors a skill has.
        in_unit, up_to: by unit: the skills of it, and of it and all units before.
        groups: by unit: the groups of its skills, in the order of the file.
        days: by skill, the days it needs by its own word, 0 where its kind says.
        always_look, safety, must_be_seen, quiet: sets of skills.
        optional: by band name: the skills not asked for there.
        kept: what was worked out from this plan alone, for whoever asks again.
    """

    ids: tuple[str, ...]
    index: Mapping[str, int]
    unit: tuple[int, ...]
    kind: tuple[int, ...]
    fade: tuple[int, ...]
    minutes: tuple[int, ...]
    days: tuple[int, ...]
    needs: tuple[int, ...]
    ancestors: tuple[int, ...]
    descendants: tuple[int, ...]
    depth: tuple[int, ...]
    in_unit: tuple[int, ...]
    up_to: tuple[int, ...]
    groups: tuple[tuple[EntryGroup, ...], ...]
    always_look: int
    safety: int
    must_be_seen: int
    quiet: int
    optional: Mapping[str, int]
    unit_ids: tuple[str, ...]
    unit_index: Mapping[str, int]
    kept: dict[object, Any] = field(default_factory=dict, compare=False, repr=False)

    def names(self, skills: int) -> tuple[str, ...]:
        """Return the ids in a set of skills, in graph order."""
        return tuple(self.ids[i] for i in bits(skills))

    def set_of(self, ids: Iterable[str]) -> int:
        """Return the set of the skills with these ids."""
        return _union(1 << self.index[skill] for skill in ids)


def bits(skills: int) -> Iterator[int]:
    """Yield the numbers in a set, smallest first.

    >>> list(bits(0b10110))
    [1, 2, 4]
    """
    while skills:
        low = skills & -skills
        yield low.bit_length() - 1
        skills ^= low


def compile_plan(course: Course) -> Plan:
    """Compile a course that has been checked.

    Raises:
        graphlib.CycleError: the course has a loop (a checked course has none).
    """
    skills = course.skills
    index = {skill.id: i for i, skill in enumerate(skills)}
    unit_index = {unit.id: i for i, unit in enumerate(course.units)}
    unit = tuple(unit_index[skill.unit] for skill in skills)
    needs = tuple(_union(1 << index[other] for other in skill.stands_on) for skill in skills)
    order = tuple(TopologicalSorter({i: tuple(bits(needs[i])) for i in index.values()}).static_order())
    ancestors = _closure(needs, order)
    in_unit = tuple(
        _union(1 << i for i, at in enumerate(unit) if at == number) for number in unit_index.values()
    )
    return Plan(
        ids=tuple(index),
        index=index,
        unit=unit,
        kind=tuple(KINDS.index(skill.kind) for skill in skills),
        fade=tuple(FADES.index(skill.fade) for skill in skills),
        minutes=tuple(skill.minutes for skill in skills),
        days=tuple(skill.days or 0 for skill in skills),
        needs=needs,
        ancestors=ancestors,
        descendants=_descendants(needs, order),
        depth=tuple(above.bit_count() for above in ancestors),
        in_unit=in_unit,
        up_to=tuple(_union(in_unit[: number + 1]) for number in range(len(in_unit))),
        groups=_groups(course, index, in_unit),
        always_look=_union(1 << i for i, skill in enumerate(skills) if skill.always_look),
        safety=_union(1 << i for i, skill in enumerate(skills) if skill.safety),
        must_be_seen=_union(1 << i for i, skill in enumerate(skills) if skill.must_be_seen),
        quiet=_union(1 << i for i, skill in enumerate(skills) if skill.quiet),
        optional={
            band.name: _union(1 << i for i, skill in enumerate(skills) if band.name in skill.optional_in)
            for band in course.bands
        },
        unit_ids=tuple(unit_index),
        unit_index=unit_index,
    )


def _union(sets: Iterable[int]) -> int:
    result = 0
    for one in sets:
        result |= one
    return result


def _closure(needs: tuple[int, ...], order: tuple[int, ...]) -> tuple[int, ...]:
    """Return all ancestors of each skill; ``order`` has prerequisites first."""
    above = [0] * len(needs)
    for i in order:
        above[i] = needs[i] | _union(above[other] for other in bits(needs[i]))
    return tuple(above)


def _descendants(needs: tuple[int, ...], order: tuple[int, ...]) -> tuple[int, ...]:
    """Return all that stands on each skill."""
    below = [0] * len(needs)
    for i in reversed(order):
        mine = below[i] | 1 << i
        for other in bits(needs[i]):
            below[other] |= mine
    return tuple(below)


def _groups(
    course: Course, index: Mapping[str, int], in_unit: tuple[int, ...]
) -> tuple[tuple[EntryGroup, ...], ...]:
    """Return the groups by the unit of the skill that has them."""
    return tuple(
        tuple(
            EntryGroup(i, group.at_least, _union(1 << index[member] for member in group.of))
            for i in bits(members)
            for group in course.skills[i].stands_on_some
        )
        for members in in_unit
    )
