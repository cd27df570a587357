"""The worst input found for each answer about what to do next, and what it takes; printed, never a test.

Processor time and the most memory of a process of its own for each, and how much of the time went into
making up the course and the student. Found by hand: the numbers a course may have at most, courses of
hundreds of skills, files of decades, contradicting notes.

Run it with ``python tests/bench/worst_inputs_planning.py [NAME]``.
"""

from __future__ import annotations

import resource
import subprocess
import sys
import time
from collections.abc import Callable
from dataclasses import replace
from datetime import date, timedelta
from pathlib import Path
from random import Random
from typing import ParamSpec, TypeVar

ROOT = Path(__file__).parents[2]
sys.path[:0] = [str(ROOT), str(ROOT / "tests")]

from bench.placing_round import record_of, wide_course  # noqa: E402

from readiness.advice.changes import ChangeQuestion, why_changed  # noqa: E402
from readiness.advice.estimates import estimates, holding_range  # noqa: E402
from readiness.advice.handover import pair_up  # noqa: E402
from readiness.advice.lesson import plan_lesson  # noqa: E402
from readiness.advice.placing_round import placing_round  # noqa: E402
from readiness.advice.review import prepare  # noqa: E402
from readiness.advice.sheet import check_sheet  # noqa: E402
from readiness.course.load import load_course  # noqa: E402
from readiness.course.model import Course  # noqa: E402
from readiness.editing.compare import compare  # noqa: E402
from readiness.judging.as_json import answer_to_dict  # noqa: E402
from readiness.judging.engine import judge  # noqa: E402
from readiness.pages.map import map_page  # noqa: E402
from readiness.pictures.formats import shown  # noqa: E402
from readiness.pictures.svg import map_as_svg  # noqa: E402
from readiness.record.load import build_record  # noqa: E402
from readiness.record.model import Record  # noqa: E402
from readiness.record.rhythm import Event  # noqa: E402

P, T = ParamSpec("P"), TypeVar("T")
LAST = date(2025, 12, 2)
ON = LAST.toordinal()
KEYS = ("alone", "cue", "model", "not_shown")


making: dict[str, float] = {"s": 0.0}
"""Seconds that went into what is asked about."""


def made(make: Callable[P, T]) -> Callable[P, T]:
    """Count the time of a function that makes up what is asked about."""

    def timed(*args: P.args, **named: P.kwargs) -> T:
        begun, before = time.process_time(), making["s"]
        found = make(*args, **named)
        making["s"] = before + time.process_time() - begun
        return found

    return timed


wide_course = made(wide_course)


@made
def shipped() -> Course:
    course = load_course(ROOT / "skill_graphs" / "first-two-years").course
    assert course is not None
    return course


def with_rules(course: Course, **rules: int) -> Course:
    bands = tuple(replace(band, values={**band.values, **rules}) for band in course.bands)
    return replace(course, bands=bands)


