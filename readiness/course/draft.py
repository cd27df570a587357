"""A course as it stands in its files, before anybody has said that it is valid.

The checks of R9 read this and not the strict models, so that a misspelt key in one skill
does not hide an unknown id in another: an entry of the wrong shape is left out (the schema
has named it already), all others are here, each word with its place. Nothing here finds
fault; that is the business of ``course.checks``.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass, replace
from functools import cached_property
from graphlib import CycleError, TopologicalSorter

from readiness.course.eras import Era, era_from, turning_days
from readiness.course.graph import SkillGraph
from readiness.course.written import (
    DraftBand,
    DraftChange,
    DraftSkill,
    DraftUnit,
    Word,
    named_words,
    skill_in,
)
from readiness.files.suggest import nearest

__all__ = ["Draft"]


@dataclass(frozen=True)
class Draft:
    """All that the two files say in a readable shape, in the order of the files.

    Where skills come and go, each of ``eras`` is the draft of one stretch of days, from its
    ``first`` day on (``course.eras``).
    """

    units: tuple[DraftUnit, ...]
    strands: tuple[str, ...]
    skills: tuple[DraftSkill, ...]
    bands: tuple[DraftBand, ...]
    changes: tuple[DraftChange, ...]
    first: int | None = None

    @cached_property
    def eras(self) -> tuple[Draft, ...]:
        """The drafts of all stretches of days, the earliest first; itself where nothing has a date."""
        days = turning_days(self.skills)
        return tuple(self._in(era_from(day, self.skill)) for day in (None, *days)) if days else (self,)

    def _in(self, era: Era) -> Draft:
        there = (skill for skill in self.skills if skill.id in era.active)
        return replace(self, skills=tuple(skill_in(era, skill) for skill in there), first=era.first)

    @cached_property
    def unit(self) -> Mapping[str, DraftUnit]:
        """Units by id."""
        return {unit.id: unit for unit in self.units}

    @cached_property
    def skill(self) -> Mapping[str, DraftSkill]:
        """Skills by id."""
        return {skill.id: skill for skill in self.skills}

    def unit_of(self, skill: DraftSkill) -> DraftUnit | None:
        """Return the unit a skill names, None if there is no such unit."""
        return self.unit.get(skill.unit.text) if skill.unit else None

    @cached_property
    def meant_unit(self) -> Mapping[str, str]:
        """The unit each skill is put in; a misspelt one counts as the unit it most resembles.

        So that one slip is reported once, and not as a unit that is short of a skill too.
        """
        found: dict[str, str] = {}
        for skill in self.skills:
            name = skill.unit.text if skill.unit else ""
            unit = name if name in self.unit else nearest(name, self.unit)
            if unit is not None:
                found[skill.id] = unit
        return found

    @cached_property
    def members(self) -> Mapping[str, tuple[DraftSkill, ...]]:
        """The skills of each unit, by ``meant_unit``."""
        found: dict[str, list[DraftSkill]] = {unit.id: [] for unit in self.units}
        for skill_id, unit in self.meant_unit.items():
            found[unit].append(self.skill[skill_id])
        return {unit: tuple(skills) for unit, skills in found.items()}

    @cached_property
    def named_by(self) -> Mapping[str, tuple[DraftSkill, ...]]:
        """For each skill, the skills that name it in a link or group; misspelt names count too."""
        found: dict[str, list[DraftSkill]] = {skill.id: [] for skill in self.skills}
        meant: dict[str, str | None] = {name: name for name in found}
        for skill in self.skills:
            for word in named_words(skill):
                if word.text not in meant:
                    meant[word.text] = nearest(word.text, found)
                name = meant[word.text]
                if name is not None:
                    found[name].append(skill)
        return {name: tuple(skills) for name, skills in found.items()}

    @cached_property
    def needs(self) -> Mapping[str, tuple[str, ...]]:
        """The known skills each skill names in ``stands_on``, each once, itself left out."""
        return {s.id: self._known(s, s.stands_on) for s in self.skills}

    @cached_property
    def group_members(self) -> Mapping[str, tuple[str, ...]]:
        """The known skills each skill names in ``stands_on_some``, each once, itself left out."""
        return {s.id: self._known(s, (word for group in s.groups for word in group.of)) for s in self.skills}

    def _known(self, skill: DraftSkill, words: Iterable[Word]) -> tuple[str, ...]:
        names = (word.text for word in words)
        return tuple(dict.fromkeys(n for n in names if n in self.skill and n != skill.id))

    @cached_property
    def position(self) -> Mapping[str, tuple[int, int]]:
        """Where in the teaching each skill stands: its unit's number, then its place in the file."""
        return {
            skill.id: (unit.number if (unit := self.unit_of(skill)) else 0, at)
            for at, skill in enumerate(self.skills)
        }

    @cached_property
    def all_links(self) -> SkillGraph:
        """The graph of all links, those of groups included; there may be loops in it."""
        return SkillGraph({s: (*self.needs[s], *self.group_members[s]) for s in self.skill})

    @cached_property
    def loop_links(self) -> tuple[tuple[str, str], ...]:
        """The links (skill, what it stands on) that lead back in a loop, in file order."""
        if not self._has_loop():
            return ()
        knot = {skill: at for at, knot in enumerate(self.all_links.knots()) for skill in knot}
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
            TopologicalSorter({s: (*self.needs[s], *self.group_members[s]) for s in self.skill}).prepare()
        except CycleError:
            return True
        return False

    @cached_property
    def later_links(self) -> tuple[tuple[str, str], ...]:
        """The links (skill, what it stands on) to a skill of a later unit, in file order."""
        number = {s.id: unit.number for s in self.skills if (unit := self.unit_of(s))}
        return tuple(
            (skill, before)
            for skill, before in self._links()
            if skill in number and before in number and number[before] > number[skill]
        )

    def _links(self) -> Iterator[tuple[str, str]]:
        """Yield every link once, those of groups after those of ``stands_on``."""
        for skill in self.skill:
            for before in dict.fromkeys((*self.needs[skill], *self.group_members[skill])):
                yield skill, before

    @cached_property
    def sound_needs(self) -> Mapping[str, tuple[str, ...]]:
        """``needs`` without the links that are refused, so that nothing is concluded from those."""
        refused = {*self.loop_links, *self.later_links}
        if not refused:
            return self.needs
        return {s: tuple(n for n in needed if (s, n) not in refused) for s, needed in self.needs.items()}

    @cached_property
    def bit(self) -> Mapping[str, int]:
        """One bit for each skill, to make sets of skills that combine quickly."""
        return {skill: 1 << at for at, skill in enumerate(self.skill)}

    @cached_property
    def above(self) -> Mapping[str, int]:
        """All that each skill stands on over ``sound_needs``, as a set of bits."""
        found: dict[str, int] = {}
        needs, bit, place = self.sound_needs, self.bit, self.position
        in_order = sorted(needs, key=place.__getitem__)
        if any(place[before] > place[skill] for skill in in_order for before in needs[skill]):
            in_order = list(TopologicalSorter(needs).static_order())
        for skill in in_order:
            mine = 0
            for before in needs[skill]:
                mine |= found[before] | bit[before]
            found[skill] = mine
        return found
