"""The keyboard, and what the course says about it, held against music21 and mido.

Both know note names, scales and note numbers; neither knows the course. Middle C is C4 = 60.
"""

from __future__ import annotations

import re
import tomllib
from itertools import pairwise
from pathlib import Path
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from readiness.advice.skill_traits import USUAL_ENDS, KeyCounts, count_keys, expected_counts

OCTAVES = range(-1, 10)
ORDINALS = ("first", "second", "third", "fourth", "fifth")
COUNTS = ("no", "one", "two", "three", "four", "five", "six", "seven", "eight")
GROUP_OF_TWO = ("C#", "D#")  # common practice, no source
GROUP_OF_THREE = ("F#", "G#", "A#")  # common practice, no source

# keys, low, high, white, black, groups of two, groups of three, stray: counted with music21,
# pretty_midi and mido from the end notes. The end notes of 76, 61, 49 and 25 keys are those of public
# buying guides; of 73, 54, 44, 37 and 32 keys from memory; of 88, 85 and 64 common practice, no source.
INSTRUMENTS = [
    (88, "A0", "C8", 52, 36, 7, 7, 1),
    (85, "A0", "A7", 50, 35, 7, 6, 3),
    (76, "E1", "G7", 45, 31, 6, 6, 1),
    (73, "E1", "E7", 43, 30, 6, 6, 0),
    (73, "C1", "C7", 43, 30, 6, 6, 0),
    (64, "A1", "C7", 38, 26, 5, 5, 1),
    (61, "C2", "C7", 36, 25, 5, 5, 0),
    (54, "C2", "F6", 32, 22, 5, 4, 0),
    (49, "C2", "C6", 29, 20, 4, 4, 0),
    (44, "F3", "C7", 26, 18, 3, 4, 0),
    (37, "C3", "C6", 22, 15, 3, 3, 0),
    (37, "F3", "F6", 22, 15, 3, 3, 0),
    (32, "F3", "C6", 19, 13, 2, 3, 0),
    (25, "C3", "C5", 15, 10, 2, 2, 0),
]


def number(name: str, octave: int | None = None) -> int:
    """Return music21's note number of a name such as ``C4``, or of a letter in an octave."""
    from music21.pitch import Pitch

    note = Pitch(name)
    if octave is not None:
        note.octave = octave
    return int(note.ps)


@pytest.fixture(scope="module")
def black() -> frozenset[int]:
    """All black keys there can be, by their names."""
    names = (*GROUP_OF_TWO, *GROUP_OF_THREE)
    return frozenset(number(name, octave) for name in names for octave in OCTAVES)


@pytest.fixture(scope="module")
def groups() -> dict[tuple[str, ...], list[list[int]]]:
    """All groups there can be, by their names."""
    return {
        group: [[number(name, octave) for name in group] for octave in OCTAVES]
        for group in (GROUP_OF_TWO, GROUP_OF_THREE)
    }


@pytest.fixture(scope="module")
def skills(course_folder: Path) -> dict[str, Any]:
    return tomllib.loads((course_folder / "graph.toml").read_text(encoding="utf-8"))["skill"]


@pytest.mark.parametrize("printed", INSTRUMENTS, ids=lambda row: f"{row[0]} keys {row[1]}-{row[2]}")
def test_printed_counts(printed):
    keys, low, high, white, black, twos, threes, stray = printed
    ends = number(low), number(high)
    assert ends[1] - ends[0] + 1 == keys
    assert count_keys(*ends) == KeyCounts(twos, threes, stray, black, white)
    assert black == 2 * twos + 3 * threes + stray
    if keys in USUAL_ENDS:
        assert expected_counts(keys) == count_keys(*ends)


@given(st.tuples(st.integers(0, 127), st.integers(0, 127)).map(sorted))
def test_counts_by_name_agree_on_any_instrument(black, groups, ends):
    low, high = ends
    keys = set(range(low, high + 1))
    twos = sum(keys.issuperset(group) for group in groups[GROUP_OF_TWO])
    threes = sum(keys.issuperset(group) for group in groups[GROUP_OF_THREE])
    dark = len(keys & black)
    stray = dark - 2 * twos - 3 * threes
    assert count_keys(low, high) == KeyCounts(twos, threes, stray, dark, len(keys) - dark)


def test_usual_ends_fit_their_number_of_keys():
    for keys, (low, high) in USUAL_ENDS.items():
        assert high - low + 1 == keys
        assert expected_counts(keys) == count_keys(low, high)


@pytest.mark.parametrize("keys", [0, 1, 60, 87, 89, 128, -88])
def test_an_unusual_number_of_keys_has_no_expected_counts(keys):
    assert expected_counts(keys) is None


