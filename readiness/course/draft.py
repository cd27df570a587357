"""A course as it stands in its files, before anybody has said that it is valid.

The checks of R9 read this and not the strict models, so that a misspelt key in one skill
does not hide an unknown id in another: an entry of the wrong shape is left out (the schema
has named it already), all others are here, each word with its place. Nothing here finds
fault; that is the business of ``course.checks``.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace
from functools import cached_property

from readiness.course.draft_links import DraftLinks
from readiness.course.eras import Era, era_from, turning_days
from readiness.course.written import (
    DraftBand,
    DraftChange,
    DraftSkill,
    DraftUnit,
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
    def links(self) -> DraftLinks:
        """What stands on what."""
        return DraftLinks(self.skills, {s.id: unit.number for s in self.skills if (unit := self.unit_of(s))})