@made
def long_file(course: Course, lessons: int, each: int = 12) -> Record:
    """Return a student with a lesson a week, the notes of which contradict each other, in the middle unit."""
    ids, unit = [skill.id for skill in course.skills], course.units[len(course.units) // 2].id
    blocks = []
    for number in range(lessons):
        chosen = [ids[(number * 7 + k * 11) % len(ids)] for k in range(each)]
        noted = {key: sorted(set(chosen[at :: len(KEYS)])) for at, key in enumerate(KEYS)}
        seen: set[str] = set()
        for key, skills in noted.items():
            noted[key] = [skill for skill in skills if skill not in seen]
            seen.update(skills)
        blocks.append({"on": LAST - timedelta(weeks=lessons - number), **noted})
    born = LAST - timedelta(weeks=max(lessons, 450))
    data = {
        "format": 1, "name": "Made up", "born": born.isoformat(), "lesson": blocks,
        "unit_start": [{"unit": unit, "on": blocks[0]["on"]}],
    }  # fmt: skip
    return build_record("made-up", data, course)


def place_wide() -> object:
    course = wide_course(2400)
    return placing_round(course, record_of(course, "2016-06-01", {}), ON)


def place_contradicting() -> object:
    course = wide_course(600)
    ids = [skill.id for skill in course.skills]
    helps = {skill: 4 * (number % 2) for number, skill in enumerate(ids)}
    return placing_round(course, record_of(course, "2016-06-01", {}), ON, helps)


def plan_long() -> object:
    course = shipped()
    record = long_file(course, 60)
    return plan_lesson(course, record, judge(course, record, ON), 10_000)


def plan_wide() -> object:
    course = wide_course(600)
    record = long_file(course, 120)
    return plan_lesson(course, record, judge(course, record, ON), 600)


def sheet_wide() -> object:
    course = wide_course(600)
    record = long_file(course, 200, 30)
    return check_sheet(course, record, judge(course, record, ON))


def together_wide() -> object:
    course = wide_course(600)
    one, two = long_file(course, 100), replace(long_file(course, 101), id="other")
    return pair_up(course, [(one, judge(course, one, ON)), (two, judge(course, two, ON))])


def season_far() -> object:
    course = shipped()
    record = long_file(course, 100)
    far = date(9999, 12, 31).toordinal()
    return prepare(course, record, judge(course, record, ON), Event("far", far, far))


def when_decades() -> object:
    course = shipped()
    records = [replace(long_file(course, 2000), id=f"r{n}") for n in range(5)]
    return estimates(course, records, records[0], judge(course, records[0], ON))


def changed_decades() -> object:
    course = shipped()
    record = long_file(course, 500)
    return why_changed(ChangeQuestion(record, (LAST - timedelta(weeks=480)).toordinal(), ON, course))


def changed_fading() -> object:
    course = wide_course(1200)
    begun = LAST - timedelta(days=1600)
    lessons = [
        {"on": begun + timedelta(days=at), "alone": [skill.id]} for at, skill in enumerate(course.skills)
    ]
    data = {"format": 1, "name": "Made up", "born": "2012-05", "lesson": lessons,
            "unit_start": [{"unit": course.units[60].id, "on": begun}]}  # fmt: skip
    asked = made(build_record)("made-up", data, course)
    return why_changed(ChangeQuestion(asked, (begun + timedelta(days=1201)).toordinal(), ON, course))


def compare_many() -> object:
    course = shipped()
    records = {f"r{n}": replace(long_file(course, 100), id=f"r{n}") for n in range(100)}
    other = replace(course, edition="other")
    return compare(course, other, {id_: (one, one) for id_, one in records.items()}, ON)


@made
def one_unit(many: int) -> Course:
    """Return a course whose one unit has all skills, each on two of those shortly before."""
    course, chance = wide_course(many), Random(1)
    under = [sorted(chance.sample(range(max(0, at - 40), at), min(at, 2))) for at in range(many)]
    ids = [skill.id for skill in course.skills]
    skills = (
        replace(skill, unit=course.units[0].id, stands_on=tuple(ids[j] for j in of))
        for skill, of in zip(course.skills, under, strict=True)
    )
    return replace(course, units=course.units[:1], skills=tuple(skills))


def answer_of(record: Record, course: Course | None = None) -> object:
    return answer_to_dict(judge(course or shipped(), record, ON))


def why_wide() -> object:
    course = wide_course(5000)
    return answer_of(long_file(course, 833), course)


INPUTS: dict[str, tuple[Callable[[], object], str]] = {
    "place-wide": (place_wide, "next look, 2,400 skills in 240 units"),
    "place-contradicting": (place_contradicting, "next look, 600 skills, every second one not shown"),
    "plan-long": (plan_long, "a lesson of 10,000 minutes"),
    "plan-wide": (plan_wide, "a lesson of 600 minutes, 600 skills"),
    "sheet-wide": (sheet_wide, "a check, 600 skills, 6,000 notes"),
    "together-wide": (together_wide, "two students, 600 skills"),
    "season-far": (season_far, "a big day in the year 9999"),
    "when-decades": (when_decades, "five students with 2,000 lessons each"),
    "when-cases": (
        lambda: holding_range([(5_000 - at % 7, at % 3 > 0) for at in range(5_000)]),
        "the range of 5,000 cases of some 5,000 lessons each",
    ),
    "changed-fading": (changed_fading, "what changed while 1,200 skills faded, each on a day of its own"),
    "changed-decades": (changed_decades, "what changed in 480 weeks of lessons"),
    "compare-many": (compare_many, "100 students with 100 lessons each"),
    "why-decades": (lambda: answer_of(long_file(shipped(), 1040)), "20 years of lessons, 12,480 notes"),
    "why-wide": (why_wide, "5,000 skills, 10,000 notes"),
    "map-wide": (lambda: map_as_svg(shown(wide_course(1200))), "the map of 1,200 skills, one sheet"),
    "map-unit": (lambda: map_as_svg(shown(one_unit(1200))), "the map of one unit of 1,200 skills"),
    "map-pages": (lambda: map_page(shown(wide_course(1200)), "a4"), "1,200 skills, a page a unit"),
    "map-unit-pages": (lambda: map_page(shown(one_unit(1200)), "a4"), "a unit of 1,200, a page each"),
}


def main() -> None:
    if len(sys.argv) > 1:
        begun = time.process_time()
        INPUTS[sys.argv[1]][0]()
        took = time.process_time() - begun
        memory = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss // 1024
        times = f"{took:6.2f} s ({making['s']:5.2f} of it the input)"
        print(f"{sys.argv[1]:<20} {times} {memory:5d} MB  {INPUTS[sys.argv[1]][1]}", flush=True)
        return
    for name in INPUTS:
        try:
            subprocess.run([sys.executable, __file__, name], check=True, timeout=300)
        except subprocess.TimeoutExpired:
            print(f"{name:<20} more than 300 s", flush=True)


if __name__ == "__main__":
    main()
