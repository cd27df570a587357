"""Why a verdict changed: every cause is one, the days are right, and nothing is guessed."""

from __future__ import annotations

from dataclasses import replace
from datetime import date
from itertools import combinations

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from laws.asking import record_of
from strategies import Situation, situations

from readiness.course.load import build_course
from readiness.days import day_number, iso
from readiness.judging import judge
from readiness.planning.changed import CAUSES, Question, why_changed
from readiness.planning.turns import Edit, fitting, turns
from readiness.planning.undoing import Undoing
from readiness.record.load import build_record
from readiness.record.model import Hold, Lesson, Showing
from readiness.words.changed import tell_changed


def asked(records, course, student, since, on, edits=()):
    return Question(records[student], day_number(since), day_number(on), course, edits)


def by_id(found):
    return {one.id: one for one in found.causes}


def test_a_hold_alone(course, records):
    found = why_changed(asked(records, course, "linnea", "2025-11-20", "2025-12-04"))
    assert (found.earlier.verdict, found.later.verdict) == ("ready", "paused")
    assert found.restoring == (("hold",),)
    assert [iso(turn.day) for turn in found.turns] == ["2025-11-27"]
    assert [(one.kind, iso(one.day), one.line) for one in found.causes[0].facts] == [
        ("hold-opened", "2025-11-27", 41)
    ]


def test_windows_and_a_break_would_each_have_been_enough(course, records):
    found = why_changed(asked(records, course, "noemi", "2025-09-16", "2025-12-02"))
    assert found.restoring == (("window", "break"),)
    assert not any(cause.alone for cause in found.causes)
    # 28 days after 16 September: the band's four weeks without a lesson
    assert [iso(turn.day) for turn in found.turns] == ["2025-10-14"]
    due = {fact.skill: iso(fact.day) for fact in by_id(found)["window"].facts}
    assert due["loose-shoulders"] == "2025-10-22"  # 16 September + 35 days, and the day after
    assert due["c-piece-separate"] == "2025-11-26"


def test_new_notes(course, records):
    found = why_changed(asked(records, course, "temwa", "2025-12-02", "2025-12-09"))
    assert found.restoring == (("notes",),)
    kinds = {fact.kind for fact in found.causes[0].facts}
    assert kinds == {"lesson", "state"}


def test_a_changed_number_and_who_changed_it(course, records):
    """One day more for movements asks Temwa, ready on 9 December, for another look."""
    band = course.band["4-5"]
    stricter = replace(band, numbers={**band.numbers, "days_needed.motor": 4})
    key = ("4-5", "days_needed.motor")
    origin = replace(course.provenance[key], changed=True, changed_by="OB")
    edited = replace(
        course,
        bands=tuple(stricter if one is band else one for one in course.bands),
        provenance={**course.provenance, key: origin},
    )
    edit = Edit(day_number("2025-12-10"), "OB", "a day more", edited)
    found = why_changed(asked(records, course, "temwa", "2025-12-09", "2025-12-11", (edit,)))
    assert found.restoring == (("numbers",),)
    assert [iso(turn.day) for turn in found.turns] == ["2025-12-10"]
    number = next(fact for fact in found.causes[0].facts if fact.kind == "number")
    assert (number.rule, number.before, number.after, number.by) == ("days_needed.motor", 3, 4, "OB")


def test_an_edited_link(course, records):
    """A link from a skill of the next unit to one that was never shown blocks."""
    skill = course.skill["arm-weight-drop"]
    linked = replace(skill, stands_on=(*skill.stands_on, "sings-up-down"))
    edited = replace(course, skills=tuple(linked if one is skill else one for one in course.skills))
    edit = Edit(None, "", "", edited)
    found = why_changed(asked(records, course, "temwa", "2025-12-01", "2025-12-02", (edit,)))
    assert "graph" in {cause for one in found.restoring for cause in one}
    facts = by_id(found)["graph"].facts
    assert ("link-new", "arm-weight-drop", "sings-up-down") in [(f.kind, f.skill, f.after) for f in facts]


def test_a_birthday(course, records):
    """Temwa, had she been born on 5 December 2019, turns six, and other numbers hold."""
    record = replace(records["temwa"], born=day_number("2019-12-05"))
    found = why_changed(Question(record, day_number("2025-12-02"), day_number("2025-12-06"), course))
    assert found.restoring == (("band",),)
    kinds = {fact.kind for fact in found.causes[0].facts}
    assert {"birthday", "number"} <= kinds
    assert [iso(f.day) for f in found.causes[0].facts if f.kind == "birthday"] == ["2025-12-05"]


def test_nothing_changed(course, records):
    found = why_changed(asked(records, course, "bogdan", "2025-12-05", "2025-12-06"))
    assert (found.asked, found.restoring, found.turns) == ("nothing", (), ())


def made_up(situation: Situation, days: int) -> Question:
    course = build_course(dict(situation.graph), dict(situation.pacing))
    on = situation.on.toordinal()
    return Question(record_of(situation, course), on - days, on, course)


@given(situations(), st.integers(1, 60))
@settings(max_examples=60)
def test_with_everything_undone_it_is_as_it_was(situation: Situation, days: int) -> None:
    question = made_up(situation, days)
    earlier = judge(question.before, question.record, question.since)
    undone = Undoing(question, earlier).answer(frozenset(CAUSES))
    assert undone.verdict == earlier.verdict
    states = [one.state for one in earlier.standings.values()]
    assert [one.state for one in undone.standings.values()] == states


