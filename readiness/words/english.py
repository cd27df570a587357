"""Sentences of the answers in English: each a method, whole, with all that it needs as typed arguments.

A further language is a class with the same methods; that one is missing is found by mypy.
"""

from __future__ import annotations

from readiness.terms import Verdict

__all__ = ["ENGLISH", "English"]


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
