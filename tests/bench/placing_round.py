"""How many looks a placing round takes and where it places, over made-up students; printed, never a test.

A made-up student comes from one of the units, is some units further in one strand and less far in
another, and has a closed set of skills. The truth is rule R10 with all of that set seen. Every look
slips and is lucky now and then. None of this is how the belief supposes students to be.

Side by side, in one run and over the same students: the round; a climb through the entry lists
from easy to hard until more is missing than may come along; and the entry lists in any order with
the same belief and the same end. All keep to what fits two lessons; the climb is shown without
that limit too.

Run it with ``python tests/bench/placing_round.py [STUDENTS]``.
"""

from __future__ import annotations

import random
import sys
from collections.abc import Callable, Iterator
from dataclasses import dataclass
from datetime import date
from math import log2
from pathlib import Path
from statistics import mean

ROOT = Path(__file__).parents[2]
sys.path.insert(0, str(ROOT))

from readiness.course.load import load_course  # noqa: E402
from readiness.course.model import Course  # noqa: E402
from readiness.course.plan import bits  # noqa: E402
from readiness.planning.placing.assumed import ASSUMED  # noqa: E402
from readiness.planning.placing.footings import Footings, footings  # noqa: E402
from readiness.planning.placing.round import PlacingRound, placing_round  # noqa: E402
from readiness.record.load import build_record  # noqa: E402
from readiness.record.model import Record  # noqa: E402

FIRST, SECOND = date(2025, 12, 4).toordinal(), date(2025, 12, 11).toordinal()
NOT_SHOWN = 4


@dataclass
class Student:
    """One made-up student."""

    there: int
    start: int
    born: str
    number: int
    chance: random.Random

    def again(self) -> None:
        """Slip and be lucky from the beginning, the same for every way of asking."""
        self.chance.seed(self.number)

    def shows(self, i: int) -> bool:
        have = self.there >> i & 1
        return self.chance.random() < (1 - ASSUMED.slip if have else ASSUMED.lucky)


def students(course: Course, many: int) -> Iterator[Student]:
    chance = random.Random(2025)
    plan, strands = course.plan, [strand.id for strand in course.strands]
    for number in range(many):
        unit = chance.uniform(0, len(plan.unit_ids))
        ahead = {strand: chance.gauss(0, 1.2) for strand in strands}
        there = 0
        for i in sorted(range(len(plan.ids)), key=lambda i: plan.depth[i]):
            reach = unit + ahead[course.skills[i].strand] - plan.unit[i] - 0.5 + chance.gauss(0, 1)
            if reach > 0 and not plan.ancestors[i] & ~there:
                there |= 1 << i
        born = ("2020-06-01", "2018-06-01", "2016-06-01")[number % 3]
        lists = of_band(course, born)
        yield Student(there, lists.start_of(there, 2), born, number, random.Random())


def of_band(course: Course, born: str) -> Footings:
    name = {"2020-06-01": "4-5", "2018-06-01": "6-7", "2016-06-01": "8-10"}[born]
    return footings(course, course.plan.optional[name])


def record_of(course: Course, born: str, first: dict[str, int]) -> Record:
    lessons = []
    if first:
        shown = [skill for skill, given in first.items() if given == 0]
        lessons = [
            {"on": date.fromordinal(FIRST), "alone": shown, "not_shown": [s for s in first if s not in shown]}
        ]
    data = {
        "format": 1,
        "name": "Made up",
        "born": born,
        "placing": [{"on": date.fromordinal(FIRST)}],
        "lesson": lessons,
    }
    return build_record("made-up", data, course)


Chooser = Callable[[PlacingRound, set[str]], str | None]


def placed(course: Course, student: Student, choose: Chooser) -> tuple[int, int, PlacingRound, int]:
    """Return looks until settled, all looks, how it ended, and the unit all looks fitted best then."""
    first: dict[str, int] = {}
    settled_after = 0
    for day in (FIRST, SECOND):
        record = record_of(course, student.born, first)
        helps: dict[str, int] = {}
        while True:
            now = placing_round(course, record, day, helps)
            if now.next is not None and now.next.why == "always-look":
                helps |= dict.fromkeys(now.next.skills, 0)
                continue
            if now.next is None:
                break
            settled_after += now.next.why != "confirm"
            skill = choose(now, {*first, *helps})
            if skill is None:
                break
            helps[skill] = 0 if student.shows(course.plan.index[skill]) else NOT_SHOWN
        first |= helps
    return settled_after, now.looks, now, course.plan.unit_index[now.fits_best]


