"""``readiness today``: one screen for the evening."""

from __future__ import annotations

import json

import pytest

from readiness.days import day_number
from readiness.record.draft_entry import keep
from readiness.record.noting import NewLesson

HOLIDAY = '[[event]]\nname = "Half-term"\nfrom = 2025-11-28\nto = 2025-12-05\n'


@pytest.fixture
def here(studio, monkeypatch, say):
    monkeypatch.chdir(studio)
    return studio


def test_one_screen_says_who_comes_and_what_waits(here, say):
    said = say("today", "--on", "2025-12-02")
    assert said.code == 0
    assert len(said.out.splitlines()) <= 24
    flat = " ".join(said.out.split())
    assert "Temwa: look again first; Keeps the hand rounded on the keys. Noted." in flat
    assert "Chikondi, to Chikondi, no day was set: next time we start with this" in flat
    assert "Bogdan, ready since 28 November: `readiness decide bogdan move`" in flat
    assert "Not expected, and may not play: Linnea." in flat


def test_a_week_has_every_day_and_a_pause_is_not_overlooked(here, say):
    flat = " ".join(say("today", "--week", "--on", "2025-12-02").out.split())
    assert flat.startswith("2 December 2025 to 8 December")
    assert "4 December, Linnea: PAUSED, no playing." in flat
    found = json.loads(say("today", "--week", "--on", "2025-12-02", "--json").out)
    assert found["last"] == "2025-12-08"
    assert [one["on"] for one in found["comes"]] == sorted(one["on"] for one in found["comes"])


def test_the_next_day_with_a_lesson_is_found(here, say):
    found = json.loads(say("today", "--next", "--on", "2025-12-03", "--json").out)
    assert (found["on"], [one["student"] for one in found["comes"]]) == ("2025-12-04", ["linnea", "rafiq"])


def test_a_lesson_that_was_expected_and_not_noted_is_asked_about(here, say):
    path = here / "students" / "temwa.toml"
    text = path.read_text(encoding="utf-8")
    path.write_text(text[: text.rindex("[[lesson]]")], encoding="utf-8")
    told = " ".join(say("today", "--on", "2025-12-10").out.split())
    assert "Temwa, 9 December: did the lesson take place? `readiness note temwa --on 2025-12-09`" in told
    keep(path, NewLesson(day_number("2025-12-09"), {"wrist-lift": 1}))
    told = " ".join(say("today", "--on", "2025-12-10").out.split())
    assert "Temwa, 9 December: half entered, 1 with a reminder." in told
    say("note", "temwa", "1", "wrist-lift", "--on", "2025-12-09")
    (path.parent / ".temwa.half-done.json").unlink(missing_ok=True)
    for one in path.parent.glob(".temwa.half-done*"):
        one.unlink()
    assert "Temwa, 9 December" not in say("today", "--on", "2025-12-10").out


def test_a_lesson_that_did_not_take_place_is_said_and_is_no_lesson(here, say):
    path = here / "students" / "temwa.toml"
    text = path.read_text(encoding="utf-8")
    path.write_text(text[: text.rindex("[[lesson]]")], encoding="utf-8")
    why = say("why", "temwa", "--json", "--on", "2025-12-10").out
    note = ("note", "temwa", "--no-lesson", "--text", "ill", "--on", "2025-12-09")
    assert say(*note).code == 0
    told = " ".join(say("today", "--on", "2025-12-10").out.split())
    assert "Temwa, 9 December: no lesson, ill." in told
    assert "did the lesson take place? `readiness note temwa" not in told
    (row,) = json.loads(say("today", "--on", "2025-12-10", "--json").out)["not_noted"][-1:]
    assert (row["student"], row["no_lesson"]) == ("temwa", True)
    assert say("why", "temwa", "--json", "--on", "2025-12-10").out == why
    assert say("undo", "temwa").code == 0
    assert "or --no-lesson" in say("today", "--on", "2025-12-10").out
    before = path.read_bytes()
    for words in (("1", "wrist-lift"), ("--on", "2025-12-02"), ("--on", "2099-12-02"), ("--cue", "feet")):
        assert say(*note[:3], *words).code == 2, words
    assert path.read_bytes() == before


def test_what_ends_is_said_and_nobody_comes_in_the_holidays(here, say):
    with (here / "studio.toml").open("a", encoding="utf-8") as file:
        file.write("term_end = 2025-12-19\n" + HOLIDAY)
    told = say("today", "--on", "2025-12-03").out
    assert "Half-term: 5 December." in told
    assert "Temwa:" not in told
    assert "The term: 19 December." in say("today", "--on", "2025-12-08").out


def test_whose_file_cannot_be_read_is_named_first_and_the_page_for_the_pocket_counts_them(here, say):
    with (here / "students" / "temwa.toml").open("a", encoding="utf-8") as file:
        file.write("x = [\n")
    told = say("today", "--on", "2025-12-02")
    assert told.code == 2
    assert told.out.startswith("Not known from temwa.toml: please ask before this student plays.\n")
    page = say("pocket", "--week", "--on", "2025-12-02").out
    assert "1 file cannot be read: ask before anybody plays who is not on this page." in page
    assert "temwa" not in page.lower()
