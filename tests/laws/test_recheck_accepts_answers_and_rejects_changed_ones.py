"""The checker of certificates accepts every answer of the library, and none with anything changed.

A change may pass only where it lies under a key that is named as not checked, or makes an answer to
another question that is true as well. ``python tests/bench/changed_answers.py`` tries very many.
"""

from __future__ import annotations

import gc
import json
import re
from collections.abc import Iterator
from datetime import date, timedelta
from pathlib import Path
from random import Random
from typing import Any

import pytest
from by_hand import small
from drawn import situations
from hypothesis import example, given, settings
from hypothesis import strategies as st
from laws.asking import settled_beforehand
from laws.changing import Change, changes

import readiness.judging
from readiness.course.model import Course
from readiness.judging import answer_to_dict, judge
from readiness.judging.recheck import Rechecked, Rechecker, recheck
from readiness.judging.recheck_rules import CourseLinks, Student, StudentOnDay, holds
from readiness.terms import READY
from readiness.testing import Asked, Situation, ask, pacings

EACH = 3
"""So many changes under each key of an answer are tried, drawn from all there are."""


def answer_of(asked: Asked) -> dict[str, Any]:
    return json.loads(json.dumps(asked.json))


def names(course: Course) -> dict[str, str]:
    """Return, for each id of a course, the next of its kind."""
    kinds = (course.skill, course.unit, course.band)
    return {one: other for ids in kinds for one, other in zip(ids, [*ids][1:] + [*ids][:1], strict=True)}


def some_changes(asked: Asked, chance: Random, each: int) -> Iterator[Change]:
    """Yield a few changes under every key of an answer, and of the keys themselves."""
    under: dict[Any, list[Change]] = {}
    for change in changes(answer_of(asked), names(asked.course)):
        under.setdefault(change[0][:1], []).append(change)
    for found in under.values():
        yield from chance.sample(found, min(each, len(found)))


def is_let_pass(asked: Asked, checker: Rechecker, change: Change) -> bool:
    """Return whether a change is neither refused nor under a key that is named as not checked.

    A proof that was changed may still be one, which has a law of its own.
    """
    (key, *_), changed = change[0] or (None,), change[2]
    if not isinstance(changed, dict) or (key == "proof" and asked.json["proof"] is not None):
        return False
    found = checker.check(changed, asked.record, asked.calendar)
    return not found.differ and key not in dict(found.unchecked) and not is_true(asked, changed)


def is_true(asked: Asked, changed: dict[str, Any]) -> bool:
    """Return whether an answer for another day is what the library says on that day."""
    day = date.fromisoformat(changed["on"]).toordinal()
    then = judge(asked.course, asked.record, day, asked.calendar)
    return changed == json.loads(json.dumps(answer_to_dict(then)))


ON_THE_OPENING_DAY = small(
    {"one": {"stop": {"asks_pain": True, "always_look": True}}, "two": {"top": {}}},
    {
        "unit_start": [{"unit": "one", "on": date(2024, 1, 9)}],
        "hold": [{"opened": date(2024, 1, 16), "words": "Sore.", "part": "hand"}],
    },
    date(2024, 1, 16),
)


@example(ON_THE_OPENING_DAY)
@given(situations())
def test_every_answer_is_accepted(situation: Situation) -> None:
    asked = ask(situation)
    assert recheck(answer_of(asked), asked.course, asked.record, asked.calendar) == Rechecked()


@st.composite
def ready_ones(draw: st.DrawFn) -> Situation:
    """Draw students of whom most are ready: all is settled; without lessons it fades or a birthday comes."""
    situation = settled_beforehand(draw(situations()))
    starts = situation.student.get("unit_start", [{"unit": None}])
    days = draw(st.lists(st.integers(0, 40), max_size=2))
    decided = [
        {
            "on": situation.on - timedelta(days=ago),
            "unit": starts[-1]["unit"],
            "computed": "ready",
            "decided": draw(st.sampled_from(["stay", "stay", "move"])),
        }
        for ago in days
        if starts[-1]["unit"]
    ]
    situation = situation.with_student(decision=decided)
    return situation.with_student(lesson=[]) if draw(st.booleans()) else situation


@given(ready_ones())
def test_every_ready_answer_is_accepted(situation: Situation) -> None:
    asked = ask(situation)
    assert recheck(answer_of(asked), asked.course, asked.record, asked.calendar) == Rechecked()