def test_a_note_that_mido_refuses_is_no_key():
    """MIDI 1.0: a note number has seven bits (from memory, as mido checks it)."""
    import mido

    for note in (-1, 0, 127, 128):
        if note in range(128):
            mido.Message("note_on", note=note)
            assert count_keys(note, note).black + count_keys(note, note).white == 1
        else:
            with pytest.raises(ValueError, match="0\\.\\.127"):
                mido.Message("note_on", note=note)
            with pytest.raises(ValueError, match="no keyboard"):
                count_keys(min(note, 60), max(note, 60))
    with pytest.raises(ValueError, match="no keyboard"):
        count_keys(61, 60)


def test_the_course_counts_to_the_most_groups_there_are(skills):
    """The count named for the youngest is that of the largest usual instrument."""
    most = [expected_counts(keys) for keys in USUAL_ENDS]
    largest = max(max(one.twos, one.threes) for one in most)
    assert f"counting to {COUNTS[largest]}" in skills["counts-groups"]["age_note"]


def test_middle_c_is_the_fourth_c_on_88_keys(skills):
    """C4 = 60 in music21 as in MIDI."""
    low, high = USUAL_ENDS[88]
    cs = [number("C", octave) for octave in OCTAVES]
    place = [c for c in cs if low <= c <= high].index(number("C4"))
    assert f"on 88 keys it is the {ORDINALS[place]}" in skills["finds-middle-c"]["remedies"][0]


@pytest.mark.parametrize(
    ("skill", "group", "letters"),
    [("finds-cde", GROUP_OF_TWO, "CDE"), ("finds-fgab", GROUP_OF_THREE, "FGAB")],
)
def test_the_letters_round_a_group_are_those_beside_its_keys(skills, skill, group, letters):
    black_keys = {number(name, 4) for name in group}
    beside = [letter for letter in "CDEFGAB" if {number(letter, 4) - 1, number(letter, 4) + 1} & black_keys]
    assert "".join(beside) == letters
    assert "".join(re.findall(r"\b[A-G]\b", skills[skill]["name"])) == letters


def test_five_note_patterns_are_those_of_the_scales(skills):
    """Whole, whole, half, whole in every major key; music21 says where the half step is."""
    from music21.scale import MajorScale, MinorScale

    def five(scale: Any, tonic: str) -> list[Any]:
        return scale(tonic).getPitches(f"{tonic}4")[:5]

    for tonic in ("C", "G", "F", "D", "A", "E", "B", "D-", "A-", "E-", "B-", "G-"):
        major = [int(note.ps) for note in five(MajorScale, tonic)]
        steps = "-".join({1: "half", 2: "whole"}[high - low] for low, high in pairwise(major))
        assert f"pattern {steps} on" in skills["five-note-builds"]["shown_when"]
        minor = [int(note.ps) for note in five(MinorScale, tonic)]
        [lower] = [at for at, (low, high) in enumerate(zip(minor, major, strict=True)) if low < high]
        assert f"Lower the {ORDINALS[lower]} note" in skills["major-minor-ear"]["remedies"][0]

    c_five = [note.name for note in five(MajorScale, "C")]
    assert "-".join(c_five + c_five[-2::-1]) in skills["c-five-note-pattern"]["shown_when"]
    for tonic, skill in (("C", "c-position-set"), ("G", "g-position-set")):
        notes = five(MajorScale, tonic)
        assert f"{tonic} to {notes[-1].name}" in skills[skill]["shown_when"]
        assert not any(note.alter for note in notes)


def test_two_pairs_of_white_neighbours_are_a_half_step_apart(skills):
    up = [*(number(letter, 4) for letter in "CDEFGAB"), number("C", 5)]
    close = sum(following - one == 1 for one, following in pairwise(up))
    activity = skills["half-whole-steps"]["remedies"][1]
    assert f"{COUNTS[close]} places where white neighbours are a half step apart" in activity


def test_landmarks_are_where_the_clefs_put_them(skills):
    """A clef names one line."""
    from music21 import clef
    from music21.pitch import Pitch

    for sign, skill in ((clef.TrebleClef(), "landmark-treble-g"), (clef.BassClef(), "landmark-bass-f")):
        line = Pitch()
        line.diatonicNoteNum = sign.lowestLine + 2 * (sign.line - 1)
        side = "above" if line.ps > number("C4") else "below"
        assert f"{line.step} {side} middle C" in skills[skill]["shown_when"]


def test_note_lengths_and_metres(skills):
    """Beats of notes and bars when the quarter is the beat."""
    from music21.duration import Duration
    from music21.meter import TimeSignature

    notes = Duration("half"), Duration("half", dots=1), Duration("whole")
    beats = "{:g}, {:g} and {:g}".format(*(float(note.quarterLength) for note in notes))
    assert f"half, dotted half and whole notes for {beats}" in skills["holds-long-notes"]["shown_when"]
    for sign in re.findall(r"\d/\d", skills["metre-signs"]["shown_when"]):
        assert TimeSignature(sign).barDuration.quarterLength == int(sign[0])
