"""How many looks a placing round takes and where it places, over made-up students; printed, never a test.

A made-up student comes from one of the units, is some units further in one strand and less far in
another, and has a closed set of skills. The truth is rule R10 with all of that set seen. Every look
slips and is lucky now and then. None of this is how the crowd of the round is imagined.

Side by side, over the same students: the round in one lesson and in two; a climb through the entry
lists from easy to hard until more is missing than may come along; and the entry lists in any order
with the same belief and the same end. Then students who can do all of the first units and nothing
else, without a slip and with one in ten; how often the units that are named hold the true one when
students slip more or less often; and the time and memory of one question in courses of any width.

Run it with ``python tests/bench/placing_round.py [STUDENTS]``.
"""

from __future__ import annotations

import random
import resource
import sys
import time
from collections.abc import Callable, Iterator
from dataclasses import dataclass, replace
from datetime import date
from itertools import product
from pathlib import Path
from statistics import mean
from tempfile import TemporaryDirectory

ROOT = Path(__file__).parents[2]
sys.path.insert(0, str(ROOT))

from readiness.advice.placing_crowd import Footings, footings  # noqa: E402
from readiness.advice.placing_round import PlacingRound, placing_round  # noqa: E402
from readiness.course.load import load_course  # noqa: E402
from readiness.course.model import Course, bits  # noqa: E402
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
    slip: float = 0.1
    lucky: float = 0.05

    def again(self) -> None:
        """Slip and be lucky from the beginning, the same for every way of asking."""
        self.chance.seed(self.number)

    def shows(self, i: int) -> bool:
        have = self.there >> i & 1
        return self.chance.random() < (1 - self.slip if have else self.lucky)


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
        yield Student(there, lists.start_of(there, 2), born, number, random.Random(number))


def even_students(course: Course, slip: float) -> Iterator[Student]:
    """Yield students who can do all of the first units and nothing else; without a slip nobody is lucky."""
    plan = course.plan
    lists = of_band(course, "2017-06-01")
    for units, number in product(range(len(plan.unit_ids)), range(10 if slip else 1)):
        there = sum(1 << i for i in range(len(plan.ids)) if plan.unit[i] < units)
        lucky = 0.05 if slip else 0.0
        yield Student(
            there, lists.start_of(there, 2), "2017-06-01", number, random.Random(number), slip, lucky
        )


def of_band(course: Course, born: str) -> Footings:
    name = {"2020-06-01": "4-5", "2018-06-01": "6-7", "2016-06-01": "8-10", "2017-06-01": "8-10"}[born]
    return footings(course, course.plan.optional[name], 2)


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


Chooser = Callable[[PlacingRound, set[str]], str]


def as_asked(now: PlacingRound, _: set[str]) -> str:
    assert now.next is not None
    return now.next.skills[0]


def placed(course: Course, student: Student, choose: Chooser, lessons: int = 2) -> PlacingRound:
    """Return how the round ended."""
    student.again()
    first: dict[str, int] = {}
    for day in (FIRST, SECOND)[:lessons]:
        record = record_of(course, student.born, first)
        helps: dict[str, int] = {}
        while (now := placing_round(course, record, day, helps)).next is not None:
            if now.next.why == "always-look":
                helps |= dict.fromkeys(now.next.skills, 0)
            else:
                skill = choose(now, {*first, *helps})
                helps[skill] = 0 if student.shows(course.plan.index[skill]) else NOT_SHOWN
        first |= helps
    return now


def climb(course: Course, student: Student, most: int) -> tuple[int, int]:
    """Return looks and start unit of the climb from easy to hard."""
    student.again()
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


