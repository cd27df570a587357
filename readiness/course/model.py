"""What is taught, as plain values: units, skills, groups, bands, and the rules of a band, each in a row.

Made from files that have already been checked (``course.load``), so nothing here checks. The only things
computed here are lookups and, once per course, the :class:`Plan` that judging reads.

A rule of a band that is one value is declared once, in ``BAND``: its shape in ``pacing.toml``, the range
asked about (``course.checks.units``), the help of an editor (``studio.schema``) and the words
(``words.reasons``). The basis of the ranges is common practice, as in ``[basis]`` beside each default; of
``practice_rise_percent_week`` is "avoid sudden increases" (nasm-pama), that of ``beat_range`` the marks of a
metronome, 40 to 208.
"""

from __future__ import annotations

from bisect import bisect, bisect_right
from collections.abc import Collection, Iterable, Iterator, Mapping
from dataclasses import field, replace
from functools import cached_property, reduce
from graphlib import TopologicalSorter
from operator import or_
from pathlib import Path
from typing import Any, Final, NamedTuple, Protocol

from readiness.lazy import dataclass
from readiness.terms import Fade, Kind
from readiness.toml.problems import Place, Problem

__all__ = [
    "AGES", "BAND", "BY_KIND", "FADES", "KINDS", "Band", "BandRule", "Course", "DatedSkill", "Era", "Group",
    "LoadedCourse", "PUT_BACK", "Plan", "Provenance", "Skill", "SkillGroup", "Strand", "TAKEN_OUT", "Unit",
    "bits", "compile_plan", "course_in", "era_from", "group_in", "turning_days", "union",
]  # fmt: skip

AGES: Final = (6, 8, 11)
"""Where another usual range begins; the first is for the younger ones."""


class Range(NamedTuple):
    """What a number can be: at most, and usually, alike at all ages or for those of ``AGES``."""

    most: int | None
    usual: tuple[tuple[float, float], ...]
    why: str = "correct it"

    def at_age(self, age: int) -> tuple[float, float]:
        """Return the usual range of the ages that begin with this one."""
        return self.usual[min(bisect(AGES, age), len(self.usual) - 1)]


class BandRule(NamedTuple):
    """One rule of a band.

    Attributes:
        said: the value in words; ``{n}`` is the value, ``{day}`` and ``{week}`` so many of these.
        range: what the number can be; None for what is no number.
        does: what follows from it, as sentences.
        shape: the kind of value, a name in ``course.schema``.
        example: for a pair of numbers.
    """

    said: str
    range: Range | None
    does: str = ""
    shape: str = "AtLeastOne"
    example: tuple[int, int] | None = None

    @property
    def explained(self) -> str:
        """What it means, as sentences."""
        title = self.said.removesuffix(": {n}")
        return self.does or f"{title[0].upper()}{title[1:]}."


