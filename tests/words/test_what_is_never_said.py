"""What no text says, over the demo students on many days, what-ifs, and made-up studios."""

from __future__ import annotations

import re
from pathlib import Path

import pytest
from drawn import situations
from hypothesis import given, settings
from told import page_of, text_of

from readiness.days import day_number, iso
from readiness.judging import judge, what_if
from readiness.testing import Situation, ask
from readiness.words.cautions import CAUTIONS
from readiness.words.changes import compare_sections
from readiness.words.lists import roster_words
from readiness.words.phrases import Phrases
from readiness.words.why import tell_answer

AVOIDED = tuple(
    line
    for line in (Path(__file__).parent / "avoided.txt").read_text(encoding="utf-8").splitlines()
    if line and not line.startswith("#")
)
AVOIDED_WORDS = re.compile("|".join(rf"\b{re.escape(word)}" for word in AVOIDED), re.IGNORECASE)
PROMISED = re.compile(r"\bwill be\b", re.IGNORECASE)
FIRST, LAST = day_number("2025-09-01"), day_number("2026-02-10")
CHANGES = (
    {"carry_limit": "0"},
    {"carry_limit": "3"},
    {"days_needed.motor": "2"},
    {"accepts.motor": "cue"},
    {"fresh_weeks.fast": "1", "fresh_weeks.medium": "1"},
    {"show.wrist-lift": "not-shown"},
)


@pytest.fixture(scope="module")
def texts(course, records):
    """Return many texts about the demo students, by what they are about."""
    made = {}
    for student, record in records.items():
        for day in range(FIRST, LAST, 9):
            plain = judge(course, record, day)
            made[student, iso(day), ""] = tell_answer(plain, course, record)
            for change in CHANGES:
                changed, values = what_if(course, record, day, change)
                text = page_of(
                    compare_sections,
                    Phrases(plain, course, record),
                    changed,
                    course,
                    record,
                    values,
                )
                made[student, iso(day), str(change)] = text
                made[student, iso(day), f"told {change}"] = tell_answer(changed, course, record)
    for day in range(FIRST, LAST, 9):
        answers = [judge(course, record, day) for record in records.values()]
        made["roster", iso(day), ""] = text_of(roster_words, answers, course)
    return made


def test_no_avoided_word(texts):
    found = {about: AVOIDED_WORDS.findall(text) for about, text in texts.items()}
    assert {about: words for about, words in found.items() if words} == {}


def test_no_percent_and_no_promise(texts):
    for about, text in texts.items():
        assert "%" not in text, about
        assert not PROMISED.search(text), about


def test_no_avoided_word_in_the_cautions():
    assert [text for text in CAUTIONS.values() if AVOIDED_WORDS.search(text) or "%" in text] == []


def test_only_letters_signs_and_line_breaks(texts):
    for about, text in texts.items():
        assert all(letter.isprintable() or letter == "\n" for letter in text), about
        assert text.endswith("\n"), about
        assert not text.endswith("\n\n"), about


def test_no_other_student_is_mentioned(texts, records):
    names = {record.name for record in records.values()}
    for (student, day, change), text in texts.items():
        if student != "roster":
            others = names - {records[student].name}
            assert not [name for name in others if name in text], (student, day, change)


def test_adults_are_not_spoken_to_as_children(texts, course):
    """The course's own texts may name children; ours may not."""
    own = {text for skill in course.skills for text in (*skill.remedies, skill.shown_when, skill.alternative)}
    own |= {unit.aim for unit in course.units}
    for (student, day, change), text in texts.items():
        if student == "bogdan":
            said = " ".join(text.split())
            for words in own:
                said = said.replace(" ".join(words.split()), "")
            assert not re.search(r"\b(child|children|little one|he|she|him|her)\b", said), (day, change)


@pytest.mark.parametrize("width", [60, 80, 100])
def test_no_line_is_wider_than_the_page(width, course, records):
    for record in records.values():
        for day in range(FIRST, LAST, 12):
            answer = judge(course, record, day)
            for text in (
                tell_answer(answer, course, record, width),
                text_of(roster_words, [answer], course, width=width),
            ):
                assert max(map(len, text.splitlines())) <= width


@given(situations())
@settings(max_examples=60)
def test_made_up_studios_are_told_too(situation: Situation) -> None:
    asked = ask(situation)
    text = tell_answer(asked.answer, asked.course, asked.record, 60)
    assert text == tell_answer(asked.answer, asked.course, asked.record, 60)
    assert max(map(len, text.splitlines())) <= 60
    assert not PROMISED.search(text)
    assert "None" not in text
    if asked.answer.verdict in ("not-yet", "look-again", "not-placed"):
        assert "Next lesson, " in text
