"""What the files say, before anything is judged: the course, ages, what was known, days to come.

Choices made here, the text of the rules being silent:

* *What was known on D.* A hold closed after D was open on D and nobody knew of its closing;
  the same goes for a placing confirmed after D. ``closed`` needs the words of an adult, so it
  says what happened and is never a plan. A lesson looked ahead to changes nothing of this.
* *Two courses in one student file.* Unit starts and settled blocks of units that this course
  does not have are of the other course. So is a lesson that names skills, none of them of
  this course: else the singing lesson would end a break of the piano.
* *Days to come.* The rhythm is reckoned once, from D: lessons that are only supposed never
  move it. "Counted from the latest lesson on that weekday" is a lesson noted, not a planned
  date: a plan shifted by a week does not shift the fortnight.
* *Within 366 days* is for planned dates too, up to and including D + 366.
* *The rhythm has one day a week.* Of a child who comes twice a week, the commoner day is foreseen.
* *Rule 3:* while the first day is looked for, ``weeks`` is left aside: the first free week will do.
* A ``rhythm`` of the student file replaces that of the studio as a whole; ``weeks`` absent is 1.
* A year of age below 1 is age 0; "2020-02" is 29 February.
"""

from __future__ import annotations

import calendar
from collections import Counter
from collections.abc import Iterable, Iterator, Mapping
from datetime import date, timedelta
from itertools import islice
from typing import Any

__all__ = [
    "Course", "Toml", "age_on", "band_chosen", "band_on", "known_on", "latest", "lesson_days",
    "lessons_to_come", "next_lesson", "on_opening_day", "paused_on", "turns", "under_a_hold",
]  # fmt: skip

Toml = Mapping[str, Any]
HELP_LISTS = ("alone", "cue", "model", "hands_on", "not_shown", "not_tried")
WEEKDAYS = ("mon", "tue", "wed", "thu", "fri", "sat", "sun")
A_YEAR = timedelta(days=366)


class Course:
    """The graph and the pacing, with the few questions asked of them again and again."""

    def __init__(self, graph: Toml, pacing: Toml) -> None:
        self.skills: dict[str, Toml] = dict(graph["skill"])
        self.units: list[str] = list(graph["unit"])
        self.weeks: dict[str, int] = {u: t["lesson_weeks"] for u, t in graph["unit"].items()}
        self.bands: dict[str, Toml] = dict(pacing["band"])
        self._ancestors = {skill: self._all_below(skill) for skill in self.skills}

    def _all_below(self, skill: str) -> frozenset[str]:
        found, waiting = set[str](), self.links(skill)
        while waiting:
            lower = waiting.pop()
            if lower not in found:
                found.add(lower)
                waiting += self.links(lower)
        return frozenset(found)

    def links(self, skill: str) -> list[str]:
        """Return what a skill names in ``stands_on``."""
        return list(self.skills[skill].get("stands_on", []))

    def ancestors(self, skill: str) -> frozenset[str]:
        """Return everything a skill stands on over ``stands_on``, through any number of links."""
        return self._ancestors[skill]

    def flag(self, skill: str, name: str) -> bool:
        return bool(self.skills[skill].get(name, False))

    def quiet(self, skill: str) -> bool:
        """Return whether a skill may be done under a hold; ``asks_pain`` skills always may."""
        return self.flag(skill, "quiet") or self.flag(skill, "asks_pain")

    def place(self, skill: str) -> int:
        return self.units.index(self.skills[skill]["unit"])

    def up_to(self, unit: str) -> list[str]:
        """Return the skills of the units up to and including one, in graph order."""
        return [s for s in self.skills if self.place(s) <= self.units.index(unit)]

    def of_unit(self, unit: str | None) -> list[str]:
        return [s for s in self.skills if self.skills[s]["unit"] == unit]

    def after(self, unit: str) -> str | None:
        following = self.units[self.units.index(unit) + 1 :]
        return following[0] if following else None

    def in_order(self, skills: Iterable[str]) -> list[str]:
        wanted = set(skills)
        return [s for s in self.skills if s in wanted]


