"""R9: units of a sensible size that lead somewhere, and numbers that can be meant.

An unusual number is asked about; what is below the possible is refused by the schema.
"""

from __future__ import annotations

import re
from collections import Counter
from collections.abc import Iterator, Mapping, Sequence
from fractions import Fraction
from functools import cached_property
from math import isfinite
from typing import Annotated, Any, Final, NamedTuple, TypeVar

from pydantic import TypeAdapter, ValidationError

from readiness.course.checks.register import as_written, count, of_a_day, unit_words
from readiness.course.draft import Draft, DraftBand, DraftUnit, Written, tables
from readiness.course.model import BAND, Course, Range, Skill
from readiness.course.schema import RULES, BandTable
from readiness.lazy import dataclass
from readiness.toml.problems import Place, Problem
from readiness.toml.texts import nearest

__all__ = [
    "BIG", "FEWEST", "RANGES", "SMALL", "Leap", "Range", "check_lesson_ranges", "check_pauses",
    "check_possible", "check_sizes", "check_usual", "is_usual", "loose_ends", "possible", "why_refused",
]  # fmt: skip

ALLOW: Final = 'allow = ["unusual-number"] and reason = "..."'

_DAYS: Final = Range(10, ((1, 5),))

RANGES: Final[Mapping[str, Range]] = {
    "lesson_weeks": Range(104, ((1, 16),)),
    "minutes": Range(240, ((1, 30),)),
    **{rule: one.range for rule, one in BAND.items() if one.range is not None},
    **{f"days_needed.{kind}": _DAYS for kind in ("motor", "knowledge", "ear", "reading", "habit")},
    "fresh_weeks.fast": Range(520, ((1, 12),)),
    "fresh_weeks.medium": Range(520, ((2, 26),)),
    "fresh_weeks.slow": Range(520, ((4, 52),)),
}
"""By key of a unit or a skill and by rule of a band."""

_YOUNGEST: Final = 6
"""Below this age nobody plays a whole lesson without a pause."""


class _Found(NamedTuple):
    """One number of a course."""

    number: float
    file: Written
    path: tuple[str | int, ...]
    range: Range
    age: int

    @property
    def place(self) -> Place:
        return self.file.at(*self.path)

    @property
    def name(self) -> str:
        *tables, key = (step for step in self.path if isinstance(step, str))
        if tables[0] == "band":
            tables[1] = f'"{tables[1]}"'
        return f"{key} in [{'.'.join(tables)}]"


def _unusual(draft: Draft) -> Iterator[_Found]:
    """Yield every number that the table knows and that is not usual."""
    for kind, key in (("unit", "lesson_weeks"), ("skill", "minutes")):
        for id_, table in tables(draft.graph.data, kind):
            yield from _outside(draft.graph, (kind, id_, key), table.get(key), RANGES[key], 0)
    largest = max(map(len, draft.members.values()), default=0)
    for band in draft.bands:
        for rule, path in _PATHS:
            at = ("band", band.name, *path)
            limits = _range(rule, largest)
            yield from _outside(draft.pacing, at, draft.pacing.get(*at), limits, band.from_age or 0)


def _outside(
    file: Written, at: tuple[str | int, ...], value: object, limits: Range, age: int
) -> Iterator[_Found]:
    """Yield a number, or those of a pair, if it is outside of what is usual."""
    if isinstance(value, list):
        for i, one in enumerate(value):
            yield from _outside(file, (*at, i), one, limits, age)
    elif isinstance(value, int | float) and not isinstance(value, bool):
        low, high = limits.at_age(age)
        if not low <= value <= high:
            yield _Found(value, file, at, limits, age)


_PATHS: Final = tuple((rule, tuple(rule.split("."))) for rule in RULES if rule in RANGES)


def _range(rule: str, largest: int) -> Range:
    """Return the range of a rule; what may be taken along unfinished ends with the ``largest`` unit."""
    known = RANGES[rule]
    if rule != "carry_limit":
        return known
    why = f"the largest unit has {count(largest, 'skill')}, and not all of one can stay unfinished"
    return known._replace(most=max(int(known.usual[0][1]), largest), why=why)


def why_refused(course: Course, rule: str, value: float) -> str:
    """Return what is said of a number that ``pacing.toml`` may not have for a rule; empty where it may."""
    table, _, key = rule.rpartition(".")
    tables: Any = BandTable  # of which a type checker knows only what is there for certain
    field = (tables.model_fields[table].annotation if table else tables).model_fields[key]
    shape: Any = Annotated[field.annotation, *field.metadata]
    if not isfinite(value):
        return f"{rule} must be a number, not {value}"
    largest = max(Counter(skill.unit for skill in course.skills).values(), default=0)
    most = _range(rule, largest).most
    beyond = {} if most is None or value <= most else {"le": most}
    try:
        TypeAdapter(shape).validate_python(value, strict=True)
    except ValidationError as error:
        beyond = error.errors()[0].get("ctx", {})
    told = (f"{rule} must be {_LIMITS[at]} {_plain(bound)}" for at, bound in beyond.items())
    return "".join(f"{one}, not {_plain(value)}" for one in told)


_LIMITS: Final = {"ge": "at least", "gt": "more than", "le": "at most"}
"""The limits of the schema, as its refusals say them."""


