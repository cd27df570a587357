"""What is offered under a hold is at most what the sentence above it leaves: nothing played, nothing sung."""

from __future__ import annotations

import re
from dataclasses import replace

import pytest

from readiness.advice.handover import hand_over
from readiness.advice.lesson import plan_lesson
from readiness.advice.sheet import check_sheet
from readiness.advice.skill_traits import may_be_done
from readiness.days import day_number
from readiness.judging import judge
from readiness.record.model import Hold
from readiness.words.cautions import hold_notice

DAY = day_number("2025-12-02")
SUNG = re.compile(r"\b(sing|sings|sung|singing|hum|hums)\b|echo-sing", re.IGNORECASE)
STUDENTS = ("temwa", "chikondi", "noemi", "bogdan", "rafiq")


@pytest.fixture(params=["hand", "voice", "all"])
def held(request, records):
    """Return a function that gives a student with an open hold for one part."""

    def student(name):
        return replace(records[name], holds=(Hold(DAY - 1, "sore", request.param, line=3),))

    return student


@pytest.mark.parametrize("name", STUDENTS)
def test_nothing_sung_is_offered_whatever_rests(name, held, course):
    record = held(name)
    answer = judge(course, record, DAY)
    rests = "played" if record.holds[0].part == "hand" else "played or sung"
    assert f"nothing is {rests} until" in hold_notice(record, DAY)
    sheet, plan = check_sheet(course, record, answer), plan_lesson(course, record, answer)
    page = hand_over(course, record, answer)
    asked = {skill for item in sheet.items for skill in item.skills}
    shown = [{skill for block in one.blocks for skill in block.skills} for one in (plan, page)]
    assert shown[0] == shown[1] <= asked, "what is offered is on the sheet as well"
    for skill in asked:
        one = course.skill[skill]
        assert one.asks_pain or one.kind != "habit", "it waits with the playing"
        text = f"{one.name} {one.shown_when}"
        assert not SUNG.search(text), text


@pytest.mark.parametrize("name", STUDENTS)
def test_telling_that_it_hurts_waits_for_no_hold_and_is_asked_first(name, held, course):
    record = held(name)
    sheet = check_sheet(course, record, judge(course, record, DAY))
    assert sheet.items[0].skills == ("tells-when-it-hurts",)
    assert "tells-when-it-hurts" not in {one.skill for one in sheet.left_out}


def test_by_hand_on_the_shipped_course(course):
    """Read from graph.toml by hand: which are sung, which are only heard or named."""
    may = {skill.id for skill in course.skills if may_be_done(skill, "hand")}
    assert {"high-low-sound", "loud-soft-sound", "metre-signs", "interval-ear"} <= may
    assert not {"echo-sing-two", "step-skip-ear", "sings-up-down", "echo-clap-four"} & may
    assert [skill.id for skill in course.skills if skill.asks_pain] == ["tells-when-it-hurts"]