def turns(born: str | date, age: int) -> date:
    """Return the day somebody turns an age: 29 February counts as 1 March in other years."""
    year, month, *day = (int(part) for part in str(born).split("-"))
    on = day[0] if day else calendar.monthrange(year, month)[1]
    if (month, on) == (2, 29) and not calendar.isleap(year + age):
        return date(year + age, 3, 1)
    return date(year + age, month, on)


def age_on(born: str | date, day: date) -> int:
    """Return the age in whole years: the number of birthdays had."""
    age = 0
    while turns(born, age + 1) <= day:
        age += 1
    return age


def band_chosen(student: Toml, day: date) -> str | None:
    """Return the band the teacher has set, None without a choice (R0)."""
    chosen = latest(c for c in student.get("band_choice", []) if c["on"] <= day)
    return str(chosen["band"]) if chosen else None


def band_on(course: Course, student: Toml, day: date) -> str:
    """Return the name of the band on a day (R0)."""
    chosen = band_chosen(student, day)
    if chosen is not None:
        return chosen
    age = age_on(student["born"], day)
    by_age = sorted(course.bands, key=lambda b: course.bands[b]["from_age"])
    return ([b for b in by_age if course.bands[b]["from_age"] <= age] or by_age[:1])[-1]


def latest(blocks: Iterable[Toml]) -> Toml | None:
    """Return the latest of some dated blocks, of equals the later in the file."""
    return max(reversed([*blocks]), key=lambda block: block["on"], default=None)


def known_on(
    graph: Toml, student_id: str, student: Toml, on: date, studio: Toml, other_uses: frozenset[str]
) -> dict[str, Any]:
    """Return what was known of a student in this course on a day, nothing dated later.

    Besides the tables of the file: ``planned`` dates in order, ``weekday`` (None without a
    rhythm) and ``weeks``, and ``holidays``: first and last day of each event that lasts.
    """
    student = {**student, "lesson": as_corrected(student)}
    known = dict(student)
    for table in ("unit_start", "settled", "lesson", "set_aside", "band_choice", "placing", "decision"):
        known[table] = [entry for entry in student.get(table, []) if entry["on"] <= on]
    known["unit_start"] = [e for e in known["unit_start"] if e["unit"] in graph["unit"]]
    known["settled"] = [e for e in known["settled"] if e["through"] in graph["unit"]]
    known["lesson"] = [lesson for lesson in known["lesson"] if _of_this_course(graph, lesson)]
    known["hold"] = [
        _without(hold, "closed", on)
        for hold in student.get("hold", [])
        if hold["opened"] <= on and _pauses_this_course(graph, hold, other_uses)
    ]
    known["placing"] = [_without(placing, "confirmed", on) for placing in known["placing"]]
    dates = studio.get("lesson_dates", {})
    known["planned"] = sorted({*dates.get("all", []), *dates.get(student_id, [])})
    rhythm = student.get("rhythm") or studio.get("rhythm") or {}
    known["weekday"] = WEEKDAYS.index(rhythm["day"]) if rhythm else None
    known["weeks"] = rhythm.get("weeks", 1)
    known["holidays"] = [(e["from"], e["to"]) for e in studio.get("event", []) if "from" in e and "to" in e]
    return known


def as_corrected(student: Toml) -> list[Toml]:
    """Return the lessons without what was noted wrongly, correction after correction."""
    lessons = [dict(lesson) for lesson in student.get("lesson", [])]
    for wrong in student.get("correction", []):
        if wrong.get("whole"):
            same = [lesson for lesson in lessons if lesson["on"] == wrong["of"] and _same(lesson, wrong)]
            lessons = [lesson for lesson in lessons if not any(lesson is one for one in same[:1])]
            continue
        for name in HELP_LISTS:
            for skill in wrong.get(name, []):
                of_it = (one for one in lessons if one["on"] == wrong["of"] and skill in one.get(name, []))
                for lesson in islice(of_it, 1):
                    at = lesson[name].index(skill)
                    lesson[name] = lesson[name][:at] + lesson[name][at + 1 :]
    return lessons


def _same(lesson: Toml, wrong: Toml) -> bool:
    return all(sorted(lesson.get(name, [])) == sorted(wrong.get(name, [])) for name in HELP_LISTS[:5])


