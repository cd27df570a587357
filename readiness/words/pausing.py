"""What a page says on which a pause is noted: stop first, then the words, then whether it is meant."""

from __future__ import annotations

from readiness.record.model import Record
from readiness.words.cautions import caution
from readiness.words.grammar import quoted, tidy
from readiness.words.paused import hold_notice

__all__ = ["PARTS", "pause_first", "pause_question"]

PARTS = {"hand": "hand and arm", "voice": "the voice", "all": "everything"}
"""What may rest, by the part that a hold names."""


def pause_first(record: Record, day: int) -> tuple[str, ...]:
    """Return what comes before anything is typed, in paragraphs."""
    ask = (
        "What rests? Key 1: hand and arm. Key 2: the voice. Key 3: everything, if you are not sure. Then "
        "type what was said, in the words it was said in."
    )
    first = f"Stop playing now, and thank {tidy(record.name)} for saying so."
    return tuple(filter(None, (first, hold_notice(record, day), caution("C1"), ask)))


def pause_question(record: Record, part: str, words: str) -> str:
    """Return the one question before a hold is kept."""
    return (
        f"Pause {tidy(record.name)} for care ({PARTS[part]}): {quoted(words)}?\n\n"
        "From then on no playing, until an adult closes the hold. It cannot be taken back with Undo."
    )
