"""Whole texts of the two students who take piano and singing."""

from __future__ import annotations

from pathlib import Path

import pytest
from pinned import hold_against

from readiness.days import day_number
from readiness.judging import judge
from readiness.studio.find import find_studio
from readiness.studio.load import load_studio
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
    assert "The voice rests since 27 November" in text
    assert "races" not in text


def test_the_singing_text_says_what_carries_over(demo_folder):
    text = " ".join(told(demo_folder, "dario", "voice").split())
    assert 'Shared with "First two years at the piano"' in text
    assert "Echoes a four-beat clap" in text


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
