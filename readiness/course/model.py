"""What is taught, as plain values: units, skills, groups, bands.

Made from files that have already been checked (``course.load``), so nothing here checks.
The only things computed here are lookups and, once per course, the :class:`Plan` that
judging reads.
"""

from __future__ import annotations

from bisect import bisect_right
from collections.abc import Mapping
from dataclasses import dataclass, field
from functools import cached_property
from pathlib import Path
from typing import TYPE_CHECKING, Final

from readiness.course.eras import Era, turning_days
from readiness.files.problems import Place

if TYPE_CHECKING:
    from readiness.course.plan import Plan

__all__ = [
    "FADES",
    "KINDS",
    "Band",
    "Course",
    "Group",
    "Provenance",
    "Skill",
    "Strand",
    "Unit",
]

KINDS: Final = ("motor", "knowledge", "ear", "reading", "habit")
"""How a skill is learnt, and so how many days it needs."""

FADES: Final = ("fast", "medium", "slow")
"""How soon a skill goes without use."""


@dataclass(frozen=True, slots=True)
class Strand:
    """One thread through the course, such as reading or rhythm."""

    id: str
    name: str


@dataclass(frozen=True, slots=True)
class Unit:
    """A package taught over some lesson weeks. ``number`` counts from 1."""

    id: str
    name: str
    number: int
    lesson_weeks: int
    aim: str = ""


@dataclass(frozen=True, slots=True)
class Group:
    """``at_least`` of these skills come first, whichever they are."""

    at_least: int
    of: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class Skill:
    """Something the teacher can see or hear a student do.

    ``days`` takes the place of the number of days of its kind (rule R3). ``quiet`` is done without
    playing, singing or hard movement; ``asks_pain`` is saying that something hurts, and always quiet
    (R1a). ``uses`` are the parts of the body it works, hand and voice.
    ``since``, ``retired`` and ``replaced_by`` say from when to when it is taught and what takes
    its place (``course.eras``); most skills have none of them.
    """

    id: str
    name: str
    unit: str
    strand: str
    kind: str
    fade: str
    minutes: int
    shown_when: str
    stands_on: tuple[str, ...] = ()
    stands_on_some: tuple[Group, ...] = ()
    always_look: bool = False
    safety: bool = False
    must_be_seen: bool = False
    days: int | None = None
    quiet: bool = False
    asks_pain: bool = False
    uses: tuple[str, ...] = ("hand",)
    piece: bool = False
    optional_in: tuple[str, ...] = ()
    age_note: str = ""
    alternative: str = ""
    remedies: tuple[str, ...] = ()
    advice: str = ""
    said: str = ""
    place: Place | None = None
    since: int | None = None
    retired: int | None = None
    replaced_by: tuple[str, ...] = ()

    @property
    def spoken(self) -> str:
        """Return the name in everyday words, for letters."""
        return self.said or self.name


@dataclass(frozen=True, slots=True)
class Provenance:
    """Where one pacing number stands and whose it is.

    Attributes:
        place: the line of the pacing file.
        default: the shipped number, None where the shipped pacing has none.
        changed: whether the number differs from the shipped one.
        changed_by: who changed it, where the file says so.
        basis: where the default comes from (the file's ``[basis]``).
    """

    place: Place | None
    default: object
    changed: bool
    changed_by: str
    basis: str


@dataclass(frozen=True)
class Band:
    """The pacing rules of one age band.

    ``numbers`` holds every rule by its dotted name (``carry_limit``,
    ``days_needed.motor``), as the file has it. ``longer_days`` are supposed: by so many days
    everything keeps longer than the file says.
    """

    name: str
    from_age: int
    numbers: Mapping[str, object]
    longer_days: int = 0

    @cached_property
    def days_needed(self) -> tuple[int, ...]:
        """Days a skill must be shown on, in the order of KINDS."""
        return tuple(self.whole(f"days_needed.{kind}") for kind in KINDS)

    @cached_property
    def accepts(self) -> tuple[int, ...]:
        """The most help that still counts (0 alone, 1 cue), in the order of KINDS."""
        return tuple(("alone", "cue").index(str(self.numbers[f"accepts.{k}"])) for k in KINDS)

    @cached_property
    def fresh_days(self) -> tuple[int, ...]:
        """Days until a skill is due for another look, in the order of FADES."""
        return tuple(7 * self.whole(f"fresh_weeks.{fade}") + self.longer_days for fade in FADES)

    def whole(self, rule: str) -> int:
        """Return a rule that is a whole number."""
        value = self.numbers[rule]
        assert isinstance(value, int), rule
        return value

    def number(self, rule: str) -> float | int:
        """Return a rule that is a number."""
        value = self.numbers[rule]
        assert isinstance(value, (int, float)), rule
        return value


@dataclass(frozen=True)
class Course:
    """A skill graph with its pacing. Units and skills are in the order of the file.

    ``uses`` is the part of the body it plays or sings with, hand or voice; ``beside`` are the
    other courses of the same studio, which student files may name too (``record.several``).

    A course whose skills come and go means something else before and after such a day; judging
    asks for the course :meth:`on` a day, which has its ``era`` and keeps the ``entire`` one.
    """

    name: str
    edition: str
    units: tuple[Unit, ...]
    strands: tuple[Strand, ...]
    skills: tuple[Skill, ...]
    bands: tuple[Band, ...]
    alternatives_by_kind: Mapping[str, str] = field(default_factory=dict)
    provenance: Mapping[tuple[str, str], Provenance] = field(default_factory=dict)
    link_places: Mapping[tuple[str, str], Place] = field(default_factory=dict)
    folder: Path | None = None
    uses: str = "hand"
    beside: tuple[Course, ...] = ()
    era: Era | None = None
    entire: Course | None = None

    @cached_property
    def skill(self) -> Mapping[str, Skill]:
        """Skills by id."""
        return {skill.id: skill for skill in self.skills}

    @cached_property
    def unit(self) -> Mapping[str, Unit]:
        """Units by id."""
        return {unit.id: unit for unit in self.units}

    @cached_property
    def band(self) -> Mapping[str, Band]:
        """Bands by name."""
        return {band.name: band for band in self.bands}

    @cached_property
    def plan(self) -> Plan:
        """The course compiled for judging; made on first use."""
        from readiness.course.plan import compile_plan

        return compile_plan(self)

    def on(self, day: int) -> Course:
        """Return the course as it is on a day; the same one where nothing comes or goes."""
        whole = self.entire or self
        if whole.era is not None or not whole.turning_days:
            return self
        return whole.eras[bisect_right(whole.turning_days, day)]

    @cached_property
    def turning_days(self) -> tuple[int, ...]:
        """The days on which a skill comes or goes, in order."""
        return turning_days(self.skills)

    @cached_property
    def eras(self) -> tuple[Course, ...]:
        """The course of each stretch between two such days, the earliest first."""
        from readiness.course.dated import course_in

        return tuple(course_in(self, first) for first in (None, *self.turning_days))

    @cached_property
    def gone(self) -> frozenset[str]:
        """The skills that are not there in this era: not asked for, and nothing stands on them."""
        return frozenset() if self.era is None else frozenset(self.era.stands_for)

    @cached_property
    def stands_for(self) -> Mapping[str, tuple[str, ...]]:
        """For every skill that is gone, those there that took its place: its notes are theirs."""
        return {} if self.era is None else self.era.stands_for

    def names_of(self, skill: str) -> frozenset[str]:
        """Return the id of a skill with those of all it took the place of."""
        return frozenset({skill, *(old for old, heirs in self.stands_for.items() if skill in heirs)})
