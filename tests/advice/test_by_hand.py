"""Plans for a made-up course, worked out by hand where the demo students do not lead."""

from __future__ import annotations

from datetime import date

import pytest
from by_hand import small

from readiness.advice.ground import Ground, around_here, favourites, soonest
from readiness.advice.lesson import plan_lesson
from readiness.advice.lesson_work import LessonWork
from readiness.advice.sheet import check_sheet
from readiness.testing import ask

ON = date(2024, 1, 30)
PAIN = {"asks_pain": True, "always_look": True}
EASY = {"kind": "knowledge", "fade": "slow"}


def asked(one, two=None, lessons=None, band=None, **student):
    """Ask about somebody in unit one on a Tuesday; by default they only said a week ago that it is well.

    A lesson has 30 minutes: 3 opening, 12 review, 9 new, 4 music, 2 home.
    """
    noted = {date(2024, 1, 23): {"alone": ["stop"]}} if lessons is None else lessons
    file = {
        "unit_start": [{"unit": "one", "on": date(2024, 1, 2)}],
        "lesson": [{"on": day, **shown} for day, shown in noted.items()],
    }  # fmt: skip
    units = {"one": {"stop": PAIN, **one}, "two": two or {"last": {}}}
    return ask(small(units, file | student, ON, {5: band or {}}))


def planned(now):
    return plan_lesson(now.course, now.record, now.answer)


def work_on(now):
    return LessonWork(now.course, now.record, now.answer, 30, is_first_back=False, may_begin=True)


@pytest.mark.parametrize(("most", "begun"), [(1, ("a",)), (2, ("a", "b")), (3, ("a", "b", "c"))])
def test_one_more_is_begun_as_long_as_minutes_are_left(most, begun):
    """Each takes one minute of nine, so only the numbers of the band hold back."""
    band = {"new_skills_per_lesson": 1, "new_skills_per_lesson_max": most}
    now = asked({"a": {}, "b": {}, "c": {}}, {"last": {"stands_on": ["a"]}}, band=band)
    assert planned(now).begun == begun


def test_as_long_as_little_is_known_looks_fill_the_review_and_not_songs():
    """Four lessons in, one thing is known: the twelve minutes of review look at what is needed."""
    days = [date(2024, 1, 2 + 7 * week) for week in range(4)]
    unit = {"known": EASY, **{name: {"minutes": 3, "days": 3} for name in "abcdefgh"}}
    now = asked(unit, {"last": {"stands_on": [*unit]}}, {day: {"alone": ["stop", "known"]} for day in days})
    minutes = dict.fromkeys(("review", "music"), 0)
    for one in planned(now).blocks:
        minutes[one.part] = minutes.get(one.part, 0) + one.minutes
    assert (minutes["review"], minutes["music"]) == (12, 4)


def test_where_enough_is_known_for_the_review_nothing_new_is_looked_at_in_it():
    known = {f"known-{number}": EASY for number in range(6)}
    unit = {**known, **{name: {"minutes": 3, "days": 3} for name in "abcdefgh"}}
    noted = {date(2024, 1, 2 + 7 * week): {"alone": ["stop", *known]} for week in range(4)}
    now = asked(unit, {"last": {"stands_on": [*unit]}}, noted)
    review = {skill for one in planned(now).blocks if one.part == "review" for skill in one.skills}
    assert review
    assert review <= {*known}


def test_what_took_the_place_of_a_skill_is_its_footing():
    """``x`` builds on what was retired, so on what took its place, and that is not there yet."""
    old = {"retired": date(2024, 1, 10), "replaced_by": ["new"]}
    now = asked({"old": old, "new": {}, "x": {"stands_on": ["old"]}}, {"last": {"stands_on": ["new"]}})
    waits = {one.skill: (one.why, one.by) for one in planned(now).not_begun}
    assert waits["x"] == ("footing", "new")


def test_what_only_the_move_is_missing_for_waits_for_the_move():
    now = asked({"a": {}}, {"ready": {}, "not-ready": {"stands_on": ["a"]}})
    plan = planned(now)
    assert {one.skill: one.why for one in plan.not_begun} == {"ready": "stay"}
    assert around_here(now.course, now.record, now.answer, plan).after_the_move == ("ready",)


