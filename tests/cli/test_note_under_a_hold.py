"""Playing that is noted while a hold is open: asked about once, kept, and never called progress."""

from __future__ import annotations

import json
import re
import shlex
import tomllib

import pytest

from readiness.cli import note as note_held
from readiness.days import day_number
from readiness.judging.history import known_on
from readiness.record import draft_entry as half_done
from readiness.record.load import load_record
from readiness.words.cautions import forbids_playing

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
    words = ("--alone", "wrist-lift,rounded-hand-keys", "--yes", *DAY)
    told = " ".join(say("note", "linnea", *words).out.split())
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


FORBID = (
    "doctor says: no playing until January", "she may not play yet", "don't play for a week",
    "must not be playing", "not allowed to play", "rest until Friday", "rest it for a week until then",
    "never play again", "no piano", "no puede tocar", "she says it still hurts a bit",
    "she still says it hurts", "not yet, doctor says wait", "she may listen only", "see the doctor on Friday",
    "it still hurts a lot", "it hurts", "hurts when she plays", "he had rest and it hurts",
    "maybe tomorrow", "asked the clinician, no answer so far", "has not seen a doctor",
    "the doctor hasn't called yet", "perhaps a little", "doctor says rest",
    "the doctor wants an x-ray",
    "No, still painful", "not before next week", "only listening for now", "rest for two weeks",
    "appointment on Monday", "must see a doctor first", "not to use her left hand for a week",
    "her arm is in a cast", "hand still weak", "the pain is getting better", "todavía le duele",
    "no", "Nein.", "not sure", "I do not know", "I don't know", "next week", "ask me on Friday",
    "she is crying", "the doctor will say on Friday", "rest two more days", "let her rest",
    "fine except the thumb", "not with the left hand",
)  # fmt: skip
ALLOW = (
    "fine", "no pain when playing", "may play again", "ten minutes at most, no octaves", "I want play",
    "she rested; play a little", "no pain any more", "does not hurt any more",
    "the doctor said she may play", "no longer sore", "hurts no more", "all well, the doctor had no worries",
    "saw the doctor on Friday, all well", "no need to wait", "she can't wait to play", "it stopped hurting",
    "the pain is gone", "pain free", "nothing hurts", "none of her fingers hurts",
    "no pain, numbness or swelling", "may play, stop if it hurts", "she waited a week and is well",
    "let her play, call the doctor if it returns", "the hand was sore, now well", "ya no le duele",
    "had an appointment on Friday, all well", "it hurt last week, now fine", "no need to rest",
    "may play, the doctor sees her again next week", "she knows when to stop", "no worries",
)  # fmt: skip


def test_which_words_seem_to_forbid_playing():
    assert [words for words in FORBID if not forbids_playing(words)] == []
    assert [words for words in ALLOW if forbids_playing(words)] == []


@pytest.mark.parametrize(
    ("words", "forbid"), [*((w, True) for w in FORBID[::5]), *((w, False) for w in ALLOW[::7])]
)
def test_words_that_seem_to_forbid_playing_end_no_pause_unless_somebody_insists(words, forbid, linnea, say):
    before, ends = linnea.read_bytes(), ("resume", "linnea", "--by", "her mother", "--words", words, *DAY)
    said = say(*ends)
    assert (said.code == 2) is (linnea.read_bytes() == before) is forbid
    if forbid:
        (again,) = re.findall("`readiness (resume .*)`", said.err)
        assert shlex.split(again) == [*ends, "--yes"]
        said = say(*shlex.split(again))
    assert said.code == 0
    told = " ".join(said.out.split())
    assert told.startswith(f'WARNING: "{words}" seems not to allow playing yet.') is forbid
    assert told.count("`readiness undo linnea` pauses again.") == 1
    later = " ".join(say("why", "linnea", *DAY).out.split())
    assert ("These words may not allow playing yet" in later) is forbid is ("Play a small part" not in later)


@pytest.mark.parametrize("since", ["", "since = 2025-11-27\n"])
@pytest.mark.parametrize("on", ["2025-11-27", "2025-11-28"])
@pytest.mark.parametrize("how", ["1", "5"])
def test_what_is_said_of_a_note_is_what_the_rules_make_of_it(since, on, how, linnea, say, course):
    """Shown without help on the day it began it counts, as before it hurt; else under a pause not (R1a)."""
    text, opened = linnea.read_text(encoding="utf-8"), "opened = 2025-11-27\n"
    linnea.write_text(text.replace(opened, opened + since), encoding="utf-8")

    def counts():
        record = load_record(linnea, course).record
        known = known_on(course, record, day_number(on))
        kept = known.evidence(course.plan, known.band_on(course, day_number(on)))
        return any(day == day_number(on) for day, *_ in kept.get(course.plan.index["wrist-lift"], ()))

    assert not counts()
    told = " ".join(say("note", "linnea", how, "wrist-lift", "--on", on).out.split())
    began = on == "2025-11-27" and not since
    assert ("what is noted without help counts as shown before it hurt" in told) is began
    assert ("What is played during a pause does not count." in told) is not began
    assert counts() is (began and how == "1")
    ended = ("resume", "linnea", "--by", "mum", "--words", "well", "--on", "2025-12-04", "--json")
    assert (on in json.loads(say(*ended).out)["counts_now"]) is False
    if began:
        (out,) = re.findall("`readiness (correct [^`]*)`", told)
        assert say("undo", "linnea").code == 0
        assert say(*out.split()).code == 0
        assert not counts()


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
    assert "What is played during a pause does not count." in flat
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
