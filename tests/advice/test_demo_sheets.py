"""The check sheets of the demo students, looked over by hand."""

from __future__ import annotations

from dataclasses import replace

import pytest
from told import page_of

from readiness.advice.lesson import plan_lesson
from readiness.advice.sheet import check_sheet
from readiness.days import day_number
from readiness.judging import judge
from readiness.record.model import SetAside
from readiness.words.lesson import plan_sections, sheet_sections

SEAT = ("feet-supported", "sit-tall-balanced", "distance-set", "loose-shoulders", "tells-when-it-hurts")


def row(sheet):
    return [(item.why, *item.skills) for item in sheet.items]


def left_out(sheet, why):
    return {one.skill for one in sheet.left_out if one.why == why}


def test_temwa_has_the_two_blockers_with_something_easy_between(sheet_of):
    sheet = sheet_of("temwa", "2025-12-02")
    assert (sheet.minutes, sheet.most_items) == (8, 8)
    assert row(sheet) == [
        ("sure-success", "beat-and-half-speed"),
        ("always-look", *SEAT),
        ("blocker", "rounded-hand-keys"),
        ("between", "tells-two-from-three"),  # what is easy and was not asked that very day
        ("blocker", "wrist-lift"),
        ("rest", "sings-up-down"),
        ("favourite", "free-black-key-piece"),
    ]
    assert [item.hard for item in sheet.items] == [False, False, True, False, True, False, False]
    assert "finger-numbers-shown" in left_out(sheet, "certain")


def test_a_ready_student_has_a_short_sheet(sheet_of):
    assert [why for why, *_ in row(sheet_of("temwa", "2025-12-09"))] == [
        "sure-success",
        "always-look",
        "favourite",
    ]


def test_chikondi_begins_what_decides_with_the_weak_link(sheet_of):
    sheet = sheet_of("chikondi", "2025-12-02")
    reasons = [entry for entry in row(sheet) if entry[0] in ("one-thing", "blocker", "rest")]
    assert reasons[:2] == [("one-thing", "alternate-arms-steady"), ("blocker", "hands-alternate-fours")]
    assert len(sheet.items) == sheet.most_items == 10
    assert left_out(sheet, "no-room") == set()
    assert left_out(sheet, "footing") == {"hands-alternate-beats"}  # its drop beneath has come loose


def test_after_a_break_the_seat_comes_first_and_one_look_brings_others_along(sheet_of):
    sheet = sheet_of("noemi", "2025-12-02")
    assert row(sheet)[0] == ("always-look", *SEAT)
    on_it = {skill for item in sheet.items for skill in item.skills}
    assert {"c-piece-separate", "counts-in", "eighth-pairs", "quarter-rest"} <= on_it
    brought = {(one.skill, one.by) for one in sheet.left_out if one.why == "comes-with"}
    assert ("names-any-white-key", "c-piece-separate") in brought
    assert ("metre-signs", "counts-in") in brought


def test_a_placing_look_asks_again_for_what_did_not_come(sheet_of):
    sheet = sheet_of("rafiq", "2025-12-04")
    assert row(sheet)[0] == ("always-look", *SEAT)
    by_why = {why: {item.skills[0] for item in sheet.items if item.why == why} for why in ("patch", "probe")}
    assert by_why["patch"] == {"rounded-hand-keys", "holds-long-notes"}
    assert len(by_why["probe"]) == 8
    assert row(sheet)[-1] == ("favourite",)
    assert "groups-of-two" in left_out(sheet, "implied")


def test_a_first_placing_look_climbs_through_many_units(sheet_of, course):
    sheet = sheet_of("rafiq", "2025-12-03")
    units = [course.skill[item.skills[0]].unit for item in sheet.items if item.why == "probe"]
    assert len(units) == 10
    assert len(set(units)) >= 7


def test_under_a_hold_there_is_only_listening_and_saying_and_telling_that_it_hurts_comes_first(sheet_of):
    sheet = sheet_of("linnea", "2025-12-04")
    assert row(sheet) == [
        ("care", "tells-when-it-hurts"),
        ("if-comfortable", "major-minor-ear"),
        ("if-comfortable", "interval-ear"),
        ("if-comfortable", "metre-signs"),
    ]
    assert "tells-when-it-hurts" not in left_out(sheet, "on-hold")
    assert "same-moment" in left_out(sheet, "on-hold")


# Complete groups of two and of three black keys by number of keys: common practice for the end
# notes, counts computed from them.
@pytest.mark.parametrize(
    "keys, twos, threes, stray", [(88, 7, 7, 1), (76, 6, 6, 1), (61, 5, 5, 0), (54, 5, 4, 0), (49, 4, 4, 0)]
)
def test_the_right_count_is_that_of_the_instrument_in_use(sheet_of, keys, twos, threes, stray):
    sheet = sheet_of("chikondi", "2025-12-02", keys)
    (counting,) = [item for item in sheet.items if item.expected]
    assert counting.skills == ("counts-groups",)
    found = counting.expected
    assert (found.keys, found.twos, found.threes, found.stray) == (keys, twos, threes, stray)


def test_without_another_instrument_the_one_at_home_counts_and_an_unusual_one_has_no_answer(sheet_of):
    assert sheet_of("chikondi", "2025-12-02").instrument.keys == 61
    assert sheet_of("chikondi", "2025-12-02", 60).instrument.twos is None
    assert sheet_of("temwa", "2025-12-02").instrument.keys is None


def test_what_is_set_aside_is_left_out_and_said(course, records):
    day = day_number("2025-12-02")
    record = replace(records["temwa"], set_aside=(SetAside("sings-up-down", day, "family"),))
    sheet = check_sheet(course, record, judge(course, record, day))
    assert left_out(sheet, "set-aside") == {"sings-up-down"}


def test_what_the_course_no_longer_has_is_not_asked_for(course, records):
    day, record = day_number("2025-12-02"), records["temwa"]
    skills = tuple(
        replace(skill, retired=day) if skill.id == "sings-up-down" else skill for skill in course.skills
    )
    later = replace(course, skills=skills)
    answer = judge(later, record, day)
    sheet, plan = check_sheet(later, record, answer), plan_lesson(later, record, answer)
    said = page_of(sheet_sections, sheet, answer, later, record, full=True)
    said += page_of(plan_sections, plan, answer, later, record, full=True)
    assert "wrist-lift" in said
    assert "sings-up-down" not in said
    assert "Sings up and down by step" not in said
