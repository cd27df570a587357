"""Small helps for making sentences: counts, lists, dates, lines that fit, what a studio calls things.

Nothing here knows a rule or decides what is said; it only keeps "1 day" from becoming
"1 days" and a line from growing wider than the page. No colour, no control characters:
a text made here can be read aloud, printed and pasted.

What a studio calls things: note values, the seventh key, the seat, the order of a date.

``studio.toml`` says it (``[wording]``). The texts of the course are worded once, when a studio is opened
for a person; in its files and in JSON they stay as they are written, and so does all that a teacher wrote.
"""

from __future__ import annotations

import re
import textwrap
from collections.abc import Iterable, Sequence
from contextvars import ContextVar
from datetime import date
from shlex import quote as typed
from typing import TYPE_CHECKING, Final

from readiness.days import DAY_WORDS, MONTHS, as_born, month_too_short, why_unclear, written_day
from readiness.lazy import regex
from readiness.toml.texts import HARD_SPACE, keep_together, nearest

if TYPE_CHECKING:
    from readiness.course.model import Course, Skill
    from readiness.studio.find import Wording
    from readiness.toml.problems import Place

__all__ = [
    "MORE", "asked_with", "birth_words", "birthday_words", "capital", "commands", "counted", "date_words",
    "dated", "ended", "few_of", "inside", "joined", "listed", "no_day_words", "number_words", "quoted",
    "seat", "speak", "tidy", "to_come", "together", "typed", "uncapital", "unit_words", "worded",
    "worded_text", "wrap", "written",
]  # fmt: skip

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
    r"(?:\breadiness (?!(?:start|check|compare|watch|exchange|editor|course)\b)[a-z-]+"
    r"|(?<=· )(?:tell|sheet|plan|ask))(?: [a-zA-Z0-9][\w-]*(?:\.\w+)*)?"
)
"""A command with whom it is about, in a text or behind others; not one that takes no course by its name."""


class _Now:
    """What the studio opened last calls things (None: as the shipped course), and the folders named."""

    wording: Wording | None = None
    named = ""


_SPEAKING: Final[ContextVar[Wording | None]] = ContextVar("_SPEAKING", default=None)
"""What the studio calls things whose text is made in this context, where that is another one."""


def speak(wording: Wording, *, here: bool = False) -> None:
    """Say from here on what a studio calls things; ``here``: in this context alone, whatever others speak."""
    if here:
        _SPEAKING.set(wording)
    else:
        _Now.wording = wording


def _wording() -> Wording | None:
    return _SPEAKING.get() or _Now.wording


def asked_with(course: object = None, students: object = None) -> None:
    """Name from here on the same course and students in every command that is printed; None: not named."""
    options = {"--course": course, "--students": students}
    _Now.named = "".join(f" {name} {typed(str(one))}" for name, one in options.items() if one is not None)


def commands(text: str) -> str:
    """Return a text with commands that ask about the course and the students that were asked about."""
    return _COMMAND.sub(lambda found: f"{found[0]}{_Now.named}", text) if _Now.named else text


def seat() -> str:
    """Return what is sat on."""
    return "bench" if (said := _wording()) is None else said.seat


def dated(day: str, month: str, year: str) -> str:
    """Return a date in the studio's order; the year may be empty.

    >>> dated("2", "December", "2025")
    '2 December 2025'
    """
    if (said := _wording()) is not None and said.dates == "month-day":
        return f"{month} {day}{f', {year}' if year else ''}"
    return f"{day} {month}{f' {year}' if year else ''}"


def worded(course: Course) -> Course:
    """Return a course as the studio says it."""
    said = _wording()
    if said is None or (said.note_values, said.seventh, said.seat) == ("quarter", "B", "bench"):
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
    from dataclasses import replace

    return replace(
        skill, name=worded_text(skill.name), shown_when=worded_text(skill.shown_when),
        age_note=worded_text(skill.age_note), alternative=worded_text(skill.alternative),
        advice=worded_text(skill.advice), said=worded_text(skill.said), you=worded_text(skill.you),
        remedies=tuple(map(worded_text, skill.remedies)),
    )  # fmt: skip


