"""Questions beside the verdict: one skill, an old day, a yes although something is open."""

from __future__ import annotations

import re
from dataclasses import replace

import pytest
from drawn import situations
from hypothesis import given, settings
from told import text_of
from words.test_letters import AVOIDED_WORDS

from readiness.days import day_number
from readiness.judging import judge
from readiness.judging.as_json import skill_to_dict
from readiness.record.model import Decision, Lesson, SetAside
from readiness.testing import Situation, ask
from readiness.words.phrases import Phrases
from readiness.words.reasons import skill_sections
from readiness.words.why import tell_answer


@pytest.fixture
def about(course, records, flat):
    """Return a function from student, day and skill to the text on one line."""

    def tell(student, on, skill, **changed):
        record = replace(records[student], **changed)
        answer = judge(course, record, day_number(on))
        return flat(text_of(skill_sections, Phrases(answer, course, record), skill, full=True))

    return tell


def test_was_that_a_one_off(about):
    text = about("temwa", "2025-12-02", "wrist-lift")
    assert "2 days count, 3 needed: 25 November to 2 December, 7 days apart (6 or more are asked)" in text
    assert "Missing: one more day without help." in text
    assert "25 November without help temwa.toml:" in text
    one = about("temwa", "2025-11-25", "wrist-lift")
    assert "1 day counts, 3 needed: 25 November. - Last seen" in one


def test_days_too_close_together_say_so(about, records):
    close = tuple(
        replace(one, on=day_number("2025-11-27")) if one.on == day_number("2025-12-02") else one
        for one in records["temwa"].lessons
    )
    shown = next(s for one in close for s in one.showings if s.skill == "sings-up-down")
    lessons = (*close, Lesson(day_number("2025-11-28"), (shown,)))
    text = about("temwa", "2025-12-02", "sings-up-down", lessons=lessons)
    assert "27 November to 28 November, 1 day apart (6 or more are asked)" in text


def test_one_off_day_and_two_in_a_row(about):
    off = about("noemi", "2025-12-03", "eighth-pairs")
    assert "Secure, one off day." in off
    assert "One off day: look on another day before concluding anything." in off
    assert "It needs a look before the move. Unit 10 builds on it: Plays paired eighths." in off
    loose = about("chikondi", "2025-12-02", "alternate-arms-steady")
    assert "Two days in a row did not count" in loose
    assert "Look on another day before concluding anything." in loose
    assert '"Hands take turns every four beats" builds on it, and that is needed' in loose
    assert "No day counts since it was lost; 2 days are needed." in loose


def test_when_is_the_earliest_possible_and_what_makes_it_later(about):
    text = about("chikondi", "2025-12-02", "hands-alternate-fours")
    assert "if everything open is shown without help each time: 16 December" in text
    assert "It gets later with a lesson missed" in text
    assert "will be" not in text


def test_why_look_at_the_seat_again(about):
    text = about("noemi", "2025-12-02", "loose-shoulders")
    assert "It is looked at in every check of every unit" in text
    assert "Last seen 16 September" in text
    assert "look again by 21 October" in text
    assert "Playing other things does not show it." in text
    assert "Look again: what is soon lost after 5 weeks" in text


def test_an_agreed_way_counts_and_a_skill_set_aside_says_with_whom(about):
    text = about("temwa", "2025-12-02", "feet-supported")
    assert "Another way, where agreed - Supported by a caregiver" in text
    agreed = (SetAside("wrist-lift", 1, "the mother", 9),)
    aside = about("temwa", "2025-12-02", "wrist-lift", set_aside=agreed)
    assert "Set aside by agreement with the mother" in aside
    assert "temwa.toml:9" in aside
    assert "Missing" not in aside


def test_remarks_up_to_the_day_are_there(about, records):
    said = tuple(
        replace(one, remarks={"wrist-lift": f"left sinks on day {one.on}"})
        for one in records["temwa"].lessons
    )
    text = about("temwa", "2025-12-02", "wrist-lift", lessons=said)
    assert text.count("left sinks on day") == 3


def test_the_numbers_stand_with_their_lines(about, course_folder):
    text = about("temwa", "2025-12-02", "wrist-lift")
    number = int(re.search(r"days for movements \(pacing.toml:(\d+)", text)[1])
    assert (course_folder / "pacing.toml").read_text(encoding="utf-8").splitlines()[number - 1] == "motor = 3"


def test_under_a_hold_nothing_is_missing_and_nothing_is_near(about):
    text = about("linnea", "2025-12-04", "same-moment")
    assert "Do not play through pain" in text
    for words in ("Missing", "Earliest", "What that means"):
        assert words not in text


def test_a_skill_as_json(course, records, answered):
    found = skill_to_dict(answered("temwa", "2025-12-02"), "wrist-lift")
    assert (found["have"], found["need"], found["blocks"]) == (2, 3, True)
    assert [note["on"] for note in found["notes"]] == ["2025-11-25", "2025-12-02"]


def test_why_it_is_a_yes_although_something_is_open(told, flat):
    text = flat(told("bogdan", "2025-12-05"))
    assert "3 unfinished things are allowed at this age" in text
    assert "none is about safety or needed straight away in unit 12" in text
    assert "first needed in unit 13" in text
    assert "still a yes" not in told("temwa", "2025-12-09")


def test_an_old_day_is_seen_with_the_rules_of_now_and_says_so(told, flat, course):
    text = flat(told("temwa", "2025-09-16"))
    assert "Notes after 16 September 2025 are left out." in text
    assert f"those of now, edition {course.edition}, not those of that time" in text
    assert "Looking back" not in told("temwa", "2025-12-09")


def test_a_decision_stands_beside_what_was_computed(course, records, flat):
    decided = Decision(
        day_number("2025-12-02"), "hand-shape-wrist", "look-again", "move", "the piece is there", 99
    )
    record = replace(records["temwa"], decisions=(decided,))
    for on, is_there in (("2025-12-02", True), ("2025-12-05", True), ("2025-12-01", False)):
        text = flat(tell_answer(judge(course, record, day_number(on)), course, record, full=True))
        assert ("Your own decision" in text) is is_there
    assert "to move on" in text or not is_there
    text = flat(
        tell_answer(judge(course, record, day_number("2025-12-05")), course, record, full=True)
    )
    assert "On 2 December: to move on." in text
    assert "Look again first" in text
    assert "the piece is there" in text


def test_every_skill_of_every_student_can_be_asked_about(course, records):
    for student, record in records.items():
        answer = judge(course, record, day_number("2025-12-05"))
        for skill in course.skill:
            text = text_of(skill_sections, Phrases(answer, course, record), skill, width=72)
            assert max(map(len, text.splitlines())) <= 72, (student, skill)
            assert "None" not in text
            assert "will be" not in text


@given(situations())
@settings(max_examples=30)
def test_made_up_skills_too(situation: Situation) -> None:
    asked = ask(situation)
    for skill in asked.course.skill:
        text = text_of(skill_sections, Phrases(asked.answer, asked.course, asked.record), skill, width=60)
        assert max(map(len, text.splitlines())) <= 60
        assert not AVOIDED_WORDS.search(text)
        assert "None" not in text
