"""What a skill is like in a lesson, over the skills of the shipped course."""

from __future__ import annotations

import pytest

from readiness.planning.character import is_moving, is_piece, is_without_playing

# Looked over by hand: listening and naming alone, nothing at the keys, nothing with the hands, nothing sung.
WITHOUT_PLAYING = {
    "high-low-sound", "loud-soft-sound", "words-high-loud-fast", "letters-forward",
    "letters-backward", "metre-signs", "line-or-space", "staff-and-clefs", "interval-ear", "major-minor-ear",
}  # fmt: skip
WITH_THE_VOICE = {
    "words-high-loud-fast", "letters-forward", "letters-backward", "metre-signs", "line-or-space",
    "staff-and-clefs",
}  # fmt: skip


def test_only_listening_and_naming_is_done_without_playing(course):
    assert {skill.id for skill in course.skills if is_without_playing(skill, "hand")} == WITHOUT_PLAYING


@pytest.mark.parametrize("part", ["voice", "all"])
def test_a_sore_voice_rules_out_singing_and_speaking(course, part):
    found = {skill.id for skill in course.skills if is_without_playing(skill, part)}
    assert found == WITHOUT_PLAYING - WITH_THE_VOICE


def test_every_movement_moves_and_listening_is_quiet(course):
    assert all(is_moving(skill) for skill in course.skills if skill.kind == "motor")
    for skill in ("step-skip-ear", "high-low-sound", "staff-and-clefs", "letters-forward"):
        assert not is_moving(course.skill[skill])
    for skill in ("free-black-key-piece", "echo-clap-four", "finds-cde"):
        assert is_moving(course.skill[skill])


def test_pieces_are_played_and_performing_for_people_is_no_favourite(course):
    pieces = {skill.id for skill in course.skills if is_piece(skill)}
    assert {"free-black-key-piece", "piece-one-hand", "white-key-piece", "c-piece-separate"} <= pieces
    assert not pieces & {"plays-for-one-listener", "performs-two-pieces", "shares-programme"}
