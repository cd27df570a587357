"""Before a big day or a long break: common practice, no source (the season rules of the trade)."""

from __future__ import annotations

from dataclasses import replace
from datetime import date

import pytest
from by_hand import small
from drawn import situations
from hypothesis import given, settings
from hypothesis import strategies as st
from told import page_of

from readiness.advice.as_json import season_to_dict
from readiness.advice.lesson import plan_lesson
from readiness.advice.review import prepare
from readiness.days import day_number, iso
from readiness.judging.engine import judge
from readiness.judging.history import known_on
from readiness.judging.states import judge_states
from readiness.record.rhythm import Event
from readiness.testing import Situation, ask
from readiness.words.ahead import season_sections


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
    text = page_of(season_sections, found, answered("linnea", "2025-12-02"), course, records["linnea"])
    assert "Do not play through pain" in text
    assert "What to play" not in text


@pytest.mark.parametrize(("last", "kind"), [("12-20", "event"), ("01-08", "holidays"), ("01-09", "break")])
def test_three_weeks_are_a_long_break(before, last, kind):
    year = 2025 if last == "12-20" else 2026
    assert before("temwa", "2025-12-02", event("2025-12-20", f"{year}-{last}")).kind == kind


SLOW, HABIT = {"fade": "slow"}, {"strand": "performing", "kind": "habit", "fade": "slow"}
IN_UNIT_THREE = small(
    {
        "one": {
            "stop": SLOW | {"asks_pain": True, "always_look": True}, "base": {},
            "far-piece": SLOW | {"piece": True}, "bows": HABIT | {"optional_in": ["from-5"]},
        },
        "two": {
            "near-1": SLOW | {"piece": True, "stands_on": ["base"]}, "near-2": SLOW | {"piece": True},
            "lost": {}, "on-lost": SLOW | {"piece": True, "stands_on": ["lost"]},
            "aside": {"piece": True}, "counts-in": {"strand": "performing"},
        },
        "three": {
            "here-1": SLOW | {"piece": True}, "here-2": {"piece": True}, "begun": {}, "new": {},
            "plays-to": HABIT, "steady": {"fade": "medium", "stands_on": ["base"]},
            "fades": {"fade": "medium"},
        },
        "four": {
            "next-1": {"stands_on": ["steady", "base"]}, "next-2": {"optional_in": ["from-5"]},
            "next-piece": SLOW | {"piece": True},
        },
        "five": {"last": {}},
    },
    {
        "unit_start": [{"unit": "three", "on": date(2024, 1, 2)}],
        "set_aside": [{"skill": "aside", "on": date(2024, 1, 2), "agreed_with": "family"}],
        "settled": [{"through": "two", "on": date(2024, 1, 2)}],
        "lesson": [
            {"on": date(2024, 1, 9), "alone": ["steady", "fades"], "model": ["lost"]},
            {
                "on": date(2024, 1, 16), "model": ["begun", "lost"],
                "alone": ["stop", "base", "here-1", "here-2", "next-piece"],
            },
        ],
    },
    date(2024, 1, 16),
)  # fmt: skip
IN_UNIT_THREE.graph["strand"]["performing"] = {"name": "Performing"}


@pytest.mark.parametrize(
    ("day", "last_new", "choose", "late", "review", "due"),
    [
        ("2024-02-06", None, ("2023-12-12", "2024-01-02"), False, (), ()),
        ("2024-02-07", "2024-01-23", ("2023-12-13", "2024-01-03"), True, *[("base", "here-2")] * 2),
        (
            "2024-02-14", "2024-01-30", ("2023-12-20", "2024-01-10"), True,
            ("here-2", "steady", "fades"), ("base", "here-2", "steady", "fades"),
        ),
    ],
)  # fmt: skip
def test_all_that_comes_before_a_day(day, last_new, choose, late, review, due):
    """Worked out by hand. Lessons are on Tuesdays; windows are 3, 5 and 9 weeks.

    Base and the second piece of the unit, last shown on 16 January, are fresh up to 6 February; steady and
    fades up to the 13th; steady stands on base, so that it keeps both fresh. Pieces of unit two come first,
    then those a unit away, of each the latest taught, five at most; one on ground that was lost is none.
    What is optional at this age and what was set aside is nowhere; a habit never waits.
    """
    asked = ask(IN_UNIT_THREE)
    found = prepare(asked.course, asked.record, asked.answer, event(day))
    assert [(one.skill, one.unit, iso(one.fresh_until), one.due_by_then) for one in found.pieces] == [
        ("near-2", "two", "2024-03-05", False), ("near-1", "two", "2024-03-05", False),
        ("here-2", "three", "2024-02-06", late), ("here-1", "three", "2024-03-19", False),
        ("far-piece", "one", "2024-03-05", False),
    ]  # fmt: skip
    told = season_to_dict(found, asked.answer)
    assert (told["last_new"], told["choose_from"], told["choose_to"]) == (last_new, *choose)
    assert (found.review, found.due, found.going_on) == (review, due, ("begun",))
    assert (found.waits, found.glance) == (("new", "next-1"), ("stop",))
    assert found.warm is None


def test_nothing_of_a_unit_to_come_is_reviewed():
    """One showing of what stands on both would keep both fresh, but it is of the next unit."""
    made_up = small(
        {
            "one": {"stop": SLOW | {"asks_pain": True, "always_look": True}, "base": {}, "other": {}},
            "two": {"above": {"stands_on": ["base", "other"]}},
        },
        {
            "unit_start": [{"unit": "one", "on": date(2024, 1, 2)}],
            "lesson": [{"on": date(2024, 1, 9), "alone": ["stop", "base", "other", "above"]}],
        },
        date(2024, 1, 9),
    )
    asked = ask(made_up)
    found = prepare(asked.course, asked.record, asked.answer, event("2024-02-06"))
    assert found.review == found.due == ("base", "other")


@pytest.mark.parametrize("consent, said", [(True, "A recording, or one"), (False, "do not record")])
def test_a_recording_asks_for_consent(before, course, records, answered, consent, said):
    record = replace(records["temwa"], consents={"video": consent})
    found = before("temwa", "2025-12-02", event("2025-12-20"))
    assert said in page_of(season_sections, found, answered("temwa", "2025-12-02"), course, record)


@given(situations(), st.integers(1, 40))
@settings(max_examples=60)
def test_the_review_keeps_fresh_what_it_says(situation: Situation, days: int) -> None:
    """Shown alone on the day asked about, unless a window is shorter than that, all of it is fresh."""
    asked = ask(situation)
    answer, record, course = asked.answer, asked.record, asked.course
    what = Event("Day", answer.on + days, answer.on + days)
    answer = judge(course, record, answer.on, replace(asked.calendar, events=(what,)))
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
    put_off = [course.skill[skill] for skill in found.waits]
    put_off += [course.skill[one.skill] for one in plan_lesson(course, record, answer).not_begun
                if one.why == "season"]
    assert not [one for one in put_off if one.always_look or one.safety or one.asks_pain]
    assert not [one for one in put_off if one.kind == "habit"]
