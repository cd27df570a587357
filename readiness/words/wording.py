"""What a studio calls things: note values, the seventh key, the seat, the order of a date.

``studio.toml`` says it (``[wording]``). The texts of the course are worded once, when a studio is opened
for a person; in its files and in JSON they stay as they are written, and so does all that a teacher wrote.
"""

from __future__ import annotations

import re
from typing import TYPE_CHECKING, Any, Final

from readiness.lazy import regex

if TYPE_CHECKING:
    from readiness.course.model import Course, Skill
    from readiness.studio.find import Wording

__all__ = ["commands", "dated", "seat", "speak", "worded", "worded_text"]

_BRITISH: Final = {
    "whole": "semibreve", "half": "minim", "quarter": "crotchet", "eighth": "quaver",
    "sixteenth": "semiquaver",
}  # fmt: skip
_VALUE: Final = "whole|half|quarter|eighth|sixteenth"
_NOTES: Final = regex(
    rf"\b((?:{_VALUE})(?:(?:, | and | or )(?:{_VALUE}))*)[ -](note|rest)(s?)\b"
    rf"|\bdotted (?:{_VALUE})\b(?! notes?\b)",
    re.IGNORECASE,
)
_ONE_VALUE: Final = regex(_VALUE, re.IGNORECASE)
_SEVENTH: Final = regex(r"\bB([ -]flat)?\b")
_SEAT: Final = regex(r"\bbench(es)?\b", re.IGNORECASE)

_COMMAND: Final = regex(
    r"(?:\breadiness (?!(?:start|check|compare|watch|exchange|editor)\b)[a-z-]+"
    r"|(?<=· )(?:tell|sheet|plan|ask))(?: [a-zA-Z0-9][\w-]*)?"
)
"""A command with whom it is about, in a text or behind others; not one that takes no course by its name."""

_now: Wording | None = None
"""What the studio that was opened last calls things; None: as the shipped course does."""


_course: str = ""
"""What that studio calls the course asked about, where it is not its first."""


def speak(wording: Wording, course: str = "") -> None:
    """Say from here on what a studio calls things; whoever opens one for a person says so."""
    global _now, _course
    _now, _course = wording, course


def commands(text: str) -> str:
    """Return a text with commands that ask about the course that was asked about."""
    return _COMMAND.sub(lambda found: f"{found[0]} --course {_course}", text) if _course else text


def seat() -> str:
    """Return what is sat on."""
    return "bench" if _now is None else _now.seat


def dated(day: str, month: str, year: str) -> str:
    """Return a date in the studio's order; the year may be empty.

    >>> dated("2", "December", "2025")
    '2 December 2025'
    """
    if _now is not None and _now.dates == "month-day":
        return f"{month} {day}{f', {year}' if year else ''}"
    return f"{day} {month}{f' {year}' if year else ''}"


def worded(course: Course) -> Course:
    """Return a course as the studio says it."""
    if _now is None or (_now.note_values, _now.seventh, _now.seat) == ("quarter", "B", "bench"):
        return course
    from dataclasses import replace  # here, since help has no need of it

    return replace(
        course,
        units=tuple(
            replace(unit, name=worded_text(unit.name), aim=worded_text(unit.aim)) for unit in course.units
        ),
        strands=tuple(replace(strand, name=worded_text(strand.name)) for strand in course.strands),
        skills=tuple(map(_skill, course.skills)),
        alternatives_by_kind={kind: worded_text(one) for kind, one in course.alternatives_by_kind.items()},
        beside=tuple(map(worded, course.beside)),
    )


def _skill(skill: Skill) -> Skill:
    told = ("name", "shown_when", "age_note", "alternative", "advice", "said", "you")
    words: dict[str, Any] = {name: worded_text(getattr(skill, name)) for name in told}
    from dataclasses import replace

    return replace(skill, **words, remedies=tuple(map(worded_text, skill.remedies)))


def worded_text(text: str) -> str:
    """Return a text of the course in the studio's words."""
    if _now is None:
        return text
    if _now.note_values == "crotchet":
        text = _NOTES.sub(_british, text)
    if _now.seventh == "H":
        text = _SEVENTH.sub(lambda found: "B" if found[1] else "H", text)
    if _now.seat == "stool":
        text = _SEAT.sub(lambda found: _as(found[0], "stools" if found[1] else "stool"), text)
    return text


def _british(found: re.Match[str]) -> str:
    """Return "quarter and half notes" as "crotchets and minims", "half rests" as "minim rests"."""
    values, rests, more = found[1] or found[0], found[2] == "rest", "s" if found[3] else ""
    each = "" if rests else more
    named = _ONE_VALUE.sub(lambda one: _as(one[0], f"{_BRITISH[one[0].lower()]}{each}"), values)
    return f"{named} rest{more}" if rests else named


def _as(before: str, word: str) -> str:
    return word.capitalize() if before[0].isupper() else word
