"""Two looks ahead at one student: what fades, and what a birthday changes."""

from __future__ import annotations

import json
from dataclasses import replace
from datetime import date

import pytest
from by_hand import small
from drawn import situations
from hypothesis import example, given
from told import text_of

from readiness.advice.as_json import birthday_to_dict
from readiness.advice.review import review
from readiness.advice.timeline import birthday_changes, one_day_of_age
from readiness.cli.main import main
from readiness.course.load import build_course
from readiness.days import day_number
from readiness.judging import judge
from readiness.judging.history import known_on
from readiness.judging.states import judge_states
from readiness.record.model import BandChoice, Lesson, Showing
from readiness.testing import Situation, record_of
from readiness.words.ahead import birthday_sections


def shown(record, skills, day):
    lesson = Lesson(day, tuple(Showing(skill, 0, 0) for skill in skills))
    return replace(record, lessons=(*record.lessons, lesson))


def cut(record, on):
    """Return a record without all that comes later, for what is looked ahead to supposes nothing."""
    dated = ("lessons", "settled", "set_aside", "unit_starts", "band_choices")
    kept = {kind: tuple(one for one in getattr(record, kind) if one.on <= on) for kind in dated}
    known = [hold for hold in record.holds if hold.opened <= on]
    holds = [replace(hold, closed=None) if hold.is_open(on) else hold for hold in known]
    return replace(record, holds=tuple(holds), **kept)


def stale(course, record, band, day):
    known = known_on(course, record, day)
    states = judge_states(course.plan, known, course.band[band], day)
    return {course.plan.ids[i] for i, state in enumerate(states.state) if state == "stale"}


def under_a_hold(quiet):
    """Return two skills, one standing on the other, of which both fade under a hold."""
    lower, upper = ({"quiet": True} if one in quiet else {} for one in ("lower", "upper"))
    stop = {"asks_pain": True, "always_look": True}
    return small(
        {"one": {"stop": stop, "lower": lower}, "two": {"upper": {"stands_on": ["lower"]} | upper}},
        {
            "unit_start": [{"unit": "two", "on": date(2024, 1, 1)}],
            "settled": [{"through": "two", "on": date(2024, 1, 1)}],
            "hold": [{"opened": date(2024, 1, 15), "words": "Sore.", "part": "hand"}],
        },
        date(2024, 1, 15),
    )


@pytest.mark.parametrize(
    ("quiet", "kept_by"),
    [((), ()), (("lower",), ()), (("upper",), ()), (("lower", "upper"), ("upper",))],
)
def test_under_a_hold_only_what_is_quiet_keeps_and_is_kept(quiet, kept_by):
    situation = under_a_hold(quiet)
    course = build_course(dict(situation.graph), dict(situation.pacing))
    found = review(course, record_of(situation, course), situation.on.toordinal())
    assert {one.skill: one.kept_by for one in found.skills} == {"stop": (), "lower": kept_by, "upper": ()}
    assert found.play == ()


@example(under_a_hold(()))
@example(under_a_hold(("lower", "upper")))
@given(situations(planned=False))
def test_what_is_said_to_fade_does_and_what_is_said_to_keep_it_does(situation: Situation) -> None:
    course = build_course(dict(situation.graph), dict(situation.pacing))
    record, on = record_of(situation, course), situation.on.toordinal()
    before = cut(record, on)
    found = review(course, before, on)
    band = judge(course, before, on).band
    fades = {one.skill for one in found.skills}
    later = stale(course, before, band, found.until + 1) - stale(course, before, band, on)
    aside = {entry.skill for entry in before.set_aside if entry.on <= on}
    asked = {s.id for s in course.skills if band not in s.optional_in} - aside
    wobbling = {s for s, one in judge(course, before, on).standings.items() if one.state == "wobbling"}
    assert later & asked <= fades
    assert fades - wobbling <= later
    for one in found.skills:
        for use in one.kept_by:
            assert (
                judge(course, shown(before, [use], on + 1), on + 1).standings[one.skill].last_seen == on + 1
            )
    if found.play:
        again = judge(course, shown(before, found.play, on + 1), on + 1).standings
        assert {again[skill].last_seen for skill in fades} == {on + 1}


