"""While a student is paused for care, every command about them says so first, and never why."""

from __future__ import annotations

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


def test_a_picture_that_leaves_the_house_says_nothing_of_it(hold, studio):
    hold("map", "--student", "linnea", "--out", "map.svg")
    assert "paused" not in (studio / "map.svg").read_text(encoding="utf-8")
