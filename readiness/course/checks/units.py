"""R9: units of a sensible size that lead somewhere."""

from __future__ import annotations

import re
from collections.abc import Iterator, Sequence
from fractions import Fraction
from functools import cached_property
from typing import Final

from readiness.course.checks.numbers import is_usual, possible
from readiness.course.checks.register import as_written, count, of_a_day, unit_words
from readiness.course.draft import Draft, DraftBand, DraftUnit
from readiness.course.model import Course, Skill
from readiness.lazy import dataclass
from readiness.toml.problems import Problem
from readiness.toml.suggest import nearest

__all__ = ["BIG", "FEWEST", "SMALL", "Leap", "loose_ends"]

FEWEST = 4


@of_a_day("small-unit")
def check_small_units(draft: Draft) -> Iterator[Problem]:
    """A unit has at least four skills; not asked while nobody knows where one belongs."""
    if draft.elsewhere or len(draft.meant_unit) < len(draft.skills):
        return
    for unit in draft.units:
        members = len(draft.members[unit.id])
        if members < FEWEST:
            message = f"{unit_words(unit)} has {count(members, 'skill')}, fewer than {FEWEST}"
            hint = "add to it, or join it with a neighbour"
            yield Problem("small-unit", "warning", unit.place, message, hint)


@of_a_day("dead-end-unit")
def check_dead_ends(draft: Draft) -> Iterator[Problem]:
    """Something taught later stands on every unit but the last; an empty unit is said elsewhere."""
    for unit in draft.units[:-1]:
        if draft.members[unit.id] and not _leads_on(draft, unit):
            message = f"nothing taught later stands on {unit_words(unit)}"
            hint = "let a skill of a later unit stand on one of its skills, or move the unit to the end"
            yield Problem("dead-end-unit", "warning", unit.place, message, hint)


def _leads_on(draft: Draft, unit: DraftUnit) -> bool:
    """Say whether a skill of a later unit names one of this unit; a user in no unit may be later."""
    later = {other.id for other in draft.units[unit.number :]} | {None}
    users = (user for skill in draft.members[unit.id] for user in draft.named_by[skill.id])
    return any(draft.meant_unit.get(user.id) in later for user in users)


def loose_ends(course: Course) -> tuple[Skill, ...]:
    """Return the skills that no later skill names and that are not in the last unit.

    They are no mistake, so they are listed only when asked for (rule R9). Skills that are gone
    are not listed.
    """
    named = {name for skill in course.skills for name in skill.named}
    last = course.units[-1].id
    return tuple(s for s in course.skills if s.id not in named and s.unit != last and s.id not in course.gone)


# R9: no unit is much too full or much too empty for its weeks, in any band.

BIG: Final = Fraction("1.25")
SMALL: Final = Fraction("0.30")


@dataclass(frozen=True)
class Leap:
    """The leap ratio of a unit for a band: minutes / (lesson x (1 - review) x weeks), exactly (rule R9)."""

    unit: str
    band: str
    skills: int
    minutes: int
    lesson_minutes: int
    review_share: Fraction
    lesson_weeks: int

    @cached_property
    def room(self) -> Fraction:
        """The lesson minutes there are for new skills."""
        return self.lesson_minutes * (1 - self.review_share) * self.lesson_weeks

    @property
    def ratio(self) -> Fraction | None:
        """The ratio, None where there is no minute for new skills."""
        return self.minutes / self.room if self.room else None

    @property
    def size(self) -> str:
        """Return "big", "small" or "" for one of a sensible size."""
        have, room = self.minutes * self.room.denominator, self.room.numerator  # quicker than in fractions
        if have * BIG.denominator > room * BIG.numerator:
            return "big"
        return "small" if have * SMALL.denominator < room * SMALL.numerator else ""


@of_a_day("small-leap", "big-leap")
def check_leaps(draft: Draft) -> Iterator[Problem]:
    """Every unit's leap ratio lies between 0.30 and 1.25 in every band; an unusual lesson is told once."""
    is_meant = "unusual-number" in {word.text for word in draft.graph.texts("allow")}
    bands = [band for band in draft.bands if is_meant or _is_usual(band)]
    for unit in draft.units:
        skills = draft.members[unit.id]
        minutes = [
            (possible("minutes", s.minutes) or 0, [word.text for word in s.optional_in]) for s in skills
        ]
        asked = ((band, [n for n, optional in minutes if band.name not in optional]) for band in bands)
        leaps = [leap for band, some in asked if skills and (leap := _leap(unit, band, some)) and leap.room]
        for size in ("big", "small"):
            if alike := [leap for leap in leaps if leap.size == size]:
                yield _problem(unit, *alike)