BAND: Final[Mapping[str, BandRule]] = {
    "from_age": BandRule(
        "from the age of: {n}", Range(99, ((3, 25),)),
        "The age in whole years from which this band holds.", shape="AtLeastNone",
    ),
    "lesson_minutes": BandRule(
        "minutes of a lesson: {n}", Range(180, ((15, 45), (20, 45), (20, 60), (20, 90))),
    ),
    "activity_minutes": BandRule(
        "minutes for one activity: {n}", Range(180, ((2, 8), (3, 12), (4, 20), (5, 30))),
    ),
    "new_skills_per_lesson": BandRule(
        "new things in a lesson: {n}", Range(20, ((1, 3), (1, 3), (1, 4), (1, 5))),
    ),
    "new_skills_per_lesson_max": BandRule(
        "new things in a lesson, at most: {n}", Range(20, ((1, 3), (1, 4), (1, 5), (1, 6))),
    ),
    "review_share": BandRule(
        "share of the lesson for what is known: {n}", Range(None, ((0.2, 0.8),)), shape="Share",
    ),
    "check_minutes": BandRule("minutes for a check: {n}", Range(180, ((4, 15), (5, 15), (5, 20), (5, 25)))),
    "check_items_max": BandRule(
        "things on a check sheet, at most: {n}", Range(100, ((4, 12), (4, 14), (4, 18), (4, 24))),
    ),
    "spread_days": BandRule(
        "first and last of those days: at least {day} apart", Range(90, ((1, 14),)),
        "The first and the last of those days lie so far apart, so that it lasts.", shape="AtLeastNone",
    ),
    "carry_limit": BandRule(
        "may be finished later: at most {n}", Range(None, ((0, 4),)),
        "So many things of a unit may be unfinished at the move. None of them is about safety, looked at "
        "in every check, or needed straight away in the next unit.", shape="AtLeastNone",
    ),
    "min_unit_factor": BandRule(
        "a quick unit: below {n} times its usual lessons", Range(10, ((0.2, 1),)),
        "Fewer lessons than this in a unit are quick, which never holds a move up.", shape="Factor",
    ),
    "max_unit_factor": BandRule(
        "a long unit: above {n} times its usual lessons", Range(10, ((1, 3),)),
        "More lessons than this in a unit are long, which never holds a move up.", shape="Factor",
    ),
    "stuck_tries": BandRule(
        "no change for a while: {day} tried in a row", Range(50, ((3, 10),)),
        "After so many days in a row without less help, another way in is suggested.",
    ),
    "check_gap_days": BandRule("days between two checks: {n}", Range(90, ((3, 21),)), shape="AtLeastNone"),
    "practice_minutes_day": BandRule(
        "minutes of practice a day: {n}",
        Range(240, ((2, 20), (3, 30), (5, 45), (5, 90))), shape="Pair", example=(5, 10),
    ),
    "practice_days_week": BandRule(
        "days of practice a week: {n}", Range(None, ((3, 7),)), shape="DaysOfAWeek",
    ),
    "play_without_pause_minutes": BandRule(
        "minutes of playing without a pause: {n}", Range(120, ((2, 8), (3, 12), (4, 20), (5, 40))),
    ),
    "practice_rise_percent_week": BandRule(
        "hundredths by which practice may rise in a week: {n}", Range(25, ((0, 20),)), shape="AtLeastNone",
    ),
    "adult_beside": BandRule("an adult sits beside: {n}", None, shape="Text"),
    "break_weeks": BandRule(
        "a break: {week} or more without a lesson", Range(52, ((2, 8),)),
        "After so long without a lesson, the first one back is for looking, and a new unit waits.",
    ),
    "beat_range": BandRule(
        "beats in a minute: {n}", Range(300, ((40, 208),)), shape="Pair", example=(90, 130),
    ),
    "lesson_minutes_range": BandRule(
        "minutes that a lesson may have: {n}",
        Range(180, ((15, 45), (20, 45), (20, 60), (20, 90))), shape="Pair", example=(20, 30),
    ),
}  # fmt: skip
"""By name, in the order of the file. Two have no end here: the shape ends ``review_share`` and
``practice_days_week``, and ``carry_limit`` ends with the units."""

BY_KIND: Final[Mapping[str, str]] = {
    "accepts": "A day counts where there was no more help than this.",
    "days_needed": "A skill is secure after so many different days. One good day may be luck.",
    "fresh_weeks": "After so many weeks a skill is looked at again. It is not lost, only not seen lately.",
}
"""What the rules do that have a value for each kind of skill, or for how soon it fades."""


KINDS: Final = tuple(Kind)
"""How a skill is learnt, and so how many days it needs."""

FADES: Final = tuple(Fade)
"""How soon a skill goes without use."""


@dataclass(frozen=True)
class Strand:
    """One thread through the course, such as reading or rhythm; ``shared``: two can do it together."""

    id: str
    name: str
    shared: bool = False


@dataclass(frozen=True)
class Unit:
    """A package taught over some lesson weeks. ``number`` counts from 1."""

    id: str
    name: str
    number: int
    lesson_weeks: int
    aim: str = ""


@dataclass(frozen=True)
class Group:
    """``at_least`` of these skills come first, whichever they are."""

    at_least: int
    of: tuple[str, ...]


