"""The few words that stand on the page of a check sheet alone: heads of columns, fields, for whom it is."""

from __future__ import annotations

from typing import Final

from readiness.words.grammar import HELP_WORDS

__all__ = ["BOXES", "FIELDS", "FOR_WHOM", "LEFT_OUT", "NOTE", "ONE_GLANCE", "PAUSED", "WHAT"]

BOXES: Final = (*HELP_WORDS, "not asked")
"""The ways of showing, from least help to most, and a last box for what was left out."""
FIELDS: Final = ("Day", "Seen by", "How it was today")
FOR_WHOM: Final = "For the teacher, and it has a name on it: keep it where no other family sees it."
LEFT_OUT: Final = "Left out."
NOTE: Final = "In your own words"
ONE_GLANCE: Final = "seen in one glance, in every check"
PAUSED: Final = "No check, and nothing is played or sung while the hold is open."
WHAT: Final = "What to look at"
