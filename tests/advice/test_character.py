"""What a skill is like in a lesson, over the skills of the shipped courses."""

from __future__ import annotations

from dataclasses import replace

import pytest

from readiness.advice.skill_traits import may_be_done, works

# Looked over by hand: listening, pointing and naming alone; nothing at the keys, nothing sung, no work of
# the hands. Common practice, no source.
SPOKEN = {
    "tells-two-from-three", "counts-groups", "names-arm-parts", "words-high-loud-fast", "letters-forward",
    "letters-backward", "names-any-white-key", "metre-signs", "line-or-space", "staff-and-clefs",
}  # fmt: skip
SILENT = {
    "bench-height-check", "tells-when-it-hurts", "high-low-sound", "middle-of-keyboard", "loud-soft-sound",
    "long-short-sound", "home-set-up", "up-down-same-ear", "follows-number-row", "interval-ear",
    "major-minor-ear",
}  # fmt: skip


def test_under_a_hold_of_the_hand_only_listening_pointing_and_naming_is_left(course):
    assert {skill.id for skill in course.skills if may_be_done(skill, "hand")} == SPOKEN | SILENT


@pytest.mark.parametrize("part", ["voice", "all"])
def test_a_sore_voice_rules_out_singing_and_speaking(course, part):
    assert {skill.id for skill in course.skills if may_be_done(skill, part)} == SILENT


def test_no_word_of_a_skill_decides_whether_it_is_safe(course):
    listening = course.skill["high-low-sound"]
    drumming = replace(listening, shown_when="Drums along hard on the table.", quiet=False, uses=("hand",))
    assert not may_be_done(drumming, "hand")
    renamed = replace(course.skill["tells-when-it-hurts"], name="Sign", shown_when="Gives it, 3 of 3.")
    assert renamed.asks_pain
    assert renamed.quiet


def test_every_movement_works_a_part_of_the_body(course):
    motor = [skill for skill in course.skills if skill.kind == "motor" and not skill.always_look]
    assert all(works(skill, "all") and not skill.quiet for skill in motor)


def test_pieces_are_played_and_performing_for_people_is_no_favourite(course):
    pieces = {skill.id for skill in course.skills if skill.piece}
    assert {"free-black-key-piece", "piece-one-hand", "white-key-piece", "c-piece-separate"} <= pieces
    assert not pieces & {"plays-for-one-listener", "performs-two-pieces", "shares-programme"}