@dataclass(frozen=True)
class Skill:
    """Something the teacher can see or hear a student do.

    ``days`` takes the place of the number of days of its kind (rule R3). ``quiet`` is done without
    playing, singing or hard movement; ``asks_pain`` is saying that something hurts, and always quiet
    (R1a). ``uses`` are the parts of the body it works, hand and voice. ``counts_groups``: the right answer
    depends on the instrument. ``beats``: it is kept to a beat, at a speed that suits the age. ``said`` and
    ``you`` are its forms in letters ("lifting the wrist", "you lift your wrist"). ``at_home``,
    ``for_children``, ``touches`` and ``for_two`` number its remedies from 1: fit for home, made for children,
    touching the student, for two. ``recorded`` is shown by a video or a photo in one of the ways offered.
    ``since``, ``retired`` and ``replaced_by`` say from when to when it is taught and what takes
    its place (see :class:`Era`); most skills have none of them.
    """

    id: str
    name: str
    unit: str
    strand: str
    kind: Kind
    fade: Fade
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
    counts_groups: bool = False
    beats: bool = False
    optional_in: tuple[str, ...] = ()
    age_note: str = ""
    alternative: str = ""
    remedies: tuple[str, ...] = ()
    for_two: tuple[int, ...] = ()
    advice: str = ""
    said: str = ""
    you: str = ""
    at_home: tuple[int, ...] = ()
    for_children: tuple[int, ...] = ()
    touches: tuple[int, ...] = ()
    recorded: bool = False
    place: Place | None = None
    since: int | None = None
    retired: int | None = None
    replaced_by: tuple[str, ...] = ()

    @property
    def never_waits(self) -> bool:
        """Whether it is looked at whatever comes: in every lesson, for safety, or as a habit."""
        return self.always_look or self.safety or self.asks_pain or self.kind == Kind.HABIT

    @property
    def named(self) -> tuple[str, ...]:
        """The skills it names: its links, then the members of its groups."""
        return (*self.stands_on, *(name for group in self.stands_on_some for name in group.of))


@dataclass(frozen=True)
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

    ``numbers`` holds every rule by its dotted name (``carry_limit``, ``days_needed.motor``), as the file has
    it. ``longer_days`` are supposed: by so many days everything keeps longer than the file says.
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

    def pair(self, rule: str) -> tuple[int, int]:
        """Return a rule that is two whole numbers, from and to."""
        value = self.numbers[rule]
        assert isinstance(value, tuple), rule
        return value[0], value[1]

    def number(self, rule: str) -> float | int:
        """Return a rule that is a number."""
        value = self.numbers[rule]
        assert isinstance(value, (int, float)), rule
        return value


