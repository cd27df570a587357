"""Decisions, holds, tasks and promises: what each refuses, and what it adds to the file."""

from __future__ import annotations

import pytest

from readiness.days import day_number
from readiness.judging import judge
from readiness.record.entries import (
    answer_promise,
    close_hold,
    decide,
    give_promise,
    give_task,
    open_hold,
    open_promises,
    open_tasks,
    practice_on,
    report_task,
)
from readiness.record.model import Decision

DAY = day_number("2025-12-02")


def test_a_move_starts_the_next_unit_and_keeps_the_verdict_beside_it(temwa, folder, read, course):
    decision = Decision(DAY, "hand-shape-wrist", "look-again", "move", "she is sure of it")
    assert decide(read(temwa), folder, decision, "arms-that-travel") is None
    record = read(temwa)
    assert judge(course, record, DAY).unit == "arms-that-travel"
    kept = record.decisions[-1]
    assert (kept.computed, kept.decided, kept.reason) == ("look-again", "move", "she is sure of it")


@pytest.mark.parametrize(
    "computed, decided", [("look-again", "move"), ("not-yet", "move"), ("ready", "stay")]
)
def test_differing_from_the_verdict_needs_a_reason(computed, decided, temwa, folder, read):
    before = temwa.read_bytes()
    decision = Decision(DAY, "hand-shape-wrist", computed, decided, "  ")
    refusal = decide(read(temwa), folder, decision, "arms-that-travel")
    assert refusal is not None
    assert refusal.id == "no-reason"
    assert temwa.read_bytes() == before


@pytest.mark.parametrize(
    "computed, decided",
    [("look-again", "stay"), ("ready", "move"), ("paused", "stay"), ("not-placed", "move")],
)
def test_going_along_with_the_verdict_needs_none(computed, decided, temwa, folder, read):
    decision = Decision(DAY, "hand-shape-wrist", computed, decided)
    assert decide(read(temwa), folder, decision, "arms-that-travel") is None


def test_no_move_and_no_task_against_a_hold_even_one_opened_since_the_file_was_read(temwa, folder, read):
    read_before = read(temwa)
    assert open_hold(read_before, folder, DAY, "thumb hurts", "hand") is None
    before = temwa.read_bytes()
    for record in (read_before, read(temwa)):
        move = Decision(DAY, "hand-shape-wrist", "ready", "move", "x")
        for refusal in (
            decide(record, folder, move, "arms-that-travel"),
            give_task(record, folder, DAY, "wrist-lift", "the lid game", 2, 4),
        ):
            assert refusal is not None
            assert refusal.id == "on-hold"
    assert temwa.read_bytes() == before
    assert open_tasks(read(temwa), DAY) == ()


def test_a_hold_is_opened_once_and_closed_by_somebody_with_words(temwa, folder, read):
    assert open_hold(read(temwa), folder, DAY, "thumb hurts", "hand") is None
    again = open_hold(read(temwa), folder, DAY, "thumb hurts", "hand")
    assert again is not None
    assert again.id == "already-paused"
    for by, words in (("", "fine"), ("Odalys", " ")):
        refusal = close_hold(read(temwa), folder, DAY + 7, by, words)
        assert refusal is not None
        assert refusal.id == "no-adult"
    assert close_hold(read(temwa), folder, DAY + 7, "Odalys", "fine after advice") is None
    hold = read(temwa).holds[-1]
    assert (hold.closed, hold.closed_by, hold.closed_words) == (DAY + 7, "Odalys", "fine after advice")
    assert hold.is_open(DAY + 6)
    assert not hold.is_open(DAY + 7)


