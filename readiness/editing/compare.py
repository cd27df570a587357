"""Two courses over the same students: whose answer changes, and by what.

Every student is judged twice, from the beginning, by each course; the differences of the two
answers are then named one by one. A student *changes* when the verdict, what blocks, what
comes along or where to start is another; when only the advice is (the one thing, dates), that is
told apart. Nothing is saved and nobody is compared with anybody else.
"""

from __future__ import annotations

from collections.abc import Callable, Collection, Iterable, Iterator, Mapping
from dataclasses import replace
from itertools import product
from typing import Final

from readiness.advice.timeline import StudentChange, student_change
from readiness.course.model import Course, Skill
from readiness.days import iso
from readiness.judging.answer import Answer
from readiness.judging.engine import judge
from readiness.lazy import dataclass, differing
from readiness.record.model import Record
from readiness.record.rhythm import NO_CALENDAR, Calendar
from readiness.toml.problems import Place

__all__ = ["TEXTS", "Comparison", "Count", "Difference", "by_effect", "compare", "differences"]

Records = Mapping[str, tuple[Record, Record]]
Count = Callable[[Collection[str]], Iterator[str]]
"""What goes through students by id, and may say how far it is."""


@dataclass(frozen=True)
class Comparison:
    """Two courses over some students, in the order given; for those ``advised`` the advice alone changes."""

    on: int
    changed: tuple[StudentChange, ...]
    advised: tuple[StudentChange, ...]
    unchanged: tuple[Answer, ...]


def compare(
    old: Course, new: Course, records: Records, on: int, calendars: Mapping[str, Calendar] | None = None,
    count: Count = iter,
) -> Comparison:  # fmt: skip
    """Return what a second course would change for some students.

    Args:
        records: by student, the record as read with each of them.
        calendars: by student, what is known of the lessons.
        count: is given the students and yields them, for whoever wants to say how many are done.
    """
    dates = calendars or {}
    changes = []
    for id_ in count(records):
        before, after = records[id_]
        calendar = dates.get(id_, NO_CALENDAR)
        answers = judge(old, before, on, calendar), judge(new, after, on, calendar)
        changes.append(student_change(old, new, *answers, (before, after)))
    return Comparison(
        on,
        tuple(one for one in changes if one.is_decided),
        tuple(one for one in changes if one.reasons and not one.is_decided),
        tuple(one.before for one in changes if not one.reasons),
    )


# What is different between two courses, as a list of small facts.
#
# Names and values only, each with the place it is written on; nothing is said of students, and
# nothing is judged. A skill whose table was taken out and one that is retired are told apart,
# because only the second keeps its history.

TEXTS: Final = frozenset({
    "name", "shown_when", "age_note", "alternative", "remedies", "advice", "said", "you", "at_home",
    "for_children", "touches", "recorded",
})  # fmt: skip
"""What of a skill is read by people alone and decides nothing."""

_ON_THEIR_OWN: Final = frozenset({"id", "unit", "stands_on", "stands_on_some", "place"})


