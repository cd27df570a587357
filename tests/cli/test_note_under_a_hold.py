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


def test_several_things_were_noted(linnea, say):
    told = " ".join(say("note", "linnea", "--alone", "wrist-lift,rounded-hand-keys", *DAY).out.split())
    assert '"Lifts the wrist" and "Keeps the hand rounded on the keys" were noted. Stop' in told


def test_what_was_noted_after_the_pause_had_ended_counts_and_that_is_said(linnea, say):
    """Whether the day was under the pause is known once it is said when it ended (rule R1a)."""
    say(*PLAYED)
    for ended, counts in (("2025-12-05", []), ("2025-12-03", ["2025-12-04"]), ("2025-12-04", ["2025-12-04"])):
        words = ("resume", "linnea", "--by", "her mother", "--words", "well again", "--on", ended)
        told = " ".join(say(*words).out.split())
        assert ("What was noted on 4 December counts now" in told) == bool(counts)
        assert ("Only if it was played too early" in told) == bool(counts)
        assert ("`readiness correct linnea --on 2025-12-04`" in told) == bool(counts)
        assert say("undo", "linnea").code == 0
        assert json.loads(say(*words, "--json").out)["counts_now"] == counts
        assert say("undo", "linnea").code == 0


@pytest.mark.parametrize(
    ("words", "forbid"),
    [
        *((one, True) for one in (
            "doctor says: no playing until January", "she may not play yet", "don't play for a week",
            "must not be playing", "not allowed to play", "rest until Friday",
            "rest it for a week until then", "never play again", "no piano", "no puede tocar",
            "she says it still hurts a bit",
        )),
        *((one, False) for one in (
            "fine", "no pain when playing", "may play again", "ten minutes at most, no octaves",
            "I want play", "she rested; play a little",
        )),
    ],
)  # fmt: skip
def test_words_that_seem_to_forbid_playing_are_answered_first(words, forbid, linnea, say):
    said = say("resume", "linnea", "--by", "her mother", "--words", words, *DAY)
    assert said.code == 0
    told = " ".join(said.out.split())
    assert told.startswith(f'WARNING: "{words}" seems not to allow playing yet.') is forbid
    assert told.count("`readiness undo linnea` pauses again.") == 1
    later = " ".join(say("why", "linnea", *DAY).out.split())
    assert ("These words may not allow playing yet" in later) is forbid is ("Play a small part" not in later)


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
