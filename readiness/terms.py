"""The terms of the rules: what a verdict, a state, a help, a kind of skill and a fade can be.

Each is a text as well, the one that stands in files and in JSON.
"""

from __future__ import annotations

from enum import EnumType, StrEnum
from types import MappingProxyType
from typing import Final

__all__ = ["LANGUAGES", "READY", "Fade", "Help", "Kind", "State", "Verdict"]

LANGUAGES: Final = MappingProxyType({"en": "English", "es": "Spanish"})
"""The languages that letters may be in, by the code that files and commands have."""


class _Listed(EnumType):
    """What of an enumeration ``dir`` and ``help`` list: its words, without what every text can do."""

    def __dir__(cls) -> list[str]:
        return ["__doc__", *cls.__members__]


class Verdict(StrEnum, metaclass=_Listed):
    """The answer to "does this student move to the next unit?" (rule R7).

    Attributes:
        READY_TAKING_ALONG: ready, while a few things of this unit come along, still open.
        LOOK_AGAIN: nothing noted says no, but the notes are too few or too old.
        PAUSED: something hurts, or is being looked after: no playing, and no move.
        NOT_PLACED: no unit has been begun.
    """

    READY = "ready"
    READY_TAKING_ALONG = "ready-taking-along"
    LOOK_AGAIN = "look-again"
    NOT_YET = "not-yet"
    PAUSED = "paused"
    NOT_PLACED = "not-placed"


READY: Final = frozenset({Verdict.READY, Verdict.READY_TAKING_ALONG})
"""Verdicts with which the student may move to the next unit."""


class State(StrEnum, metaclass=_Listed):
    """Where a skill stands on a day (rules R4 to R6).

    Attributes:
        BUILDING: shown well, on too few days or on days too near each other.
        WOBBLING: secure, and missed once since.
        STALE: secure, and not seen for longer than it keeps.
        UNTRIED: nothing is noted of it.
        SLIPPED: was secure until it was missed twice in a row.
        SET_ASIDE: not asked of this student; counts as met.
    """

    SECURE = "secure"
    BUILDING = "building"
    WOBBLING = "wobbling"
    STALE = "stale"
    UNTRIED = "untried"
    WITH_HELP = "with-help"
    NOT_SHOWN = "not-shown"
    SLIPPED = "slipped"
    SET_ASIDE = "set-aside"


class Help(StrEnum, metaclass=_Listed):
    """How much help there was when a skill was shown, from least to most."""

    ALONE = "alone"
    CUE = "cue"
    MODEL = "model"
    HANDS_ON = "hands-on"
    NOT_SHOWN = "not-shown"


class Kind(StrEnum, metaclass=_Listed):
    """What a skill is a matter of."""

    MOTOR = "motor"
    KNOWLEDGE = "knowledge"
    EAR = "ear"
    READING = "reading"
    HABIT = "habit"


class Fade(StrEnum, metaclass=_Listed):
    """How soon a skill that is not used is lost."""

    FAST = "fast"
    MEDIUM = "medium"
    SLOW = "slow"