def worded_text(text: str) -> str:
    """Return a text of the course in the studio's words."""
    if (said := _wording()) is None:
        return text
    if said.note_values == "crotchet":
        text = _NOTES.sub(_british, text)
    if said.seventh == "H":
        text = _SEVENTH.sub(lambda found: "B" if found[1] else "H", text)
    if said.seat == "stool":
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


MORE: Final = "More: --full"
"""How more is asked for, where there is somebody to ask; behind it nothing else is told."""
LEAST_TEXT: Final = 16
"""Fewer letters than this are no line to write in."""

_SMALL: Final = ("no", "one", "two", "three", "four", "five", "six", "seven", "eight", "nine", "ten")
_MONTH: Final = rf"(?:{'|'.join(MONTHS)})"
_KEPT_TOGETHER: Final = regex(rf"(\d) (?={_MONTH}\b)|\b(unit|of|{_MONTH}) (?=\d)|\bMore: (?=--full)")
_CONTROL: Final = regex(
    r"[\x00-\x1f\x7f-\x9f\u061c\u200e\u200f\u2028-\u202e\u2066-\u2069\ud800-\udfff\ufeff]"
)
"""What would command a terminal, break a line or turn its direction."""


def counted(count: int, noun: str, plural: str = "") -> str:
    """Return a count with its noun; nothing is not said as a number.

    >>> counted(1, "day"), counted(0, "day"), counted(2, "is open", "are open")
    ('1 day', 'no days', '2 are open')
    """
    return f"{count or 'no'} {noun if count == 1 else plural or noun + 's'}"


def number_words(count: int) -> str:
    """Return a small number as a word, a larger one in figures.

    >>> number_words(1), number_words(12)
    ('one', '12')
    """
    return _SMALL[count] if 0 <= count < len(_SMALL) else str(count)


def listed(words: Sequence[str], last: str = "and") -> str:
    """Return words as a list in a sentence.

    >>> listed(["a"]), listed(["a", "b"]), listed(["a", "b", "c"], "or")
    ('a', 'a and b', 'a, b or c')
    """
    if len(words) < 2:
        return "".join(words)
    return f"{', '.join(words[:-1])} {last} {words[-1]}"


def few_of(words: Sequence[str], at_most: int) -> str:
    """Return words as a list in a sentence, those of a long list only counted.

    >>> few_of(["a", "b", "c"], 2), few_of(["a", "b", "c", "d"], 2)
    ('a, b and c', 'a, b and 2 more')
    """
    if len(words) > at_most + 1:
        words = [*words[:at_most], f"{len(words) - at_most} more"]
    return listed(words)


def together(pairs: Iterable[tuple[str, str]]) -> dict[str, list[str]]:
    """Return what is said alike together: by the first of each pair, all of its seconds.

    >>> together([("secure", "a"), ("new", "b"), ("secure", "c")])
    {'secure': ['a', 'c'], 'new': ['b']}
    """
    alike: dict[str, list[str]] = {}
    for words, thing in pairs:
        alike.setdefault(words, []).append(thing)
    return alike


def joined(words: Sequence[str]) -> str:
    """Return a list in a sentence whose parts may hold an "and" of their own.

    >>> joined(["starts and stops", "waits"]), joined(["sings", "waits"])
    ('starts and stops, and waits', 'sings and waits')
    """
    if len(words) > 1 and any(" and " in word or "," in word for word in words):
        return f"{', '.join(words[:-1])}, and {words[-1]}"
    return listed(words)


def capital(text: str) -> str:
    """Return a text with its first letter large."""
    return text[:1].upper() + text[1:]


def uncapital(text: str) -> str:
    """Return a text with its first letter small."""
    return text[:1].lower() + text[1:]


def unit_words(course: Course, unit: str | None) -> str:
    """Return a unit with its number and name; one that the course does not have by its id."""
    known = course.unit.get(unit or "")
    return f"unit {known.number}, {tidy(known.name)}" if known else tidy(unit or "no unit yet")


def written(place: Place | None) -> str:
    """Return where something is written, behind what is said of it."""
    return f" ({place.file.name}:{place.line})" if place else ""


def quoted(name: str) -> str:
    """Return a name from a file as it stands in a running sentence."""
    return f'"{tidy(name)}"'


