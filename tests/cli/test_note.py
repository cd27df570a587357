"""Noting, taking back and looking at what was shown, as a person types it."""

from __future__ import annotations

import json
import tomllib
from datetime import date

import pytest

from readiness.cli.commands import Exit


@pytest.fixture
def here(studio, monkeypatch, say):
    """Return the studio, as the current folder."""
    monkeypatch.chdir(studio)
    return studio


@pytest.fixture
def temwa(here):
    """Return one student's file."""
    return here / "students" / "temwa.toml"


DAY = ("--on", "2025-12-02")


def last_lesson(path):
    return tomllib.loads(path.read_text(encoding="utf-8"))["lesson"][-1]


def test_a_lesson_is_noted_with_few_letters_and_taken_back(temwa, say, left):
    before = temwa.read_bytes()
    said = say(
        "note", "temwa", "--alone", "wrist,rounded-hand-k", "--cue", "feet", "--model", "loose",
        "--hands-on", "distance", "--not-shown", "moves-n", "--not-tried", "sings", "--by", "OB",
        "--text", "good day", "--remark", "wrist=left sinks", "--on", "2025-12-10",
    )  # fmt: skip
    assert said.code == 0
    assert last_lesson(temwa) == {
        "on": date(2025, 12, 10),
        "alone": ["wrist-lift", "rounded-hand-keys"],
        "cue": ["feet-supported"],
        "model": ["loose-shoulders"],
        "hands_on": ["distance-set"],
        "not_shown": ["moves-named-finger"],
        "not_tried": ["sings-up-down"],
        "by": "OB",
        "note": "good day",
        "remarks": {"wrist-lift": "left sinks"},
    }
    flat = " ".join(said.out.split())
    assert "Noted for Temwa, 10 December 2025: 2 without help, 1 with a reminder, 1 after being shown" in flat
    assert "(temwa.toml:83)" in flat
    assert "(before: secure)" in flat
    assert "Touch only after asking, every time" in flat
    assert "After it: " in flat or "The verdict on 10 December 2025 is not changed by this" in flat
    assert "`readiness undo temwa` takes this back." in flat
    undone = say("undo", "temwa")
    assert undone.code == 0
    assert 'remarks = { wrist-lift = "left sinks" }' in undone.out
    assert left(temwa) == before.rstrip()
    again = say("undo", "temwa")
    assert again.code == Exit.WRONG
    assert "nothing was taken back" in again.told


def test_the_verdict_before_and_after_is_said(say, temwa):
    """Seventh day after the second showing: the third day makes both movements settled."""
    text = temwa.read_text(encoding="utf-8")
    temwa.write_text(text[: text.rindex("[[lesson]]")], encoding="utf-8")
    alone = "rounded-hand-keys,wrist-lift,sings-up-down,feet-supported"
    said = say("note", "temwa", "--alone", alone, "--on", "2025-12-09")
    flat = " ".join(said.out.split())
    assert '"Lifts the wrist": secure (before: 2 of 3 days).' in flat
    assert "Before this lesson: Look again first. After it: Ready for unit 4." in flat
    undone = say("undo", "temwa", "--json")
    found = json.loads(undone.out)
    assert (found["on"], found["verdict_before"], found["verdict"]) == ("2025-12-09", "ready", "look-again")


def test_note_as_json(say, temwa):
    said = say("note", "temwa", "--not-shown", "wrist-lift", "--on", "2025-12-10", "--json")
    assert json.loads(said.out) == {
        "format": 1,
        "student": "temwa",
        "on": "2025-12-10",
        "noted": {
            "alone": [], "cue": [], "model": [], "hands-on": [], "not-shown": ["wrist-lift"], "not-tried": [],
        },
        "line": 83,
        "played_under_hold": [],
        "verdict_before": "ready",
        "verdict": "look-again",
        "changed": {"wrist-lift": ["secure", "wobbling"]},
    }  # fmt: skip


def test_a_liking_taken_back_and_a_second_try_are_noted_and_shown(temwa, say):
    on = ("--on", "2025-12-02")
    assert say("note", "temwa", "--disliked", "sings-up", *on).code == 0
    assert say("note", "temwa", "--liked-again", "sings-up", "--tried-again", "wrist=slower", *on).code == 0
    last = tomllib.loads(temwa.read_text(encoding="utf-8"))["lesson"][-1]
    assert (last["liked_again"], last["tried_again"]) == (["sings-up-down"], {"wrist-lift": "slower"})
    shown = " ".join(say("shown", "temwa", *on).out.split())
    for words in ("not liked", "liked again", "tried again slower"):
        assert words in shown
    assert "Tried again slower, 2 December" in say("sheet", "temwa", *on).out


