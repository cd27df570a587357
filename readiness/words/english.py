"""The one word for each key of the files, and the sentences that several answers share, in English.

A further language is a class with the same methods; that one is missing is found by mypy.
"""

from __future__ import annotations

from collections.abc import Mapping
from typing import Final

from readiness.terms import Kind, State, Verdict
from readiness.words.grammar import number_words

__all__ = [
    "ENGLISH", "HELP_WORDS", "KIND_WORDS", "STATE_LETTERS", "STATE_WORDS", "VERDICT_BRIEF", "VERDICT_LARGE",
    "VERDICT_MARKS", "English", "needed_of",
]  # fmt: skip

KIND_WORDS: Final[Mapping[str, str]] = {
    Kind.MOTOR: "movements",
    Kind.KNOWLEDGE: "things to know",
    Kind.EAR: "listening",
    Kind.READING: "reading",
    Kind.HABIT: "habits",
}
"""The kinds of skill as a teacher says them."""

_VERDICTS: Final[Mapping[str, tuple[str, ...]]] = {
    Verdict.PAUSED: ("paused", "||", "PAUSED", "Paused: something hurts"),
    Verdict.NOT_YET: ("not yet", "..", "NOT YET", "Not yet: more time in this unit"),
    Verdict.LOOK_AGAIN: ("look again first", ":|", "LOOK AGAIN", "Look again first"),
    Verdict.READY_TAKING_ALONG: ("ready, some to finish", "+>", "READY +", "Ready"),
    Verdict.READY: ("ready", " >", "READY", "Ready"),
    Verdict.NOT_PLACED: ("no starting unit yet", "|:", "NO UNIT YET", "No starting unit yet"),
}
"""Each verdict where a row has room for a few words only, its mark, in large letters, and as a sentence
begins."""

_STATES: Final[Mapping[str, tuple[str, ...]]] = {
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


def _column(table: Mapping[str, tuple[str, ...]], at: int) -> Mapping[str, str]:
    return {key: words[at] for key, words in table.items()}


VERDICT_BRIEF: Final = _column(_VERDICTS, 0)
VERDICT_MARKS: Final = _column(_VERDICTS, 1)
VERDICT_LARGE: Final = _column(_VERDICTS, 2)
STATE_WORDS: Final = _column(_STATES, 0)
STATE_LETTERS: Final = _column(_STATES, 1)
HELP_WORDS: Final = ("without help", "with a reminder", "after being shown", "guided by hand", "not shown")
"""How a skill was shown, in the order of ``readiness.record.HELPS``."""


class English:
    """British English."""

    def verdict(self, verdict: Verdict, next_unit: int | None, unfinished: int) -> str:
        """Return the verdict; the number of the next unit is None in the last one."""
        words = _VERDICTS[verdict][-1]
        ready = f"{words} {self.onward(next_unit)}"
        if verdict == Verdict.READY_TAKING_ALONG:
            things = "1 thing" if unfinished == 1 else f"{unfinished} things"
            return f"{ready}, with {things} to finish on the way"
        return ready if verdict == Verdict.READY else words

    def onward(self, next_unit: int | None) -> str:
        """Return what a ready student is ready for."""
        return f"for unit {next_unit}" if next_unit else "to finish the course"

    def tried(self, days: int) -> str:
        """Return that a skill is stuck, after its name."""
        return f"tried on {days} {'day' if days == 1 else 'days'} without getting easier"

    def no_date(self, *, unseen: bool) -> str:
        """Return that no earliest date can be given; ``unseen``: nothing of what is asked for was seen."""
        if unseen:
            return "No date yet: first see what is there."
        return "No move is in sight within a year of lessons: look at the steps, not at the date."


def needed_of(many: int, spare: int) -> str:
    """Return how many of the unfinished skills of a unit are needed; so many as ``spare`` may wait.

    >>> needed_of(9, 2)
    'any seven of nine in the unit; two may be finished later'
    >>> needed_of(1, 2), needed_of(9, 0)
    ('one in the unit, which may be finished later', 'all nine in the unit that are unfinished')
    """
    if many <= spare:
        return f"{number_words(many)} in the unit, which may be finished later"
    if not spare:
        every = {1: "the one", 2: "both"}.get(many, f"all {number_words(many)}")
        return f"{every} in the unit that {'is' if many == 1 else 'are'} unfinished"
    of = f"{number_words(many - spare)} of {number_words(many)}"
    return f"any {of} in the unit; {number_words(spare)} may be finished later"


ENGLISH = English()
