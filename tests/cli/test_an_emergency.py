"""Somebody says that something hurts: nothing that is wrong elsewhere stands in the way."""

from __future__ import annotations

import json
import tomllib
from itertools import permutations

import pytest

from readiness.cli.commands import Exit
from readiness.record import draft_entry as half_done

DAY = ("--on", "2025-12-02")
PAUSE = ("pause", "temwa", "my", "thumb hurts", "--part", "hand", *DAY)


@pytest.fixture
def here(studio, monkeypatch, say):
    """Return a studio, which is the current folder, with a course of its own to break."""
    course = studio / "course"
    named = tomllib.loads((studio / "studio.toml").read_text(encoding="utf-8"))["course"]
    course.mkdir()
    for name in ("graph.toml", "pacing.toml"):
        (course / name).write_bytes((studio / named / name).read_bytes())
    (studio / "studio.toml").write_text(
        'format = 1\nname = "Own"\ncourse = "course"\nstudents = "kids"\n', encoding="utf-8"
    )
    (studio / "students").rename(studio / "kids")
    monkeypatch.chdir(studio)
    return studio


def _break(path):
    path.write_text("what is this\n" + path.read_text(encoding="utf-8"), encoding="utf-8")


def _break_value(path):
    path.write_text("colour = 1\n" + path.read_text(encoding="utf-8"), encoding="utf-8")


ELSEWHERE = {
    "pacing": lambda here: _break(here / "course" / "pacing.toml"),
    "a number of pacing": lambda here: _break_value(here / "course" / "pacing.toml"),
    "graph": lambda here: _break(here / "course" / "graph.toml"),
    "no course": lambda here: (here / "course" / "graph.toml").unlink(),
    "another student": lambda here: _break(here / "kids" / "noemi.toml"),
    "studio.toml": lambda here: _break(here / "studio.toml"),
    "a skill nobody knows": lambda here: (here / "kids" / "temwa.toml").write_text(
        (here / "kids" / "temwa.toml").read_text(encoding="utf-8")
        + '\n[[lesson]]\non = 2025-11-30\nalone = ["no-such-skill"]\n',
        encoding="utf-8",
    ),
}


@pytest.mark.parametrize("wrong", ELSEWHERE)
def test_a_mistake_elsewhere_does_not_hinder_a_pause(wrong, here, say):
    ELSEWHERE[wrong](here)
    said = say(*PAUSE)
    assert said.code == 0, said.err
    flat = " ".join(said.out.split())
    assert flat.startswith("Paused: Temwa, from 2 December 2025 (hand and arm). Stop playing")
    kept = tomllib.loads((here / "kids" / "temwa.toml").read_text(encoding="utf-8"))["hold"][-1]
    assert (kept["words"], kept["part"]) == ("my thumb hurts", "hand")


def test_a_course_folder_that_is_gone_does_not_hinder_it_either(here, say):
    (here / "course").rename(here / "away")
    assert say(*PAUSE).code == 0
    assert say("pause", "Noemi", "--words", "sore", *DAY).code == 0


@pytest.mark.parametrize("mistake", [_break, _break_value])
def test_with_a_mistake_in_the_students_own_file_the_hold_is_kept_at_its_end(mistake, here, say):
    path = here / "kids" / "temwa.toml"
    whole = path.read_text(encoding="utf-8")
    mistake(path)
    broken = path.read_text(encoding="utf-8")
    said = say(*PAUSE)
    assert said.code == 0
    assert "Stop playing now. Do not play through pain." in " ".join(said.out.split())
    assert "temwa.toml:1:" in said.err
    assert "the pause is kept at the end of temwa.toml." in said.told
    after = path.read_text(encoding="utf-8")
    assert after.startswith(broken)
    path.write_text(after.replace(broken, whole), encoding="utf-8")
    assert json.loads(say("why", "temwa", *DAY, "--json").out)["verdict"] == "paused"


@pytest.mark.parametrize(
    "words",
    [
        ("pause", "nobody", "--words", "sore"),
        ("pause", "temwa", "--words", " "),
        ("pause", "temwa"), ("pause", "temwa", "sore", "--part", "wrist"),
        ("pause", "temwa", "--words", "sore", "--on", "2199-01-01"),
    ],
)
def test_what_cannot_be_kept_is_said_with_what_comes_first(words, here, say):
    before = {path: path.read_bytes() for path in (here / "kids").iterdir()}
    said = say(*words)
    assert said.code == Exit.WRONG
    assert "Stop playing now. Tell the family the same day." in said.told
    assert {path: path.read_bytes() for path in (here / "kids").iterdir()} == before


def test_tomorrow_is_not_last_year(here, say):
    """A day without its year that lies nearly a year back was a slip, and nobody would see it later."""
    with (here / "studio.toml").open("a", encoding="utf-8") as file:
        file.write("today = 2025-12-02\n")
    said = say("pause", "noemi", "sore", "--on", "3.12.")
    assert said.code == Exit.WRONG
    assert '"3.12." is tomorrow' in said.told
    assert "Stop playing now." in said.told
    promised = say("promise", "noemi", "--to", "her mother", "--text", "a song", "--on", "3.12.")
    assert promised.code == Exit.WRONG
    assert "[[hold]]" not in (here / "kids" / "noemi.toml").read_text(encoding="utf-8")


# noting


def _mend(path):
    path.write_text(path.read_text(encoding="utf-8").partition("\n")[2], encoding="utf-8")


