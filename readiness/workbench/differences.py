"""What is different between two courses, as a list of small facts.

Names and values only, each with the place it is written on; nothing is said of students, and
nothing is judged. A skill whose table was taken out and one that is retired are told apart,
because only the second keeps its history.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, fields
from typing import Final

from readiness.course.model import Course, Skill
from readiness.days import iso
from readiness.files.problems import Place

__all__ = ["TEXTS", "Difference", "differences"]

TEXTS: Final = frozenset({"name", "shown_when", "age_note", "alternative", "remedies", "advice", "said"})
"""What of a skill is read by people alone and decides nothing."""

_ON_THEIR_OWN: Final = frozenset({"id", "unit", "stands_on", "stands_on_some", "place"})


@dataclass(frozen=True, slots=True)
class Difference:
    """One thing that is different.

    Attributes:
        id: unit-added, unit-gone, unit-changed, units-in-another-order, skill-added, skill-gone,
            skill-moved, skill-changed, link-added, link-dropped, groups-changed, band-added,
            band-gone or number-changed.
        subject: the unit, skill or band it is about.
        what: the key, the rule or the skill stood on.
        old, new: the values; None where there is none.
        place: where it is written now, else where it was.
    """

    id: str
    subject: str
    what: str = ""
    old: object = None
    new: object = None
    place: Place | None = None


def differences(old: Course, new: Course) -> tuple[Difference, ...]:
    """Return what the second course has otherwise than the first: units, skills, links, numbers."""
    return (*_units(old, new), *_skills(old, new), *_numbers(old, new))


def _units(old: Course, new: Course) -> Iterator[Difference]:
    for unit in new.units:
        before = old.unit.get(unit.id)
        if before is None:
            yield Difference("unit-added", unit.id, new=unit.name)
            continue
        for key in ("name", "lesson_weeks", "aim"):
            was, now = getattr(before, key), getattr(unit, key)
            if was != now:
                yield Difference("unit-changed", unit.id, key, was, now)
    yield from (
        Difference("unit-gone", unit.id, old=unit.name) for unit in old.units if unit.id not in new.unit
    )
    both = [
        [unit.id for unit in one.units if unit.id in old.unit and unit.id in new.unit] for one in (old, new)
    ]
    if both[0] != both[1]:
        moved = next(now for was, now in zip(*both, strict=True) if was != now)
        yield Difference("units-in-another-order", moved, old=tuple(both[0]), new=tuple(both[1]))


def _skills(old: Course, new: Course) -> Iterator[Difference]:
    for skill in new.skills:
        before = old.skill.get(skill.id)
        if before is None:
            yield Difference("skill-added", skill.id, new=skill.name, place=skill.place)
        elif before != skill:
            yield from _skill(before, skill)
            yield from _links(old, new, before, skill)
    for skill in old.skills:
        if skill.id not in new.skill:
            yield Difference("skill-gone", skill.id, old=skill.name, place=skill.place)


def _skill(before: Skill, skill: Skill) -> Iterator[Difference]:
    if before.unit != skill.unit:
        yield Difference("skill-moved", skill.id, "unit", before.unit, skill.unit, skill.place)
    for key in (field.name for field in fields(Skill) if field.name not in _ON_THEIR_OWN):
        was, now = getattr(before, key), getattr(skill, key)
        if was != now:
            is_day = key in ("since", "retired")
            was, now = (iso(was), iso(now)) if is_day else (was, now)
            yield Difference("skill-changed", skill.id, key, was, now, skill.place)


def _links(old: Course, new: Course, before: Skill, skill: Skill) -> Iterator[Difference]:
    for other in skill.stands_on:
        if other not in before.stands_on:
            place = new.link_places.get((skill.id, other))
            yield Difference("link-added", skill.id, other, new=other, place=place)
    for other in before.stands_on:
        if other not in skill.stands_on:
            place = old.link_places.get((skill.id, other))
            yield Difference("link-dropped", skill.id, other, old=other, place=place)
    was, now = (tuple((group.at_least, group.of) for group in one.stands_on_some) for one in (before, skill))
    if was != now:
        yield Difference("groups-changed", skill.id, "stands_on_some", was, now, skill.place)


def _numbers(old: Course, new: Course) -> Iterator[Difference]:
    for band in new.bands:
        before = old.band.get(band.name)
        if before is None:
            yield Difference("band-added", band.name, new=band.from_age)
            continue
        for rule in dict.fromkeys((*before.numbers, *band.numbers)):
            was, now = before.numbers.get(rule), band.numbers.get(rule)
            if was != now:
                origin = new.provenance.get((band.name, rule))
                place = origin.place if origin else None
                yield Difference("number-changed", band.name, rule, was, now, place)
    yield from (
        Difference("band-gone", band.name, old=band.from_age)
        for band in old.bands
        if band.name not in new.band
    )
