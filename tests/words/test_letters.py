"""The three letters: whole texts as they are read, and what each may and may not say."""

from __future__ import annotations

import os
import re
from dataclasses import replace
from datetime import date
from pathlib import Path

import pytest
from hypothesis import given, settings
from laws.asking import ask
from strategies import Situation, situations
from words.test_golden import DAYS

from readiness.advice.letter import _activity, home_thing, practice_range
from readiness.days import day_number, iso
from readiness.judging import judge
from readiness.record.load import build_record
from readiness.record.model import Decision, UnitStart
from readiness.terms import Verdict
from readiness.words.cautions import caution
from readiness.words.english import ENGLISH
from readiness.words.letters import READERS, letter, tell

AVOIDED = tuple(
    line
    for line in (Path(__file__).parent / "avoided.txt").read_text(encoding="utf-8").splitlines()
    if line and not line.startswith("#")
)
AVOIDED_WORDS = re.compile("|".join(rf"\b{re.escape(word)}" for word in AVOIDED), re.IGNORECASE)
SAID_OF_PEOPLE = re.compile(
    r"\b(he|she|him|her|his|hers|only|sister|brother|sibling|average)\b", re.IGNORECASE
)
COUNTED = re.compile(r"\b\d+ of \d+\b|%|\d+ days?\b|\btwice\b", re.IGNORECASE)
VERDICTS = re.compile(
    r"\b(ready|not yet|look again|paused|verdict|unit \d+|blocker|settled|secure)\b", re.IGNORECASE
)
FIRST, LAST = day_number("2025-09-01"), day_number("2026-02-10")


@pytest.fixture(scope="module")
def letters(course, records):
    """Return every letter about the demo students on many days."""
    made = {}
    for student, record in records.items():
        for day in range(FIRST, LAST, 5):
            answer = judge(course, record, day)
            for reader in READERS:
                made[student, iso(day), reader] = (answer, letter(reader, answer, course, record))
    return made


def own_words(draft):
    """Return the sentences without what they quote from the course or a task."""
    return [re.sub(r'"[^"]*"', '"..."', sentence) for sentence in draft.sentences]


@pytest.mark.parametrize("student, on", DAYS)
@pytest.mark.parametrize("reader", READERS)
def test_whole_letters(student, on, reader, course, records, answered):
    text = tell(reader, answered(student, on), course, records[student])
    path = Path(__file__).parent / "letters" / f"{student}-{on}-{reader}.txt"
    if os.environ.get("UPDATE_GOLDEN") == "1":
        path.write_text(text, encoding="utf-8", newline="\n")
    assert text == path.read_text(encoding="utf-8")


def test_every_kept_letter_is_looked_at():
    names = {f"{student}-{on}-{reader}" for student, on in DAYS for reader in READERS}
    assert {path.stem for path in (Path(__file__).parent / "letters").glob("*.txt")} == names


def test_no_avoided_word_no_promise_and_nothing_said_of_people(letters):
    for about, (_, draft) in letters.items():
        text = " ".join(own_words(draft))
        assert not AVOIDED_WORDS.search(" ".join(draft.sentences)), about
        assert not re.search(r"\bwill be\b", text), about
        assert not SAID_OF_PEOPLE.search(text), about
        assert "None" not in text, about


def test_a_child_hears_one_or_two_short_sentences_and_no_verdict_and_no_count(letters):
    for (student, day, reader), (_, draft) in letters.items():
        if reader == "child" and student != "bogdan":
            assert 1 <= len(draft.sentences) <= 2, (student, day)
            assert max(len(sentence.split()) for sentence in draft.sentences) <= 30, (student, day)
            text = " ".join(draft.sentences)
            assert not VERDICTS.search(re.sub(r'"[^"]*"', "", text)), (student, day, text)
            assert not COUNTED.search(text), (student, day, text)


def test_a_family_reads_four_to_six_sentences_without_a_verdict_word(letters):
    for (student, day, reader), (_, draft) in letters.items():
        if reader == "family" and student != "bogdan":
            assert 4 <= len(draft.sentences) <= 6, (student, day, draft.sentences)
            text = " ".join(own_words(draft))
            assert not any(ENGLISH.verdict(one, 4, 2) in text for one in Verdict), (student, day)
            assert not COUNTED.search(text), (student, day, text)
            assert caution("C10") in draft.after


