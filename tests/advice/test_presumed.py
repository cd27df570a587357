"""After a placing: what was not seen here and is probably there is looked at, not taught nor settled."""

from __future__ import annotations

from datetime import date

import pytest
from told import page_of, text_of

from readiness.advice.ground import presumed
from readiness.advice.lesson import plan_lesson
from readiness.advice.way import way_to
from readiness.days import day_number
from readiness.judging import judge
from readiness.record.load import build_record
from readiness.words.lesson import plan_sections
from readiness.words.letters import letter, letter_words

ON = day_number("2025-12-06")
SHOWN = ["step-skip-keys", "hands-alternate-fours", "white-key-piece"]


def student(course, unit="white-key-names", **more):
    data = {
        "format": 1, "name": "Made up", "born": "2018-05-01",
        "placing": [{"on": date(2025, 12, 4)}],
        "lesson": [{"on": date(2025, 12, 4), "alone": SHOWN, "not_shown": ["middle-of-keyboard"]}],
        "unit_start": [{"unit": unit, "on": date(2025, 12, 4)}], **more,
    }  # fmt: skip
    return build_record("made-up", data, course)


@pytest.fixture
def placed(course):
    record = student(course)
    return record, judge(course, record, ON)


def test_it_is_what_lies_under_what_was_shown_and_never_what_did_not_come(course, placed):
    record, answer = placed
    found = presumed(course, record, answer)
    assert {"groups-of-two", "groups-of-three", "tells-two-from-three", "finds-cde"} <= found
    assert "middle-of-keyboard" not in found
    assert found & set(SHOWN) == {"hands-alternate-fours"}  # once only, but built on
    assert not any(course.skill[skill].must_be_seen for skill in found)
    assert all(answer.standings[skill].state != "secure" for skill in found)


def test_the_plan_looks_at_it_and_teaches_none_of_it(course, placed):
    record, answer = placed
    plan = plan_lesson(course, record, answer)
    found = presumed(course, record, answer) - set(SHOWN)
    assert set(plan.presumed) == found
    assert not found & set(plan.begun)
    assert found & {skill for block in plan.blocks if block.part == "review" for skill in block.skills}
    assert not [one for one in plan.not_begun if one.why == "footing" and one.by in found]
    words = " ".join(page_of(plan_sections, plan, answer, course, record, full=True).split())
    assert "Probably there, not seen here yet." in words
    assert 'first "Finds groups of two black keys"' not in words


def test_the_way_looks_at_it_and_teaches_none_of_it(course, placed):
    """A look is a minute a day still needed, as for what was shown before (rules, "Way")."""
    record, answer = placed
    way = way_to(course, record, ON, "c-position")
    likely = presumed(course, record, answer) - set(SHOWN)
    looked_at = [step for step in way.steps if step.probably_there]
    assert {step.skill for step in looked_at} == likely & {step.skill for step in way.steps}
    assert looked_at
    for step in looked_at:
        assert step.minutes == step.days
        assert step.lesson in (1, None)


def test_one_look_that_does_not_come_ends_it(course):
    lessons = [
        {"on": date(2025, 12, 4), "alone": SHOWN},
        {"on": date(2025, 12, 5), "not_shown": ["groups-of-two"], "alone": ["groups-of-three"]},
    ]
    record = student(course, lesson=lessons)
    found = presumed(course, record, judge(course, record, ON))
    assert "groups-of-two" not in found
    assert "groups-of-three" in found


def test_nobody_who_was_taught_here_from_the_first_unit_on_has_any(course, records):
    start = {"unit": course.units[0].id, "on": date(2025, 12, 4)}
    record = student(course, placing=[], unit_start=[start])
    assert presumed(course, record, judge(course, record, ON)) == frozenset()
    later = student(course, placing=[])
    assert presumed(course, later, judge(course, later, ON))
    temwa = records["temwa"]
    assert presumed(course, temwa, judge(course, temwa, ON)) == frozenset()


def test_the_school_hears_of_it(course, placed):
    record, answer = placed
    words = " ".join(text_of(letter_words, letter("school", answer, course, record)).split())
    assert "not seen here yet but probably there" in words