def test_of_two_holds_the_part_says_which(temwa, folder, read):
    assert open_hold(read(temwa), folder, DAY, "thumb hurts", "hand") is None
    assert open_hold(read(temwa), folder, DAY, "hoarse", "voice") is None
    refusal = close_hold(read(temwa), folder, DAY, "Odalys", "fine")
    assert refusal is not None
    assert refusal.id == "which-hold"
    assert close_hold(read(temwa), folder, DAY, "Odalys", "fine", "voice") is None
    assert [hold.part for hold in read(temwa).holds if hold.is_open(DAY)] == ["hand"]
    missing = close_hold(read(temwa), folder, DAY, "Odalys", "fine", "voice")
    assert missing is not None
    assert missing.id == "no-hold"


def test_two_holds_for_one_part_written_by_hand_can_both_be_closed(temwa, folder, read):
    hold = '\n[[hold]]\nopened = 2025-12-01\nwords = "sore"\npart = "hand"\n'
    temwa.write_bytes(temwa.read_bytes() + (hold * 2).encode())
    for left in (1, 0):
        before, after = ("same-entry", "") if left else ("", "same-entry")
        assert close_hold(read(temwa, twice=before), folder, DAY, "Odalys", "fine") is None
        assert sum(one.is_open(DAY) for one in read(temwa, twice=after).holds) == left


def test_promises_are_open_until_answered_and_overdue_ones_come_first(temwa, folder, read):
    assert give_promise(read(temwa), folder, DAY, "the mother", "say about holidays", DAY + 2) is None
    assert [number for number, _ in open_promises(read(temwa), DAY)] == [1, 2]
    assert [number for number, _ in open_promises(read(temwa), DAY + 3)] == [2, 1]
    assert answer_promise(read(temwa), folder, 2, DAY + 3, "said so") is None
    record = read(temwa)
    assert [number for number, _ in open_promises(record, DAY + 3)] == [1]
    assert [number for number, _ in open_promises(record, DAY)] == [1, 2]
    for number, id_ in ((2, "answered"), (3, "no-promise"), (0, "no-promise")):
        refusal = answer_promise(record, folder, number, DAY + 3, "")
        assert refusal is not None
        assert refusal.id == id_


@pytest.mark.parametrize(
    "to, text, due, id_",
    [("", "x", None, "no-words"), ("x", " ", None, "no-words"), ("x", "y", DAY - 1, "due-before")],
)
def test_a_promise_without_its_parts_is_not_kept(to, text, due, id_, temwa, folder, read):
    refusal = give_promise(read(temwa), folder, DAY, to, text, due)
    assert refusal is not None
    assert refusal.id == id_


def test_a_task_is_reported_once(temwa, folder, read):
    assert report_task(read(temwa), folder, 1, 3, "she liked it") is None
    task = read(temwa).tasks[0]
    assert (task.days_reported, task.reported) == (3, "she liked it")
    for number, id_ in ((1, "reported"), (9, "no-task")):
        refusal = report_task(read(temwa), folder, number, 3, "")
        assert refusal is not None
        assert refusal.id == id_


@pytest.mark.parametrize(
    "minutes, days, found",
    [
        (2, 4, ()),  # 2 x 4 = 8 minutes in this week; 5 x 2 = 10 before, up to 12 is a slow rise
        (3, 4, ()),  # 12
        (3, 5, ("sudden-rise",)),  # 15
        (6, 2, ("without-pause",)),  # band 4-5: a pause after 5 minutes
        (11, 1, ("above-usual", "without-pause")),  # 5 to 10 minutes a day are usual
    ],
)
def test_practice_is_compared_with_the_band_and_the_week_before(minutes, days, found, course):
    from readiness.record.model import Task

    tasks = [Task(DAY - 7, "wrist-lift", "x", 5, 2), Task(DAY, "wrist-lift", "y", minutes, days)]
    assert practice_on(tasks, course.band["4-5"], DAY).too_much == found


def test_without_a_week_before_there_is_no_rise(course):
    from readiness.record.model import Task

    tasks = [Task(DAY - 14, "wrist-lift", "x", 1, 1), Task(DAY, "wrist-lift", "y", 5, 7)]
    practice = practice_on(tasks, course.band["4-5"], DAY)
    assert (practice.most, practice.too_much) == (None, ())