def test_a_family_letter_ends_calmly_and_says_when_we_look_again(letters):
    calm = {
        "There is no hurry.", "There is nothing else to prepare.", "Nothing has to be ready before then.",
    }
    for (student, day, reader), (answer, draft) in letters.items():
        if reader == "family" and student != "bogdan":
            assert draft.sentences[-1] in calm, (student, day)
            if answer.verdict in ("not-yet", "look-again"):
                assert any(one.startswith("We look again on ") for one in draft.sentences), (student, day)


def test_nobody_elses_name_stands_in_a_letter(letters, records):
    for (student, day, reader), (_, draft) in letters.items():
        others = [record.name for other, record in records.items() if other != student]
        text = " ".join((draft.title, *draft.sentences))
        assert not any(name in text for name in others), (student, day, reader)


def test_home_minutes_lie_inside_the_range_of_the_age(course, records):
    for record in records.values():
        for day in range(FIRST, LAST, 7):
            answer = judge(course, record, day)
            home = home_thing(course, record, answer)
            if answer.verdict == "paused":
                assert home is None
            else:
                assert home is not None
                assert home.minutes <= practice_range(course, answer)[1]


def test_under_a_hold_nobody_is_asked_to_play(course, records, answered):
    answer = answered("linnea", "2025-12-04")
    record = records["linnea"]
    family = " ".join(letter("family", answer, course, record).sentences)
    assert "no playing until it has been looked at by a doctor or another licensed clinician" in family
    assert "do not let Linnea play through it" in family
    assert "Tell me when you have advice" in family
    child = " ".join(letter("child", answer, course, record).sentences)
    assert child.startswith("Thank you for telling me. No playing for now")
    for reader in READERS:
        text = tell(reader, answer, course, record)
        assert "At home" not in text
        assert "wrist" not in text
        assert "concert" not in text
        assert "doubled" not in text


@pytest.mark.parametrize("part, voice", [("hand", True), ("voice", False), ("all", False)])
def test_a_sore_voice_is_not_used_either(part, voice, course, records):
    held = replace(records["linnea"], holds=(replace(records["linnea"].holds[0], part=part),))
    answer = judge(course, held, day_number("2025-12-04"))
    family = " ".join(letter("family", answer, course, held).sentences)
    assert ("rhythm by voice" in family) is voice
    for reader in ("child", "family"):
        text = " ".join(letter(reader, answer, course, held).sentences)
        assert ("no singing" in text) is not voice


def test_an_adult_is_told_plainly_and_the_family_nothing(course, records, answered):
    answer = answered("bogdan", "2025-12-05")
    student = " ".join(letter("child", answer, course, records["bogdan"]).sentences)
    assert student.startswith("You can go on to unit 12, More positions and transposing.")
    assert "Reading a four-bar bass line comes along and has to be there by unit 13." in student
    family = letter("family", answer, course, records["bogdan"])
    assert family.sentences == (
        "Bogdan is an adult.",
        "Nothing about the lessons goes to anybody else without the word of Bogdan.",
    )


def test_an_adult_under_a_hold(course, records):
    held = replace(records["bogdan"], holds=records["linnea"].holds)
    answer = judge(course, held, day_number("2025-12-05"))
    text = " ".join(letter("child", answer, course, held).sentences)
    assert "do not play until" in text
    assert "licensed clinician" in text
    assert "Do not play through it." in text


def test_a_sixteen_year_old_is_a_minor_without_the_tone_for_children(course):
    record = build_record(
        "x",
        {
            "format": 1,
            "name": "Ngozi",
            "born": "2009-05-01",
            "unit_start": [{"unit": "reading-intervals", "on": date(2025, 11, 1)}],
            "settled": [{"through": "staff-landmarks", "on": date(2025, 10, 30)}],
        },
        course,
    )
    answer = judge(course, record, day_number("2025-11-10"))
    assert answer.band == "adult"
    assert "is an adult" not in " ".join(letter("family", answer, course, record).sentences)
    assert "all on your own" not in " ".join(letter("child", answer, course, record).sentences)