@given(situations(), st.integers(1, 60))
@settings(max_examples=40)
def test_every_set_of_causes_restores_and_no_part_of_it_does(situation: Situation, days: int) -> None:
    question = made_up(situation, days)
    found = why_changed(question)
    if found.asked != "verdict":
        return
    assert found.restoring
    undoing = Undoing(question, found.earlier)
    happened = {*found.without_effect, *(one.id for one in (*found.beside, *found.causes))}

    def restores(causes, beside=frozenset()):
        return undoing.answer(frozenset(causes) | beside).verdict == found.earlier.verdict

    every = [part for size in range(len(happened) + 1) for part in combinations(sorted(happened), size)]
    hidden = frozenset() if any(map(restores, every)) else frozenset(CAUSES) - happened
    for causes in found.restoring:
        assert restores(causes, hidden)
        for size in range(len(causes)):
            for fewer in combinations(causes, size):
                assert (hidden and not fewer) or not restores(fewer, hidden)


def test_what_new_notes_hide_is_undone_with_them(course, records):
    """Without the notes since, windows would have ended; with them none did, and the notes are the cause."""
    bogdan, day = records["bogdan"], day_number("2025-12-02")
    every = tuple(Showing(skill, 0, 0) for skill in judge(course, bogdan, day).standings)
    since = tuple(Lesson(day + later, every) for later in (14, 28, 42))
    question = Question(replace(bogdan, lessons=(*bogdan.lessons, *since)), day, day + 42, course)
    found = why_changed(question)
    assert (found.earlier.verdict, found.later.verdict) == ("ready-taking-along", "ready")
    assert Undoing(question, found.earlier).answer(frozenset({"notes"})).verdict == "look-again"
    assert found.restoring == (("notes",),)


def in_the_way(answer):
    return answer.verdict, {(one.skill, one.group and one.group.of) for one in answer.blockers}


@given(situations(), st.integers(1, 60))
@settings(max_examples=40)
def test_what_is_called_without_effect_has_none(situation: Situation, days: int) -> None:
    """Taken back alone it leaves the verdict and what is in the way; what does not is said to matter."""
    question = made_up(situation, days)
    found = why_changed(question)
    undoing = Undoing(question, found.earlier)
    for cause in found.without_effect:
        assert in_the_way(undoing.answer(frozenset({cause}))) == in_the_way(found.later)
    for one in found.beside:
        assert in_the_way(one.answer) == in_the_way(undoing.answer(frozenset({one.id})))
        assert in_the_way(one.answer) != in_the_way(found.later)
    told = [*found.without_effect, *(one.id for one in found.beside), *(one.id for one in found.causes)]
    assert len(told) == len(set(told))


def test_notes_that_made_a_difference_are_not_called_without_effect(course, records):
    """A hold was closed and that changed the verdict; without the notes two lessons would come first (R7)."""
    bogdan, day = records["bogdan"], day_number("2025-12-05")
    every = tuple(Showing(skill, 4, 0) for skill in judge(course, bogdan, day).deciding)
    hold = Hold(day - 3, "sore", "hand", closed=day + 3, closed_by="OB", closed_words="well again")
    lessons = (*bogdan.lessons, Lesson(day + 7, every), Lesson(day + 14, every))
    question = Question(replace(bogdan, lessons=lessons, holds=(hold,)), day, day + 15, course)
    found = why_changed(question)
    assert (found.earlier.verdict, found.later.verdict) == ("paused", "not-yet")
    assert found.restoring == (("hold",),)
    (notes,) = found.beside
    assert (notes.id, notes.answer.verdict) == ("notes", "look-again")
    assert "notes" not in found.without_effect
    words = " ".join(tell_changed(found, course, bogdan, "not").split())
    assert 'Made a difference too - Without the new notes it would now say "not yet sure' in words


@given(situations(), st.integers(1, 60))
@settings(max_examples=40)
def test_the_days_are_those_of_asking_every_day(situation: Situation, days: int) -> None:
    question = made_up(situation, days)
    found = list(turns(question.record, question.before, (), question.since, question.on))
    verdict, expected = judge(question.before, question.record, question.since).verdict, []
    for day in range(question.since + 1, question.on + 1):
        now = judge(question.before, question.record, day).verdict
        if now != verdict:
            expected.append((day, now))
            verdict = now
    assert [(turn.day, turn.verdict) for turn in found] == expected


@pytest.mark.parametrize("student", ["temwa", "chikondi"])
def test_a_record_fits_a_course_without_some_of_its_skills(course, records, student):
    record = records[student]
    skills = tuple(one for one in course.skills if one.id != "wrist-lift")
    fit = fitting(record, replace(course, skills=skills))
    assert not [s for lesson in fit.lessons for s in lesson.showings if s.skill == "wrist-lift"]
    assert [one.on for one in fit.lessons] == [one.on for one in record.lessons]


def test_where_very_much_was_noted_only_the_latest_days_are_followed(course):
    on = day_number("2025-12-02")
    lessons = [{"on": date.fromordinal(on - 3 * n), "alone": ["wrist-lift"]} for n in range(150)]
    record = build_record("made-up", {"format": 1, "name": "M", "born": "2015-05", "lesson": lessons}, course)
    found = why_changed(Question(record, on - 440, on, course))
    assert found.followed_from == on - 3 * 99
    assert "days before" in tell_changed(found, course, record, "not")
    assert why_changed(Question(record, on - 30, on, course)).followed_from == on - 30
