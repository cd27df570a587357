"""Students of the made-up school with odd things in their files, so that every rule is met often.

A school as it is has a hold or a skill set aside now and then. Here they are common, and so are
units before one with groups, things settled a few weeks ago, other bands, two lessons on a day,
entries of days to come, birthdays on the day asked about and on 29 February, holds that touch, and
lessons after one. Their course has quiet skills and days of their own everywhere.
"""

from __future__ import annotations

import tomllib
from collections.abc import Callable, Iterator
from datetime import date, timedelta
from random import Random
from typing import Any

from bench.school import TODAY, student_texts

from readiness.course.model import Course, Group

__all__ = ["odd_graph", "odd_students"]

Toml = dict[str, Any]


def odd_graph(graph: Toml) -> Toml:
    """Return the graph with many skills that are quiet, ask for pain, are for safety or have own days."""
    skills = {name: skill | _odd(skill, at) for at, (name, skill) in enumerate(graph["skill"].items())}
    return graph | {"skill": skills}


def _odd(skill: Toml, at: int) -> Toml:
    own_days = {"days": at % 4 + 1} if at % 5 == 0 else {}
    safety = {"safety": True} if at % 4 == 2 and not skill.get("optional_in") else {}
    return {"quiet": at % 3 == 0, "asks_pain": at % 7 == 1} | own_days | safety


def odd_students(course: Course, many: int, seed: int) -> Iterator[Toml]:
    """Yield student files as plain values, always the same for a seed."""
    for number, (_, text) in enumerate(student_texts(course, many, seed)):
        student, chance = tomllib.loads(text), Random(f"odd/{seed}/{number}")
        for change, often in CHANGES.items():
            if chance.random() < often:
                change(student, chance, course)
        aside = student.get("set_aside", ())
        yield student | {"set_aside": [one for one in aside if not course.skill[one["skill"]].asks_pain]}


