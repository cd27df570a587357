"""Caution C4: what goes beyond the numbers of the pacing is named, not refused."""

from __future__ import annotations

from dataclasses import replace

import pytest

from readiness.advice.lesson import plan_lesson
from readiness.days import day_number
from readiness.judging import judge
from readiness.record.model import Task

EARLIER, LATEST = day_number("2025-11-25"), day_number("2025-12-02")


def tasks(*minutes_by_day):
    return tuple(Task(given, "wrist-lift", "Lid game", minutes, 5) for given, minutes in minutes_by_day)


# At 4-5: lessons to 30 minutes, practice to 10 minutes a day, 5 without a pause, 20 in a hundred more a week.
@pytest.mark.parametrize(
    "given, minutes, found",
    [
        ((), 30, ()),
        ((), 31, ("lesson",)),
        (((LATEST, 5), (LATEST, 5)), 30, ()),
        (((LATEST, 3), (LATEST, 4), (LATEST, 4)), 30, ("above-usual",)),
        (((LATEST, 6),), 30, ("without-pause",)),
        (((EARLIER, 4), (LATEST, 4)), 30, ()),
        (((EARLIER, 4), (LATEST, 5)), 30, ("sudden-rise",)),
        (((EARLIER, 5), (LATEST, 12)), 40, ("lesson", "above-usual", "without-pause", "sudden-rise")),
    ],
)
def test_what_exceeds_is_named(course, records, given, minutes, found):
    record = replace(records["temwa"], tasks=tasks(*given))
    plan = plan_lesson(course, record, judge(course, record, LATEST), minutes)
    assert plan.too_much == found
    assert ("C4" in plan.cautions) == bool(found)


def test_the_hands_rest_before_they_have_played_too_long(course, plan_of):
    for student in ("temwa", "chikondi", "noemi", "bogdan"):
        plan = plan_of(student, "2025-12-05", 60)
        band = {"temwa": "4-5", "chikondi": "6-7", "noemi": "8-10", "bogdan": "adult"}[student]
        most = course.band[band].whole("play_without_pause_minutes")
        played = 0
        for block in plan.blocks:
            played = 0 if block.quiet or block.pause_before else played
            played += 0 if block.quiet else block.minutes
            assert played <= most
