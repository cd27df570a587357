"""One made-up student growing through a course, lesson by lesson; what comes out are the entries of a file.

Nobody real and nothing measured: the pace, the slips and the habits of noting are chosen so that
files look as a teacher leaves them (a lesson a week, holidays, a skill looked at again until it
stands) and so that every verdict comes up in a school of them. It judges nothing.

A skill has a hurdle: how many looks it takes until it is shown alone. A few never get over it in
time. What is looked at in a lesson is what is due: new things of the unit, the five of the seat,
what the next unit stands on.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from datetime import date, timedelta
from random import Random

from readiness.course.model import Course
from readiness.record.append import block
from readiness.record.noting import NewLesson, lesson_text

__all__ = ["Child", "made_up_child"]

HOLIDAYS = ((date(2025, 7, 5), date(2025, 8, 24)), (date(2024, 12, 21), date(2025, 1, 5)))
FACTOR = {"4-5": 1.2, "6-7": 1.0, "8-10": 0.8, "11-14": 0.65, "adult": 0.65}
AGES = (4, 5, 6, 7, 8, 9, 10, 12, 14, 17, 40)
HOW_MANY = (6, 14, 16, 16, 12, 10, 8, 6, 4, 3, 5)
HURDLES, OFTEN = (0, 1, 2, 3, 5, 40), (640, 220, 90, 30, 15, 5)
INITIALS = ("OB", "KF", "RM", "SN", "")
REMARKS = (
    "left sinks a little",
    "quick today",
    "only after a pause",
    "asks for it again",
    "needs a higher footrest",
    "sang it first, then played",
)
NOTES = (
    "tired after a school trip",
    "came in singing",
    "played for the brother",
    "short lesson, late bus",
    'asked why the piano has "teeth"',
    "home keyboard is back",
)
TASKS = (
    "Three slow turns before breakfast, hand on the knee first.",
    "Show it to somebody at home and let them guess.",
    "Only the first line, twice, with a rest between.",
)


@dataclass(frozen=True)
class Child:
    """A made-up student: the header of the file as values, and the entries as texts."""

    name: str
    header: dict[str, object]
    entries: tuple[str, ...]


def made_up_child(course: Course, chance: Random, today: date, notes: int) -> Child:
    """Return a student whose file holds about ``notes`` notes of lessons up to ``today``."""
    name = "".join(chance.choice(("ba", "do", "ki", "lu", "me", "na", "ri", "so", "ta", "ve")) for _ in "123")
    age = chance.choices(AGES, HOW_MANY)[0]
    born = today - timedelta(days=365 * age + age // 4 + chance.randrange(365))
    header: dict[str, object] = {
        "name": name.capitalize(),
        "family": chance.choice(("", "", f"family-{chance.randrange(400)}")),
        "born": born.isoformat()[: chance.choice((7, 10, 10))],
        "home_keys": chance.choice((None, 49, 61, 76, 88)),
    }
    band = [course.bands[0], *(b for b in course.bands if b.from_age <= age)][-1].name
    return Child(name, header, tuple(_Growing(course, chance, band, notes).entries(today)))


class _Growing:
    """What the student can do and where the teacher is; changes from lesson to lesson."""

    def __init__(self, course: Course, chance: Random, band: str, notes: int) -> None:
        self.course, self.chance, self.band = course, chance, band
        self.many = chance.randint(20, 40)
        self.a_lesson = notes / self.many
        self.pace = 1.5 * FACTOR[band] * chance.lognormvariate(0, 0.3)
        self.unit = chance.choices((0, chance.randint(1, 11)), (4, 6))[0]
        self.begun = 0
        self.placed = chance.random() > 0.02
        self.looked: dict[str, int] = {}
        self.last: dict[str, int] = {}
        self.hurdle = {s.id: chance.choices(HURDLES, OFTEN)[0] for s in course.skills}

    def entries(self, today: date) -> Iterator[str]:
        days = self.lesson_days(today)
        if self.placed:
            yield self.start(days[0])
        for number, day in enumerate(days):
            if self.placed and number - self.begun >= self.length():
                yield from self.move(day, number)
            yield self.lesson(number, day)
            yield from self.beside(day, today)

    def lesson_days(self, today: date) -> list[date]:
        """Weekly, with holidays; now and then the student is away, or back since the last lesson."""
        chance = self.chance
        away = chance.choices((0, chance.randint(22, 60)), (95, 5))[0]
        gap = chance.choices((0, chance.randint(35, 60)), (95, 5))[0]
        day, days = today - timedelta(days=chance.randrange(7) + away), list[date]()
        while len(days) < self.many:
            if not any(first <= day <= last for first, last in HOLIDAYS):
                days.append(day)
            day -= timedelta(days=7 + gap * (len(days) == 1))
        return days[::-1]

    def start(self, day: date) -> str:
        units = self.course.units
        text = block("unit_start", [("unit", units[self.unit].id), ("on", day)])
        if self.unit:
            text += "\n" + block("settled", [("through", units[self.unit - 1].id), ("on", day)])
        return text

    def length(self) -> int:
        return max(2, round(self.course.units[self.unit].lesson_weeks * self.pace))

    def move(self, day: date, number: int) -> Iterator[str]:
        """The teacher decides; a move begins the next unit in the same entry."""
        is_last = self.unit == len(self.course.units) - 1
        stays = is_last or self.chance.random() < (0.8 if self.is_behind() else 0.05)
        computed = self.chance.choice(("ready", "ready-taking-along", "not-yet" if stays else "ready"))
        reason = "a quieter week first" if stays else ""
        decided = "stay" if stays else "move"
        here = self.course.units[self.unit].id
        text = block(
            "decision",
            [("on", day), ("unit", here), ("computed", computed), ("decided", decided), ("reason", reason)],
        )
        self.begun = number - self.length() + 2 if stays else number
        if not stays:
            self.unit += 1
            text += "\n" + block("unit_start", [("unit", self.course.units[self.unit].id), ("on", day)])
        yield text

    def is_behind(self) -> bool:
        """Whether more than two things of the unit were not yet shown alone twice."""
        unit = self.course.units[self.unit].id
        mine = [s.id for s in self.course.skills if s.unit == unit and self.band not in s.optional_in]
        return sum(self.looked.get(s, 0) < min(self.hurdle[s] + 2, 5) for s in mine) > 2

    def due(self, number: int) -> list[str]:
        """What could be looked at, the most due first."""
        course, plan, unit = self.course, self.course.plan, self.unit
        known = (number - self.begun + 1.5) / self.length() * 1.6
        mine = [s.id for s in course.skills if s.unit == course.units[unit].id]
        new = mine[: max(3, round(known * len(mine)))]
        later = course.units[unit + 1].id if unit + 1 < len(course.units) else ""
        named = {below for s in course.skills if s.unit == later for below in s.stands_on}
        entry = plan.names(plan.set_of(named) & plan.up_to[unit])
        seat = plan.names(plan.always_look & plan.up_to[unit])
        asked = [
            s for s in dict.fromkeys((*new, *entry, *seat)) if self.band not in course.skill[s].optional_in
        ]
        check = {*entry, *seat} if number - self.begun >= self.length() - 3 else set[str]()
        return sorted(asked, key=lambda s: self.weight(s, number) + 5 * (s in check), reverse=True)

    def weight(self, skill: str, number: int) -> float:
        waiting = number - self.last.get(skill, number - 4)
        fresh = self.looked.get(skill, 0) < self.hurdle[skill] + 3
        return waiting + 1.5 * fresh + self.chance.random() * 2

    def lesson(self, number: int, day: date) -> str:
        chance = self.chance
        many = max(2, round(self.a_lesson + chance.gauss(0, 1.2)))
        due = self.due(number)
        seen = sorted(due[:many], key=self.course.plan.index.__getitem__)
        helps = {skill: self.shown(skill, number) for skill in seen}
        remarks = {chance.choice(seen): chance.choice(REMARKS)} if chance.random() < 0.12 else {}
        left_out = tuple(due[many : many + 1]) if chance.random() < 0.1 else ()
        note = chance.choice(NOTES) if chance.random() < 0.2 else ""
        return lesson_text(
            NewLesson(day.toordinal(), helps, left_out, chance.choice(INITIALS), note, remarks)
        )

    def shown(self, skill: str, number: int) -> int:
        """How much help it took this time: an index into HELPS."""
        looks = self.looked.get(skill, 0)
        self.looked[skill], self.last[skill] = looks + 1, number
        short = self.hurdle[skill] - looks
        if short <= 0:
            return self.chance.choices((0, 1, 2), (96, 3, 1))[0]
        return self.chance.choices((1, 2, 3, 4), (5, 3, 1, 1) if short == 1 else (1, 4, 2, 2))[0]

    def beside(self, day: date, today: date) -> Iterator[str]:
        """What else a file holds: tasks, a hold, something set aside, another band."""
        chance, skill = self.chance, self.chance.choice(self.course.skills).id
        if chance.random() < 0.08:
            words = chance.choice(TASKS)
            fields = [
                ("given", day),
                ("for_skill", skill),
                ("text", words),
                ("minutes_day", 3),
                ("days_planned", 4),
            ]
            yield block("task", fields)
        if chance.random() < 0.003 and not self.course.skill[skill].asks_pain:
            yield block("set_aside", [("skill", skill), ("on", day), ("agreed_with", "family")])
        if chance.random() < 0.002:
            band = chance.choice(self.course.bands).name
            yield block("band_choice", [("band", band), ("on", day), ("reason", "as agreed with the family")])
        if chance.random() < 0.004:
            yield self.hold(day, today)

    def hold(self, day: date, today: date) -> str:
        fields: list[tuple[str, object]] = [
            ("opened", day),
            ("words", "wrist sore when playing"),
            ("part", "hand"),
        ]
        closed = day + timedelta(days=self.chance.randint(6, 40))
        if closed <= today:
            fields += [("closed", closed), ("closed_by", "the mother"), ("closed_words", "all well again")]
        return block("hold", fields)
