"""What a colleague would say of a course: what holds a child in each unit, what is asked in vain.

None of it is a mistake. What the notes say of a link is counted over students and told only where at
least five of them say it, so that nobody is found in it.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from itertools import chain
from typing import Final

from readiness.course.checks.criteria import weeks_to_show
from readiness.course.checks.units import Leap, loose_ends
from readiness.course.model import Course, Skill
from readiness.editing.facts import RestsOn, latest, leaps, longest, rests_on
from readiness.lazy import dataclass
from readiness.record.model import Record, seen_in

__all__ = ["AgainstLink", "Colleague", "Gate", "LongCriterion", "colleague_says"]

ENOUGH: Final = 5
"""So many students say a thing before it is told (a threshold usual for published counts)."""
_SOON: Final = 2
"""A strand that ends so many units before the last one, or more, is told."""


@dataclass(frozen=True)
class Gate:
    """What of a unit must be secure before the next one; ``groups`` are told by their first skill."""

    unit: str
    skills: tuple[str, ...]
    groups: tuple[str, ...]


@dataclass(frozen=True)
class LongCriterion:
    """A criterion that takes more weekly lessons than its unit has, at the ages named."""

    skill: str
    weeks: int
    unit_weeks: int
    bands: tuple[str, ...]


@dataclass(frozen=True)
class AgainstLink:
    """A link that most students went the other way: so many of those who showed both on different days."""

    skill: str
    before: str
    other_way: int
    students: int


@dataclass(frozen=True)
class Colleague:
    """All that is said of a course.

    Attributes:
        gates: of every unit but the last.
        leaps: the load of every unit at every age.
        long: criteria longer than their unit.
        never_needed: skills nothing later stands on.
        bottlenecks: what most stands on.
        chain: the longest chain of links in the course, the lowest skill first.
        strands_that_stop: strands with the last unit in which they have a skill.
        on_one_note: safety skills that one note makes secure, with the ages.
        no_other_way: skills with no other way of showing of their own.
        against: links that the notes speak against.
    """

    gates: tuple[Gate, ...]
    leaps: tuple[Leap, ...]
    long: tuple[LongCriterion, ...]
    never_needed: tuple[str, ...]
    bottlenecks: tuple[RestsOn, ...]
    chain: tuple[str, ...]
    strands_that_stop: tuple[tuple[str, str], ...]
    on_one_note: tuple[tuple[str, tuple[str, ...]], ...]
    no_other_way: tuple[str, ...]
    against: tuple[AgainstLink, ...]


def colleague_says(course: Course, records: Iterable[Record] = ()) -> Colleague:
    """Return what can be said of a course, and of its links where there are notes."""
    now = latest(course)
    there = [skill for skill in now.skills if skill.id not in now.gone]
    return Colleague(
        gates=tuple(_gates(now)),
        leaps=leaps(now),
        long=tuple(_long(now, there)),
        never_needed=tuple(skill.id for skill in loose_ends(now)),
        bottlenecks=rests_on(now)[:ENOUGH],
        chain=longest(now.skills),
        strands_that_stop=tuple(_strands_that_stop(now, there)),
        on_one_note=tuple(_on_one_note(now, there)),
        no_other_way=tuple(skill.id for skill in there if not skill.alternative),
        against=tuple(_against(there, list(records))),
    )


def _gates(course: Course) -> Iterator[Gate]:
    plan = course.plan
    for at, unit in enumerate(course.units[:-1]):
        mine = plan.in_unit[at]
        owners = [i for i in range(len(plan.ids)) if plan.in_unit[at + 1] >> i & 1]
        asked = plan.safety & mine
        for owner in owners:
            asked |= plan.needs[owner] & mine
        entry = [one.members for one in plan.groups[at + 1] if not one.members & ~plan.up_to[at]]
        yield Gate(unit.id, plan.names(asked), tuple(plan.names(one)[0] for one in entry if one & mine))


def _long(course: Course, there: Iterable[Skill]) -> Iterator[LongCriterion]:
    for skill in there:
        of_unit = course.unit[skill.unit].lesson_weeks
        each = weeks_to_show(skill.shown_when)
        needed = {
            band.name: _days(course, skill, band.name) * each
            for band in course.bands
            if band.name not in skill.optional_in
        }
        bands = tuple(band for band, weeks in needed.items() if weeks > of_unit)
        if bands:
            yield LongCriterion(skill.id, max(needed[band] for band in bands), of_unit, bands)


def _days(course: Course, skill: Skill, band: str) -> int:
    return skill.days or course.band[band].whole(f"days_needed.{skill.kind}")


def _strands_that_stop(course: Course, there: Iterable[Skill]) -> Iterator[tuple[str, str]]:
    last: dict[str, int] = {}
    for skill in there:
        last[skill.strand] = max(last.get(skill.strand, 0), course.unit[skill.unit].number)
    for strand, number in last.items():
        if number <= len(course.units) - _SOON:
            yield strand, course.units[number - 1].id


def _on_one_note(course: Course, there: Iterable[Skill]) -> Iterator[tuple[str, tuple[str, ...]]]:
    for skill in there:
        bands = tuple(band.name for band in course.bands if _days(course, skill, band.name) == 1)
        if (skill.safety or skill.always_look) and bands:
            yield skill.id, bands


def _against(there: Iterable[Skill], records: list[Record]) -> Iterator[AgainstLink]:
    """Yield the links of which most went the other way, by the first day each was shown alone."""
    first = [
        {skill: next((day for day, how, _ in notes if how == 0), None) for skill, notes in seen.notes.items()}
        for seen in map(seen_in, records)
    ]
    for skill, before in chain.from_iterable(((s.id, b) for b in s.stands_on) for s in there):
        both = [(one.get(before), one.get(skill)) for one in first]
        days = [(low, high) for low, high in both if low is not None and high is not None and low != high]
        other_way = sum(high < low for low, high in days)
        if other_way >= ENOUGH and 2 * other_way > len(days):
            yield AgainstLink(skill, before, other_way, len(days))