def test_the_school_gets_facts_rule_basis_and_dates(course, records, answered, flat):
    record = replace(records["temwa"], consents={"share_school": True})
    text = flat(tell("school", answered("temwa", "2025-12-02"), course, record))
    assert "Temwa, 2 December 2025. Unit 3, Hand shape, fingers and wrist lifts: 3 lesson days" in text
    assert '"Keeps the hand rounded on the keys" and "Lifts the wrist" (2 of 3 days)' in text
    assert "Unit 4 stands directly on both." in text
    assert "Rule (band 4-5, common practice): different days needed: movements 3" in text
    assert "Basis: the teacher's lesson notes up to 2 December." in text
    assert "Next look 9 December; earliest possible move 9 December." in text


def test_without_consent_the_school_gets_no_name(letters):
    for (student, day, reader), (answer, draft) in letters.items():
        if reader == "school":
            assert answer.name not in " ".join(draft.sentences), (student, day)
            assert any("No consent" in line for line in draft.after)


def test_what_was_set_aside_is_named_to_nobody(course, records):
    aside = build_record("t", {
        "format": 1, "name": "Temwa", "born": "2020-05-14", "consents": {"share_school": True},
        "unit_start": [{"unit": "hand-shape-wrist", "on": date(2025, 11, 18)}],
        "settled": [{"through": "black-key-groups", "on": date(2025, 11, 11)}],
        "set_aside": [{"skill": "wrist-lift", "on": date(2025, 11, 18), "agreed_with": "family"}],
        "lesson": [{"on": date(2025, 11, 25), "alone": ["rounded-hand-keys"]}],
    }, course)  # fmt: skip
    answer = judge(course, aside, day_number("2025-12-02"))
    for reader in READERS:
        text = tell(reader, answer, course, aside).lower()
        assert not re.search(r"(lifts?|lifting) (the|your) wrist|aside", text)


@given(situations())
@settings(max_examples=40)
def test_made_up_students_get_letters_too(situation: Situation) -> None:
    asked = ask(situation)
    for reader in READERS:
        draft = letter(reader, asked.answer, asked.course, asked.record)
        assert all(sentence.endswith((".", '"', "!", "?")) for sentence in draft.sentences)
        assert "None" not in " ".join(draft.sentences)
        text = tell(reader, asked.answer, asked.course, asked.record, 60)
        assert max(map(len, text.splitlines())) <= 60
        if reader == "family" and asked.answer.age < 18:
            assert len(draft.sentences) <= 6


SKILLS_OF_THE_UNIT = re.compile(r"Of the (\d+) skills? of this unit, (.*?)\.(?: |$)")


def test_the_school_hears_settled_due_and_open_apart_and_they_add_up(letters, course):
    heard = set()
    for (_, _, reader), (answer, draft) in letters.items():
        found = SKILLS_OF_THE_UNIT.search(" ".join(draft.sentences)) if reader == "school" else None
        if found is None:
            continue
        asked = {*answer.deciding, *answer.rest}
        states = [answer.standings[one.id].state for one in course.skills if one.unit == answer.unit]
        assert int(found[1]) == len(
            [one for one in course.skills if one.unit == answer.unit and one.id in asked]
        )
        told = dict.fromkeys(("settled", "due", "open"), 0)
        for count, words in re.findall(r"(\d+) ([^,\d]*)", found[2]):
            told["due" if "due" in words else "open" if "open" in words else "settled"] = int(count)
        assert sum(told.values()) == int(found[1])
        assert told["due"] == states.count("stale") + states.count("wobbling")
        heard |= {what for what, count in told.items() if count}
    assert heard == {"settled", "due", "open"}


def test_after_a_break_the_school_does_not_hear_that_little_is_settled(course, records):
    answer = judge(course, records["noemi"], day_number("2025-12-02"))
    text = " ".join(tell("school", answer, course, records["noemi"]).split())
    assert "of this unit, 1 is settled and 8 were settled and are due for another look." in text
    assert "open" not in text