def tell(name: str, course: Course, group: list[Student], choose: Chooser, lessons: int) -> None:
    """Print how many looks it took and how near it came."""
    number = course.plan.unit_index
    ends = [placed(course, student, choose, lessons) for student in group]
    true = [student.start for student in group]
    best = [number[end.start] for end in ends]
    strict = [number[end.result.start_unit] for end in ends]
    held = sum(
        number[end.fits[0]] <= unit <= number[end.fits[-1]] for end, unit in zip(ends, true, strict=True)
    )
    print(
        f"{name:<34} looks {mean(end.looks for end in ends):5.1f}, at most {max(end.looks for end in ends)}; "
        f"same unit {near(best, true, 0)}, within one {near(best, true, 1)}, two {near(best, true, 2)}; "
        f"named units hold it {held}, {mean(len(end.fits) for end in ends):.1f} units; "
        f"R10 within one {near(strict, true, 1)}",
        flush=True,
    )


def main() -> None:
    many = int(sys.argv[1]) if len(sys.argv) > 1 else 40
    course = load_course(ROOT / "skill_graphs" / "first-two-years").course
    assert course is not None
    group = list(students(course, many))
    order = random.Random(7)
    every = course.plan.names(of_band(course, "2016-06-01").asked_by[-1])

    def any_order(now: PlacingRound, asked: set[str]) -> str:
        return order.choice([skill for skill in every if skill not in asked] or list(every))

    tell("the round, one lesson", course, group, as_asked, 1)
    tell("the round, two lessons", course, group, as_asked, 2)
    tell("any order, two lessons", course, group, any_order, 2)
    for name, most in (("climb, two lessons", 30), ("climb, no limit", 10**6)):
        found = [climb(course, student, most) for student in group]
        units, true = [unit for _, unit in found], [student.start for student in group]
        print(
            f"{name:<34} looks {mean(looks for looks, _ in found):5.1f}; same unit {near(units, true, 0)}, "
            f"within one {near(units, true, 1)}, two {near(units, true, 2)}"
        )
    for slip in (0.0, 0.1):
        tell(f"all of the first units, slips {slip}", course, list(even_students(course, slip)), as_asked, 1)
    for slip in (0.05, 0.15, 0.25):
        slipping = [replace(student, slip=slip) for student in group]
        tell(f"slips {slip}, one lesson", course, slipping, as_asked, 1)
    for skills in (140, 300, 600, 1200, 2400):
        wide = wide_course(skills)
        begun = time.process_time()
        now = placing_round(wide, record_of(wide, "2016-06-01", {}), FIRST)
        memory = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss // 1024
        took = time.process_time() - begun
        print(f"{skills:5d} skills: {took:.2f} s, most memory so far {memory} MB, whole: {now.whole}")


def wide_course(many: int) -> Course:
    """Return a made-up course of ten skills a unit, each on some of the units shortly before."""
    chance = random.Random(many)
    units = max(2, many // 10)
    lines = ["format = 1", 'name = "Wide"', 'edition = "1"']
    lines += [f'[strand.s{k}]\nname = "S{k}"' for k in range(8)]
    lines += [f'[unit.u{unit}]\nname = "U{unit}"\naim = "A"\nlesson_weeks = 4' for unit in range(units)]
    for number in range(many):
        unit = number * units // many
        earlier = [j for j in range(max(0, number - 40), number) if j * units // many < unit]
        under = [f"k{j}" for j in sorted(chance.sample(earlier, min(len(earlier), chance.randint(1, 3))))]
        lines += [f"[skill.k{number}]", f'name = "K{number}"', f'unit = "u{unit}"', f"stands_on = {under}"]
        lines += [f'strand = "s{number % 8}"', 'kind = "motor"', 'fade = "slow"', "minutes = 10"]
        lines += ['shown_when = "Shown."', 'remedies = ["a", "b"]']
        always = ("always_look", "safety", "must_be_seen", "asks_pain") if number == 0 else ()
        lines += [f"{name} = true" for name in always]
    pacing = (ROOT / "skill_graphs" / "first-two-years" / "pacing.toml").read_bytes()
    with TemporaryDirectory() as folder:
        (Path(folder) / "graph.toml").write_text("\n".join(lines), encoding="utf-8")
        (Path(folder) / "pacing.toml").write_bytes(pacing)
        loaded = load_course(Path(folder))
    assert loaded.course is not None, loaded.problems[:3]
    return loaded.course


if __name__ == "__main__":
    main()