@as_written()
def check_possible(draft: Draft) -> Iterator[Problem]:
    """No number is more than anybody can mean."""
    for one in filter(_is_beyond, _unusual(draft)):
        message = f"{one.name} must be at most {one.range.most}, not {_plain(one.number)}"
        hint = f"{one.range.why}: usual is {_usual(one)}"
        yield Problem("out-of-range", "error", one.place, message, hint)


@as_written("unusual-number")
def check_usual(draft: Draft) -> Iterator[Problem]:
    """No number is unusual without being told so."""
    for one in _unusual(draft):
        if not _is_beyond(one):
            message = f"{one.name} is {_plain(one.number)}, and usual is {(usual := _usual(one))}"
            hint = f"correct it, or say at the top of graph.toml that it is meant: {ALLOW}"
            yield Problem("unusual-number", "warning", one.place, message, hint, usual=usual)


N = TypeVar("N", int, float)


def possible(key: str, number: N | None) -> N | None:
    """Return a number that somebody can mean, None for any other: nothing is concluded from that."""
    most = RANGES[key].most
    return None if number is None or (most is not None and number > most) else number


def is_usual(key: str, number: float | Fraction, age: int) -> bool:
    """Return whether a number is a usual one at an age."""
    low, high = RANGES[key].at_age(age)
    return low <= float(number) <= high


def _is_beyond(found: _Found) -> bool:
    return found.range.most is not None and isfinite(found.number) and found.number > found.range.most


def _usual(found: _Found) -> str:
    low, high = found.range.at_age(found.age)
    at_all_ages = len(found.range.usual) == 1
    return f"{_plain(low)} to {_plain(high)}" + ("" if at_all_ages else " at this age")


def _plain(number: float) -> str:
    return f"{number:.10g}"


# Numbers of a band that clash with one another.

_NOT_MORE: Final = (
    ("min_unit_factor", "max_unit_factor", "swapped-numbers", "the least is not the larger"),
    ("new_skills_per_lesson", "new_skills_per_lesson_max", "swapped-numbers", "the least is not the larger"),
    ("fresh_weeks.fast", "fresh_weeks.medium", "fade-order", "what goes fast is looked at again sooner"),
    ("fresh_weeks.medium", "fresh_weeks.slow", "fade-order", "what goes slowly is looked at again later"),
    ("activity_minutes", "lesson_minutes", "longer-than-lesson", "an activity is a part of the lesson"),
    ("check_minutes", "lesson_minutes", "longer-than-lesson", "a check is a part of the lesson"),
)
"""Which rule is never more than which, the id of the problem, and why."""


@as_written()
def check_sizes(draft: Draft) -> Iterator[Problem]:
    """No number is larger than the one it is a part of, and none are swapped."""
    for band in draft.bands:
        for small, large, id_, why in _NOT_MORE:
            least, most = _of(draft, band, small), _of(draft, band, large)
            if least is not None and most is not None and least > most:
                message = (
                    f'{small} in [band."{band.name}"] is {_plain(least)}, more than {large}, {_plain(most)}'
                )
                hint = f"{why}: correct one of them"
                here, there = (_place(draft, band, rule) for rule in (small, large))
                yield Problem(id_, "error", here, message, hint, there, "the smaller one")


def _of(draft: Draft, band: DraftBand, rule: str, *at: int) -> float | None:
    """Return a number of a band that somebody can mean."""
    number = possible(rule, draft.pacing.number("band", band.name, *rule.split("."), *at))
    return number if number is not None and number > 0 else None


def _place(draft: Draft, band: DraftBand, rule: str) -> Place:
    return draft.pacing.at("band", band.name, *rule.split("."))


@as_written()
def check_pauses(draft: Draft) -> Iterator[Problem]:
    """The youngest do not play a whole lesson without a pause."""
    for band in draft.bands:
        playing, lesson = _of(draft, band, "play_without_pause_minutes"), _of(draft, band, "lesson_minutes")
        if playing is None or lesson is None or band.from_age is None:
            continue
        if playing >= lesson and band.from_age < _YOUNGEST:
            low, high = RANGES["play_without_pause_minutes"].at_age(band.from_age)
            message = (
                f'at age "{band.name}" a lesson of {_plain(lesson)} minutes has no pause: '
                f"play_without_pause_minutes is {_plain(playing)}"
            )
            hint = f"hands and attention need one: usual is {_plain(low)} to {_plain(high)}"
            here = _place(draft, band, "play_without_pause_minutes")
            there = _place(draft, band, "lesson_minutes")
            yield Problem("no-pause", "error", here, message, hint, there, "the length of the lesson")


@as_written("outside-range")
def check_lesson_ranges(draft: Draft) -> Iterator[Problem]:
    """The lesson that is planned for an age is one of those it may have."""
    for band in draft.bands:
        minutes = _of(draft, band, "lesson_minutes")
        least, most = (_of(draft, band, "lesson_minutes_range", i) for i in (0, 1))
        if minutes is None or least is None or most is None or least <= minutes <= most:
            continue
        message = (
            f'lesson_minutes in [band."{band.name}"] is {_plain(minutes)}, outside its lesson_minutes_range'
        )
        here, there = (_place(draft, band, rule) for rule in ("lesson_minutes", "lesson_minutes_range"))
        yield Problem("outside-range", "warning", here, message, "correct one of the two", there, "the range")


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
    in_order = sorted((band for band in draft.bands if band.from_age in _AGES), key=_from_age)
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