@dataclass(frozen=True)
class Difference:
    """One thing that is different.

    Attributes:
        id: unit-added, unit-gone, unit-changed, units-in-another-order, skill-added, skill-gone,
            skill-renamed, skill-moved, skill-changed, link-added, link-dropped, groups-changed,
            band-added, band-gone or number-changed.
        subject: the unit, skill or band it is about; of a skill renamed, the new one.
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


def by_effect(found: Iterable[Difference], compared: Comparison | None) -> tuple[Difference, ...]:
    """Return differences with those first that change something for a student, and texts last."""
    reasons = [] if compared is None else [r for one in compared.changed for r in one.reasons]
    touched = {name for one in reasons for name in (one.skill, *one.members, one.rule) if name}

    def place(difference: Difference) -> int:
        if difference.what in TEXTS or difference.id == "unit-changed":
            return 2
        return 0 if touched & {difference.subject, difference.what} else 1

    return tuple(sorted(found, key=place))


def _renamed(old: Course, new: Course) -> dict[str, str]:
    """Return the new names of skills by their old ones: retired for a new one, or the same but for its id."""
    added = [skill for skill in new.skills if skill.id not in old.skill]
    heirs = {one.id: one.replaced_by[0] for one in new.skills if len(one.replaced_by) == 1}
    told = {name for name, heir in heirs.items() if name in old.skill and not old.skill[name].replaced_by}
    found = {name: heirs[name] for name in told if heirs[name] in {skill.id for skill in added}}
    gone = [skill for skill in old.skills if skill.id not in new.skill]
    for _ in gone:  # a skill that builds on a renamed one is known by what that one is called now
        for was, now in product(gone, added):
            if was.id not in found and now.id not in found.values() and _is_same(was, now, found):
                found[was.id] = now.id
                break
        else:
            break
    return found


def _is_same(was: Skill, now: Skill, names: Mapping[str, str]) -> bool:
    """Return whether two skills are the same but for what they are called."""
    links = tuple(names.get(one, one) for one in was.stands_on)
    return replace(was, id=now.id, name=now.name, place=now.place, stands_on=links) == now


def _units(old: Course, new: Course) -> Iterator[Difference]:
    for unit in new.units:
        before = old.unit.get(unit.id)
        if before is None:
            yield Difference("unit-added", unit.id, new=unit.name)
            continue
        for key, was, now in differing(before, unit):
            if key in ("name", "lesson_weeks", "aim"):
                yield Difference("unit-changed", unit.id, key, was, now)
    yield from (
        Difference("unit-gone", unit.id, old=unit.name) for unit in old.units if unit.id not in new.unit
    )
    shared = old.unit.keys() & new.unit.keys()
    both = [[unit.id for unit in one.units if unit.id in shared] for one in (old, new)]
    if both[0] != both[1]:
        moved = next(now for was, now in zip(*both, strict=True) if was != now)
        yield Difference("units-in-another-order", moved, old=tuple(both[0]), new=tuple(both[1]))


def _skills(old: Course, new: Course) -> Iterator[Difference]:
    names = _renamed(old, new)
    heirs = {heir: name for name, heir in names.items()}
    for skill in new.skills:
        before = old.skill.get(skill.id)
        if skill.id in heirs:
            was = old.skill[heirs[skill.id]]
            yield Difference("skill-renamed", skill.id, was.id, was.name, skill.name, skill.place)
        elif before is None:
            yield Difference("skill-added", skill.id, new=skill.name, place=skill.place)
        elif before != skill:
            yield from _skill(before, skill, renamed=skill.id in names)
            yield from _links(old, new, before, skill, names)
    for skill in old.skills:
        if skill.id not in new.skill and skill.id not in names:
            yield Difference("skill-gone", skill.id, old=skill.name, place=skill.place)


def _skill(before: Skill, skill: Skill, *, renamed: bool) -> Iterator[Difference]:
    if before.unit != skill.unit:
        yield Difference("skill-moved", skill.id, "unit", before.unit, skill.unit, skill.place)
    apart = (*_ON_THEIR_OWN, "retired", "replaced_by") if renamed else _ON_THEIR_OWN
    for key, was, now in differing(before, skill):
        if key not in apart:
            old, new = (iso(was), iso(now)) if key in ("since", "retired") else (was, now)
            yield Difference("skill-changed", skill.id, key, old, new, skill.place)


def _links(
    old: Course, new: Course, before: Skill, skill: Skill, names: Mapping[str, str]
) -> Iterator[Difference]:
    stood_on = {names.get(other, other) for other in before.stands_on}
    for other in skill.stands_on:
        if other not in before.stands_on and other not in stood_on:
            place = new.link_places.get((skill.id, other))
            yield Difference("link-added", skill.id, other, new=other, place=place)
    for other in before.stands_on:
        if other not in skill.stands_on and names.get(other, other) not in skill.stands_on:
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
    for band in old.bands:
        if band.name not in new.band:
            yield Difference("band-gone", band.name, old=band.from_age)
