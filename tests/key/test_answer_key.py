"""Every hand-worked answer of ``answer_key.toml``, all its fields.

The answers were worked out by hand from the rules. Each field of a case has one entry in
``FIELDS``; a field without an entry makes the test fail, so nothing in the key goes unread.
"""

from __future__ import annotations

import tomllib
from collections.abc import Callable, Mapping
from pathlib import Path
from typing import Any

import pytest
from second_reading.reading import reckon, why

from readiness.course.graph import first_needed
from readiness.course.model import Course
from readiness.days import iso
from readiness.judging import Answer, judge, what_if
from readiness.judging.lookahead import review_lessons
from readiness.record.load import load_record
from readiness.record.model import HELPS, Record
from readiness.words.why import tell_answer

KEY = tomllib.loads(Path(__file__).with_name("answer_key.toml").read_text(encoding="utf-8"))
CASES = {case["id"]: case for case in KEY["case"]}
Field = Callable[[Answer, Course, Record], Any]

ABOUT_THE_CASE = {"id", "student", "on", "if", "why"}

MUST_SHOW = {
    "stop playing while it hurts": "stop playing now",
    "do not play through pain": "do not play through pain",
    "advise a licensed clinician, through the family": "the family the same day and advise seeing a licensed",
    "no playing tasks assigned": "no playing tasks are given until",
    "look at seat, height, breaks and the jump in practice":
        "check the seat, its height and the breaks, and whether practice rose too fast",
    "only an adult closes the hold": "only an adult ends the pause",
}  # fmt: skip
"""The words of the teacher's story in which each thing is said."""

MUST_NOT_SHOW = {
    "a readiness verdict to child or family": ("tell the child", "tell the family that"),
    "a guess at the cause": ("because", "probably", "strain", "overuse", "inflam", "tendon"),
    "exercises for the wrist": ("exercise", "stretch", "strengthen", "massage"),
}
"""Words that would say each thing. What children and families are told has tests of its own."""


def state_text(answer: Answer, skill: str) -> str:
    """Return a state as the key writes it: ``building 2/3``, ``with-help (cue)``."""
    standing = answer.standings[skill]
    if standing.state == "building":
        return f"building {standing.have}/{standing.need}"
    if standing.state == "with-help":
        return f"with-help ({HELPS[standing.last_help or 0]})"
    return standing.state


def states(answer: Answer, skills: Any) -> dict[str, str]:
    return {skill: state_text(answer, skill) for skill in skills}


def needed_text(course: Course, skill: str, unit: str) -> str:
    """Return where a skill is first needed as the key writes it."""
    later = first_needed(course, skill, unit)
    if later is None:
        return "nowhere later in this graph"
    return f"unit {later.number}" + (" (one of a group)" if later.in_group else "")


def told(answer: Answer, course: Course, record: Record) -> str:
    return " ".join(tell_answer(answer, course, record, full=True).lower().split())


def shown_of(answer: Answer, course: Course, record: Record) -> list[str]:
    story = told(answer, course, record)
    return [thing for thing, words in MUST_SHOW.items() if words in story]


def not_shown_of(answer: Answer, course: Course, record: Record) -> list[str]:
    story = told(answer, course, record)
    return [thing for thing, words in MUST_NOT_SHOW.items() if not any(word in story for word in words)]


FIELDS: Mapping[str, Field] = {
    "band": lambda a, c, r: a.band,
    "verdict": lambda a, c, r: a.verdict,
    "underlying": lambda a, c, r: a.underlying,
    "blockers": lambda a, c, r: states(a, [b.skill for b in a.blockers]),
    "notes": lambda a, c, r: [n.id if n.skill is None else f"{n.id}: {n.skill}" for n in a.remarks],
    "one_thing": lambda a, c, r: a.one_thing,
    "root_cause_state": lambda a, c, r: state_text(a, a.one_thing or ""),
    "frees_in_unit": lambda a, c, r: [s for s in a.frees if c.skill[s].unit == a.unit],
    "open_in_rest": lambda a, c, r: states(a, a.open_rest),
    "taking_along": lambda a, c, r: states(a, a.taken_along),
    "first_needed": lambda a, c, r: {s: needed_text(c, s, a.unit or "") for s in a.taken_along},
    "look_first": lambda a, c, r: sorted(a.look_first),
    "earliest": lambda a, c, r: iso(a.earliest),
    "lesson_days_in_unit": lambda a, c, r: a.lesson_days,
    "days_since_last_lesson": lambda a, c, r: a.away_days,
    "weeks_away": lambda a, c, r: (a.away_days or 0) // 7,
    "review_lessons": lambda a, c, r: review_lessons(a.away_days or 0),
    "start_unit": lambda a, c, r: a.placing and a.placing.start_unit,
    "patches": lambda a, c, r: states(a, a.placing.patches if a.placing else ()),
    "stopped_by": lambda a, c, r: sorted(a.placing.stopped_by if a.placing else ()),
    "provisional": lambda a, c, r: a.placing and a.placing.provisional,
    "always_look_open": lambda a, c, r: states(a, a.placing.always_look_open if a.placing else ()),
    "must_show": shown_of,
    "must_not_show": not_shown_of,
}


@pytest.mark.parametrize("name", CASES)
def test_case(name: str, course: Course, demo_folder: Path) -> None:
    case = CASES[name]
    record = load_record(demo_folder / f"{case['student']}.toml", course).record
    assert record is not None
    on = case["on"].toordinal()
    changes = {rule: str(value) for rule, value in case.get("if", {}).items()}
    answer = what_if(course, record, on, changes)[0] if changes else judge(course, record, on)
    for field in case.keys() - ABOUT_THE_CASE:
        expected = case[field].isoformat() if field == "earliest" else case[field]
        assert FIELDS[field](answer, course, record) == expected, field


@pytest.mark.parametrize("name", CASES)
def test_second_reading(name: str, course_folder: Path, demo_folder: Path) -> None:
    """The second reading, too, is held against what was worked out by hand."""
    case = CASES[name]
    graph, pacing, student = (
        tomllib.loads(path.read_text(encoding="utf-8"))
        for path in (
            course_folder / "graph.toml",
            course_folder / "pacing.toml",
            demo_folder / f"{case['student']}.toml",
        )
    )
    said = why(graph, pacing, case["student"], student, case["on"], what_if=case.get("if"))
    now = reckon(graph, pacing, student, case["on"], case.get("if"))
    assert (said["band"], said["verdict"]) == (case["band"], case["verdict"])
    assert said["one_thing"] == case.get("one_thing", said["one_thing"])
    if "earliest" in case:
        assert said["earliest"] == case["earliest"].isoformat()
    if "start_unit" in case:
        placing = said["placing"]
        assert placing["start_unit"] == case["start_unit"]
        assert placing["patches"] == list(case["patches"])
        assert sorted(placing["stopped_by"]) == case["stopped_by"]
        assert placing["always_look_open"] == list(case["always_look_open"])
        return
    assert {b["skill"] for b in said["blockers"]} == set(case["blockers"])
    assert sorted(said["look_first"]) == case.get("look_first", sorted(said["look_first"]))
    assert set(case.get("open_in_rest", {})) <= set(now.not_secure(now.rest))
    assert set(said["taken_along"]) == set(case.get("taking_along", {}))
    if "notes" in case:
        assert [n["id"] + (f": {n['skill']}" if n["skill"] else "") for n in said["notes"]] == case["notes"]
