"""R9: every number can be meant, and an unusual one is asked about.

What is below the possible is refused by the schema.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from fractions import Fraction
from math import isfinite
from typing import Final, NamedTuple, TypeVar

from readiness.course.band_rules import BAND, Range
from readiness.course.checks.register import as_written, count
from readiness.course.draft import Draft, DraftBand, Written, tables
from readiness.course.schema import RULES
from readiness.toml.problems import Place, Problem

__all__ = [
    "RANGES", "Range", "check_lesson_ranges", "check_pauses", "check_possible", "check_sizes",
    "check_usual", "is_usual", "possible",
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
    for band in draft.bands:
        for rule, path in _PATHS:
            at = ("band", band.name, *path)
            limits = _range(draft, rule)
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


def _range(draft: Draft, rule: str) -> Range:
    """Return the range of a rule; what may be taken along unfinished ends with the largest unit."""
    known = RANGES[rule]
    if rule != "carry_limit":
        return known
    largest = max(map(len, draft.members.values()), default=0)
    why = f"the largest unit has {count(largest, 'skill')}, and not all of one can stay unfinished"
    return known._replace(most=max(int(known.usual[0][1]), largest), why=why)


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
            message = f"{one.name} is {_plain(one.number)}, and usual is {_usual(one)}"
            hint = f"correct it, or say at the top of graph.toml that it is meant: {ALLOW}"
            yield Problem("unusual-number", "warning", one.place, message, hint)


N = TypeVar("N", int, float)


def possible(key: str, number: N | None) -> N | None:
    """Return a number that somebody can mean, None for any other: nothing is concluded from that."""
    most = RANGES[key].most
    return None if number is None or (most is not None and number > most) else number


def is_usual(key: str, number: float | Fraction, age: int) -> bool:
    """Return whether a number is a usual one at an age."""
    low, high = RANGES[key].at_age(age)
    return low <= float(number) <= high


def _is_beyond(one: _Found) -> bool:
    return one.range.most is not None and isfinite(one.number) and one.number > one.range.most


def _usual(one: _Found) -> str:
    low, high = one.range.at_age(one.age)
    at_all_ages = len(one.range.usual) == 1
    return f"{_plain(low)} to {_plain(high)}" + ("" if at_all_ages else " at this age")


def _plain(number: float) -> str:
    return f"{number:.10g}"


# Numbers of a band that clash with one another.

_NOT_MORE: Final = (
    ("min_unit_factor", "max_unit_factor", "swapped-numbers", "the two are swapped"),
    ("new_skills_per_lesson", "new_skills_per_lesson_max", "swapped-numbers", "the two are swapped"),
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
                here = _place(draft, band, small)
                there = _place(draft, band, large)
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
        hint = "correct one of the two"
        here = _place(draft, band, "lesson_minutes")
        there = _place(draft, band, "lesson_minutes_range")
        yield Problem("outside-range", "warning", here, message, hint, there, "the range")
