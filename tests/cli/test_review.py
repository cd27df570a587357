"""``review``: what to look at again soon, what was not seen lately, and what to do about either."""

from __future__ import annotations

import json

import pytest

NEW = 'format = 1\nname = "New"\nborn = "2018-03"\n'
PLACED = f'{NEW}\n[[unit_start]]\nunit = "c-position"\non = 2025-11-01\n'
SETTLED = f'{PLACED}\n[[settled]]\nthrough = "black-key-groups"\non = 2025-11-25\n'
HELD = f'{NEW}\n[[hold]]\nopened = 2025-11-20\nwords = "thumb sore"\n'


@pytest.fixture
def review(studio, monkeypatch, say):
    """Return what ``review`` says of a student with this file, on one line."""
    monkeypatch.chdir(studio)

    def ask(text, *words):
        (studio / "students" / "new.toml").write_text(text, encoding="utf-8")
        said = say("review", "new", "--on", "2025-12-02", *words)
        assert said.code == 0
        return " ".join(said.out.split())

    return ask


@pytest.mark.parametrize("text", [NEW, PLACED])
def test_with_no_lesson_and_nothing_secure_there_is_nothing_to_review(review, text):
    told = review(text)
    assert "No lesson is noted yet and nothing is secure, so there is nothing to review." in told


def test_with_no_lesson_but_units_settled_elsewhere_those_can(review):
    assert "Nothing needs a review by 15 December." in review(SETTLED)
    assert "to look at again. Enough for all of it" in review(SETTLED, "--days", "60")


def test_under_a_hold_nothing_is_to_be_looked_at(review):
    told = review(HELD)
    assert "New has been paused since 20 November: nothing is played or sung until" in told
    assert "sheet" not in told
    assert "thumb" not in told


def test_what_a_break_made_due_is_pointed_to_the_page_for_breaks(say):
    told = " ".join(say("review", "noemi").out.split())
    assert "Nothing more needs a review by 15 December." in told
    assert "81 skills secure before. That does not mean lost." in told
    assert "What to look at first in the next lesson, 2 December, today: `readiness back noemi`" in told


def test_without_a_break_the_same_page_says_what_is_due_in_the_next_lesson(say):
    told = " ".join(say("review", "chikondi", "--on", "2025-10-20").out.split())
    assert "What to look at first in the next lesson, 21 October: `readiness back chikondi`" in told
    assert "Lets the shoulders drop" in say("back", "chikondi", "--on", "2025-10-20").out
    told = " ".join(say("review", "chikondi").out.split())
    assert "All of them: `readiness back chikondi --full`" in told  # there is none to look at first
    assert "Not seen lately: of earlier units" in say("back", "chikondi", "--full").out


def test_nothing_late_says_nothing_about_it(say):
    assert "Not seen lately" not in say("review", "temwa").out


def test_its_former_name_is_understood(say):
    assert say("fading", "temwa").out == say("review", "temwa").out


@pytest.mark.parametrize("student", ["chikondi", "noemi", "temwa"])
def test_what_is_due_already_is_what_why_calls_due(say, student):
    due = set(json.loads(say("review", student, "--json").out)["due_already"])
    asked = json.loads(say("back", student, "--json").out)
    assert due == {one["skill"] for one in asked["due"] if not one["seen_again"]}