@dataclass(frozen=True)
class Course:
    """A skill graph with its pacing. Units and skills are in the order of the file.

    ``uses`` is the part of the body it plays or sings with, hand or voice; ``beside`` are the
    other courses of the same studio, which student files may name too (``record.load``).

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

    def years(self, band: object) -> str:
        """Return the years of a band by its name; one named in words says nothing of who is an adult."""
        known = self.band.get(str(band))
        if known is None or known.name[:1].isdigit():
            return str(band)
        older = [one.from_age - 1 for one in self.bands if one.from_age > known.from_age]
        return f"{known.from_age}-{min(older)}" if older else f"{known.from_age}+"

    @property
    def nameable(self) -> Mapping[str, Mapping[str, object]]:
        """All that a student file may name, by its kind and its id."""
        return {"skill": self.skill, "unit": self.unit, "band": self.band}

    @cached_property
    def plan(self) -> Plan:
        """The course compiled for judging; made on first use."""
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


# A course compiled for judging: skills as small numbers, sets of skills as bits.
#
# Judging one student asks the same questions of the graph many times (what stands on this,
# what is open in this unit). Here they are answered once for all, so that judging only
# combines whole numbers. Bit ``i`` of a set stands for skill ``i`` in the order of the file.
# A plan knows nothing of any student, and it assumes a course without loops.


@dataclass(frozen=True)
class LoadedCourse:
    """A course, None where its files have an error, beside all problems of the files.

    ``files`` are those it was read from, and those that were looked for and are not there.
    """

    course: Course | None
    problems: tuple[Problem, ...]
    files: tuple[Path, ...] = ()


@dataclass(frozen=True)
class SkillGroup:
    """A group of one skill: ``at_least`` of the skills in ``members`` (a set of bits)."""

    owner: int
    at_least: int
    members: int

    def missing(self, there: int) -> int:
        """Return how many of its members a set lacks; none where this is 0 or less."""
        return self.at_least - (self.members & there).bit_count()


@dataclass(frozen=True)
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
    groups: tuple[tuple[SkillGroup, ...], ...]
    always_look: int
    safety: int
    must_be_seen: int
    quiet: int
    optional: Mapping[str, int]
    unit_ids: tuple[str, ...]
    unit_index: Mapping[str, int]

    @cached_property
    def decided(self) -> dict[tuple[int, str, int], Any]:
        """What decides, by unit, band and what is set aside, for whoever asks again (``judging.states``)."""
        return {}

    def names(self, skills: int) -> tuple[str, ...]:
        """Return the ids in a set of skills, in graph order."""
        return tuple(self.ids[i] for i in bits(skills))

    def set_of(self, ids: Iterable[str]) -> int:
        """Return the set of the skills with these ids."""
        return union(1 << self.index[skill] for skill in ids)


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
    """Compile a course that has been checked; one with a loop raises ``graphlib.CycleError``."""
    skills = course.skills
    index = {skill.id: i for i, skill in enumerate(skills)}
    unit_index = {unit.id: i for i, unit in enumerate(course.units)}
    unit = tuple(unit_index[skill.unit] for skill in skills)
    needs = tuple(union(1 << index[other] for other in skill.stands_on) for skill in skills)
    order = tuple(TopologicalSorter({i: tuple(bits(needs[i])) for i in index.values()}).static_order())
    ancestors = _closure(needs, order)
    in_unit = tuple(
        union(1 << i for i, at in enumerate(unit) if at == number) for number in unit_index.values()
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
        up_to=tuple(union(in_unit[: number + 1]) for number in range(len(in_unit))),
        groups=_groups(course, index, in_unit),
        always_look=union(1 << i for i, skill in enumerate(skills) if skill.always_look),
        safety=union(1 << i for i, skill in enumerate(skills) if skill.safety),
        must_be_seen=union(1 << i for i, skill in enumerate(skills) if skill.must_be_seen),
        quiet=union(1 << i for i, skill in enumerate(skills) if skill.quiet),
        optional={
            band.name: union(1 << i for i, skill in enumerate(skills) if band.name in skill.optional_in)
            for band in course.bands
        },
        unit_ids=tuple(unit_index),
        unit_index=unit_index,
    )


def union(sets: Iterable[int]) -> int:
    """Return what is in any of some sets of skills."""
    return reduce(or_, sets, 0)


def _closure(needs: tuple[int, ...], order: tuple[int, ...]) -> tuple[int, ...]:
    """Return all ancestors of each skill; ``order`` has prerequisites first."""
    above = [0] * len(needs)
    for i in order:
        above[i] = needs[i] | union(above[other] for other in bits(needs[i]))
    return tuple(above)


def _descendants(needs: tuple[int, ...], order: tuple[int, ...]) -> tuple[int, ...]:
    below = [0] * len(needs)
    for i in reversed(order):
        mine = below[i] | 1 << i
        for other in bits(needs[i]):
            below[other] |= mine
    return tuple(below)


def _groups(
    course: Course, index: Mapping[str, int], in_unit: tuple[int, ...]
) -> tuple[tuple[SkillGroup, ...], ...]:
    """Return the groups by the unit of the skill that has them."""
    return tuple(
        tuple(
            SkillGroup(i, group.at_least, union(1 << index[member] for member in group.of))
            for i in bits(members)
            for group in course.skills[i].stands_on_some
        )
        for members in in_unit
    )


# One era of a course as a course of its own.
#
# Skills that are gone keep their ids and their places, so that a map, a plan and a student's
# notes speak of the same things in every era; but nothing is asked of them, nothing stands on
# them and they stand on nothing. Judging leaves them out as it does what was set aside.


def course_in(course: Course, first: int | None) -> Course:
    """Return a course as it is from a day on (None: before all its dates)."""
    era = era_from(first, course.skill)
    found: dict[tuple[str, str], Place] = {}
    for (skill, named), place in course.link_places.items():
        for meant, _ in era.links(skill, (named,)):
            found.setdefault((skill, meant), place)
    return replace(
        course,
        skills=tuple(_skill_in(era, skill) for skill in course.skills),
        link_places=found,
        era=era,
        entire=course,
    )


def _skill_in(era: Era, skill: Skill) -> Skill:
    if skill.id not in era.active:
        return replace(
            skill, stands_on=(), stands_on_some=(), optional_in=(),
            always_look=False, safety=False, must_be_seen=False,
        )  # fmt: skip
    groups = (group_in(era, skill.id, group.at_least, group.of) for group in skill.stands_on_some)
    return replace(
        skill,
        stands_on=tuple(meant for meant, _ in era.links(skill.id, skill.stands_on)),
        stands_on_some=tuple(Group(least, tuple(of)) for least, of in groups if of),
    )


def group_in(era: Era, own: str, at_least: int, of: tuple[str, ...]) -> tuple[int, Mapping[str, str]]:
    """Return what a group means in an era: how many, of whom, each with the name as written.

    Of fewer members than before no more are asked for than there are.
    """
    meant = dict(era.links(own, of))
    return min(at_least, len(meant)) if len(meant) < len(set(of)) else at_least, meant


PUT_BACK: Final = "put its table back with retired = 2026-09-01"
TAKEN_OUT: Final = f"was it taken out? a skill is retired, not deleted: {PUT_BACK}"
"""What to do where a skill is named that has no table."""


# A course through the years: what was retired, what took its place, what came new.
#
# A skill is never deleted, because the decisions of past days rest on it. From the day it is
# ``retired`` the course is read as if its table were not there and every list that names it
# named its replacements instead (none: nothing). A skill with ``since`` is not there before
# that day. Between two such days nothing changes: that stretch is an :class:`Era`.
#
# Nothing here knows a student or a file; that dates and names fit is asked in ``course.checks``.


class DatedSkill(Protocol):
    """A skill as far as its dates go."""

    @property
    def since(self) -> int | None:
        """The first day it is there; None: from the beginning."""

    @property
    def retired(self) -> int | None:
        """The first day it is there no more; None: it stays."""

    @property
    def replaced_by(self) -> tuple[str, ...]:
        """The ids that take its place."""


@dataclass(frozen=True)
class Era:
    """A stretch of days with one course.

    Attributes:
        first: its first day, None for the one before all dates.
        active: the skills that are there.
        stands_for: for every skill that is gone, the skills there that took its place.
        parts: for every skill that took a place, those it took it from, and itself where it was there before.
    """

    first: int | None
    active: frozenset[str]
    stands_for: Mapping[str, tuple[str, ...]]
    parts: Mapping[str, frozenset[str]]

    def not_asked(self, agreed: frozenset[str]) -> frozenset[str]:
        """Return what is not asked for: what is gone, and what was set aside by agreement.

        A new name of a skill that was set aside is set aside too; what took the place of several
        only when all of them were.
        """
        found = agreed
        while more := {heir for heir, parts in self.parts.items() if parts <= found} - found:
            found |= more
        return found | frozenset(self.stands_for)

    def links(self, own: str, named: Iterable[str]) -> tuple[tuple[str, str], ...]:
        """Return what a skill's list means here: (skill meant, the name as written), each once.

        A name nobody has stays as it is, so that it can be reported.
        """
        meant: dict[str, str] = {}
        for name in named:
            for heir in (name,) if name in self.active else self.stands_for.get(name, (name,)):
                if heir != own or name == own:
                    meant.setdefault(heir, name)
        return tuple(meant.items())


def turning_days(skills: Iterable[DatedSkill]) -> tuple[int, ...]:
    """Return the days on which something comes or goes, in order."""
    return tuple(sorted({day for one in skills for day in (one.since, one.retired) if day is not None}))


def era_from(first: int | None, skills: Mapping[str, DatedSkill]) -> Era:
    """Return the course's era that begins on a day (None: before all dates)."""
    day = first or 0
    over = {name: one.retired for name, one in skills.items() if one.retired and one.retired <= day}
    active = frozenset(name for name, one in skills.items() if name not in over and (one.since or 0) <= day)
    found: dict[str, set[str]] = {}
    for name, retired in over.items():
        for heir in skills[name].replaced_by:
            since = skills[heir].since if heir in skills else None
            found.setdefault(heir, set()).update([name, heir] if (since or 0) < retired else [name])
    return Era(
        first,
        active,
        {name: _heirs(name, over, skills, active) for name in skills if name not in active},
        {heir: frozenset(parts) for heir, parts in found.items()},
    )


def _heirs(
    gone: str, over: Collection[str], skills: Mapping[str, DatedSkill], active: frozenset[str]
) -> tuple[str, ...]:
    """Return who took a skill's place, over any number of steps; nobody for one still to come."""
    found: dict[str, None] = {}
    met, waiting = {gone}, [gone]
    while waiting:
        name = waiting.pop()
        if name in active:
            found[name] = None
        elif name in over:
            new = [heir for heir in skills[name].replaced_by if heir not in met]
            met.update(new)
            waiting += reversed(new)
    return tuple(found)
