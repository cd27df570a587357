"""Sentences of the answers in English: each a method, whole, with all that it needs as typed arguments.

A further language is a class with the same methods; that one is missing is found by mypy. Beside them the one
word for each key of the files, as it is said in every answer, on every screen and page.
"""

from __future__ import annotations

from collections.abc import Mapping
from types import MappingProxyType
from typing import Final

from readiness.terms import State, Verdict

__all__ = [
    "ENGLISH", "HELP_LETTERS", "HELP_WORDS", "STATE_LETTERS", "STATE_WORDS", "VERDICT_BRIEF", "VERDICT_LARGE",
    "VERDICT_MARKS", "English",
]  # fmt: skip

_VERDICTS: Final = {
    Verdict.PAUSED: ("paused", "||", "PAUSED"),
    Verdict.NOT_YET: ("not yet", "..", "NOT YET"),
    Verdict.LOOK_AGAIN: ("look again first", ":|", "LOOK AGAIN"),
    Verdict.READY_TAKING_ALONG: ("ready, some to finish", "+>", "READY +"),
    Verdict.READY: ("ready", " >", "READY"),
    Verdict.NOT_PLACED: ("no starting unit yet", "|:", "NO UNIT YET"),
}
"""Each verdict where a row has room for a few words only, its mark, and in large letters."""

_STATES: Final = {
    State.SECURE: ("secure", "S"),
    State.BUILDING: ("some of the days", "D"),
    State.WOBBLING: ("secure, one off day", "O"),
    State.STALE: ("not seen lately", "L"),
    State.UNTRIED: ("not asked yet", "·"),
    State.WITH_HELP: ("with help so far", "H"),
    State.NOT_SHOWN: ("not shown yet", "N"),
    State.SLIPPED: ("was secure, lost since", "W"),
    State.SET_ASIDE: ("set aside by agreement", "A"),
}
"""Each state in a few words, and its letter on the map."""

VERDICT_BRIEF: Final[Mapping[str, str]] = MappingProxyType({v: brief for v, (brief, *_) in _VERDICTS.items()})
VERDICT_MARKS: Final[Mapping[str, str]] = MappingProxyType({v: mark for v, (_, mark, _) in _VERDICTS.items()})
VERDICT_LARGE: Final[Mapping[str, str]] = MappingProxyType({v: large for v, (*_, large) in _VERDICTS.items()})
STATE_WORDS: Final[Mapping[str, str]] = MappingProxyType({s: words for s, (words, _) in _STATES.items()})
STATE_LETTERS: Final[Mapping[str, str]] = MappingProxyType({s: letter for s, (_, letter) in _STATES.items()})
HELP_WORDS: Final = ("without help", "with a reminder", "after being shown", "guided by hand", "not shown")
"""How a skill was shown, in the order of ``readiness.record.HELPS``."""
HELP_LETTERS: Final = ("A", "C", "M", "H", "N")


class English:
    """British English."""

    def verdict(self, verdict: Verdict, next_unit: int | None, unfinished: int) -> str:
        """Return the verdict; the number of the next unit is None in the last one."""
        match verdict:
            case Verdict.READY_TAKING_ALONG:
                things = "1 thing" if unfinished == 1 else f"{unfinished} things"
                return f"Ready {self.onward(next_unit)}, with {things} to finish on the way"
            case Verdict.READY:
                return f"Ready {self.onward(next_unit)}"
            case Verdict.LOOK_AGAIN:
                return "Look again first"
            case Verdict.NOT_YET:
                return "Not yet: more time in this unit"
            case Verdict.PAUSED:
                return "Paused: something hurts"
            case Verdict.NOT_PLACED:
                return "No starting unit yet"

    def onward(self, next_unit: int | None) -> str:
        """Return what a ready student is ready for."""
        return f"for unit {next_unit}" if next_unit else "to finish the course"

    def tried(self, days: int) -> str:
        """Return that a skill is stuck, after its name."""
        return f"tried on {days} {'day' if days == 1 else 'days'} without getting easier"

    def no_move_in_sight(self) -> str:
        """Return that no earliest date can be given."""
        return "No move is in sight within a year of lessons: look at the steps, not at the date."

    def show_more(self, *, full: bool, then: str) -> str:
        """Return what to ask next; where all is shown already, not for all of it."""
        return f"More: {'' if full else '--full · '}{then}"


ENGLISH = English()
