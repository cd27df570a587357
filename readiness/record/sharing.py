"""Who may see what is kept about a student: one value for each reader.

A consent that is not noted is a no. What a reader does not need is left out even with
consent: the words about the body, the day of birth, other students. Which law applies is not
decided here. Common practice, no source.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from types import MappingProxyType
from typing import Final

from readiness.days import age_on
from readiness.record.model import Record

__all__ = ["ADULT_AGE", "CONSENT_FOR", "KEPT", "Sharing", "as_if_agreed", "consent", "may_see"]

ADULT_AGE: Final = 18
"""From here on a family needs the student's own consent; local law may differ."""

CONSENT_FOR: Final[Mapping[str, str]] = MappingProxyType({
    "family": "share_family",
    "substitute": "share_substitute",
    "school": "share_school",
})
"""The readers, and the key under ``consents`` that a student's file has for each."""

KEPT: Final = (
    "name", "born", "family", "instrument", "no-playing", "hold-words", "unit", "live-skills", "results",
    "lesson-notes", "remarks", "plan", "tasks", "promises", "decisions", "set-aside", "consents",
    "stop-and-seat", "own-words", "collects", "alternatives", "told", "other-students",
)  # fmt: skip
"""What is kept, by the names used here, in the order it is told."""

_OTHERS: Final = frozenset({"other-students"})
_SUBSTITUTE: Final = frozenset({
    "name", "instrument", "no-playing", "unit", "live-skills", "remarks", "plan", "tasks", "promises",
    "consents", "stop-and-seat", "own-words", "collects",
})  # fmt: skip
_SCHOOL: Final = frozenset({"name", "no-playing", "unit", "results", "decisions"})
_AGREED: Final = frozenset({"set-aside", "alternatives"})
_SAFETY: Final = frozenset({"no-playing", "plan", "consents", "stop-and-seat"})
"""What a substitute gets without consent: enough for a safe lesson, and no name."""


@dataclass(frozen=True, slots=True)
class Sharing:
    """What one reader may see.

    Attributes:
        reader: family, substitute or school.
        consent: the key of the consent it depends on.
        is_needed: whether a consent is needed; a minor's family needs none.
        is_given: whether it is noted as yes.
        sees, left_out: parts of ``KEPT``, in its order.
    """

    reader: str
    consent: str
    is_needed: bool
    is_given: bool
    sees: tuple[str, ...]
    left_out: tuple[str, ...]

    def may(self, part: str) -> bool:
        """Return whether the reader may see a part."""
        return part in self.sees


def consent(record: Record, key: str) -> bool:
    """Return whether a consent is noted as yes; absence is no."""
    return record.consents.get(key, False)


def may_see(record: Record, reader: str, day: int) -> Sharing:
    """Return what a reader may see on a day.

    Raises:
        KeyError: there is no such reader.
    """
    return _sharing(record, reader, day, may_anyway=False)


def as_if_agreed(record: Record, reader: str, day: int) -> Sharing:
    """Return what a reader might see with consent; ``is_given`` still says whether there is one."""
    return _sharing(record, reader, day, may_anyway=True)


def _sharing(record: Record, reader: str, day: int, *, may_anyway: bool) -> Sharing:
    key = CONSENT_FOR[reader]
    is_needed = reader != "family" or age_on(record.born, day) >= ADULT_AGE
    is_given = consent(record, key)
    parts = _parts(record, reader, is_allowed=is_given or not is_needed or may_anyway)
    return Sharing(
        reader,
        key,
        is_needed,
        is_given,
        tuple(part for part in KEPT if part in parts),
        tuple(part for part in KEPT if part not in parts),
    )


def _parts(record: Record, reader: str, *, is_allowed: bool) -> frozenset[str]:
    if not is_allowed:
        return _SAFETY if reader == "substitute" else frozenset()
    if reader == "family":
        return frozenset(KEPT) - _OTHERS
    agreed = _AGREED if consent(record, "share_set_aside") else frozenset()
    return (_SUBSTITUTE if reader == "substitute" else _SCHOOL) | agreed
