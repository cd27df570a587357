"""Playing that is noted while a hold is open: asked about once, kept, and never called progress."""

from __future__ import annotations

import json
import tomllib

import pytest

from readiness.cli import note as note_held
from readiness.record import draft_entry as half_done

DAY = ("--on", "2025-12-04")
PLAYED = ("note", "linnea", "--alone", "wrist-lift", *DAY)


@pytest.fixture
def linnea(studio, monkeypatch, say):
    """Return Linnea's file in a studio that is the current folder; she is paused since 27 November."""
    monkeypatch.chdir(studio)
    return studio / "students" / "linnea.toml"


@pytest.fixture
def press(monkeypatch):
    """Return a function that puts a terminal there and somebody who presses one key in it."""

    def key(letter):
        pressed = [letter]
        monkeypatch.setattr(note_held, "is_terminal", lambda: True)
        monkeypatch.setattr(note_held.Keys, "key", lambda self: pressed.pop())
        return pressed

    return key


def lessons(path):
    return len(tomllib.loads(path.read_text(encoding="utf-8"))["lesson"])


def test_without_a_terminal_it_is_noted_and_said_and_no_progress_is_told(linnea, say):
    before = lessons(linnea)
    said = say(*PLAYED)
    flat = " ".join(said.out.split())
    assert said.code == 0
    assert lessons(linnea) == before + 1
    assert flat.startswith("Linnea has been paused since 27 November: nothing is played until")
    assert "was noted. Stop playing now. Do not play through pain." in flat
    assert "what was played after it hurt does not count, now or later" in flat
    assert "(before: " not in flat
    assert "days" not in flat
    found = json.loads(say(*PLAYED, "--json").out)
    assert found["played_under_hold"] == ["wrist-lift"]
    assert found["verdict"] == "paused"


def test_at_a_terminal_it_is_asked_once_and_anything_but_y_keeps_it_for_later(linnea, say, press):
    before = linnea.read_bytes()
    for key in ("n", "\n", "", "q"):
        press(key)
        said = say(*PLAYED)
        assert "y note it as it was seen" in said.out
        assert "please stop now" in " ".join(said.out.split())
        assert "Kept for later, not noted yet." in said.out
    assert linnea.read_bytes() == before
    assert half_done.offered(linnea).helps == {"wrist-lift": 0}
    pressed = press("y")
    assert "Noted for Linnea" in say(*PLAYED).out
    assert pressed == []


def test_listening_and_telling_that_it_hurts_are_noted_without_a_question(linnea, say, press):
    pressed = press("n")
    said = say("note", "linnea", "--alone", "major-minor-ear, tells-when-it-hurts", *DAY)
    assert "Noted for Linnea" in said.out
    assert "top playing now" not in " ".join(said.out.split())
    assert pressed == ["n"]


def test_without_a_hold_nothing_is_asked(linnea, say, press):
    pressed = press("n")
    assert "Noted for Temwa" in say("note", "temwa", "--alone", "wrist-lift", *DAY).out
    assert pressed == ["n"]


def test_what_was_played_on_the_day_before_it_hurt_is_noted_without_a_question(linnea, say, press):
    say("pause", "temwa", "--words", "my thumb hurts", "--part", "hand", *DAY)
    pressed = press("n")
    said = say("note", "temwa", "--alone", "wrist-lift", *DAY)
    assert "Noted for Temwa" in said.out
    assert "Stop playing now." in " ".join(said.out.split())
    assert pressed == ["n"]
