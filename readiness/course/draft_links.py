"""What stands on what in a course that nobody has checked yet: the links of a draft as a graph.

Names that no skill has are left out, and a skill's link to itself; loops and links to later units
are told here, and left out of what is concluded. Nothing here finds fault with anything.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence
from functools import cached_property
from graphlib import CycleError, TopologicalSorter

from readiness.course.graph import SkillGraph
from readiness.course.written import DraftSkill, Word

__all__ = ["DraftLinks"]


class DraftLinks:
    """The links of some skills.

    Args:
        skills: the skills, in the order of the file.
        number: by skill, the number of its unit; without those whose unit there is not.
    """

    def __init__(self, skills: Sequence[DraftSkill], number: Mapping[str, int]) -> None:
        self._skills, self._number = skills, number
        self._ids = {skill.id: None for skill in skills}

    @cached_property
    def needs(self) -> Mapping[str, tuple[str, ...]]:
        """The known skills each skill names in ``stands_on``, each once, itself left out."""
        return {s.id: self._known(s, s.stands_on) for s in self._skills}

    @cached_property
    def group_members(self) -> Mapping[str, tuple[str, ...]]:
        """The known skills each skill names in ``stands_on_some``, each once, itself left out."""
        return {s.id: self._known(s, (word for group in s.groups for word in group.of)) for s in self._skills}

    def _known(self, skill: DraftSkill, words: Iterable[Word]) -> tuple[str, ...]:
        names = (word.text for word in words)
        return tuple(dict.fromkeys(n for n in names if n in self._ids and n != skill.id))

    @cached_property
    def position(self) -> Mapping[str, tuple[int, int]]:
        """Where in the teaching each skill stands: its unit's number, then its place in the file."""
        return {skill.id: (self._number.get(skill.id, 0), at) for at, skill in enumerate(self._skills)}

    @cached_property
    def graph(self) -> SkillGraph:
        """The graph of all links, those of groups included; there may be loops in it."""
        return SkillGraph({s: (*self.needs[s], *self.group_members[s]) for s in self._ids})

    @cached_property
    def in_loops(self) -> tuple[tuple[str, str], ...]:
        """The links (skill, what it stands on) that lead back in a loop, in file order."""
        if not self._has_loop():
            return ()
        knot = {skill: at for at, knot in enumerate(self.graph.knots()) for skill in knot}
        return tuple(
            (skill, before)
            for skill, before in self._links()
            if knot.get(skill, -1) == knot.get(before, -2) and self.position[before] > self.position[skill]
        )

    def _has_loop(self) -> bool:
        """Return whether there is a loop: none where every link leads back in the order of teaching."""
        place = self.position
        if all(place[before] < place[skill] for skill, before in self._links()):
            return False
        try:
            TopologicalSorter({s: (*self.needs[s], *self.group_members[s]) for s in self._ids}).prepare()
        except CycleError:
            return True
        return False

    @cached_property
    def to_later(self) -> tuple[tuple[str, str], ...]:
        """The links (skill, what it stands on) to a skill of a later unit, in file order."""
        number = self._number
        return tuple(
            (skill, before)
            for skill, before in self._links()
            if skill in number and before in number and number[before] > number[skill]
        )

    def _links(self) -> Iterator[tuple[str, str]]:
        """Yield every link once, those of groups after those of ``stands_on``."""
        for skill in self._ids:
            for before in dict.fromkeys((*self.needs[skill], *self.group_members[skill])):
                yield skill, before

    @cached_property
    def sound(self) -> Mapping[str, tuple[str, ...]]:
        """``needs`` without the links that are refused, so that nothing is concluded from those."""
        refused = {*self.in_loops, *self.to_later}
        if not refused:
            return self.needs
        return {s: tuple(n for n in needed if (s, n) not in refused) for s, needed in self.needs.items()}

    @cached_property
    def bit(self) -> Mapping[str, int]:
        """One bit for each skill, to make sets of skills that combine quickly."""
        return {skill: 1 << at for at, skill in enumerate(self._ids)}

    @cached_property
    def above(self) -> Mapping[str, int]:
        """All that each skill stands on over ``sound``, as a set of bits."""
        found: dict[str, int] = {}
        needs, bit, place = self.sound, self.bit, self.position
        in_order = sorted(needs, key=place.__getitem__)
        if any(place[before] > place[skill] for skill in in_order for before in needs[skill]):
            in_order = list(TopologicalSorter(needs).static_order())
        for skill in in_order:
            mine = 0
            for before in needs[skill]:
                mine |= found[before] | bit[before]
            found[skill] = mine
        return found