def _is_usual(band: DraftBand) -> bool:
    """Return whether the lesson of a band is one that most have; any other is asked about itself."""
    told = (("lesson_minutes", band.lesson_minutes), ("review_share", band.review_share))
    return all(is_usual(key, number, band.from_age or 0) for key, number in told if number is not None)


def _leap(unit: DraftUnit, band: DraftBand, minutes: Sequence[int]) -> Leap | None:
    """Return the leap of a unit with skills of so many minutes, None where a number is unreadable."""
    lesson = possible("lesson_minutes", band.lesson_minutes)
    weeks = possible("lesson_weeks", unit.lesson_weeks)
    if 0 in minutes or band.review_share is None or lesson is None or weeks is None:
        return None
    return Leap(unit.id, band.name, len(minutes), sum(minutes), lesson, band.review_share, weeks)


def _problem(unit: DraftUnit, leap: Leap, *others: Leap) -> Problem:
    big, ages = leap.size == "big", ", ".join(f'"{one.band}"' for one in others)
    also = f" (also at {ages})" if ages else ""
    limit = BIG if big else SMALL
    sides = "more than 1.25 times that" if big else "less than 0.30 of that"
    weeks = "1 lesson has" if unit.lesson_weeks == 1 else f"{unit.lesson_weeks} lessons have"
    message = (
        f'{unit_words(unit)} has {"much" if big else "little"} that is new at age "{leap.band}"{also}: '
        f"teaching it takes about {leap.minutes} minutes, and its {weeks} about {float(leap.room):.10g} "
        f"for what is new ({sides}: {_apart(leap.minutes / leap.room, limit)})"
    )
    more, out = ("more", "out of") if big else ("fewer", "into")
    hint = f"give it {more} lesson weeks, or move skills {out} it"
    return Problem("big-leap" if big else "small-leap", "warning", unit.weeks_place, message, hint)


def _apart(ratio: Fraction, limit: Fraction) -> str:
    """Return a ratio with three decimals, or more where those would be the limit itself."""
    text = f"{float(ratio):.3f}"
    return text if Fraction(text) != limit else f"{float(ratio):.12g}"


# R9: one band for one age.


@as_written()
def check_ages(draft: Draft) -> Iterator[Problem]:
    """No two bands begin at the same age."""
    first: dict[int, DraftBand] = {}
    for band in draft.bands:
        if band.from_age is None:
            continue
        earlier = first.setdefault(band.from_age, band)
        if earlier is not band:
            message = f'ages "{earlier.name}" and "{band.name}" both begin at {band.from_age}'
            hint = "an age holds from its from_age until the next one begins: give one of them another number"
            other = f'the other is age "{earlier.name}"'
            yield Problem("same-age", "error", band.age_place, message, hint, earlier.age_place, other)


_AGES: Final = range(100)
"""Ages that can be meant; of any other it is said elsewhere."""
_LABEL: Final = re.compile(r"(\d+)(?:\s*(?:-|\u2013|to)\s*(\d+)|\s*\+)?(?:\s*years?)?")


@as_written("age-label")
def check_age_labels(draft: Draft) -> Iterator[Problem]:
    """A band that is called by ages is called by its own."""
    known = (band for band in draft.bands if band.from_age in _AGES)
    in_order = sorted(known, key=_from_age)
    if len(in_order) < len(draft.bands):
        return  # told by the schema
    for band in in_order:
        label = _LABEL.fullmatch(band.name.strip())
        later = next((one for one in in_order if _from_age(one) > _from_age(band)), None)
        if not _begins_as_called(band):
            message = f'age "{band.name}" begins at {band.from_age}: its from_age says so'
            yield Problem("age-label", "warning", band.age_place, message, "correct from_age, or the name")
        elif label and label[2] and later and _begins_as_called(later):
            ends = _from_age(later) - 1
            if int(label[2]) != ends:
                message = f'age "{band.name}" ends at {ends}, because the next one begins at {ends + 1}'
                hint = "correct the name, or the from_age of the next one"
                yield Problem("age-label", "warning", band.place, message, hint)


def _from_age(band: DraftBand) -> int:
    return band.from_age or 0


def _begins_as_called(band: DraftBand) -> bool:
    label = _LABEL.fullmatch(band.name.strip())
    return label is None or int(label[1]) == band.from_age


@of_a_day("unused-strand")
def check_strands_used(draft: Draft) -> Iterator[Problem]:
    """Every strand has a skill; a misspelt one counts as the strand it most resembles."""
    named = {skill.strand.text for skill in draft.skills if skill.strand}
    used = named | {nearest(name, draft.strands) for name in named if name not in draft.strands}
    for strand in draft.strands:
        if draft.skills and strand not in used:
            message = f'no skill belongs to the strand "{strand}"'
            hint = "give it skills, or take its table out"
            place = draft.graph.source.key_place("strand", strand)
            yield Problem("unused-strand", "warning", place, message, hint)
