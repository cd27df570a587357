"""Whole texts of the two students who take piano and singing."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path
from shutil import copytree

import pytest
from pinned import hold_against
from told import text_of

from readiness.advice.lesson import plan_lesson
from readiness.cli.main import main
from readiness.days import day_number
from readiness.judging import judge
from readiness.record.load import seen_from
from readiness.studio.find import find_studio
from readiness.studio.load import load_studio
from readiness.words.lesson import plan_sections
from readiness.words.letters import letter
from readiness.words.phrases import SOFTLY, Phrases
from readiness.words.why import tell_answer

GOLDEN = Path(__file__).parent / "golden_two"
NEVER = [
    line for line in (Path(__file__).parent / "avoided.txt").read_text(encoding="utf-8").splitlines()
    if line and not line.startswith("#")
]  # fmt: skip


def told(demo_folder, student, course):
    folder = demo_folder / "two-courses"
    studio = load_studio(find_studio(Path(course) if course else None, folder, folder, {}))
    record = studio.records[student]
    answer = judge(studio.course, record, day_number("2025-12-05"))
    return tell_answer(answer, studio.course, record, full=True)


@pytest.mark.parametrize("student", ["dario", "marit"])
@pytest.mark.parametrize("course", ["", "voice"])
def test_the_text(demo_folder, student, course):
    text = told(demo_folder, student, course)
    hold_against(GOLDEN / f"{student}-{course or 'piano'}-2025-12-05.txt", text)


def test_the_piano_text_says_that_the_voice_rests_and_repeats_nobodys_words(demo_folder):
    text = " ".join(told(demo_folder, "marit", "").split())
    assert "The voice has been resting since 27 November" in text
    assert "races" not in text


def test_the_singing_text_says_what_carries_over(demo_folder):
    text = " ".join(told(demo_folder, "dario", "voice").split())
    assert 'Shared with "First two years at the piano"' in text
    assert "a note of one lesson counts in both" in text


def test_under_a_hold_nothing_carries_on_singing(demo_folder):
    text = " ".join(told(demo_folder, "marit", "voice").split())
    assert "Paused: something hurts." in text
    assert "no singing" in text
    assert "Shared with" not in text
    assert "The one thing" not in text


def test_no_word_that_is_never_used(demo_folder, course_folder):
    texts = [told(demo_folder, s, c) for s in ("dario", "marit") for c in ("", "voice")]
    texts.append((course_folder.parent / "first-year-voice" / "graph.toml").read_text(encoding="utf-8"))
    for text in texts:
        low = text.lower()
        assert [word for word in NEVER if f" {word}" in low] == []


PAGES = ["why", "plan", "sheet", "season --event 2026-01-05", "back", "review", "when", "way --to 5"]


@pytest.mark.parametrize("page", PAGES)
def test_every_page_says_that_the_voice_rests(demo_folder, capsys, page):
    command, *more = page.split()
    main([command, "marit", *more, "--students", str(demo_folder / "two-courses")])
    assert "The voice has been resting since 27 November" in " ".join(capsys.readouterr().out.split())


def test_after_a_pause_of_the_voice_nothing_is_sung_but_softly(demo_folder):
    """Also what is only heard, where the way to it is sung; and nobody waits for one day alone then."""
    folder = demo_folder / "two-courses"
    studio = load_studio(find_studio(Path("voice"), folder, folder, {}))
    day, whole = day_number("2025-12-06"), studio.records["marit"].entire
    ended = replace(whole.holds[-1], closed=day - 1, closed_by="mother", closed_words="doctor says fine")
    record = seen_from(replace(whole, holds=(ended,)), studio.course)
    answer = judge(studio.course, record, day)
    plan = plan_lesson(studio.course, record, answer)
    told = " ".join(text_of(plan_sections, plan, Phrases(answer, studio.course, record)).split())
    assert f"voice slides first, then steps. {SOFTLY}" in told
    assert "lessons with singing" in " ".join(tell_answer(answer, studio.course, record).split())
    family = " ".join(letter("family", answer, studio.course, record).sentences)
    assert "voice slides" not in family
    assert "all we're waiting for" not in family
    assert "After the pause, two lessons come before the next unit begins." in family


def test_what_rests_has_no_date_and_nobody_is_told_to_stop_playing(demo_folder, capsys, tmp_path):
    folder = copytree(demo_folder / "two-courses", tmp_path / "two")
    file = folder / "studio.toml"
    courses = (demo_folder.parent / "skill_graphs").as_posix()
    text = file.read_text(encoding="utf-8").replace("../../skill_graphs", courses)
    file.write_text(text, encoding="utf-8")

    def said(*words):
        main([*words, "--students", str(folder)])
        return " ".join(capsys.readouterr().out.split())

    paused = said("pause", "dario", "scratchy", "--part", "voice", "--on", "2025-12-05")
    assert "Stop playing" not in paused
    assert "May play; the voice rests" in paused
    way = said("way", "dario", "--to", "3")
    assert 'No date until the pause in the other course is over: "Sings up and down by step".' in way
    assert "At the earliest" not in way
    everybody = said("ask", "all")
    assert "May not play nobody; Marit: may play; the voice rests" in everybody
    assert "stop playing" not in everybody