def test_no_set_smaller_than_the_one_to_play_keeps_all(demo):
    course, record, on = demo.course, demo.records["chikondi"], demo.today
    found = review(course, record, on, 30)
    assert len(found.skills) == 11
    for left_out in found.play:
        rest = [skill for skill in found.play if skill != left_out]
        again = judge(course, shown(record, rest, on + 1), on + 1).standings
        assert any(again[one.skill].last_seen != on + 1 for one in found.skills)


@given(situations(planned=False))
def test_a_birthday_changes_what_the_band_changes(situation: Situation) -> None:
    course = build_course(dict(situation.graph), dict(situation.pacing))
    record, on = record_of(situation, course), situation.on.toordinal()
    found = birthday_changes(course, record, on)
    if found is None:
        return
    assert found.day > on
    assert judge(course, record, found.day).band == found.new
    assert judge(course, record, found.day - 1).band == found.old or any(
        choice.on > on for choice in record.band_choices
    )
    known = tuple(lesson for lesson in record.lessons if lesson.on <= on)  # what comes after it, nobody knew
    choices = (*record.band_choices, BandChoice(found.old, found.day))
    held = replace(record, lessons=known, band_choices=choices)
    assert found.change.before == judge(course, held, found.day)
    assert set(found.due) | set(found.skipped) == {
        skill.id
        for skill in course.skills
        if (found.old in skill.optional_in) != (found.new in skill.optional_in)
    }


def test_what_changes_when_temwa_turns_six(demo):
    found = birthday_changes(demo.course, demo.records["temwa"], demo.today)
    assert (found.day, found.age, found.old, found.new) == (day_number("2026-05-14"), 6, "4-5", "6-7")
    assert found.due == ("firm-fingertip", "says-one-good-one-fix")
    assert ("days_needed.motor", 3, 2) in found.numbers


def test_one_day_of_age_that_decides_is_said(demo):
    """Temwa as somebody who turns 6 tomorrow: at 5 three days of a movement are asked, at 6 two."""
    course, today = demo.course, demo.today
    record = replace(demo.records["temwa"], born=day_number("2019-12-03"))
    answer = judge(course, record, today)
    near, turning = one_day_of_age(course, record, answer), birthday_changes(course, record, today)
    assert (answer.band, answer.verdict) == ("4-5", "look-again")
    told = birthday_to_dict(turning, near, answer)
    verdict = near.answer.verdict
    assert told["one_day_of_age"] == {"born_one_day": "earlier", "band": "6-7", "verdict": verdict}
    assert verdict != "look-again"
    text = " ".join(text_of(birthday_sections, turning, near, course, record, today, full=True).split())
    assert "Born one day earlier and with the same notes, Temwa would go by age 6-7 on 2 December" in text
    assert "You decide which age fits" in text
    assert ("One day of age decides." in text) == told["birthday"]["one_day_decides"]


def test_nothing_changes_for_an_adult(demo):
    assert birthday_changes(demo.course, demo.records["bogdan"], demo.today) is None


def test_both_can_be_asked_for(capsys, monkeypatch, tmp_path):
    monkeypatch.chdir(tmp_path)
    assert main(["review", "chikondi", "--days", "30", "--json"]) == 0
    assert len(json.loads(capsys.readouterr().out)["fading"]) == 11
    assert main(["why", "temwa", "--birthday"]) == 0
    assert "Temwa turns 6 on 14 May 2026" in capsys.readouterr().out
    assert main(["why", "temwa", "--birthday", "--json"]) == 0
    found = json.loads(capsys.readouterr().out)
    assert (found["verdict"], found["one_day_of_age"]) == ("look-again", None)
    assert found["birthday"]["on"] == "2026-05-14"
    assert {"rule": "days_needed.motor", "before": 3, "after": 2} in found["birthday"]["numbers"]
    assert main(["review", "linnea", "--on", "2025-12-04", "--days", "99"]) == 0
    told = capsys.readouterr().out
    assert "nothing is played until an adult" in " ".join(told.split())
    assert "Enough for all of it" not in told
    assert main(["review", "temwa", "--days", "0"]) == 2
