"""The first lesson of all, and the lesson of the day itself."""

from __future__ import annotations

from dataclasses import replace
from datetime import date

import pytest
from told import page_of

from readiness.advice.lesson import plan_lesson
from readiness.advice.sheet import check_sheet
from readiness.days import day_number, iso
from readiness.judging import judge
from readiness.record.load import build_record
from readiness.record.rhythm import Calendar
from readiness.words.lesson import plan_sections

DAY = day_number("2025-09-02")


@pytest.fixture(scope="module")
def child(course):
    start = {"unit": course.units[0].id, "on": date(2025, 9, 2)}
    return build_record(
        "made-up", {"format": 1, "name": "Made up", "born": "2021-03-01", "unit_start": [start]}, course
    )


@pytest.fixture(scope="module")
def first(course, child):
    answer = judge(course, child, DAY)
    return plan_lesson(course, child, answer), answer


def test_it_asks_what_the_sheet_asks_and_each_thing_has_minutes(course, child, first):
    plan, answer = first
    assert plan.is_first
    assert plan.begun == ()
    looked = [skill for block in plan.blocks if block.part == "review" for skill in block.skills]
    on_the_sheet = {skill for item in check_sheet(course, child, answer).items for skill in item.skills}
    assert len(looked) >= 5
    assert set(looked) <= on_the_sheet
    assert answer.one_thing in looked
    waits = {one.skill for one in plan.not_begun if one.why == "ask-later"}
    open_here = {skill for skill in (*answer.deciding, *answer.rest) if not course.skill[skill].always_look}
    assert open_here == waits | {skill for skill in looked if not course.skill[skill].always_look}


def test_a_good_part_of_it_is_music_and_no_piece_is_asked_for(course, child, first):
    """A quarter of the lesson at least: common practice, no source."""
    plan, answer = first
    music = sum(block.minutes for block in plan.blocks if block.part == "music")
    assert 4 * music >= plan.minutes
    words = page_of(plan_sections, plan, answer, course, child)
    assert "The first lesson: ask what is there already" in " ".join(words.split())
    assert "of their own choice" not in words
    assert "Music: a song you both know" in words
    assert words.count("Music: a song") <= 1 + words.count(f"Music: you play and {child.name} joins in")


def test_every_skill_is_named_in_one_list_only(course, child, first):
    plan, answer = first
    parts = page_of(plan_sections, plan, answer, course, child, width=10_000).split("\n\n")
    lists = [part for part in parts if part.startswith(("Minute by minute", "Has all", "Not begun"))]
    for skill in course.skills:
        if not skill.always_look:
            assert sum(f'"{skill.name}"' in part or f"- {skill.name} (" in part for part in lists) <= 1


def test_after_a_break_the_minutes_for_new_things_go_to_the_looks_that_are_listed(course, records):
    record, on = records["noemi"], day_number("2025-12-02")
    plan = plan_lesson(course, record, judge(course, record, on))
    assert plan.is_first_back
    always = {skill.id for skill in course.skills if skill.always_look}
    looked_at = {skill for block in plan.blocks if block.part == "review" for skill in block.skills}
    assert {*plan.looks} - always <= looked_at
    pieces = [block.skills for block in plan.blocks if block.part == "music"]
    assert len(pieces) == len(set(pieces)) > 0
    assert plan.begun == ()


# --- which day -------------------------------------------------------------------------------


def lessons(course, *days):
    noted = [{"on": date.fromordinal(day)} for day in days]
    data = {"format": 1, "name": "Made up", "born": "2021-03-01", "lesson": noted}
    return build_record("made-up", data, course)


def next_on(course, record, day, *planned):
    return judge(course, record, day, Calendar(planned)).next_lesson


def test_the_lesson_of_the_day_is_the_next_one_until_it_is_noted(course):
    record = lessons(course, DAY, DAY + 7)
    asked = range(DAY + 7, DAY + 30)
    assert [day - DAY for day in asked if next_on(course, record, day) == day] == [14, 21, 28]
    assert next_on(course, lessons(course), DAY) == DAY
    assert next_on(course, record, DAY + 7) == DAY + 14
    planned = (DAY + 9, DAY + 16)
    found = [day - DAY for day in range(DAY + 8, DAY + 30) if next_on(course, record, day, *planned) == day]
    assert found == [9, 16, 21, 28]


def test_in_the_morning_of_a_lesson_day_looking_ahead_is_as_on_the_day_before(course, records):
    """The look set and the one thing are those of the day before, of which it is the next lesson."""
    noted = tuple(one for one in records["temwa"].lessons if one.on <= day_number("2025-12-02"))
    record = replace(records["temwa"], lessons=noted)
    for on in (day_number("2025-12-09"), day_number("2025-12-16")):
        today, before = judge(course, record, on), judge(course, record, on - 1)
        assert before.next_lesson == today.next_lesson == on
        assert (today.look_first, today.one_thing) == (before.look_first, before.one_thing)


# --- the one thing ---------------------------------------------------------------------------


def test_what_is_looked_at_next_by_every_other_answer_has_minutes_in_the_plan(course, records):
    """Over the demo students through the winter: what `why` and the letters call next is in the lesson."""
    seen = 0
    for record in records.values():
        for on in range(day_number("2025-09-05"), day_number("2026-02-20"), 6):
            answer = judge(course, record, on)
            if answer.one_thing is None or answer.placing is not None:
                continue
            there = {skill for block in plan_lesson(course, record, answer).blocks for skill in block.skills}
            assert answer.one_thing in there, (record.id, iso(on))
            seen += answer.standings[answer.one_thing].state == "untried"
    assert seen
