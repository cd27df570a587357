"""Beside an answer: days that can hardly be, and what was changed since the day asked about."""

from __future__ import annotations

import shutil

import pytest

LESSON = '\n[[lesson]]\non = {}\nalone = ["rounded-hand-keys"]\n'
CHANGE = '\n[[change]]\nband = "4-5"\nrule = "carry_limit"\nby = "OB"\non = 2026-01-12\n'


@pytest.fixture
def here(studio, monkeypatch, say, course_folder):
    """Return the studio of one's own, with a course of its own."""
    monkeypatch.chdir(studio)
    shutil.copytree(course_folder, studio / "course")
    settings = studio / "studio.toml"
    own = settings.read_text(encoding="utf-8").replace(course_folder.as_posix(), "course")
    settings.write_text(own, encoding="utf-8")
    return studio


def append(path, text):
    path.write_text(path.read_text(encoding="utf-8") + text, encoding="utf-8")


@pytest.mark.parametrize(
    "day, told",
    [
        ("2024-12-05", "2024-12-05 is months away from every other lesson"),
        ("2199-01-05", "this lesson is dated 2199-01-05, which has not come yet"),
    ],
)
@pytest.mark.parametrize("words", ["why temwa", "why temwa --json", "sheet temwa", "roster"])
def test_a_day_that_can_hardly_be_is_named_beside_every_answer(day, told, words, say, here):
    assert told not in say(*words.split(), "--on", "2025-12-05").told
    append(here / "students" / "temwa.toml", LESSON.format(day))
    said = say(*words.split(), "--on", "2025-12-05")
    assert told in said.told
    assert told not in say("why", "rafiq", "--on", "2025-12-05").told
    assert told in " ".join(say("check").out.split())
    assert told in " ".join(say("check", "course", "--students", "students").out.split())


@pytest.mark.parametrize(
    "block, what",
    [
        ('settled]]\nthrough = "black-key-groups"', "settled block"),
        ('band_choice]]\nband = "6-7"', "band choice"),
        ('set_aside]]\nskill = "wrist-lift"', "agreement"),
    ],
)
def test_what_else_has_not_come_yet_is_named_too(block, what, say, here):
    append(here / "students" / "temwa.toml", f"\n[[{block}\non = 2199-01-05\n")
    assert f"this {what} is dated 2199-01-05" in say("why", "temwa", "--on", "2025-12-05").told


def test_an_old_day_says_what_was_changed_since(say, here):
    pacing = here / "course" / "pacing.toml"
    assert "Changed since" not in say("why", "temwa", "--on", "2025-12-05").told
    append(pacing, CHANGE)
    told = say("why", "temwa", "--on", "2025-12-05").told
    assert "5 December 2025 is answered with the course and the rules of today." in told
    assert "Changed since: carry_limit at age 4-5 (12 January 2026)." in told
    assert "Changed since" not in say("why", "temwa", "--on", "2026-01-12").told
    settings = here / "studio.toml"
    append(settings, "today = 2025-12-20\n")
    assert "Changed since" not in say("why", "temwa", "--on", "2025-12-05").told


def test_a_skill_that_was_retired_since_is_read_as_it_was_and_that_is_said(say, here):
    graph = here / "course" / "graph.toml"
    text = graph.read_text(encoding="utf-8")
    graph.write_text(
        text.replace("[skill.phrase-lift]\n", "[skill.phrase-lift]\nretired = 2026-03-01\n"), encoding="utf-8"
    )
    assert "retired = 2026-03-01" in graph.read_text(encoding="utf-8")
    assert "read as they were that day" in say("why", "temwa", "--on", "2025-12-05").told
    assert "read as they were" not in say("why", "temwa", "--on", "2026-03-01").told
