"""What other things wait for, and whether it changes."""

from __future__ import annotations

from dataclasses import replace

import pytest
from drawn import situations
from hypothesis import given, settings

from readiness.advice.ground import standstill
from readiness.days import day_number
from readiness.judging import judge
from readiness.judging.answer import GAP_STATES
from readiness.record.model import HELPS, Hold, Lesson, Showing
from readiness.testing import Situation, ask


@pytest.fixture
def found(course, records, answered):
    """Return what holds a demo student up on a day."""
    return lambda student, on: standstill(course, records[student], answered(student, on))


def test_the_weak_link_under_the_piece_comes_first(found, answered):
    weak = found("chikondi", "2025-12-02").weak
    assert weak[0].skill == answered("chikondi", "2025-12-02").one_thing == "alternate-arms-steady"
    assert weak[0].waiting == answered("chikondi", "2025-12-02").frees
    assert [len(one.waiting) for one in weak] == sorted((len(one.waiting) for one in weak), reverse=True)


def test_many_tries_without_a_change(found):
    """Seven days from 7 October, none counting and no better at the end (the key's who-is-stuck)."""
    piece = next(one for one in found("chikondi", "2025-12-02").weak if one.skill == "hands-alternate-fours")
    assert (piece.tries, piece.stuck, piece.improves, piece.decides) == (7, True, False, True)


def test_what_is_noted_during_a_pause_is_no_try(course, records):
    """An eighth day, with more help than any before, while the wrist rests (rule R1a)."""
    record, day, piece = records["chikondi"], day_number("2025-12-04"), "hands-alternate-fours"
    noted = Lesson(day, (Showing(piece, len(HELPS) - 1, 1),))
    paused = replace(record, holds=(Hold(day - 1, "wrist sore"),), lessons=(*record.lessons, noted))
    answer = judge(course, paused, day)
    weak = next(one for one in standstill(course, paused, answer).weak if one.skill == piece)
    told = next(one for one in answer.remarks if one.id == "stuck" and one.skill == piece)
    assert (weak.tries, weak.last, weak.stuck) == (told.days, day - 2, True) == (7, day - 2, True)


def test_few_tries_are_not_stuck(found):
    assert not any(one.stuck for one in found("bogdan", "2025-12-05").weak)


def test_the_pace_counts_lessons_and_not_weeks(found, answered):
    pace = found("chikondi", "2025-12-02").pace
    assert pace.lessons == answered("chikondi", "2025-12-02").lesson_days == 13
    assert pace.without == 1  # 14 weeks since 2 September, 13 of them with a lesson
    assert (pace.usual, pace.least, pace.most) == (6, 4, 11)  # 0.6 and 1.75 times 6, rounded up


def test_shown_on_too_few_days(found):
    assert found("temwa", "2025-12-02").pace.short == ("rounded-hand-keys", "wrist-lift", "sings-up-down")


def test_without_a_unit_nothing_waits(found):
    assert found("rafiq", "2025-12-02") == type(found("rafiq", "2025-12-02"))((), None)


@given(situations())
@settings(max_examples=80)
def test_it_says_what_the_answer_says(situation: Situation) -> None:
    """The remark of the verdict and this agree on what is stuck; all gaps so far are named."""
    asked = ask(situation)
    answer = asked.answer
    found = standstill(asked.course, asked.record, answer)
    weak = {one.skill: one for one in found.weak}
    assert found.pace is None or found.pace.lessons == answer.lesson_days
    stuck = {remark.skill for remark in answer.remarks if remark.id == "stuck"}
    assert stuck <= {skill for skill, one in weak.items() if one.stuck} | {
        skill for skill in stuck if answer.standings[skill].state not in GAP_STATES
    }
    blockers = {one.skill for one in answer.blockers if one.skill and one.state in GAP_STATES}
    if answer.unit is not None:
        assert blockers <= {skill for skill, one in weak.items() if one.decides}
    for one in weak.values():
        assert answer.standings[one.skill].misses == one.tries
        assert one.improves is not True or not one.stuck
