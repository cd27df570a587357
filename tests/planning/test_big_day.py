"""Before a big day or a long break: common practice, no source (the season rules of the trade)."""

from __future__ import annotations

from dataclasses import replace

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from laws.asking import ask
from strategies import Situation, situations

from readiness.days import day_number, iso
from readiness.judging.known import known_on
from readiness.judging.states import judge_states
from readiness.planning.big_day import prepare
from readiness.record.rhythm import Event
from readiness.words.season import tell_season


def event(first, last=None, name="Sharing afternoon"):
    return Event(name, day_number(first), day_number(last or first))


@pytest.fixture
def before(course, records, answered):
    """Return what a demo student does before an event."""
    return lambda student, on, what: prepare(course, records[student], answered(student, on), what)


@pytest.mark.parametrize(
    "day, lessons, last_new",
    [
        ("2025-12-10", 1, None),
        ("2025-12-17", 2, None),
        ("2025-12-24", 3, "2025-12-09"),
        ("2025-12-23", 2, None),  # the lesson of the day itself is none before it
    ],
)
def test_nothing_new_in_the_last_two_lessons(before, day, lessons, last_new):
    found = before("temwa", "2025-12-02", event(day))
    assert len(found.lessons) == lessons
    assert iso(found.last_new) == last_new


def test_pieces_are_settled_and_those_about_one_unit_below_come_first(before, course, answered):
    found = before("chikondi", "2025-12-02", event("2025-12-23"))
    standings = answered("chikondi", "2025-12-02").standings
    assert found.pieces
    assert all(standings[piece.skill].state == "secure" for piece in found.pieces)
    away = [abs(course.unit[piece.unit].number - 5) for piece in found.pieces]  # he is in unit 6
    assert away == sorted(away)


def test_pieces_are_chosen_five_to_eight_weeks_ahead(before):
    found = before("temwa", "2025-12-02", event("2026-03-14"))
    assert [iso(day) for day in found.choose] == ["2026-01-17", "2026-02-07"]


def test_a_long_break_has_a_list_to_keep_warm_and_no_pieces(before):
    found = before("bogdan", "2025-12-02", event("2025-12-20", "2026-01-18", "Winter"))
    assert (found.kind, found.pieces) == ("break", ())
    assert len(found.warm.skills) == 3


def test_short_holidays_change_nothing(before):
    found = before("bogdan", "2025-12-02", event("2025-12-20", "2026-01-04", "Winter"))
    assert (found.kind, found.warm) == ("holidays", None)


def test_nothing_is_prepared_under_a_hold(before, course, records, answered):
    found = before("linnea", "2025-12-02", event("2025-12-20"))
    assert (found.pieces, found.review, found.going_on, found.waits) == ((), (), (), ())
    text = tell_season(found, answered("linnea", "2025-12-02"), course, records["linnea"])
    assert "do not play through pain" in text
    assert "What to play" not in text


@pytest.mark.parametrize("consent, said", [(True, "for which consent is noted"), (False, "do not record")])
def test_a_recording_asks_for_consent(before, course, records, answered, consent, said):
    record = replace(records["temwa"], consents={"video": consent})
    found = before("temwa", "2025-12-02", event("2025-12-20"))
    assert said in tell_season(found, answered("temwa", "2025-12-02"), course, record)


@given(situations(), st.integers(1, 40))
@settings(max_examples=60)
def test_the_review_keeps_fresh_what_it_says(situation: Situation, days: int) -> None:
    """Shown alone on the day asked about, unless a window is shorter than that, all of it is fresh."""
    asked = ask(situation)
    answer, record, course = asked.answer, asked.record, asked.course
    what = Event("Day", answer.on + days, answer.on + days)
    found = prepare(course, record, answer, what)
    plan, known = course.plan, known_on(course, record, answer.on)
    band = known.band_on(course, what.first)
    if answer.verdict == "paused" or answer.unit is None:
        assert found.review == ()
        return
    shown = [plan.index[skill] for skill in found.review]
    eve = what.first - 1
    then = judge_states(plan, known.with_showings(shown, max(eve, answer.on)), band, what.first)
    assert set(found.due) <= set(plan.names(then.secure))
    for left in shown:  # and none of them is one too many
        others = [i for i in shown if i != left]
        fewer = judge_states(plan, known.with_showings(others, max(eve, answer.on)), band, what.first)
        assert not set(found.due) <= set(plan.names(fewer.secure))
    assert not [skill for skill in found.waits if answer.standings[skill].evidence]
