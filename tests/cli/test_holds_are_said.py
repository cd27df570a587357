"""While a student is paused for care, every command about them says so first, and never why."""

from __future__ import annotations

import re

import pytest

NOTICE = "Linnea has been paused since 27 November: nothing is played until an adult ends the pause."
DAY = ("--on", "2025-12-02")


@pytest.fixture
def hold(studio, monkeypatch, say):
    """Return a function that carries out a command in a studio where Linnea is paused."""
    monkeypatch.chdir(studio)

    def carry_out(*words):
        said = say(*words, *DAY)
        assert said.code in (0, 1), said.err
        return said

    return carry_out


@pytest.mark.parametrize(
    "words",
    [
        ("note", "linnea", "--alone", "major-minor-ear"),
        ("promise", "linnea"),
        ("promise", "linnea", "--give", "a call", "--to", "family"),
        ("promise", "--family", "castellanos"),
        ("task", "linnea"),
        ("plan", "linnea"),
        ("sheet", "linnea"),
        ("map", "--student", "linnea"),
        ("map", "--student", "linnea", "--out", "map.svg"),
        ("way", "linnea", "--to", "hands-together"),
        ("when", "linnea"),
    ],
)
def test_the_hold_is_said_in_the_same_words_and_never_its_cause(words, hold, studio):
    said = hold(*words)
    every = " ".join(f"{said.out} {said.err}".split())
    assert NOTICE in every, words
    for cause in ("right wrist", "sore", "doubled", "since Monday"):
        assert cause not in every, words


def test_answering_and_reporting_say_it_too(hold):
    hold("promise", "linnea", "--give", "a call", "--to", "family")
    assert NOTICE in " ".join(hold("promise", "linnea", "--answer", "1").out.split())


def test_it_goes_when_the_hold_is_closed(hold):
    hold("resume", "linnea", "--by", "her mother", "--words", "the clinician agrees")
    for words in (("promise", "linnea"), ("task", "linnea"), ("plan", "linnea"), ("sheet", "linnea")):
        assert "has been paused since" not in " ".join(hold(*words).out.split())


ADULT = "ten minutes at most, no octaves"


@pytest.mark.parametrize(
    "words",
    [
        ("why", "linnea"), ("plan", "linnea"), ("sheet", "linnea"), ("back", "linnea"), ("task", "linnea"),
        ("review", "linnea"), ("handover", "linnea"), ("tell", "linnea", "family"),
        ("season", "linnea", "--event", "2026-03-14"), ("decide", "linnea", "move", "--reason", "x"),
        ("decide", "linnea", "stay", "--reason", "x", "--json"),
        ("plan", "linnea", "--json"), ("sheet", "linnea", "--json"), ("back", "linnea", "--json"),
        ("handover", "linnea", "--json"), ("place", "rafiq"), ("sheet", "linnea", "--to", "page.html"),
        ("task", "linnea", "--give", "major-minor-ear", "--text", "softly", "--minutes", "2", "--days", "3"),
    ],
)  # fmt: skip
def test_what_the_adult_said_who_ended_it_stands_in_every_answer(words, hold, studio):
    hold("pause", "rafiq", "sore")
    for student in ("linnea", "rafiq"):
        hold("resume", student, "--by", "the mother", "--words", ADULT)
    said = hold(*words)
    page = studio / "page.html"
    every = f"{said.out} {page.read_text(encoding='utf-8') if page.exists() else ''}"
    assert ADULT in " ".join(every.split()), words


def test_who_comes_gently_is_on_the_list_of_the_day(hold, say):
    assert "Gently" not in say("today", "--on", "2025-12-04").out
    hold("resume", "linnea", "--by", "the mother", "--words", ADULT)
    told = " ".join(say("today", "--on", "2025-12-04").out.split())
    assert "Linnea: look again first" in told
    assert "Gently, after a pause." in told


def test_a_lesson_of_the_day_a_pause_ended_is_said_to_count_until_two_more_came(hold, say):
    """By R7 it counts, whichever came first that day; only the teacher knows which."""
    told = "The lesson of 2 December counts as one after it; if it came before the pause ended, wait for one"
    hold("pause", "temwa", "wrist sore")
    assert told not in " ".join(say("why", "temwa", "--on", "2025-12-02").out.split())
    hold("resume", "temwa", "--by", "the mother", "--words", ADULT)
    for on, is_told in (("2025-12-02", True), ("2025-12-09", True), ("2025-12-16", False)):
        say("note", "temwa", "--alone", "wrist-lift", "--on", on)
        assert (told in " ".join(say("why", "temwa", "--on", on).out.split())) == is_told, on