def _day(chance: Random, first: int = -60, last: int = 20) -> date:
    """Return a day, half of the time a whole number of weeks away: limits are in weeks."""
    away = chance.randint(first, last)
    return TODAY + timedelta(days=away // 7 * 7 if chance.random() < 0.5 else away)


def _before_groups(student: Toml, chance: Random, course: Course) -> None:
    """Begin the unit before one with a group, all settled a while ago, and let that group be near an edge.

    Some of its members are set aside, which counts as met, and some were not shown once or twice.
    """
    groups = {
        (s.unit, g) for s in course.skills for g in s.stands_on_some if not _is_within(course, s.unit, g)
    }
    unit, group = chance.choice(sorted(groups, key=repr))
    number = course.unit[unit].number - 2
    student.setdefault("unit_start", []).append(
        {"unit": course.units[number].id, "on": _day(chance, -60, -30)}
    )
    student.setdefault("settled", []).append(
        {"through": course.units[number].id, "on": _day(chance, -30, -15)}
    )
    for skill in group.of:
        if chance.random() < 0.4:
            student.setdefault("set_aside", []).append({"skill": skill, "on": _day(chance, -60, 0)})
        for days in chance.choice(((), (5,), (9, 5))):
            student["lesson"].append({"on": TODAY - timedelta(days=days), "not_shown": [skill]})


def _is_within(course: Course, unit: str, group: Group) -> bool:
    """Whether some of a group are taught in the very unit that asks for it."""
    return any(course.skill[member].unit == unit for member in group.of)


def _group_tried(student: Toml, chance: Random, course: Course) -> None:
    """Note the members of a few groups alike, in two lessons of the last weeks, twice on one day."""
    groups = [group for skill in course.skills for group in skill.stands_on_some]
    for group in chance.sample(groups, 4):
        given = chance.choice(("alone", "cue", "model", "not_shown"))
        for days in (14, 7, 7):
            student["lesson"].append({"on": TODAY - timedelta(days=days), given: list(group.of)})


def _aside(student: Toml, chance: Random, course: Course) -> None:
    skills = [chance.choice(course.skills).id for _ in range(chance.randint(1, 12))]
    student.setdefault("set_aside", []).extend({"skill": s, "on": _day(chance)} for s in skills)


def _held(student: Toml, chance: Random, course: Course) -> None:
    """Open one hold, or two that touch, overlap or lie apart."""
    opened = chance.choice((_day(chance), *(one["on"] for one in student["lesson"][-6:])))
    for _ in range(chance.randint(1, 2)):
        hold = _hold(chance, opened)
        student.setdefault("hold", []).append(hold)
        opened = max(hold.get("closed", opened) + timedelta(days=chance.choice((0, 0, -7, 7))), opened)


def _hold(chance: Random, opened: date) -> Toml:
    """Return a hold, sometimes known to have hurt before, closed or not, also on the day it was opened."""
    hold: Toml = {"opened": opened, "words": "wrist sore"}
    if chance.random() < 0.5:
        hold["since"] = opened - timedelta(days=chance.choice((0, 3, 7, 14)))
    if chance.random() < 0.7:
        closed = chance.choice((opened, max(opened, TODAY), max(opened, _day(chance, -40))))
        hold |= {"closed": closed, "closed_by": "the mother", "closed_words": "all well"}
    return hold


def _back_from_a_hold(student: Toml, chance: Random, course: Course) -> None:
    """Close a hold lately, all settled then, and go on with lessons: empty ones, quiet ones, with playing."""
    closed, skills = _day(chance, -28, 0), [one.id for one in course.skills]
    hold = _hold(chance, closed - timedelta(days=chance.choice((0, 7, 10, 21))))
    closing = {"closed": closed, "closed_by": "the mother", "closed_words": "all well"}
    student.setdefault("hold", []).append(hold | closing)
    student.setdefault("settled", []).append({"through": course.units[-1].id, "on": closed})
    lessons = [one for one in student["lesson"] if one["on"] < closed]
    for days in range(0, (TODAY - closed).days + 1, 7):
        shown = chance.sample(skills, 3) if chance.random() < 0.6 else []
        if chance.random() < 0.5:
            shown = [one for one in shown if course.skill[one].quiet or course.skill[one].asks_pain]
        lessons.append({"on": closed + timedelta(days=days), chance.choice(("alone", "alone", "cue")): shown})
    student["lesson"] = lessons


def _one_amiss(student: Toml, chance: Random, course: Course) -> None:
    """Settle all two weeks ago, with no hold; then one skill is not shown, once or twice."""
    kinds = (
        [one for one in course.skills if one.always_look],
        [one for one in course.skills if one.safety and not one.always_look],
        [one for one in course.skills if one.optional_in],
        course.skills,
        [one for one in course.skills if not (one.always_look or one.safety or one.optional_in)],
    )
    missed, settled = chance.choice(chance.choice(kinds)), TODAY - timedelta(days=14)
    unit = chance.choice(course.units).id if missed.always_look else missed.unit
    student.setdefault("unit_start", []).append({"unit": unit, "on": settled})
    student.setdefault("settled", []).append({"through": course.units[-1].id, "on": settled})
    chosen = [{"band": band, "on": settled} for band in missed.optional_in]
    student.setdefault("band_choice", []).extend(chosen[:1])
    lessons = [one for one in student["lesson"] if one["on"] <= settled]
    days = [TODAY - timedelta(days=one) for one in chance.choice(((7,), (7, 0)))]
    student["lesson"] = lessons + [{"on": day, "not_shown": [missed.id]} for day in days]
    student["hold"] = []


def _rhythm(student: Toml, chance: Random, course: Course) -> None:
    """Come every so many weeks, which makes a break longer; all settled at the lesson before, no hold."""
    weeks = chance.choice((1, 3, 4))
    apart = timedelta(weeks=weeks + chance.choice((0, 0, 1)))
    latest = TODAY - chance.choice((timedelta(0), apart))
    student["rhythm"] = {"day": chance.choice(("tue", "sat")), "weeks": weeks}
    student.setdefault("settled", []).append({"through": course.units[-1].id, "on": latest - apart})
    lessons = [one for one in student["lesson"] if one["on"] < latest - apart]
    student["lesson"] = [*lessons, {"on": latest - apart}, {"on": latest}]
    student["hold"] = []


def _other_band(student: Toml, chance: Random, course: Course) -> None:
    on, other = _day(chance), _day(chance)
    chosen = [
        {"band": band.name, "on": chance.choice((on, on, other))} for band in chance.sample(course.bands, 2)
    ]
    student.setdefault("band_choice", []).extend(chosen)


def _settled(student: Toml, chance: Random, course: Course) -> None:
    block = {"through": chance.choice(course.units).id, "on": _day(chance, -120, 5)}
    student.setdefault("settled", []).append(block)


def _moved(student: Toml, chance: Random, course: Course) -> None:
    """Begin one unit, or two on one day; or none at all yet."""
    on = _day(chance, -40, 10)
    if chance.random() < 0.3:
        student["unit_start"] = []
        return
    starts = [{"unit": chance.choice(course.units).id, "on": on} for _ in range(chance.randint(1, 2))]
    student.setdefault("unit_start", []).extend(starts)


def _away(student: Toml, chance: Random, course: Course) -> None:
    """Take the lessons of the last weeks out, all or all but the latest."""
    since, latest = _day(chance, -40, -15), student["lesson"][-1:]
    kept = [lesson for lesson in student["lesson"] if lesson["on"] < since]
    student["lesson"] = kept + latest * chance.randint(0, 1)


def _on_the_day(student: Toml, chance: Random, course: Course) -> None:
    """Move all lessons so that the latest is today, or three or four weeks ago to the day."""
    latest = max(lesson["on"] for lesson in student["lesson"])
    move = TODAY - timedelta(days=chance.choice((0, 0, 7, 21, 28))) - latest
    for lesson in student["lesson"]:
        lesson["on"] += move


def _birthday(student: Toml, chance: Random, course: Course) -> None:
    student["born"] = chance.choice(
        ("2016-02-29", "2020-02", "2017-12-02", "2019-12-02", "2019-12-03", "2014-12")
    )


CHANGES: dict[Callable[[Toml, Random, Course], None], float] = {
    _moved: 0.4, _settled: 0.4, _before_groups: 0.4, _away: 0.4, _group_tried: 0.4, _aside: 0.4, _held: 0.5,
    _other_band: 0.4, _on_the_day: 0.4, _back_from_a_hold: 0.3, _one_amiss: 0.3, _rhythm: 0.2,
    _birthday: 0.4,
}  # fmt: skip
"""Every change with how often it is made, in the order in which they are."""