@pytest.mark.parametrize(
    "words, told",
    [
        (
            ["--alone", "wrsit-lift"],
            'there is no skill "wrsit-lift" in the course. Did you mean "wrist-lift"?',
        ),
        (["--alone", "reads"], '"reads" could be "Follows two rows for two hands" (reads-two-rows)'),
        (["7", "feet"], "7 is not a figure from 1 (without help) to 5 (not shown)."),
        (["1", "feet", "0", "zzz"], "0 is not a figure from 1 (without help) to 5 (not shown)."),
        (["--alone", "wrist", "--on", "2199-01-01"], "2199-01-01 has not come yet"),
        (["--alone", "wrist", "--on", "2020-05-13"], "2020-05-13 is before Temwa was born (2020-05-14)."),
        (["--alone", "wrist-lift,wrist"], '"wrist-lift" was entered twice'),
        (["--alone", "wrist", "--model", "wrist-lift"], '"wrist-lift" was entered twice'),
        (["--alone", "wrist", "--not-tried", "wrist"], '"wrist-lift" was entered twice'),
        (["--alone", "wrist", "--text", "a\x1bb"], "cannot be shown (U+001B)"),
        (["--alone", "wrist", "--by", "O\nB"], "cannot be shown (U+000A)"),
        (["--alone", "wrist", "--text", "a\udcffb"], "cannot be shown (U+DCFF)"),
        (["--alone", "wrist", "--remark", "wrist"], '--remark takes SKILL="a few words"'),
        (["--alone", "wrist", "--remark", "wrist=a", "--remark", "wrist-lift=b"], "has two remarks"),
        (["--tried-again", "wrist=slowly"], "the ways are slower, one-hand, shorter, on-the-lid, hand-away"),
        (["--disliked", "wrist", "--liked-again", "wrist"], "noted as not liked and as liked again"),
        (["--alone", " , "], "nothing was entered"),
        (["--by", "OB"], "nothing was entered"),
        ([], "nothing was entered"),
    ],
)
def test_a_slip_is_one_sentence_and_nothing_is_written(words, told, temwa, say):
    before = temwa.read_bytes()
    said = say("note", "temwa", *words)
    assert said.code == Exit.WRONG
    assert told in said.told
    assert said.out == ""
    assert temwa.read_bytes() == before


def test_all_slips_are_said_at_once(temwa, say):
    before = temwa.read_bytes()
    words = ("--alone", "wrist,nonsense-q", "--cue", "wrist", "--on", "2199-01-01", "--text", "\x07")
    said = say("note", "temwa", *words)
    for slip in ('no skill "nonsense-q"', '"wrist-lift" was entered twice', "2199-01-01", "U+0007"):
        assert slip in said.told
    assert temwa.read_bytes() == before


def test_a_word_about_the_lesson_is_enough(temwa, say):
    assert say("note", "temwa", "--text", "tired, we only sang", *DAY).code == 0
    assert last_lesson(temwa)["note"] == "tired, we only sang"


def test_what_fits_the_sheet_of_the_day_is_meant_first(say, here):
    """Many ids begin with c; one of them is on the sheet."""
    said = say("note", "noemi", "--alone", "c-piece", "--on", "2025-12-03", "--json")
    assert json.loads(said.out)["noted"]["alone"] == ["c-piece-separate"]


def test_a_lesson_noted_late_says_what_it_does_to_the_verdict_of_today(say, studio, monkeypatch):
    with (studio / "studio.toml").open("a", encoding="utf-8") as file:
        file.write("today = 2025-12-09\n")
    monkeypatch.chdir(studio)
    flat = " ".join(say("note", "temwa", "--hands-on", "wrist-lift", "--on", "2025-11-25").out.split())
    told = "Today, 9 December 2025. Before this note: Ready for unit 4. Now: Look again first."
    assert told in flat
    say("undo", "temwa")
    assert "Today" not in say("note", "temwa", "--alone", "feet-supported", "--on", "2025-12-09").out


def test_under_a_hold_a_note_can_be_made_and_the_hold_stays(say, here):
    said = say("note", "linnea", "--alone", "sit-tall-balanced", "--on", "2025-12-04")
    assert said.code == 0
    assert "is not changed by this: Paused: something hurts." in " ".join(said.out.split())


@pytest.mark.parametrize(
    "words",
    [
        ("note", "temwa", "--alone", "wrist-lift"), ("undo", "temwa"), ("decide", "temwa", "stay"),
        ("pause", "temwa", "--words", "x"), ("resume", "linnea", "--by", "M", "--words", "x"),
        ("task", "temwa", "--report", "1", "--days", "2"), ("promise", "temwa", "--answer", "1"),
        ("enrol", "mia", "--name", "Mia", "--born", "2019-05"), ("forget", "temwa", "--yes"),
    ],
    ids=lambda words: words[0],
)  # fmt: skip
def test_the_demo_that_nobody_named_is_not_written_to(words, say, demo_folder):
    before = {path: path.read_bytes() for path in demo_folder.glob("*.toml")}
    said = say(*words)
    assert said.code == Exit.WRONG
    assert "`readiness start DIR --with-demo` makes a copy of it that is yours" in said.told
    assert {path: path.read_bytes() for path in demo_folder.glob("*.toml")} == before


