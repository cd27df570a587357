"""Nothing new in the last two lessons before a big day or a long break. Common practice, no source."""

from __future__ import annotations

import pytest
from told import with_events

from readiness.advice.plan import season_ahead
from readiness.days import day_number
from readiness.judging import judge
from readiness.record.rhythm import Calendar, Event

ON = "2025-12-09"  # Temwa is ready; her next lessons are on 16, 23 and 30 December


def big_day(text):
    return Event("Sharing afternoon", day_number(text), day_number(text))


@pytest.mark.parametrize(
    "day, lessons",
    [("2025-12-17", 1), ("2025-12-16", 0), ("2025-12-30", 2), ("2025-12-31", None), ("2025-12-10", None)],
)
def test_the_last_two_lessons_before_a_big_day(records, answered, day, lessons):
    season = season_ahead(records["temwa"], with_events(answered("temwa", ON), big_day(day)))
    assert (season.lessons if season else None) == lessons


@pytest.mark.parametrize("last, is_long", [("2026-01-05", False), ("2026-01-06", True)])
def test_holidays_of_three_weeks_are_a_long_break(records, answered, last, is_long):
    holidays = Event("Holidays", day_number("2025-12-17"), day_number(last))
    season = season_ahead(records["temwa"], with_events(answered("temwa", ON), holidays))
    assert (season is not None) == is_long
    assert season is None or season.kind == "break"


def test_a_gap_between_planned_lessons_is_a_long_break(course, records):
    planned = Calendar((day_number("2025-12-16"), day_number("2026-01-06")))
    answer = judge(course, records["temwa"], day_number(ON), planned)
    assert season_ahead(records["temwa"], answer).kind == "break"


def test_a_ready_student_begins_something_new_only_after_the_day(plan_of):
    assert plan_of("temwa", ON).begun == ("arm-arc-octave",)
    plan = plan_of("temwa", ON, events=[big_day("2025-12-20")])
    assert plan.begun == ()
    assert {one.why for one in plan.not_begun} == {"season"}
    assert sum(block.minutes for block in plan.blocks) == 30
