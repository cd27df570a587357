"""Sentences of the answers in English: each a method, whole, with all that it needs as typed arguments.

A further language is a class with the same methods; that one is missing is found by mypy.
"""

from __future__ import annotations

from collections.abc import Mapping
from types import MappingProxyType
from typing import Final

from readiness.terms import State, Verdict

__all__ = ["ENGLISH", "HELP_WORDS", "STATE_WORDS", "VERDICT_BRIEF", "English"]

# One word for one thing: what is said for a key of the files, in every answer, on every screen and page.

VERDICT_BRIEF: Final[Mapping[str, str]] = MappingProxyType({
    Verdict.PAUSED: "paused",
    Verdict.NOT_YET: "not yet",
    Verdict.LOOK_AGAIN: "look again first",
    Verdict.READY_TAKING_ALONG: "ready, some to finish",
    Verdict.READY: "ready",
    Verdict.NOT_PLACED: "no starting unit yet",
})
"""The verdicts where a row has room for a few words only."""

STATE_WORDS: Final[Mapping[str, str]] = MappingProxyType({
    State.SECURE: "secure",
    State.BUILDING: "some of the days",
    State.WOBBLING: "secure, one off day",
    State.STALE: "not seen lately",
    State.UNTRIED: "not asked yet",
    State.WITH_HELP: "with help so far",
    State.NOT_SHOWN: "not shown yet",
    State.SLIPPED: "was secure, lost since",
    State.SET_ASIDE: "set aside by agreement",
})
"""The states, in the order of the letters on the map."""

HELP_WORDS: Final = (
    "without help", "with a reminder", "after being shown", "guided by hand", "not shown",
)  # fmt: skip
"""How a skill was shown, in the order of ``readiness.record.HELPS``."""


class English:
    """British English."""

    def verdict(self, verdict: Verdict, next_unit: int | None, unfinished: int) -> str:
        """Return the verdict.

        Args:
            next_unit: the number of the next unit, None in the last one.
            unfinished: how many things are finished on the way.
        """
        match verdict:
            case Verdict.READY_TAKING_ALONG:
                things = "1 thing" if unfinished == 1 else f"{unfinished} things"
                return f"{self._ready(next_unit)}, with {things} to finish on the way"
            case Verdict.READY:
                return self._ready(next_unit)
            case Verdict.LOOK_AGAIN:
                return "Look again first"
            case Verdict.NOT_YET:
                return "Not yet: more time in this unit"
            case Verdict.PAUSED:
                return "Paused: something hurts"
            case Verdict.NOT_PLACED:
                return "No starting unit yet"

    def _ready(self, next_unit: int | None) -> str:
        return f"Ready for unit {next_unit}" if next_unit else "Ready to finish the course"


ENGLISH = English()
