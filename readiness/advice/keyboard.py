"""How many black-key groups the instrument in use has.

A child counts the groups on the instrument that is there, and that is not always a piano of
88 keys. The counts follow from the two end notes alone. Where only the number of keys is
known, the usual end notes for that number are taken; a number that is not usual has no
expected counts, because guessing would make a right answer look wrong.

Notes are MIDI note numbers (middle C is 60), since octave names differ between makers.
"""

from __future__ import annotations

from collections.abc import Mapping
from types import MappingProxyType
from typing import Final

from readiness.lazy import dataclass

__all__ = ["USUAL_ENDS", "KeyCounts", "count_keys", "expected_counts", "single_keys"]

OCTAVE = 12
TWO: Final = (1, 3)
"""Half steps above C of the keys in a group of two."""
THREE: Final = (6, 8, 10)
"""Half steps above C of the keys in a group of three."""
LAST_NOTE = 127
_NAMES: Final = {1: "C sharp", 3: "D sharp", 6: "F sharp", 8: "G sharp", 10: "A sharp"}

USUAL_ENDS: Final[Mapping[int, tuple[int, int]]] = MappingProxyType(
    {
        88: (21, 108),  # A0 to C8
        85: (21, 105),  # A0 to A7
        76: (28, 103),  # E1 to G7
        73: (28, 100),  # E1 to E7; C1 to C7 is made too and has the same counts
        61: (36, 96),  # C2 to C7
        54: (36, 89),  # C2 to F6
        49: (36, 84),  # C2 to C6
        44: (53, 96),  # F3 to C7
        37: (48, 84),  # C3 to C6; F3 to F6 is made too and has the same counts
        32: (53, 84),  # F3 to C6
        25: (48, 72),  # C3 to C5
    }
)
"""The usual lowest and highest note by number of keys. Common practice, no source: makers
are free to choose, so the end notes of the instrument itself are always the better answer."""


@dataclass(frozen=True)
class KeyCounts:
    """What there is to count on an instrument.

    Attributes:
        twos, threes: complete groups of two and of three black keys.
        stray: black keys at an end whose group is cut off.
        black, white: all black and all white keys.
    """

    twos: int
    threes: int
    stray: int
    black: int
    white: int


def count_keys(low: int, high: int) -> KeyCounts:
    """Return the counts for an instrument from its lowest and highest note.

    Args:
        low: the lowest note, as a MIDI note number.
        high: the highest note; the same as ``low`` for an instrument of one key.

    Raises:
        ValueError: the notes are not between 0 and 127, lowest first.

    >>> count_keys(36, 96)
    KeyCounts(twos=5, threes=5, stray=0, black=25, white=36)
    """
    if not 0 <= low <= high <= LAST_NOTE:
        raise ValueError(f"no keyboard goes from note {low} to note {high}")
    keys = range(low, high + 1)
    twos, threes = _groups(keys, TWO), _groups(keys, THREE)
    black = sum(1 for key in keys if key % OCTAVE in TWO + THREE)
    stray = black - len(TWO) * twos - len(THREE) * threes
    return KeyCounts(twos, threes, stray, black, len(keys) - black)


def _groups(keys: range, group: tuple[int, ...]) -> int:
    """Return how many groups have all their keys on the instrument."""
    width = group[-1] - group[0]
    return sum(1 for key in keys if key % OCTAVE == group[0] and key + width in keys)


def single_keys(keys: int) -> tuple[tuple[str, str], ...]:
    """Return the black keys at an end whose group is cut off, by name and end, left first.

    Empty where there is none, or where the number of keys is not usual.

    >>> single_keys(88), single_keys(76), single_keys(61)
    ((('A sharp', 'left'),), (('F sharp', 'right'),), ())
    """
    if keys not in USUAL_ENDS:
        return ()
    low, high = USUAL_ENDS[keys]
    whole = {
        octave + step
        for octave in range(low - low % OCTAVE, high + 1, OCTAVE)
        for group in (TWO, THREE)
        if octave + group[0] >= low and octave + group[-1] <= high
        for step in group
    }
    black = [key for key in range(low, high + 1) if key % OCTAVE in _NAMES and key not in whole]
    return tuple((_NAMES[key % OCTAVE], "left" if key < low + OCTAVE else "right") for key in black)


def expected_counts(keys: int) -> KeyCounts | None:
    """Return the usual counts for a number of keys, None where the number is not usual.

    >>> expected_counts(61) == count_keys(36, 96), expected_counts(60)
    (True, None)
    """
    ends = USUAL_ENDS.get(keys)
    return None if ends is None else count_keys(*ends)
