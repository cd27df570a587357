"""``back``, ``changed``, ``together``, ``season`` and ``why --stuck`` as a person uses them."""

from __future__ import annotations

import json
import os
import re
import shutil
import subprocess
from pathlib import Path

import pytest

STUDENTS = ("bogdan", "chikondi", "linnea", "noemi", "rafiq", "temwa")
DAYS = ("2025-10-01", "2025-12-03")
WORDS = Path(__file__).parents[1] / "words" / "avoided.txt"
AVOIDED = re.compile(
    "|".join(
        rf"\b{re.escape(line)}"
        for line in (Path(__file__).parents[1] / "words" / "avoided.txt")
        .read_text(encoding="utf-8")
        .splitlines()
        if line and not line.startswith("#")
    ),
    re.IGNORECASE,
)


def questions(student, day):
    return (
        ("back", student, "--on", day),
        ("back", student, "--on", day, "--ahead", "2026-02-01", "2026-03-01"),
        ("changed", student, "--on", day, "--since", "2025-09-10"),
        ("season", student, "--on", day, "--event", "2026-02-14"),
        ("why", student, "--on", day, "--stuck"),
        ("together", student, "noemi" if student != "noemi" else "temwa", "--on", day),
    )


@pytest.mark.parametrize("student", STUDENTS)
@pytest.mark.parametrize("day", DAYS)
def test_every_text_is_kind_fits_and_promises_nothing(say, student, day):
    for words in questions(student, day):
        said = say(*words)
        assert said.code in (0, 1), words
        assert max(map(len, said.out.splitlines())) <= 80, words
        assert said.out.endswith("\n")
        assert not said.out.endswith("\n\n")
        assert not AVOIDED.findall(said.out), words
        assert "%" not in said.out, words
        assert not re.search(r"\bwill be\b|\bNone\b", said.out), words
        if words[0] != "together":
            others = [name.capitalize() for name in STUDENTS if name != student]
            assert not [name for name in others if name in said.out], words


@pytest.mark.parametrize("student", STUDENTS)
def test_every_answer_is_json_too(say, student):
    for words in questions(student, "2025-12-02"):
        said = say(*words, "--json")
        found = json.loads(said.out)
        assert found["format"] == 1
        assert found["on"] == "2025-12-02"


def test_no_playing_under_a_hold(say):
    for words in questions("linnea", "2025-12-02")[:5]:
        assert "Do not play through pain" in say(*words).out, words


def test_an_adult_is_not_spoken_to_as_a_child(say, course):
    own = {text for skill in course.skills for text in (*skill.remedies, skill.shown_when, skill.alternative)}
    for words in questions("bogdan", DAYS[1])[:5]:
        text = " ".join(say(*words).out.split())
        for one in own:
            text = text.replace(" ".join(one.split()), "")
        assert not re.search(r"\b(child|children|he|she|him|her)\b", text), words


@pytest.mark.parametrize(
    "words, told",
    [
        (("back", "temwa", "--ahead", "2025-11-01"), "after the day asked about"),
        (("back", "temwa", "--ahead", "2025-12-20"), "Please give the last day"),
        (("back", "temwa", "--ahead", "2025-12-20", "2025-12-10"), "before the last"),
        (("back", "temwa", "--ahead", "2025-12-20", "2025-12-30", "2026-01-01"), "nothing more"),
        (("changed", "temwa", "--since", "2025-12-02"), "a day before"),
        (("changed", "temwa", "--since", "the day before"), "takes a day"),
        (("changed", "temwa"), "--since"),
        (("together", "temwa", "Temwa"), "name two students"),
        (("season", "temwa", "--event", "2025-12-02"), "not after"),
        (("season", "temwa", "--event", "sharing aftrenoon"), "did you mean"),
        (("why", "temwa", "--stuck", "--reasons"), "one thing at a time"),
    ],
)
def test_what_cannot_be_asked_is_said_in_a_sentence(say, words, told):
    said = say(*words)
    assert said.code == 2
    assert told in said.told
    assert said.out == ""


def test_an_event_is_found_by_its_beginning(say):
    assert '"Sharing afternoon"' in say("season", "temwa", "--event", "sharing").out
    assert say("season", "temwa").out == say("season", "temwa", "--event", "2026-03-14").out


# the course as it was


@pytest.fixture
def own(studio, course_folder, monkeypatch):
    """Return the folder of a course of one's own in a studio of one's own."""
    folder = studio / "course"
    folder.mkdir()
    for name in ("graph.toml", "pacing.toml"):
        shutil.copy(course_folder / name, folder / name)
    text = (studio / "studio.toml").read_text(encoding="utf-8")
    (studio / "studio.toml").write_text(re.sub(r'course = ".*"', 'course = "course"', text), encoding="utf-8")
    return folder


def edit(folder, name="pacing.toml", old="motor = 3", new="motor = 4", more=""):
    path = folder / name
    text = path.read_text(encoding="utf-8")
    assert old in text
    path.write_text(text.replace(old, new, 1) + more, encoding="utf-8")