def decided(record, on, unit, starts, computed="ready"):
    """Return a record in which a move was decided."""
    day = day_number(on)
    return replace(
        record,
        decisions=(*record.decisions, Decision(day, unit, computed, "move")),
        unit_starts=(*record.unit_starts, UnitStart(starts, day)) if starts else record.unit_starts,
    )


def said(reader, course, record, on):
    return letter(reader, judge(course, record, day_number(on)), course, record).sentences


def test_after_a_decided_move_it_is_said_first_and_then_what_comes_next(course, records):
    record = decided(records["temwa"], "2025-12-09", "hand-shape-wrist", "arms-that-travel")
    for on in ("2025-12-09", "2025-12-12"):
        child = said("child", course, record, on)
        assert child[0] == 'You have moved on: now comes "Arms that travel".'
        assert child[1].startswith("Next time we try this together: ")
        family = said("family", course, record, on)
        assert family[0] == "Temwa has moved on to unit 4, Arms that travel, and I am glad about it."
        assert family[-2:] == ("The next lesson is on 16 December.", "There is no hurry.")
        assert 4 <= len(family) <= 6


def test_what_comes_along_after_a_move_is_told_as_something_on_the_way(course, records):
    record = decided(records["temwa"], "2025-12-02", "hand-shape-wrist", "arms-that-travel")
    family = " ".join(said("family", course, record, "2025-12-02"))
    assert "come along and are practised on the way: keeping the hand rounded on the keys" in family
    assert "Temwa keeps the hand rounded" not in family


def test_a_move_is_told_until_the_next_lesson(course, records):
    record = decided(records["temwa"], "2025-11-29", "hand-shape-wrist", "arms-that-travel")
    assert "moved on" in " ".join(said("child", course, record, "2025-11-30"))
    assert "moved on" not in " ".join(said("child", course, record, "2025-12-02"))
    stay = Decision(record.decisions[-1].on, "hand-shape-wrist", "", "stay")
    stayed = replace(record, decisions=(*record.decisions, stay))
    assert "moved on" not in " ".join(said("child", course, stayed, "2025-11-30"))


def test_a_start_that_was_decided_and_a_course_that_was_closed(course, records):
    unit = course.units[6].id
    placed = decided(records["rafiq"], "2025-12-04", unit, unit, "not-placed")
    child = said("child", course, placed, "2025-12-04")
    assert child[0] == 'We have found where you begin: now comes "White key names".'
    last = course.units[-1].id
    ended = decided(
        replace(records["linnea"], holds=(), unit_starts=(UnitStart(last, day_number("2025-11-20")),)),
        "2025-12-04", last, None,
    )  # fmt: skip
    family = said("family", course, ended, "2025-12-04")
    assert family[0] == "Linnea has come to the end of the course, and I am glad about it."


def test_a_held_child_hears_of_the_hold_first(course, records):
    record = decided(records["linnea"], "2025-12-04", "together-begins", course.units[-1].id)
    assert said("child", course, record, "2025-12-04")[0].startswith("Thank you for telling me. No playing")


def test_a_teenager_is_not_given_an_activity_for_small_children(course, records):
    small = replace(records["rafiq"], born=day_number("2020-01-01"))
    grown = replace(records["rafiq"], born=day_number("2011-06-01"))
    assert "paper foot shapes" in " ".join(said("family", course, small, "2025-12-02"))
    assert "paper foot shapes" not in " ".join(said("family", course, grown, "2025-12-02"))
    assert said("child", course, grown, "2025-12-02")[0].startswith("For now we start in")


def test_no_home_task_needs_somebody_who_can_play(course):
    for skill in course.skills:
        for age in (4, 14):
            assert "play to that" not in _activity(course, skill.id, age)
            assert "teacher" not in _activity(course, skill.id, age).lower()


def test_what_nobody_was_taught_yet_is_no_homework(course, records):
    moved_on = decided(records["temwa"], "2025-12-09", "hand-shape-wrist", "arms-that-travel")
    home = home_thing(course, moved_on, judge(course, moved_on, day_number("2025-12-09")))
    assert home is not None
    assert home.text == ""