def test_what_ends_within_two_weeks_of_the_lesson_is_fading():
    """Fresh for 3 weeks and 9: seen on the 16th, good until 6 February and 19 March; the lesson is today."""
    shown = {date(2024, 1, 16): {"alone": ["soon", "later"]}, date(2024, 1, 23): {"alone": ["stop"]}}
    work = work_on(asked({"soon": {}, "later": EASY}, lessons=shown))
    assert (work.why("soon"), work.why("later")) == ("fading", "keep-warm")


def test_a_home_task_is_what_was_tried_or_is_begun():
    shown = {date(2024, 1, 23): {"alone": ["stop"], "model": ["tried"]}}
    one = {"untried": {}, "tried": {"stands_on": ["untried"]}, "early": {"stands_on": ["untried"]}}
    work = work_on(asked(one, lessons=shown))
    may = {skill: work.may_be_practised(skill, ["untried"]) for skill in one}
    assert may == {"untried": True, "tried": True, "early": False}


def test_who_was_never_here_and_has_something_settled_is_no_beginner():
    for settled, begins in (([], True), ([{"through": "one", "on": date(2024, 1, 2)}], False)):
        now = asked({"a": {}}, lessons={}, settled=settled)
        assert Ground(now.course, now.record, now.answer).is_untouched is begins
        assert planned(now).is_first is begins
    now = asked({"a": {}}, lessons={date(2024, 1, 23): {"not_tried": ["a"]}})
    assert not Ground(now.course, now.record, now.answer).is_untouched


def test_of_what_is_due_on_one_day_and_of_pieces_the_one_taught_last_comes_first():
    one = {"early": {**EASY, "piece": True}, "late": {**EASY, "piece": True}}
    now = asked(one, lessons={date(2024, 1, 23): {"alone": ["early", "late"]}})
    assert favourites(now.course, now.answer) == ("late", "early")
    assert sorted(one, key=lambda skill: soonest(now.course, now.answer, skill)) == ["late", "early"]


def test_activities_change_from_block_to_block_and_a_look_or_a_beginning_has_none():
    """Nine minutes: two for ``first`` (the one thing), six for ``tried`` in two blocks, one for ``begun``."""
    shown = {date(2024, 1, 16): {"alone": ["known"]}, date(2024, 1, 23): {"alone": ["stop", "tried"]}}
    short = {"minutes": 2}
    one = {"known": EASY, "tried": {"minutes": 10, "days": 2}, "first": short, "begun": short}
    band = {"activity_minutes": 4}
    now = asked(one, {"last": {"stands_on": ["first"]}}, lessons=shown, band=band)
    remedies = {}
    for block in planned(now).blocks:
        if block.part in ("new", "review"):
            remedies.setdefault((block.part, *block.skills), []).append((block.minutes, block.remedy))
    assert remedies[("new", "first")] == [(2, 0)]
    assert remedies[("new", "tried")] == [(3, 0), (3, 1)]
    assert remedies[("new", "begun")] == [(1, None)]
    assert {remedy for _, remedy in remedies[("review", "known")]} == {None}


@pytest.mark.parametrize("minutes", [1, 3, 9])
def test_under_a_hold_pain_is_asked_after_however_short_the_check(minutes):
    """One minute has room for one item; of two ways of telling both stay."""
    hold = {"opened": date(2024, 1, 24), "words": "sore", "part": "hand"}
    one = {"stop-too": PAIN, "clap": {**EASY, "quiet": True}}
    now = asked(one, hold=[hold])
    items = check_sheet(now.course, now.record, now.answer, minutes=minutes).items
    told = [(item.skills[0], item.why) for item in items]
    pain = [("stop", "care"), ("stop-too", "care")]
    assert told == (pain if minutes == 1 else [*pain, ("clap", "if-comfortable")])


def test_what_fills_a_lesson_under_a_hold_is_quiet_easy_and_needs_no_pause():
    now = asked({"a": {}}, hold=[{"opened": date(2024, 1, 24), "words": "sore", "part": "hand"}])
    blocks = planned(now).blocks
    assert sum(block.minutes for block in blocks) == 30
    assert {(block.quiet, block.hard, block.pause_before, block.begins) for block in blocks} == {
        (True, False, False, False)
    }
