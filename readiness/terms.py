"""The terms of the rules: what a verdict, a state, a help, a kind of skill and a fade can be.

Each is a text as well, the one that stands in files and in JSON.
"""

from __future__ import annotations

from enum import StrEnum
from types import MappingProxyType
from typing import Final

__all__ = ["LANGUAGES", "READY", "Fade", "Help", "Kind", "State", "Verdict"]

LANGUAGES: Final = MappingProxyType({"en": "English", "es": "Spanish"})
"""The languages that letters may be in, by the code that files and commands have."""


class Verdict(StrEnum):
    """The answer to "does this student move to the next unit?" (rule R7)."""

    READY = "ready"
    READY_TAKING_ALONG = "ready-taking-along"
    """Ready, while a few things of this unit come along, still open."""
    LOOK_AGAIN = "look-again"
    """Nothing noted says no, but the notes are too few or too old."""
    NOT_YET = "not-yet"
    PAUSED = "paused"
    """Something hurts, or is being looked after: no playing, and no move."""
    NOT_PLACED = "not-placed"
    """No unit has been begun."""


READY: Final = frozenset({Verdict.READY, Verdict.READY_TAKING_ALONG})
"""Verdicts with which the student may move to the next unit."""


class State(StrEnum):
    """Where a skill stands on a day (rules R4 to R6)."""

    SECURE = "secure"
    BUILDING = "building"
    """Shown well, on too few days or on days too near each other."""
    WOBBLING = "wobbling"
    """Secure, and missed once since."""
    STALE = "stale"
    """Secure, and not seen for longer than it keeps."""
    UNTRIED = "untried"
    """Nothing is noted of it."""
    WITH_HELP = "with-help"
    NOT_SHOWN = "not-shown"
    SLIPPED = "slipped"
    """Was secure until it was missed twice in a row."""
    SET_ASIDE = "set-aside"
    """Not asked of this student; counts as met."""


class Help(StrEnum):
    """How much help there was when a skill was shown, from least to most."""

    ALONE = "alone"
    CUE = "cue"
    MODEL = "model"
    HANDS_ON = "hands-on"
    NOT_SHOWN = "not-shown"


class Kind(StrEnum):
    """What a skill is a matter of."""

    MOTOR = "motor"
    KNOWLEDGE = "knowledge"
    EAR = "ear"
    READING = "reading"
    HABIT = "habit"


class Fade(StrEnum):
    """How soon a skill that is not used is lost."""

    FAST = "fast"
    MEDIUM = "medium"
    SLOW = "slow"