def _of_this_course(graph: Toml, lesson: Toml) -> bool:
    named = {skill for help_list in HELP_LISTS for skill in lesson.get(help_list, [])}
    return not named or bool(named & set(graph["skill"]))


def _pauses_this_course(graph: Toml, hold: Toml, other_uses: frozenset[str]) -> bool:
    """Every hold does, unless its part is used by another course and not by this one."""
    part = hold.get("part", "all")
    return part == "all" or part not in other_uses or graph.get("uses", "hand") == part


def _without(entry: Toml, key: str, on: date) -> Toml:
    """Return a block without an entry that is dated after a day."""
    later = isinstance(entry.get(key), date) and entry[key] > on
    return {k: v for k, v in entry.items() if k != key} if later else entry


def paused_on(known: Toml, day: date) -> bool:
    """Return whether a hold is open on a day: opened, and not closed by it (R7)."""
    return any(h["opened"] <= day and h.get("closed", date.max) > day for h in known["hold"])


def under_a_hold(known: Toml, day: date) -> bool:
    """Return whether a day is under a hold (R1a): from ``since``, else after ``opened``, till ``closed``."""
    return any(
        (h["since"] <= day if "since" in h else h["opened"] < day) and day < h.get("closed", date.max)
        for h in known["hold"]
    )


def on_opening_day(known: Toml, day: date) -> bool:
    """Return whether a hold without ``since`` was opened on a day (R1a)."""
    return any(h["opened"] == day and "since" not in h for h in known["hold"])


def lesson_days(known: Toml) -> list[date]:
    """Return the different days with a lesson, in order."""
    return sorted({lesson["on"] for lesson in known["lesson"]})


def next_lesson(known: Toml, on: date) -> date | None:
    """Return N, None where no day to come is within 366 days."""
    first = next(lessons_to_come(known, on), None)
    return first if first is not None and first - on <= A_YEAR else None


def lessons_to_come(known: Toml, on: date) -> Iterator[date]:
    """Yield the lesson days to come by rules 1 to 4 of "Lesson days to come", without end."""
    noted = lesson_days(known)

    def to_come(day: date) -> bool:
        return day > on or (day == on and on not in noted)

    planned = [day for day in known["planned"] if to_come(day)]
    yield from planned
    days = _after_the_last(known, noted, planned) if noted or planned else _from_the_day(known, on)
    yield from (day for day in days if to_come(day) and not _in_holiday(known, day))


def _after_the_last(known: Toml, noted: list[date], planned: list[date]) -> Iterator[date]:
    """Yield the days of the rhythm in the weeks after the last lesson noted or planned (rule 2)."""
    last = max(noted[-1:] + planned[-1:])
    weekday = known["weekday"]
    if weekday is None:
        weekday = _commonest_weekday(noted[-4:] or [last])
    on_it = [day for day in noted if day.weekday() == weekday]
    start = on_it[-1] if on_it else _monday(last) + timedelta(days=weekday)
    return (day for day in _every(start, known["weeks"]) if _monday(day) > _monday(last))


def _from_the_day(known: Toml, on: date) -> Iterator[date]:
    """Yield the first free day from a day on, and every so many weeks from it (rule 3)."""
    year = (on + timedelta(days=ahead) for ahead in range(A_YEAR.days + 1))
    fitting = (
        day for day in year if known["weekday"] in {None, day.weekday()} and not _in_holiday(known, day)
    )
    return (day for first in islice(fitting, 1) for day in _every(first, known["weeks"]))


def _commonest_weekday(days: list[date]) -> int:
    """Return the commonest weekday of some days, of equals the one seen last."""
    times = Counter(day.weekday() for day in days)
    return max(days, key=lambda day: (times[day.weekday()], day)).weekday()


def _monday(day: date) -> date:
    return day - timedelta(days=day.weekday())


def _every(day: date, weeks: int) -> Iterator[date]:
    return (day + timedelta(days=n) for n in range(0, (date.max - day).days + 1, 7 * weeks))


def _in_holiday(known: Toml, day: date) -> bool:
    return any(first <= day <= last for first, last in known["holidays"])
