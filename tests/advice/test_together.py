"""Things for two: both can take part, nobody is compared, and a hold of one is a hold of both."""

from __future__ import annotations

import json
from dataclasses import replace
from datetime import date
from itertools import combinations

import pytest
from by_hand import small
from told import text_of

from readiness.advice.as_json import pair_to_dict
from readiness.advice.handover import pair_up, suits_two
from readiness.advice.skill_traits import MET_STATES, may_be_done
from readiness.days import day_number
from readiness.judging import judge
from readiness.record.model import Hold
from readiness.testing import ask
from readiness.words.lesson import pair_sections

ON = "2025-12-02"
PAIRS = list(combinations(["bogdan", "chikondi", "linnea", "noemi", "rafiq", "temwa"], 2))


@pytest.fixture
def pair(course, records, answered):
    """Return what two demo students can do together."""
    return lambda *ids: pair_up(course, [(records[one], answered(one, ON)) for one in ids])


@pytest.mark.parametrize("one, other", PAIRS)
def test_the_order_of_the_two_makes_no_difference(pair, one, other):
    assert pair(one, other) == pair(other, one)


@pytest.mark.parametrize("one, other", PAIRS)
def test_both_can_take_part(pair, course, answered, one, other):
    found = pair(one, other)
    for activity in (*found.grow, *found.known):
        skill = course.skill[activity.skill]
        assert suits_two(course, skill)
        assert skill.strand in ("rhythm", "ear")
        for student in (one, other):
            standings = answered(student, ON).standings
            there = standings[skill.id].state in (*MET_STATES, "stale", "wobbling")
            footed = all(standings[o].state in (*MET_STATES, "stale", "wobbling") for o in skill.stands_on)
            assert there or footed


@pytest.mark.parametrize("one, other", PAIRS)
def test_neither_text_nor_json_says_where_anybody_stands(pair, course, one, other):
    found = pair(one, other)
    names = (one.capitalize(), other.capitalize())
    text = text_of(pair_sections, found, names, day_number(ON), course)
    title, rest = text.split("\n", 1)
    assert all(name in title for name in names)
    assert not any(name in rest for name in names)
    plain = json.dumps(pair_to_dict(found, day_number(ON), course))
    for state in ("secure", "stale", "building", "with-help", "not-shown", "slipped", "settled", "unit"):
        assert state not in text
        assert state not in plain
    for word in ("better", "worse", "than", "ahead", "further", "already", "still"):
        assert f" {word} " not in text


def test_a_hold_of_one_rests_for_both(pair, course):
    found = pair("linnea", "bogdan")
    assert found.rests == ("hand",)
    for activity in (*found.grow, *found.known):
        assert may_be_done(course.skill[activity.skill], "hand")
        assert activity.remedy is None
    assert "Do not play through pain" in text_of(
        pair_sections, found, ("Bogdan", "Linnea"), day_number(ON), course
    )


def test_a_resting_voice_leaves_out_singing(course, records, answered):
    hold = Hold(day_number("2025-12-01"), "hoarse", "voice")
    record = replace(records["temwa"], holds=(hold,))
    both = [(record, judge(course, record, day_number(ON))), (records["chikondi"], answered("chikondi", ON))]
    found = pair_up(course, both)
    assert found.rests == ("voice",)
    assert not [a for a in (*found.grow, *found.known) if "sing" in course.skill[a.skill].name.lower()]


def test_siblings_of_the_demo_have_something_to_share(pair):
    found = pair("temwa", "chikondi")
    assert found.grow
    assert found.known
    assert found.minutes == 4  # activity_minutes of the younger band, trade 3.2


IN_TWO = ["Clap it.", "Clap it with your teacher."]
BEAT = {"strand": "beat", "fade": "slow"}
MADE_UP = small(
    {
        "one": {
            "stop": BEAT | {"asks_pain": True, "always_look": True}, "keys": {},
            "sway": BEAT, "clap": BEAT | {"remedies": IN_TWO, "for_two": [2]}, "step": BEAT, "tap": BEAT,
            "spare": BEAT | {"optional_in": ["from-5"]},
        },
        "two": {
            "echo": BEAT | {"stands_on": ["sway"], "remedies": IN_TWO, "for_two": [1, 2]},
            "fill": BEAT | {"stands_on": ["tap"]}, "mark": BEAT, "on-spare": BEAT | {"stands_on": ["spare"]},
            "wave": BEAT,
        },
        "three": {
            "old": BEAT | {"retired": date(2024, 1, 10), "replaced_by": ["heir"]},
            "on-old": BEAT | {"stands_on": ["old"]}, "heir": BEAT,
            "lead": BEAT, "on-mark": BEAT | {"stands_on": ["mark"]},
        },
        "four": {"far": BEAT},
    },
    {},
    date(2024, 1, 16),
    bands={5: {}, 8: {"activity_minutes": 9}},
)  # fmt: skip
MADE_UP.graph["strand"]["beat"] = {"name": "Pulse", "shared": True}


def in_unit(unit, settled=None, born="2018-01-01", **lesson):
    settled = {"settled": [{"through": settled, "on": date(2024, 1, 2)}]} if settled else {}
    start = [{"unit": unit, "on": date(2024, 1, 2)}]
    lessons = [{"on": date(2024, 1, 9), **lesson}]
    return ask(MADE_UP.with_student(unit_start=start, lesson=lessons, born=born, **settled))


def shared(one, other):
    both = [(replace(one.record, id="b"), one.answer), (replace(other.record, id="a"), other.answer)]
    found = pair_up(one.course, both)
    assert found.students == ("a", "b")
    named = ([(each.skill, each.remedy) for each in some] for some in (found.grow, found.known))
    return *named, found.minutes


def test_what_two_share_worked_out_by_hand():
    """One may leave unit one and so begin things of unit two; what is optional at the age carries, too.

    First what is new to both, in the order of teaching, four at most; of what both know the three latest
    taught. The first remedy in two is named, if there is one. The seat and things of the keys are not shared.
    What stood on a skill that is retired stands on what took its place.
    """
    able = ["stop", "keys", "sway", "clap", "step", "tap"]
    leaving, two = in_unit("one", alone=able), in_unit("two", "one", alone=["stop"], cue=["echo"])
    assert leaving.answer.may_move
    new = [("echo", 0), ("fill", None), ("mark", None), ("on-spare", None)]
    known = [("tap", None), ("step", None), ("clap", 1)]
    assert shared(leaving, two) == (new, known, 6)
    staying = in_unit("one", alone=able[2:])
    assert not staying.answer.may_move
    assert shared(staying, two) == ([], known, 6)
    three = in_unit("three", "two", alone=["stop"])
    ahead, latest = ["heir", "lead", "on-mark"], ["wave", "on-spare", "mark"]
    assert shared(three, three) == (*[[(skill, None) for skill in some] for some in (ahead, latest)], 6)
    old = in_unit("two", "two", born="2012-01-01", alone=["stop"])
    assert shared(old, old)[2] == 9
    assert shared(old, two) == (new, known, 6)
    half = in_unit("two", "one", alone=["stop", "echo"])
    assert shared(leaving, half) == ([*new[1:], ("wave", None)], known, 6)
