"""A course of 5,000 skills, each standing on the one before, is loaded, judged and rechecked."""

from __future__ import annotations

from datetime import date

import pytest

from readiness.course.load import build_course
from readiness.course.model import Course
from readiness.judging import answer_to_dict, judge
from readiness.judging.recheck import recheck
from readiness.record.load import build_record
from readiness.testing.strategies import band_of

LENGTH = 5000
UNITS = 10
LAST = LENGTH * 9 // UNITS
"""How many skills there are up to and including the unit before the last."""

BAND = band_of(4, (6, LENGTH // UNITS, 5, 3), (0.5, 2.0), (["alone"] * 5, [2] * 5, [4] * 3))


def _skill(number: int) -> dict[str, object]:
    return {
        "name": f"Skill {number}",
        "unit": f"unit-{number * UNITS // LENGTH}",
        "strand": "only",
        "kind": "motor",
        "fade": "medium",
        "minutes": 1,
        "shown_when": "Shown 3 of 3.",
        "stands_on": [f"skill-{number - 1}"] if number else [],
    }


@pytest.fixture(scope="module")
def chain() -> Course:
    graph = {
        "format": 1,
        "name": "A long chain",
        "strand": {"only": {"name": "Only"}},
        "unit": {f"unit-{n}": {"name": f"Unit {n}", "lesson_weeks": 5} for n in range(UNITS)},
        "skill": {
            **{f"skill-{n}": _skill(n) for n in range(LENGTH)},
            "says-it-hurts": {**_skill(0), "asks_pain": True, "always_look": True},
        },
    }
    return build_course(graph, {"format": 1, "band": {"all": BAND}})


def _student(**tables: object) -> dict[str, object]:
    start = {"unit": "unit-8", "on": date(2025, 9, 1)}
    return {"format": 1, "name": "Somebody", "born": "2019-04-01", "unit_start": [start], **tables}


def test_a_weak_skill_at_the_bottom_is_the_one_thing(chain: Course) -> None:
    """4,499 links below the skill that decides, the first skill of all has slipped."""
    lessons = [
        {"on": date(2025, 10, 6), "model": ["skill-0", f"skill-{LAST - 1}"]},
        {"on": date(2025, 10, 13), "model": ["skill-0", f"skill-{LAST - 1}"]},
    ]
    settled = [{"through": "unit-8", "on": date(2025, 10, 1)}]
    record = build_record("somebody", _student(settled=settled, lesson=lessons), chain)
    answer = judge(chain, record, date(2025, 10, 13).toordinal())
    assert answer.verdict == "not-yet"
    assert [b.skill for b in answer.blockers] == [f"skill-{LAST - 1}"]
    assert answer.one_thing == "skill-0"
    assert recheck(answer_to_dict(answer), chain, record).differ == ()


def test_the_top_keeps_everything_below_it_warm(chain: Course) -> None:
    """One showing of the last skill of the unit refreshes all 4,499 below it."""
    top = f"skill-{LAST - 1}"
    settled = [{"through": "unit-8", "on": date(2025, 9, 1)}]
    lessons = [{"on": date(2025, 10, 27), "alone": [top, "says-it-hurts"]}]
    record = build_record("somebody", _student(settled=settled, lesson=lessons), chain)
    answer = judge(chain, record, date(2025, 10, 27).toordinal())
    assert answer.verdict == "ready"
    assert recheck(answer_to_dict(answer), chain, record).differ == ()
    assert {answer.standings[f"skill-{n}"].last_seen for n in range(LAST)} == {date(2025, 10, 27).toordinal()}
