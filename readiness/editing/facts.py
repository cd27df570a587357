"""What a course is like, in numbers, what a colleague would say of it, and what was found as JSON values.

Facts a teacher asks for while planning, none of them a mistake. Where skills are retired, the course
after its last date is looked at. What the notes say of a link is counted over students and told only
where at least five of them say it, so that nobody is found in it.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import asdict, replace
from fractions import Fraction
from itertools import chain
from pathlib import Path
from typing import Any, Final

from readiness.advice.timeline import Reason, StudentChange
from readiness.course.checks.criteria import weeks_to_show
from readiness.course.checks.units import FEWEST, Leap, loose_ends
from readiness.course.graph import SkillGraph, asked_from
from readiness.course.layers import CourseFiles, read_files
from readiness.course.load import load_course
from readiness.course.model import Band, Course, Skill, Unit, bits, union
from readiness.days import iso
from readiness.editing.compare import Difference, differences
from readiness.editing.dry_run import Retiring, Trial
from readiness.lazy import dataclass, fields_of
from readiness.record.model import Record, seen_in
from readiness.school.counts import Past
from readiness.toml.problems import Place, Problem, end_column

__all__ = [
    "FAR", "AgainstLink", "Colleague", "CourseFacts", "Gate", "Leap", "LongCriterion", "Optional",
    "ReachBack", "RestsOn", "UnitFacts", "Variant", "advice_to_dict", "colleague_says",
    "course_facts", "facts_of_unit", "facts_to_dict", "latest", "leaps", "longest", "problem_to_dict",
    "rests_on", "retiring_to_dict", "trial_to_dict", "unit_to_dict", "variant_of",
]  # fmt: skip

FAR: Final = 3
"""A prerequisite more units back than this is a long reach (a question of the trade, no source)."""
MOST: Final = 12
"""So many skills that much rests on are named."""


@dataclass(frozen=True)
class UnitFacts:
    """A unit: its skills, the longest chain of links inside it, and why it may be too small."""

    unit: str
    skills: int
    chain: tuple[str, ...]
    small_leap: Leap | None
    leads_on: bool

    @property
    def is_small(self) -> bool:
        """Return whether one of the three signs of a unit too small is there."""
        return self.small_leap is not None or self.skills < FEWEST or not self.leads_on


@dataclass(frozen=True)
class ReachBack:
    """A link to a skill some units earlier."""

    skill: str
    before: str
    units: int
    place: Place | None


@dataclass(frozen=True)
class RestsOn:
    """A skill with how many stand on it, over any number of links."""

    skill: str
    descendants: int


@dataclass(frozen=True)
class Optional:
    """A skill that is not asked for in a band, why, and the band in which it comes back."""

    skill: str
    band: str
    note: str
    back_in: str | None
    place: Place | None


@dataclass(frozen=True)
class CourseFacts:
    """All facts about a course. ``chain`` leads from what most rests on to ``target``."""

    leaps: tuple[Leap, ...]
    units: tuple[UnitFacts, ...]
    reach_back: tuple[ReachBack, ...]
    rests_on: tuple[RestsOn, ...]
    chain: tuple[str, ...]
    optional: tuple[Optional, ...]
    loose_ends: tuple[Skill, ...]


def course_facts(course: Course, target: str | None = None) -> CourseFacts:
    """Return the facts about a course.

    Args:
        target: where the chain leads (default: the last skill taught that stands on its first).
    """
    now = latest(course)
    rests = rests_on(now)
    every = leaps(now)
    return CourseFacts(
        leaps=every,
        units=tuple(_unit(now, unit, every) for unit in now.units),
        reach_back=tuple(_reach_back(now)),
        rests_on=rests,
        chain=_chain(now, rests, target),
        optional=tuple(
            Optional(one.id, band.name, one.age_note, asked_from(now, one.id, band.name), one.place)
            for band in now.bands
            for one in _there(now)
            if band.name in one.optional_in
        ),
        loose_ends=loose_ends(now),
    )


def facts_of_unit(facts: CourseFacts, course: Course, unit: str) -> CourseFacts:
    """Return what of the facts is about one unit: its leaps, its chain, what it reaches back to."""
    return replace(
        facts,
        leaps=tuple(one for one in facts.leaps if one.unit == unit),
        units=tuple(one for one in facts.units if one.unit == unit),
        reach_back=tuple(one for one in facts.reach_back if course.skill[one.skill].unit == unit),
        rests_on=(),
        chain=(),
        optional=tuple(one for one in facts.optional if course.skill[one.skill].unit == unit),
        loose_ends=tuple(one for one in facts.loose_ends if one.unit == unit),
    )


def latest(course: Course) -> Course:
    """Return the course after its last date."""
    return course.eras[-1] if course.turning_days else course


def leaps(course: Course) -> tuple[Leap, ...]:
    """Return the leap ratio of every unit that has skills, for every band."""
    members = ((unit, [s for s in _there(course) if s.unit == unit.id]) for unit in course.units)
    return tuple(_leap(unit, band, mine) for unit, mine in members if mine for band in course.bands)


def _there(course: Course) -> list[Skill]:
    return [skill for skill in course.skills if skill.id not in course.gone]


def _leap(unit: Unit, band: Band, members: list[Skill]) -> Leap:
    asked = [skill.minutes for skill in members if band.name not in skill.optional_in]
    share = Fraction(str(band.number("review_share")))
    return Leap(
        unit.id, band.name, len(asked), sum(asked), band.whole("lesson_minutes"), share, unit.lesson_weeks
    )


def _unit(course: Course, unit: Unit, every: tuple[Leap, ...]) -> UnitFacts:
    members = [skill for skill in _there(course) if skill.unit == unit.id]
    later = {other.id for other in course.units[unit.number :]}
    named = {name for skill in _there(course) if skill.unit in later for name in skill.named}
    youngest = next((leap for leap in every if leap.unit == unit.id and leap.skills), None)
    return UnitFacts(
        unit.id,
        len(members),
        longest(members),
        youngest if youngest is not None and youngest.size == "small" else None,
        unit is course.units[-1] or any(skill.id in named for skill in members),
    )


def longest(members: Sequence[Skill]) -> tuple[str, ...]:
    """Return the longest chain of links among some skills, the lowest first."""
    inside = {skill.id: skill for skill in members}
    best: dict[str, tuple[str, ...]] = {}
    for skill in SkillGraph({s.id: [b for b in s.stands_on if b in inside] for s in members}).order():
        below = [best[before] for before in inside[skill].stands_on if before in inside]
        best[skill] = (*max(below, key=len, default=()), skill)
    return max(best.values(), key=len, default=())


def _reach_back(course: Course) -> Iterator[ReachBack]:
    number: Mapping[str, int] = {skill.id: course.unit[skill.unit].number for skill in course.skills}
    for skill in _there(course):
        for before in skill.stands_on:
            units = number[skill.id] - number[before]
            if units > FAR:
                yield ReachBack(skill.id, before, units, course.link_places.get((skill.id, before)))


def rests_on(course: Course) -> tuple[RestsOn, ...]:
    """Return what most rests on, the most first, of equals in the order of the file."""
    plan = course.plan
    found = [RestsOn(plan.ids[i], below.bit_count()) for i, below in enumerate(plan.descendants) if below]
    return tuple(sorted(found, key=lambda one: -one.descendants)[:MOST])


def _chain(course: Course, rests: tuple[RestsOn, ...], target: str | None) -> tuple[str, ...]:
    if not rests:
        return ()
    plan, path = course.plan, SkillGraph.of(course).path
    if target is not None:
        above = plan.ancestors[plan.index[target]]
        first = next((one.skill for one in rests if above >> plan.index[one.skill] & 1), None)
        return path(first, target) if first is not None else (target,)
    last = max(bits(plan.descendants[plan.index[rests[0].skill]]), key=lambda i: (plan.unit[i], i))
    return path(rests[0].skill, plan.ids[last])


# What a course based on another has otherwise: for whoever answers for several of them.
#
# Every value that the course writes itself is set beside the value it inherits; a number that
# is written and the same is named too, because it will not follow when the other changes.


@dataclass(frozen=True)
class Variant:
    """A course beside the one it is based on.

    Attributes:
        base: the folder of that course, None where it stands on its own.
        course: that course, None where it has an error.
        repeated: (band, rule) of numbers that are written and the same as the inherited ones.
        own, inherited: how many numbers of the pacing, and how many links, are whose.
    """

    base: Path | None
    course: Course | None
    different: tuple[Difference, ...]
    repeated: tuple[tuple[str, str], ...]
    own: tuple[int, int]
    inherited: tuple[int, int]


def variant_of(folder: Path) -> Variant:
    """Return what a course has otherwise than the one it is based on."""
    files = read_files(folder)
    bases = files.graph.bases or files.pacing.bases
    mine = load_course(folder).course
    if not bases or mine is None:
        return Variant(None, None, (), (), (0, 0), (0, 0))
    base = load_course(bases[0].parent).course
    own_files = {folder / "graph.toml", folder / "pacing.toml"}
    numbers = {key: origin.place for key, origin in mine.provenance.items() if origin.place is not None}
    written = [key for key, place in numbers.items() if place.file in own_files]
    links = sum(place.file in own_files for place in mine.link_places.values())
    return Variant(
        bases[0].parent,
        base,
        tuple(_placed(files, one) for one in differences(base, mine)) if base is not None else (),
        tuple(key for key in written if base is not None and _number(base, key) == _number(mine, key)),
        (len(written), links),
        (len(numbers) - len(written), len(mine.link_places) - links),
    )


def _placed(files: CourseFiles, difference: Difference) -> Difference:
    """Return a difference at the very line that makes it."""
    table = difference.id.partition("-")[0]
    if table not in ("skill", "unit") or difference.id.endswith("-gone"):
        return difference
    at = (table, difference.subject, difference.what) if difference.what else (table, difference.subject)
    return replace(difference, place=files.graph.key_place(*at))


def _number(course: Course, key: tuple[str, str]) -> object:
    band = course.band.get(key[0])
    return None if band is None else band.numbers.get(key[1])


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
    there = _there(now)
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
        asked = mine & (plan.safety | union(plan.needs[owner] for owner in bits(plan.in_unit[at + 1])))
        entry = [one.members for one in plan.groups[at + 1] if not one.members & ~plan.up_to[at]]
        yield Gate(unit.id, plan.names(asked), tuple(plan.names(one)[0] for one in entry if one & mine))


def _long(course: Course, there: Iterable[Skill]) -> Iterator[LongCriterion]:
    for skill in there:
        of_unit = course.unit[skill.unit].lesson_weeks
        each = weeks_to_show(skill.shown_when)
        asked = (band.name for band in course.bands if band.name not in skill.optional_in)
        weeks = {band: _days(course, skill, band) * each for band in asked}
        if bands := tuple(band for band in weeks if weeks[band] > of_unit):
            yield LongCriterion(skill.id, max(weeks.values()), of_unit, bands)


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


FORMAT = 1
_DAYS = frozenset({"other-earliest", "other-holds-until"})


def problem_to_dict(problem: Problem) -> dict[str, Any]:
    """Return a problem with all an editor needs to jump to it."""
    other = problem.other
    more = {"other": _place(other) | {"label": problem.other_label}} if other is not None else {}
    return {
        **_place(problem.place),
        "severity": problem.severity,
        "id": problem.id,
        "message": problem.message,
        "hint": problem.hint,
    } | more


def _place(place: Place | None) -> dict[str, Any]:
    if place is None:
        return {}
    return {
        "file": str(place.file), "line": place.line, "column": place.column, "end_column": end_column(place),
    }  # fmt: skip


def _plain(found: Difference | ReachBack | Optional) -> dict[str, Any]:
    """Return the fields under their own names, and the place."""
    return {name: value for name, value in fields_of(found) if name != "place"} | _place(found.place)


def trial_to_dict(trial: Trial, on: int, different: Iterable[Difference] = ()) -> dict[str, Any]:
    """Return what a course would do in a studio."""
    found = trial.comparison
    return {
        "format": FORMAT,
        "on": iso(on),
        "accepted": trial.course is not None,
        "problems": [problem_to_dict(one) for one in trial.problems],
        "different": [_plain(one) for one in different],
        **({} if found is None else {
            "changed": [_change(one) for one in found.changed],
            "other_advice": [_change(one) for one in found.advised],
            "unchanged": [answer.student for answer in found.unchanged],
        }),
        "unreadable": [
            {"student": one.path.stem, "problems": [problem_to_dict(p) for p in one.problems]}
            for one in trial.lost
        ],
    }  # fmt: skip


def _change(change: StudentChange) -> dict[str, Any]:
    return {
        "student": change.after.student,
        "from": change.before.verdict,
        "to": change.after.verdict,
        "reasons": [_reason(one) for one in change.reasons],
    }


def _reason(reason: Reason) -> dict[str, Any]:
    old, new = (iso(d) if reason.id in _DAYS and isinstance(d, int) else d for d in (reason.old, reason.new))
    named: dict[str, Any] = {"id": reason.id}
    if reason.skill is not None:
        named["skill"] = reason.skill
    if reason.members:
        named |= {"of": list(reason.members)} | ({"at_least": reason.at_least} if reason.at_least else {})
    if reason.rule:
        named["rule"] = reason.rule
    named |= {"old": old, "new": new}
    if reason.standing is not None:
        seen, until = reason.standing.last_seen, reason.standing.fresh_until
        named |= {"last_seen": iso(seen), "fresh_until": iso(until)}
    return named


def retiring_to_dict(found: Retiring) -> dict[str, Any]:
    """Return what retiring skills would do."""
    return {
        "skills": list(found.skills),
        "into": list(found.into),
        "new": list(found.new),
        "stands_on_it": [
            {"skill": skill, "names": named, **_place(place)} for skill, named, place in found.uses
        ],
        "records": [
            {
                "student": one.student,
                "lesson_days": one.notes,
                "first": iso(one.first),
                "last": iso(one.last),
                "set_aside": one.aside,
                "other_way": one.other_way,
                "tasks": one.tasks,
            }
            for one in found.mentions
        ],
        "lines": [{"text": text, **_place(place)} for text, place in found.lines],
        **trial_to_dict(found.trial, found.day),
    }


def unit_to_dict(facts: CourseFacts, past: Sequence[Past]) -> dict[str, Any]:
    """Return the facts of one unit, with how long it took."""
    told = facts_to_dict(facts)
    times = [{**asdict(one.stay), "limit": one.limit, "over": one.over} for one in past]
    leaps, reach_back = told["leaps"], told["reach_back"]
    return {"format": FORMAT, **told["units"][0], "leaps": leaps, "reach_back": reach_back, "past": times}


def _leap_json(leap: Leap) -> dict[str, Any]:
    return {
        **asdict(leap),
        "review_share": float(leap.review_share),
        "room": float(leap.room),
        "ratio": None if leap.ratio is None else round(float(leap.ratio), 6),
        "size": leap.size,
    }


def advice_to_dict(said: Colleague) -> dict[str, Any]:
    """Return what a colleague would say, in the words of its fields."""
    return {**asdict(replace(said, leaps=())), "leaps": [_leap_json(one) for one in said.leaps]}


def facts_to_dict(facts: CourseFacts) -> dict[str, Any]:
    """Return the facts about a course; ratios are given to six decimals."""
    return {
        "leaps": [_leap_json(one) for one in facts.leaps],
        "units": [
            {name: value for name, value in fields_of(one) if name != "small_leap"} | {"small": one.is_small}
            for one in facts.units
        ],
        "reach_back": [_plain(one) for one in facts.reach_back],
        "rests_on": list(map(asdict, facts.rests_on)),
        "chain": list(facts.chain),
        "optional": [_plain(one) for one in facts.optional],
        "loose_ends": [{"skill": one.id, **_place(one.place)} for one in facts.loose_ends],
    }