def date_words(day: int | None, beside: int | None = None) -> str:
    """Return a day as a teacher reads it; the year only when it is not that of ``beside``.

    A day that is not known yet, such as a next lesson with none to come, is said to be so.

    >>> from readiness.days import day_number
    >>> date_words(day_number("2025-12-02"), day_number("2025-11-18"))
    '2 December'
    >>> date_words(day_number("2025-12-02"))
    '2 December 2025'
    """
    if day is None:
        return "a day still to be set"
    on = date.fromordinal(day)
    same_year = beside is not None and date.fromordinal(beside).year == on.year
    return dated(str(on.day), MONTHS[on.month - 1], "" if same_year else str(on.year))


def birth_words(born: int) -> str:
    """Return when somebody was born; of a last day the month alone, for that may be all that is known.

    >>> birth_words(737_395), birth_words(737_424)
    ('2 December 2019', 'December 2019')
    """
    year, month, *day = as_born(born).split("-")
    return date_words(born) if day else f"{MONTHS[int(month) - 1]} {year}"


def birthday_words(born: int, day: str) -> str:
    """Return when a birthday is, with its day in words: not later, where the month alone may be known."""
    return f"{'by' if len(as_born(born)) == 7 else 'on'} {day}"


def no_day_words(typed: str, today: int, order: str, when: int) -> str:
    """Return that a text is not a day, with what it lacks or was probably meant.

    Args:
        typed: what it is; today, order, when: as for :func:`readiness.days.written_day`.
    """
    told, short = f'"{typed}" is not a day', why_unclear(typed, today, order, when)
    if short := short or month_too_short(typed, order):
        return f"{told}: {short}."
    meant = re.sub(r"[^\W\d_]{3,}", lambda word: nearest(word[0], DAY_WORDS) or word[0], typed)
    is_day = written_day(meant, today, order) is not None or why_unclear(meant, today, order)
    return f"{told}. Did you mean {quoted(meant)}?" if is_day else f"{told}."


def to_come(day: int | None, on: int) -> str:
    """Return the day of a lesson to come, and where it is the day asked about itself, that it is today.

    >>> to_come(737_395, 737_395), to_come(737_402, 737_395)
    ('2 December, today', '9 December')
    """
    return f"{date_words(day, on)}{', today' if day == on else ''}"


def tidy(text: str) -> str:
    """Return a text from a file on one line, without control characters."""
    return " ".join(_CONTROL.sub(" ", text).split())


def ended(words: str) -> str:
    """Return words, on one line, as the end of a sentence: with a full stop, unless they end in a sign.

    >>> ended("wrist up"), ended("Wrist up!"), ended('in words: "well."')
    ('wrist up.', 'Wrist up!', 'in words: "well."')
    """
    told = tidy(words)
    return told if not told or told.rstrip("\"'").endswith((".", "!", "?", "…")) else f"{told}."


def inside(words: str) -> str:
    """Return words, on one line, as they stand inside a sentence: without a full stop of their own.

    >>> inside("wrist up."), inside("and so on ..."), inside("why?")
    ('wrist up', 'and so on ...', 'why?')
    """
    told = tidy(words)
    return told if told.endswith("..") else told.removesuffix(".")


def wrap(text: str, width: int, *, indent: int = 0, lead: str = "") -> list[str]:
    """Return a text as lines that fit, the later ones hanging; a longer word is broken, but no command.

    ``indent`` spaces stand before every line, ``lead`` before the first ("- ", or the first columns of a
    table); on a page too narrow for that it becomes part of the text.
    """
    if indent + len(lead) > width - LEAST_TEXT:
        text, lead = " ".join((lead + text).split()), ""
    kept = _KEPT_TOGETHER.sub(lambda found: found[0][:-1] + HARD_SPACE, _CONTROL.sub(" ", text))
    lines = textwrap.wrap(
        keep_together(kept),
        max(width, LEAST_TEXT),
        initial_indent=" " * indent + lead,
        subsequent_indent=" " * (indent + len(lead)),
        break_long_words="`" not in kept,
        break_on_hyphens=False,
    )
    return [line.replace(HARD_SPACE, " ").rstrip() for line in lines]