def test_a_remark_of_pain_is_in_the_letter_to_the_family(hold, say):
    hold("note", "temwa", "--alone", "wrist-lift", "--remark", "wrist-lift=left wrist sore")
    told = " ".join(hold("tell", "temwa", "family").out.split())
    assert "On 2 December I noted something that sounds as if it may hurt." in told
    assert "At home, " not in told
    assert 'What was noted may speak of something that hurts: "left wrist sore".' in told
    assert "wrist sore" not in told.partition("Before you use it")[0]
    told = " ".join(hold("handover", "temwa").out.split())
    assert "Ask first How is it today? If something hurts, nothing is played." in told
    child = " ".join(hold("tell", "temwa", "child").out.split())
    assert "Playing can wait until a grown-up has asked how you are." in child
    assert "Next time" not in child
    assert "Ask first how it is today. If something hurts: stop" in " ".join(
        hold("together", "temwa", "chikondi").out.split()
    )
    assert "Temwa. Note: Ask first how it is today. Look at:" in hold("ask", "look").out
    assert hold("roster").out.count("Ask first how it is today.") == 1
    coming = " ".join(say("today", "--week", "--on", "2025-12-03").out.split())
    assert coming.count("Ask first how it is today.") == 1
    hold("note", "chikondi", "--alone", "wrist-lift", "--remark", "wrist-lift=left wrist sore")
    assert "Ask first how it is today" in say("pocket", "--on", "2025-12-09").out
    hold("pause", "temwa", "left wrist sore")
    told = " ".join(hold("tell", "temwa", "family").out.split())
    assert "No playing or singing at home either, until" in told


def test_a_pause_for_the_wrong_child_is_taken_out_by_a_named_adult_on_that_day(hold, studio, say):
    say("pause", "temwa", "my thumb hurts")
    for words in ((), ("--by", "OB"), ("--by", "Temwa", "--why", "x"), ("--by", "I", "--why", "x")):
        assert say("undo", "temwa", *words).code == 2
    assert "It no longer counts" in say("undo", "temwa", "--by", "OB", "--why", "meant for Noemi").out
    file = (studio / "students" / "temwa.toml").read_text(encoding="utf-8")
    assert re.search(r"^# entered by mistake, says OB on [0-9-]+: meant for Noemi$", file, re.MULTILINE)
    assert 'words = "my thumb hurts"' in file
    assert "paused" not in hold("plan", "temwa").out
    say("pause", "temwa", "sore", "--on", "yesterday")
    assert "`readiness undo temwa --by NAME --why WORDS`" in " ".join(say("undo", "temwa").told.split())
    assert say("undo", "temwa", "--by", "OB", "--why", "meant for Noemi").code == 0
    say("pause", "temwa", "sore", "--on", "2025-12-01")
    assert say("undo", "temwa", "--by", "OB", "--why", "meant for Noemi").code == 2


def test_a_picture_that_leaves_the_house_says_nothing_of_it(hold, studio):
    hold("map", "--student", "linnea", "--out", "map.svg")
    assert "paused" not in (studio / "map.svg").read_text(encoding="utf-8")


@pytest.mark.parametrize(
    "words", [("today",), ("roster",), ("why", "linnea"), ("handover", "linnea"), ("ask", "ready")]
)
@pytest.mark.parametrize("written", ["[[hold]]", "[[hodl]]", "[[ hold ]]", "[hold]"])
def test_a_file_that_cannot_be_read_hides_no_pause(words, written, studio, monkeypatch, say):
    """A mistake below it, or in the name of the table itself."""
    monkeypatch.chdir(studio)
    for student in ("linnea", "temwa"):
        file = studio / "students" / f"{student}.toml"
        text = file.read_text(encoding="utf-8").replace("[[hold]]", written)
        file.write_text(text + '\nbad = "\n', encoding="utf-8")
    said = say(*words, *DAY)
    assert said.code == 2
    told = "linnea.toml has a pause in it, which cannot be read now: no playing until you have looked."
    assert told in " ".join(said.err.split())
    assert "temwa.toml has a pause" not in said.err


@pytest.mark.parametrize(("remark", "is_told"), [("blue shoes", False), ("the wrist is sore", True)])
def test_only_what_may_speak_of_pain_is_said_to_be_noted_of_it(remark, is_told, say, tmp_path, monkeypatch):
    assert say("start", tmp_path / "new").code == 0
    monkeypatch.chdir(tmp_path / "new")
    assert say("enrol", "oda", "--name", "Oda", "--born", "2020-05", "--unit", "1", *DAY).code == 0
    assert say("note", "oda", "1", "high-low-s", "--remark", f"high-low-s={remark}", *DAY).code == 0
    told = " ".join(say("why", "oda", *DAY).out.split())
    assert ("Tells when something hurts or tires words noted on 2 December" in told) is is_told
