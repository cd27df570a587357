"""Whole texts, as a teacher reads them."""

from __future__ import annotations

from pathlib import Path

import pytest
from pinned import hold_against
from told import text_of, what_if_text

from readiness.words.lists import roster_words
from readiness.words.reasons import reasons_outline

GOLDEN = Path(__file__).parent / "golden"

DAYS = (
    ("temwa", "2025-12-02"),
    ("temwa", "2025-12-09"),
    ("chikondi", "2025-12-02"),
    ("noemi", "2025-09-16"),
    ("noemi", "2025-12-02"),
    ("noemi", "2025-12-03"),
    ("noemi", "2025-12-17"),
    ("rafiq", "2025-12-02"),
    ("rafiq", "2025-12-04"),
    ("linnea", "2025-11-20"),
    ("linnea", "2025-12-04"),
    ("bogdan", "2025-12-02"),
    ("bogdan", "2025-12-05"),
)
"""The days of the worked answers, and the demo's own day."""

WHAT_IFS = (
    ("temwa", "2025-12-02", {"days_needed.motor": "2"}),
    ("temwa", "2025-12-02", {"show.wrist-lift": "cue"}),
    ("chikondi", "2025-12-02", {"accepts.motor": "cue"}),
    ("bogdan", "2025-12-05", {"carry_limit": "1"}),
)


@pytest.mark.parametrize("student, on", DAYS)
def test_answers(student, on, told):
    hold_against(GOLDEN / f"{student}-{on}.txt", told(student, on, full=False))


def test_all_of_an_answer(told):
    hold_against(GOLDEN / "temwa-2025-12-02-full.txt", told("temwa", "2025-12-02"))


def test_a_narrow_page(told):
    hold_against(GOLDEN / "temwa-2025-12-02-narrow.txt", told("temwa", "2025-12-02", 60, full=False))


@pytest.mark.parametrize("student, on, changes", WHAT_IFS)
def test_what_ifs(student, on, changes, course, records, answered):
    text = what_if_text(answered(student, on), course, records[student], changes)
    hold_against(GOLDEN / f"{student}-{on}-if-{'-'.join(changes)}.txt", text)


def test_the_tree_of_reasons(answered):
    text = text_of(reasons_outline, answered("temwa", "2025-12-02").findings)
    hold_against(GOLDEN / "temwa-2025-12-02-reasons.txt", text)


def test_the_roster(course, records, answered):
    answers = [answered(student, "2025-12-05") for student in records]
    hold_against(GOLDEN / "roster-2025-12-05.txt", text_of(roster_words, answers, course, full=False))


def test_every_kept_text_is_looked_at():
    names = {f"{student}-{on}" for student, on in DAYS}
    names |= {f"{student}-{on}-if-{'-'.join(changes)}" for student, on, changes in WHAT_IFS}
    names |= {"temwa-2025-12-02-narrow", "temwa-2025-12-02-reasons", "temwa-2025-12-02-full"}
    names |= {"roster-2025-12-05"}
    assert {path.stem for path in GOLDEN.glob("*.txt")} == names
