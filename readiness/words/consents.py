"""What is said when a consent is noted: the answer, all that is noted, and that a yes can be taken back."""

from __future__ import annotations

from readiness.record.consents import CONSENTS
from readiness.record.model import Record
from readiness.words.grammar import date_words, listed, tidy, wrap

__all__ = ["consent_list_words", "consent_words"]

_WHAT = {
    "touch": "touching a hand or an arm in the lesson, asked for each time",
    "video": "video in the lesson",
    "photo": "photos in the lesson",
    "family": "sharing with the family (only an adult student is asked)",
    "substitute": "sharing with a substitute",
    "school": "sharing with the school",
    "set-aside": "naming what was set aside, or is shown in another way, by agreement",
}
_ANY_TIME = (
    "A yes can be taken back at any time, and that works at once. Whatever is noted, the child may say no "
    "on the day."
)


def consent_words(record: Record, what: str, by: str, on: int, *, is_given: bool, width: int = 80) -> str:
    """Return that an answer is noted, and all that is noted now.

    Args:
        record: the student's record after it; what: one of ``CONSENTS``.
        by: who gave the answer; on: the day; is_given: yes or no.
        width: the widest line.
    """
    answer = "yes" if is_given else "no"
    told = f"Noted for {tidy(record.name)}: {answer} to {_WHAT[what]}; {tidy(by)}, {date_words(on)}."
    return _lines([told, _all(record), _ANY_TIME], width)


def consent_list_words(record: Record, width: int = 80) -> str:
    """Return everything that can be agreed to, and what is noted of it."""
    rows = [f"{what}: {_noted(record, what)} - {words}" for what, words in _WHAT.items()]
    head = f"Consents of {tidy(record.name)}"
    how = f"`readiness consent {record.id} WHAT yes|no --by NAME` notes an answer."
    listing = "".join(f"{line}\n" for row in rows for line in wrap(row, width, lead="  - "))
    return _lines([head], width) + listing + _lines([how, _ANY_TIME], width)


def _noted(record: Record, what: str) -> str:
    given = record.consents.get(CONSENTS[what])
    return "not noted, so no" if given is None else "yes" if given else "no"


def _all(record: Record) -> str:
    yes = [what for what, key in CONSENTS.items() if record.consents.get(key)]
    return f"Agreed to now: {listed(yes) or 'nothing'}."


def _lines(texts: list[str], width: int) -> str:
    return "".join(f"{line}\n" for text in texts for line in wrap(text, width))
