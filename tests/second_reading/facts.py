"""What the files say, before anything is judged: the course, ages, bands, what was known.

Nothing here knows a rule about states or verdicts.
"""

from __future__ import annotations

import calendar
from collections.abc import Iterable, Iterator, Mapping, Sequence
from datetime import date, timedelta
from itertools import islice
from typing import Any

__all__ = ["Course", "age_on", "band_on", "cut", "lesson_days", "lessons_after", "turns"]

Toml = Mapping[str, Any]

LESSONS_LOOKED_AT = 52
"""How far the earliest possible date is looked for."""


class Course:
    """The graph and the pacing, with the few questions asked of them again and again."""

    def __init__(self, graph: Toml, pacing: Toml) -> None:
        self.skills: dict[str, Toml] = dict(graph["skill"])
        self.units: list[str] = list(graph["unit"])
        self.weeks: dict[str, int] = {u: t["lesson_weeks"] for u, t in graph["unit"].items()}
        self.bands: dict[str, Toml] = dict(pacing["band"])
        self.above: dict[str, frozenset[str]] = {}
        for skill in self.skills:
            self._climb(skill)

    def _climb(self, skill: str) -> None:
        """Work out everything a skill stands on, over any number of links."""
        waiting, found = list(self.links(skill)), set()
        while waiting:
            lower = waiting.pop()
            if lower not in found:
                found.add(lower)
                waiting.extend(self.links(lower))
        self.above[skill] = frozenset(found)

    def links(self, skill: str) -> list[str]:
        """Return what a skill names in ``stands_on``."""
        return list(self.skills[skill].get("stands_on", []))

    def ancestors(self, skill: str) -> frozenset[str]:
        """Return everything a skill stands on, over any number of links."""
        return self.above[skill]

    def flag(self, skill: str, name: str) -> bool:
        """Return a yes-or-no entry of a skill; absent means no."""
        return bool(self.skills[skill].get(name, False))

    def number(self, skill: str) -> int:
        """Return the place of the skill's unit in the order of teaching."""
        return self.units.index(self.skills[skill]["unit"])

    def up_to(self, unit: str) -> list[str]:
        """Return the skills of the units up to and including one, in graph order."""
        last = self.units.index(unit)
        return [s for s in self.skills if self.number(s) <= last]

    def of_unit(self, unit: str | None) -> list[str]:
        """Return the skills of one unit, in graph order."""
        return [s for s in self.skills if self.skills[s]["unit"] == unit]

    def after(self, unit: str) -> str | None:
        """Return the next unit, None after the last."""
        place = self.units.index(unit) + 1
        return self.units[place] if place < len(self.units) else None

    def in_order(self, skills: Iterable[str]) -> list[str]:
        """Return some skills in graph order."""
        wanted = set(skills)
        return [s for s in self.skills if s in wanted]


def turns(born: str | date, age: int) -> date:
    """Return the day somebody turns an age: 29 February counts as 1 March in other years."""
    parts = [int(p) for p in str(born).split("-")]
    year, month = parts[0], parts[1]
    day = parts[2] if len(parts) == 3 else calendar.monthrange(year, month)[1]
    if (month, day) == (2, 29) and not calendar.isleap(year + age):
        return date(year + age, 3, 1)
    return date(year + age, month, day)


def age_on(born: str | date, day: date) -> int:
    """Return the age in whole years: the number of birthdays had."""
    age = 0
    while turns(born, age + 1) <= day:
        age += 1
    return age


def band_on(course: Course, student: Toml, day: date) -> str:
    """Return the name of the band on a day (R0)."""
    chosen = [c for c in student.get("band_choice", []) if c["on"] <= day]
    if chosen:
        latest = max(c["on"] for c in chosen)
        return str([c for c in chosen if c["on"] == latest][-1]["band"])
    age = age_on(student["born"], day)
    by_age = sorted(course.bands, key=lambda b: course.bands[b]["from_age"])
    reached = [b for b in by_age if course.bands[b]["from_age"] <= age]
    return reached[-1] if reached else by_age[0]


def cut(student: Toml, day: date) -> dict[str, Any]:
    """Return the student's file as it was known on a day: nothing dated later is left."""
    known = dict(student)
    for table in ("unit_start", "settled", "lesson", "set_aside", "band_choice", "placing"):
        known[table] = [entry for entry in student.get(table, []) if entry["on"] <= day]
    known["hold"] = [entry for entry in student.get("hold", []) if entry["opened"] <= day]
    return known


def lesson_days(student: Toml) -> list[date]:
    """Return the different days with a lesson, in order."""
    return sorted({lesson["on"] for lesson in student.get("lesson", [])})


def lessons_after(student: Toml, day: date, planned: Sequence[date]) -> list[date]:
    """Return the next 52 lessons of the rhythm after a day.

    The planned dates where there are any; after the last of them, or with none, every seven
    days counted from the last one known (from the day itself when there never was a lesson).
    """
    return list(islice(_rhythm(student, day, planned), LESSONS_LOOKED_AT))


def _rhythm(student: Toml, day: date, planned: Sequence[date]) -> Iterator[date]:
    coming = sorted({p for p in planned if p > day})
    yield from coming
    days = coming or lesson_days(student) or [day]
    following = days[-1]
    while True:
        following += timedelta(days=7)
        if following > day:
            yield following