def climb(course: Course, student: Student, most: int) -> tuple[int, int]:
    """Return looks and start unit of the climb from easy to hard."""
    plan, lists, looks = course.plan, of_band(course, student.born), 0
    missing: set[int] = set()
    asked = 0
    for unit in range(1, len(plan.unit_ids)):
        for i in bits(lists.asked_by[unit] & ~asked):
            asked |= 1 << i
            looks += 1
            if not student.shows(i):
                missing.add(i)
            if len(missing) > 2 or looks >= most:
                return looks, unit - 1
    return looks, len(plan.unit_ids) - 1


def near(found: list[int], true: list[int], by: int) -> str:
    hits = sum(abs(a - b) <= by for a, b in zip(found, true, strict=True))
    return f"{hits:3d} of {len(true)}"


def main() -> None:
    many = int(sys.argv[1]) if len(sys.argv) > 1 else 30
    course = load_course(ROOT / "skill_graphs" / "first-two-years").course
    assert course is not None
    lists = footings(course, 0)
    capacity = _capacity(ASSUMED.slip, ASSUMED.lucky)
    chances = lists.start_chances(lists.start, 2)
    states = log2(lists.sets.count())
    unit_bits = -sum(p * log2(p) for p in chances if p > 0)
    size, classes = len(lists.sets.skills), lists.sets.classes
    print(f"{size} skills, 2^{states:.1f} closed sets, {classes} classes in all layers")
    print(f"one look carries at most {capacity:.3f} bit: {states / capacity:.1f} looks for the whole set,")
    print(f"{unit_bits / capacity:.1f} for the start unit alone ({unit_bits:.2f} bits before the first look)")
    group = list(students(course, many))
    true = [student.start for student in group]
    order = random.Random(7)
    every = [course.skills[i].id for i in lists.sets.skills]

    def any_order(now: PlacingRound, asked: set[str]) -> str | None:
        left = [skill for skill in every if skill not in asked]
        return order.choice(left) if left else None

    ways: dict[str, Chooser] = {"the round": lambda now, _: now.next.skills[0], "any order": any_order}
    for name, choose in ways.items():
        for student in group:
            student.again()
        ends = [placed(course, student, choose) for student in group]
        strict = [course.plan.unit_index[end[2].result.start_unit] for end in ends]
        best = [end[3] for end in ends]
        settling, all_looks = mean(end[0] for end in ends), mean(end[1] for end in ends)
        print(
            f"{name:<20} looks to settle {settling:5.1f}, in all {all_looks:5.1f}; "
            f"same unit {near(best, true, 0)}, within one {near(best, true, 1)}; "
            f"R10 from the notes alone within one {near(strict, true, 1)}",
            flush=True,
        )
    for name, most in (("climb, two lessons", 18), ("climb, no limit", 10**6)):
        for student in group:
            student.again()
        found = [climb(course, student, most) for student in group]
        units = [unit for _, unit in found]
        print(
            f"{name:<20} looks {mean(looks for looks, _ in found):5.1f}; same unit {near(units, true, 0)}, "
            f"within one {near(units, true, 1)}"
        )


def _capacity(slip: float, lucky: float) -> float:
    """Return how much one look can tell at most, in bits (Shannon 1948: the capacity of such a channel)."""

    def entropy(p: float) -> float:
        return 0.0 if p in (0, 1) else -p * log2(p) - (1 - p) * log2(1 - p)

    def told(have: float) -> float:
        shown = have * (1 - slip) + (1 - have) * lucky
        return entropy(shown) - have * entropy(slip) - (1 - have) * entropy(lucky)

    return max(told(n / 1000) for n in range(1001))


if __name__ == "__main__":
    main()