def asked(say, own, *words):
    return json.loads(say(
        "changed", "temwa", "--since", "2025-12-09", "--on", "2025-12-12", "--json", *words,
        "--course", own, "--students", own.parent / "students",
    ).out)  # fmt: skip


def test_a_copy_of_the_old_course(say, own, tmp_path):
    shutil.copytree(own, tmp_path / "old")
    edit(own)
    found = asked(say, own, "--old-course", tmp_path / "old")
    assert (found["before"], found["after"]) == ("ready", "look-again")
    assert found["restoring"] == [["numbers"]]
    assert found["earlier_course"] == "folder"


def test_a_copy_that_is_no_course_is_refused(say, own, tmp_path):
    (tmp_path / "old").mkdir()
    said = say("changed", "temwa", "--since", "2025-12-01", "--old-course", tmp_path / "old")
    assert said.code == 2
    assert "graph.toml" in said.told


def test_a_dated_change_tells_by_whom(say, own):
    edit(own, more='\n[[change]]\nband = "4-5"\nrule = "days_needed.motor"\nby = "KF"\non = 2025-12-11\n')
    found = asked(say, own)
    assert found["earlier_course"] == "notes"
    assert found["turns"] == [{"on": "2025-12-11", "verdict": "look-again"}]
    number = next(fact for fact in found["causes"][0]["facts"] if fact["id"] == "number")
    assert (number["before"], number["after"], number["by"]) == (3, 4, "KF")


def test_without_any_of_these_it_says_so(say, own):
    edit(own)
    found = asked(say, own)
    assert found["earlier_course"] == "not"
    assert found["before"] == found["after"]


git = pytest.mark.skipif(shutil.which("git") is None, reason="git is not here")


def commit(folder, day, words):
    env = {
        **{key: value for key, value in os.environ.items() if not key.startswith("GIT_")},
        "GIT_AUTHOR_DATE": f"{day}T12:00:00", "GIT_COMMITTER_DATE": f"{day}T12:00:00",
        "GIT_CONFIG_GLOBAL": os.devnull, "GIT_CONFIG_SYSTEM": os.devnull,
    }  # fmt: skip
    who = ("-c", "user.name=Odalys", "-c", "user.email=odalys@example.org")
    for command in (("init", "-q"), ("add", "."), (*who, "commit", "-q", "-m", words)):
        subprocess.run(["git", *command], cwd=folder, check=True, env=env, capture_output=True)


@git
def test_the_history_of_the_folder_tells_when_and_by_whom(say, own):
    commit(own, "2025-11-01", "The course")
    edit(own)
    commit(own, "2025-12-10", "One day more for movements")
    found = asked(say, own)
    assert found["earlier_course"] == "git"
    assert found["turns"] == [{"on": "2025-12-10", "verdict": "look-again"}]
    edits = [fact for fact in found["causes"][0]["facts"] if fact["id"] == "edit"]
    assert [(one["on"], one["by"], one["after"]) for one in edits] == [
        ("2025-12-10", "Odalys", "One day more for movements")
    ]


@git
def test_an_edit_not_yet_in_the_history_is_seen(say, own):
    commit(own, "2025-11-01", "The course")
    edit(own)
    found = asked(say, own)
    assert (found["earlier_course"], found["after"]) == ("git", "look-again")


@git
def test_a_history_that_begins_later_says_nothing(say, own):
    commit(own, "2025-12-10", "The course")
    assert asked(say, own)["earlier_course"] == "not"


@git
def test_a_course_based_on_another_has_the_history_of_both(say, own):
    based = own.parent / "variant"
    based.mkdir()
    (based / "graph.toml").write_text('format = 1\nname = "Own"\nbased_on = "../course"\n', encoding="utf-8")
    commit(own.parent, "2025-11-01", "Both courses")
    (based / "graph.toml").write_text(
        'format = 1\nname = "Own"\nbased_on = "../course"\n[skill.wrist-lift]\nmust_be_seen = true\n',
        encoding="utf-8",
    )
    commit(own.parent, "2025-12-10", "The wrist has to be seen itself")
    found = asked(say, based)
    assert found["earlier_course"] == "git"


def test_a_pause_and_a_decision_in_between_are_named_where_the_answer_is_the_same(say, studio, monkeypatch):
    monkeypatch.chdir(studio)
    say("pause", "temwa", "wrist hurts", "--on", "2025-12-03")
    say("resume", "temwa", "--by", "her mother", "--words", "all well", "--on", "2025-12-04")
    told = " ".join(say("changed", "temwa", "--since", "2025-12-02", "--on", "2025-12-03").out.split())
    assert "Nothing has changed" not in told
    say("decide", "temwa", "stay", "--on", "2025-12-04")
    told = " ".join(say("changed", "temwa", "--since", "2025-12-02", "--on", "2025-12-05").out.split())
    assert "Nothing has changed" not in told
    assert "a pause began on 3 December, a pause ended on 4 December and you decided to stay" in told
