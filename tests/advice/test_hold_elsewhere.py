"""A hold for another course: what uses that part of the body is neither asked for nor planned here."""

from __future__ import annotations

from dataclasses import replace

import pytest
from told import page_of

from readiness.advice.after_break import tender_skills
from readiness.advice.lesson import plan_lesson
from readiness.advice.sheet import check_sheet
from readiness.days import day_number
from readiness.judging import judge
from readiness.record.model import Hold
from readiness.words.lesson import plan_sections, sheet_sections

DAY = day_number("2025-12-02")


@pytest.fixture
def temwa(records):
    """Return Temwa with a sore throat, as seen from playing where she also sings."""
    plain = records["temwa"]
    hold = Hold(DAY - 1, "throat sore", "voice", line=7)
    return replace(plain, elsewhere=frozenset({"voice"}), whole=replace(plain, holds=(hold,)))


def test_nothing_sung_is_on_the_sheet_or_in_the_plan(course, temwa):
    answer = judge(course, temwa, DAY)
    assert answer.verdict == "look-again"
    sheet, plan = check_sheet(course, temwa, answer), plan_lesson(course, temwa, answer)
    on_sheet = {skill for item in sheet.items for skill in item.skills}
    in_plan = {skill for block in plan.blocks for skill in block.skills}
    assert "wrist-lift" in on_sheet
    assert "sings-up-down" not in on_sheet | in_plan
    assert ("sings-up-down", "on-hold") in {(one.skill, one.why) for one in sheet.left_out}


def test_the_hold_is_said_before_what_to_do(course, temwa):
    answer = judge(course, temwa, DAY)
    sheet = page_of(sheet_sections, check_sheet(course, temwa, answer), answer, course, temwa)
    plan = page_of(plan_sections, plan_lesson(course, temwa, answer), answer, course, temwa)
    assert sheet.index("The voice has been resting") < sheet.index(" 1. ")
    assert plan.index("The voice has been resting") < plan.index("0-3")
    assert "song" not in plan


def test_what_rested_elsewhere_begins_gently_here_too(course, temwa):
    """It hurt until lately, whichever course was paused; a move waits in that one alone."""
    ended = replace(temwa.whole.holds[0], closed=DAY, closed_by="her mother", closed_words="hum first")
    rested = replace(temwa, whole=replace(temwa.whole, holds=(ended,)))
    again = replace(ended, opened=DAY, closed=None, closed_by="", closed_words="")
    assert "sings-up-down" in tender_skills(course, rested, DAY)
    assert not tender_skills(course, replace(rested, whole=replace(rested.whole, holds=(ended, again))), DAY)
    answer = judge(course, rested, DAY)
    assert answer.after_hold is None
    plan = plan_lesson(course, rested, answer)
    assert '"hum first"' in page_of(plan_sections, plan, answer, course, rested)


def test_without_a_hold_elsewhere_it_is_asked_for(course, records):
    answer = judge(course, records["temwa"], DAY)
    sheet = check_sheet(course, records["temwa"], answer)
    assert "sings-up-down" in {skill for item in sheet.items for skill in item.skills}
