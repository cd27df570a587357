"""What holds the move up comes first on the sheet and in the plan: common practice, no source."""

from __future__ import annotations

from datetime import date, timedelta

from readiness.advice.lesson import plan_lesson
from readiness.advice.sheet import check_sheet
from readiness.judging import judge
from readiness.record.load import build_record

SEAT = ["feet-supported", "sit-tall-balanced", "distance-set", "loose-shoulders", "tells-when-it-hurts"]
FIRST = date(2026, 9, 9)
WEEKS = (
    {"alone": [*SEAT, "piece-other-hand", "hands-alternate-fours", "reads-two-rows", "quarter-rest"]},
    {"alone": [*SEAT, "piece-other-hand", "hands-alternate-fours", "reads-two-rows", "quarter-rest",
               "hands-alternate-beats"]},
    {"alone": ["ready-next-hand", "holds-long-notes", "counts-while-playing", "phrase-lift",
               "hands-alternate-beats"]},
    {"alone": ["ready-next-hand", "holds-long-notes", "counts-while-playing", "phrase-lift",
               "plays-by-ear-three"]},
    {"alone": ["middle-of-keyboard", "finger-numbers-shown", "rounded-hand-keys", "memory-eight-beats"]},
    {"alone": ["letters-forward", "letters-backward", "finds-fgab", "finds-cde", "names-any-white-key"],
     "cue": ["strong-beat-groups"], "not_shown": ["thumb-on-side-tip"]},
)  # fmt: skip
"""Lessons of somebody of fourteen who began in unit 6, and in unit 7 four weeks later."""
LIKELY = {
    "echo-clap-four", "up-down-same-ear", "free-black-key-piece", "separate-touch", "quarter-half-claps",
    "repeats-one-spot",
}  # fmt: skip
"""What unit 8 builds on, and what has not been seen of it and is probably there."""


def asked(course, lessons):
    days = [FIRST + timedelta(weeks=week) for week in range(lessons)]
    starts = [{"unit": "hands-take-turns", "on": FIRST}, {"unit": "white-key-names", "on": date(2026, 10, 7)}]
    data = {
        "format": 1, "name": "Ione", "born": "2011-12", "rhythm": {"day": "wed"},
        "unit_start": [start for start in starts if start["on"] <= days[-1]],
        "lesson": [{"on": day, **notes} for day, notes in zip(days, WEEKS, strict=False)],
    }  # fmt: skip
    record = build_record("ione", data, course)
    return record, judge(course, record, days[-1].toordinal())


def on_it(sheet, *whys):
    return {skill for item in sheet.items for skill in item.skills if not whys or item.why in whys}


def test_what_is_probably_there_needs_nothing_easy_between(course):
    record, answer = asked(course, 6)
    sheet = check_sheet(course, record, answer)
    assert on_it(sheet, "blocker") == {*LIKELY, "thumb-on-side-tip", "strong-beat-groups"}
    assert on_it(sheet, "between") == set()


def test_with_little_time_what_the_notes_say_no_to_comes_first(course):
    record, answer = asked(course, 6)
    sheet = check_sheet(course, record, answer, minutes=7)
    assert {"thumb-on-side-tip", "strong-beat-groups"} < on_it(sheet, "blocker")
    left = {one.skill: one.why for one in sheet.left_out}
    assert {left[skill] for skill in LIKELY - on_it(sheet)} == {"no-room"}


def test_what_waits_for_something_under_it_has_that_on_the_sheet(course):
    record, answer = asked(course, 6)
    sheet = check_sheet(course, record, answer)
    waits = {one.skill: one.by for one in sheet.left_out if one.why == "footing"}
    assert waits == {"fingers-on-three": "rounded-hand-keys"}
    assert set(waits.values()) <= on_it(sheet)


def test_what_the_review_has_no_minutes_for_is_looked_at_before_what_may_be_finished_later(course):
    record, answer = asked(course, 4)
    plan = plan_lesson(course, record, answer)
    minutes = {block.skills[0]: block for block in plan.blocks if block.part == "new"}
    assert plan.later is None
    assert minutes["beat-against-rhythm"].why == "blocker"
    assert not minutes["beat-against-rhythm"].begins
    assert {"plays-by-ear-three", "memory-eight-beats"} < set(minutes), "these have what is left"
    assert "beat-against-rhythm" not in {skill for b in plan.blocks if b.part == "home" for skill in b.skills}


def test_what_can_wait_has_none_where_the_move_waits_for_a_look(course):
    record, answer = asked(course, 6)
    plan = plan_lesson(course, record, answer)
    seen = {skill for block in plan.blocks for skill in block.skills}
    assert {*LIKELY, "thumb-on-side-tip", "strong-beat-groups", "rounded-hand-keys"} <= seen
    assert plan.later.skills == ("fingers-on-three",), "it builds on the rounded hand, which comes first"