NOTE = (
    "note", "temwa", "--alone", "wrist-lift, Feet supported", "--cue", "same-as-before",
    "--remark", "wrist-lift=sore afterwards", "--text", "a short one", *DAY,
)  # fmt: skip


@pytest.mark.parametrize("where", ["course/pacing.toml", "course/graph.toml", "kids/temwa.toml"])
def test_what_cannot_be_noted_is_kept_half_entered_and_understood_later(where, here, say, course):
    temwa = here / "kids" / "temwa.toml"
    before = temwa.read_bytes()
    _break(here / where)
    said = say(*NOTE)
    assert said.code == Exit.WRONG
    kept = half_done.half_done_path(temwa)
    assert f"Not noted yet, but kept as you typed it, for 2 December 2025, in {kept}." in said.told
    assert "`readiness note temwa` goes on with it" in said.told
    assert "`readiness pause temwa` keeps everything without playing" in said.told
    _mend(here / where)
    assert temwa.read_bytes() == before
    lesson = half_done.understood(course, half_done.offered(temwa))
    assert lesson.helps == {"wrist-lift": 0, "feet-supported": 0}
    assert lesson.remarks == {"wrist-lift": "sore afterwards"}
    assert lesson.note == "a short one; same-as-before: cue"


def test_two_notes_of_one_day_are_kept_together_and_another_day_never_writes_over_them(here, say):
    _break(here / "course" / "pacing.toml")
    say("note", "temwa", "--alone", "wrist-lift", *DAY)
    say("note", "temwa", "--cue", "feet-supported", "--text", "well", *DAY)
    other = say("note", "temwa", "--alone", "sings-up-down", "--on", "2025-12-03")
    assert "a lesson of 2025-12-02 is kept there already" in other.told
    assert "Please write it down and note it later." in other.told
    lesson = half_done.offered(here / "kids" / "temwa.toml")
    assert (lesson.helps, lesson.note) == ({"wrist-lift": 0, "feet-supported": 1}, "well")


def test_what_was_kept_is_gone_once_the_same_is_noted_and_stays_beside_anything_else(here, say):
    typed = ("note", "temwa", "--alone", "wrist-l", "--text", "well")
    _break(here / "kids" / "temwa.toml")
    say(*typed, *DAY)
    _mend(here / "kids" / "temwa.toml")
    assert say("note", "temwa", "--alone", "feet-supported", *DAY).code == 0
    assert half_done.offered(here / "kids" / "temwa.toml").note == "well"
    assert say(*typed, *DAY).code == 0
    assert half_done.offered(here / "kids" / "temwa.toml") is None


def test_with_nothing_typed_only_the_mistake_is_told(here, say):
    _break(here / "course" / "pacing.toml")
    said = say("note", "temwa", *DAY)
    assert said.code == Exit.WRONG
    assert "kept as you typed it" not in said.told
    assert half_done.offered(here / "kids" / "temwa.toml") is None


ORDERS = [
    [word for part in parts for word in part]
    for parts in permutations((["temwa"], ["my", "thumb hurts"], ["--part", "hand"], [*DAY]))
    if parts.index(["temwa"]) < parts.index(["my", "thumb hurts"])
]


@pytest.mark.parametrize("words", ORDERS, ids=" ".join)
def test_in_whatever_order_it_is_typed_the_pause_is_kept(words, here, say):
    said = say("pause", *words)
    assert said.code == 0, said.err
    assert 'opened = 2025-12-02\nwords = "my thumb hurts"\npart = "hand"' in (
        here / "kids" / "temwa.toml"
    ).read_text(encoding="utf-8")


def test_an_option_that_is_not_there_says_what_comes_first(here, say):
    said = say("pause", "temwa", "hurts", "--finger", *DAY)
    assert said.code == Exit.WRONG
    assert "Stop playing now" in " ".join(said.err.split())


BESIDE = (*((one, "temwa") for one in ("why", "plan", "handover", "sheet")), ("today",), ("roster",))


@pytest.mark.parametrize("command", BESIDE, ids=" ".join)
def test_a_pause_typed_and_not_kept_is_told_beside_every_answer_until_there_is_one(command, here, say):
    words = half_done.FormWords(here / "kids" / "temwa.toml", "pause")
    words["words",] = "my thumb"
    assert words.keep() is None
    begun = "somebody began a pause of Temwa on the screens and did not keep it"
    assert begun in " ".join(say(*command, *DAY).told.split())
    assert begun not in say("why", "noemi", *DAY).told
    assert say(*PAUSE).code == 0
    assert begun not in " ".join(say(*command, *DAY).told.split())


def test_at_a_terminal_the_words_of_a_pause_are_asked_for(here, say, monkeypatch):
    monkeypatch.setattr("readiness.cli.entries.is_terminal", lambda: True)
    monkeypatch.setattr("builtins.input", lambda _: "my thumb aches")
    said = say("pause", "temwa", *DAY)
    assert said.code == 0
    assert 'words = "my thumb aches"' in (here / "kids" / "temwa.toml").read_text(encoding="utf-8")


def test_of_an_adult_who_is_paused_already_no_family_is_told(here, say):
    born = (here / "kids" / "temwa.toml").read_text(encoding="utf-8").replace("2020-", "1970-")
    (here / "kids" / "temwa.toml").write_text(born, encoding="utf-8")
    assert say("pause", "temwa", "thumb", *DAY).code == 0
    told = say("pause", "temwa", "still sore", *DAY).told
    assert "Stop playing now." in told
    assert "family" not in told