@given(situations() | ready_ones())
@settings(max_examples=20)
def test_who_was_checked_is_gone(situation: Situation) -> None:
    """Nothing worked out about a student holds itself, so that 1,500 of them wait for no collector."""
    asked = ask(situation)
    answer, checker = answer_of(asked), Rechecker(asked.course)
    checker.check(answer, asked.record, asked.calendar)
    gc.freeze()  # what was there before is not gone through again for each of them
    try:
        checker.check(answer, asked.record, asked.calendar)
        assert gc.collect() == 0
    finally:
        gc.unfreeze()


@given(situations() | ready_ones(), st.randoms(use_true_random=True))
@settings(max_examples=20)
def test_no_answer_with_anything_changed_is_accepted(situation: Situation, chance: Random) -> None:
    asked = ask(situation)
    checker = Rechecker(asked.course)
    for change in some_changes(asked, chance, EACH):
        assert not is_let_pass(asked, checker, change), change[:2]


@given(situations() | ready_ones(), st.integers(1, 120))
def test_a_ready_verdict_ends_on_no_day_that_is_stepped_over(situation: Situation, days: int) -> None:
    """The days that are replayed are those on which it can change: plain days say the same."""
    asked = ask(situation)
    day = situation.on.toordinal()
    course = asked.course.on(day)
    student = Student.on(CourseLinks(course), asked.record, asked.calendar, day)
    if not student.unit or StudentOnDay.of(student, day).verdict not in READY:
        return
    until, _ = holds(student)
    end = day + days if until is None else min(day + days, until)
    kept = (StudentOnDay.of(student, one).verdict in READY for one in range(day, end + 1))
    assert all(kept)
    assert until is None or StudentOnDay.of(student, until + 1).verdict not in READY


@given(pacings())
def test_one_group_named_twice_and_by_two_is_one_group_with_two_owners(pacing: dict[str, Any]) -> None:
    graph = {
        "format": 1,
        "name": "Made up",
        "edition": "1",
        "strand": {"only": {"name": "Only strand"}},
        "unit": {unit: {"name": unit, "aim": "Made up.", "lesson_weeks": 4} for unit in ("first", "next")},
        "skill": {
            "one": skill("first", always_look=True, asks_pain=True),
            "two": skill("first"),
            "next-one": skill("next", stands_on_some=[GROUP, {**GROUP, "of": GROUP["of"][::-1]}]),
            "next-two": skill("next", stands_on_some=[GROUP]),
        },
    }
    started = [{"unit": "first", "on": date(2024, 1, 8)}]
    student = {"format": 1, "name": "Somebody", "born": "2018-05", "unit_start": started}
    asked = ask(Situation(graph, pacing, student, date(2024, 1, 15)))
    said = answer_of(asked)
    assert [one["needed_by"] for one in said["blockers"] if "group" in one] == [["next-one", "next-two"]]
    assert recheck(said, asked.course, asked.record, asked.calendar) == Rechecked()


def test_it_shares_no_line_with_what_it_checks() -> None:
    """It imports values to read from and its own modules; of the calendar only the names of the types."""
    own = Path(readiness.judging.__file__).parent.glob("recheck*.py")
    texts = [path.read_text(encoding="utf-8") for path in own]
    named = {name for text in texts for name in re.findall(r"from (readiness\S+) import", text)}
    assert {name for name in named if not name.startswith("readiness.judging.recheck_")} == {
        "readiness.course.model",
        "readiness.toml.problems",
        "readiness.record.model",
        "readiness.record.rhythm",
        "readiness.terms",
    }


GROUP = {"at_least": 1, "of": ["one", "two"]}


def skill(unit: str, **more: Any) -> dict[str, Any]:
    plain = {"kind": "ear", "fade": "slow", "minutes": 5, "shown_when": "Shown.", "remedies": ["A.", "B."]}
    return {"name": "A skill", "unit": unit, "strand": "only", "stands_on": [], **plain, **more}


NO_DAY: list[Any] = [{}, None, "x", [], {"verdict": "ready"}, {"on": "2. Dez"}, {"on": 3, "mine": 1}]


@pytest.mark.parametrize("claim", NO_DAY, ids=str)
@given(situation=situations(most_units=2, most_skills=3, planned=False))
@settings(max_examples=5)
def test_of_what_names_no_day_every_other_key_is_named_as_not_checked(
    claim: Any, situation: Situation
) -> None:
    asked = ask(situation)
    found = recheck(claim, asked.course, asked.record)
    assert found.differ == ("on",)
    left = {key for key, _ in found.unchecked}
    assert left >= {*asked.json, *(claim if isinstance(claim, dict) else ())} - {"on"}
    answer = {**answer_of(asked), "on": "2. Dez", "verdict": "ready", "blockers": []}
    assert dict(recheck(answer, asked.course, asked.record).unchecked).keys() >= answer.keys() - {"on"}