@pytest.mark.parametrize("words", [("task", "temwa"), ("promise", "temwa"), ("shown", "temwa")])
def test_looking_is_allowed_in_the_demo_too(words, say):
    assert say(*words).code == 0


def test_students_that_were_named_may_be_written_to(studio, say):
    said = say("note", "temwa", "--alone", "wrist-lift", "--students", studio / "students", *DAY)
    assert said.code == 0


def test_what_was_shown_with_its_help_and_what_it_changed(say, temwa):
    said = say("shown", "temwa", "--full", *DAY)
    assert said.code == 0
    assert "With a reminder\n  - Feet supported" in said.out
    flat = " ".join(said.out.split())
    assert "Lifts the wrist (wrist-lift): 2 of 3 days (before: 1 of 3 days)" in flat
    assert "is not changed by this: Look again first." in flat
    short = say("shown", "temwa", *DAY).out
    assert "With a reminder\n  - Feet supported\n" in short
    assert "as before, secure" not in short


def test_not_asked_and_not_shown_are_told_apart(say, temwa):
    say(
        "note",
        "temwa",
        "--not-shown",
        "wrist",
        "--not-tried",
        "feet",
        "--text",
        "tired",
        "--on",
        "2025-12-10",
    )
    said = say("shown", "temwa", "--on", "2025-12-11")
    assert "Not shown\n  - Lifts the wrist: secure, one off day (before: secure)" in said.out
    assert "Not asked\n  - Feet supported" in said.out
    assert "Remarks\n  - tired" in said.out
    found = json.loads(say("shown", "temwa", "--on", "2025-12-11", "--json").out)
    assert found["on"] == "2025-12-10"
    assert found["lessons"][0]["shown"] == {"wrist-lift": "not-shown"}
    assert found["lessons"][0]["not_tried"] == ["feet-supported"]
    assert found["changed"] == {"wrist-lift": ["secure", "wobbling"]}


def test_nothing_shown_yet(say, here):
    said = say("shown", "temwa", "--on", "2025-11-01")
    assert said.code == Exit.WRONG
    assert said.told == (
        "readiness: no lesson of Temwa is noted up to 1 November 2025. The first is of 18 November 2025: "
        "`readiness shown temwa --on 2025-11-18`"
    )


def test_what_changed_alike_is_said_once(say, studio):
    students = studio / "students"
    head = 'format = 1\nname = "Nil"\nborn = "2019-05"\n'
    head += '[[unit_start]]\nunit = "sitting-high-low"\non = 2025-12-01\n'
    (students / "nil.toml").write_text(head, encoding="utf-8")
    alone = "feet-supported,sit-tall-balanced,distance-set"
    said = say("note", "nil", "--on", "2025-12-02", "--alone", alone, "--students", students)
    flat = " ".join(said.out.split())
    assert flat.count("(before: not asked yet)") == 2  # habits need another number of days
    assert '"Sits tall and balanced" and "Finds the distance from the keys": 1 of' in flat


@pytest.mark.parametrize("words", [("alone", "feet"), ("feet", "alone"), ("1", "feet", "hands-on")])
def test_a_word_for_how_is_told_its_figure(studio, words, say, monkeypatch):
    monkeypatch.chdir(studio)
    told = " ".join(say("note", "temwa", *words).told.split())
    figure, name = ("4", "hands-on") if "hands-on" in words else ("1", "alone")
    assert f'"{name}" says how. Its figure comes before the skills: {figure} feet, or --{name} feet.' in told


def test_of_a_lesson_before_the_unit_it_is_said_where_the_day_of_the_unit_stands(here, say, flat):
    """Whoever is enrolled first and gets earlier lessons after it: the day of enrolling is not the start."""
    assert say("enrol", "oda", "--name", "Oda", "--born", "2020-05", "--unit", "1", *DAY).code == 0
    said = flat(say("note", "oda", "--alone", "feet", "--on", "2025-11-11").out)
    assert "Unit 1 began on 2 December 2025, says oda.toml, after this lesson." in said


def test_the_words_of_a_note_are_not_what_was_there_before_it(here, say):
    born = ("--name", "Yo", "--born", "2019-06", "--unit", "1", "--on", "2025-12-01")
    assert say("enrol", "yo", *born).code == 0
    for words in (("note", "yo", "1", "tells", "--text", "shy but happy"), ("shown", "yo", "--full")):
        told = " ".join(say(*words, "--on", "2025-12-02").out.split())
        assert "before: not asked yet" in told
        assert "words noted" not in told
