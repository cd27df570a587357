"""Small helps for making sentences: counts, lists, dates, help in words, lines that fit.

Nothing here knows a rule or decides what is said; it only keeps "1 day" from becoming
"1 days" and a line from growing wider than the page. No colour, no control characters:
a text made here can be read aloud, printed and pasted.
"""

from __future__ import annotations

import textwrap
from collections.abc import Iterable, Mapping, Sequence
from datetime import date
from types import MappingProxyType
from typing import TYPE_CHECKING, Final

from readiness.days import MONTHS
from readiness.lazy import regex
from readiness.terms import Kind, State, Verdict
from readiness.toml.folding import HARD_SPACE, keep_together
from readiness.words.wording import dated

if TYPE_CHECKING:
    from readiness.course.model import Course
    from readiness.toml.problems import Place

__all__ = [
    "ENGLISH", "HELP_WORDS", "KIND_WORDS", "STATE_LETTERS",
    "STATE_WORDS", "VERDICT_BRIEF", "VERDICT_LARGE", "VERDICT_MARKS", "English", "capital", "counted",
    "date_words", "few_of", "help_words", "joined", "listed", "number_words", "quoted", "tidy", "together",
    "uncapital", "unit_words", "wrap", "written",
]  # fmt: skip

KIND_WORDS: Final = {
    Kind.MOTOR: "movements",
    Kind.KNOWLEDGE: "things to know",
    Kind.EAR: "listening",
    Kind.READING: "reading",
    Kind.HABIT: "habits",
}
"""The kinds of skill as a teacher says them."""

LEAST_TEXT: Final = 16
"""Fewer letters than this are no line to write in."""

_SMALL: Final = ("no", "one", "two", "three", "four", "five", "six", "seven", "eight", "nine", "ten")
_MONTH: Final = rf"(?:{'|'.join(MONTHS)})"
_KEPT_TOGETHER: Final = regex(rf"(\d) (?={_MONTH}\b)|\b(unit|of|{_MONTH}) (?=\d)")
_CONTROL: Final = regex(
    r"[\x00-\x1f\x7f-\x9f\u061c\u200e\u200f\u2028-\u202e\u2066-\u2069\ud800-\udfff\ufeff]"
)
"""What would command a terminal, break a line or turn its direction."""


def counted(count: int, noun: str, plural: str = "") -> str:
    """Return a count with its noun.

    >>> counted(1, "day"), counted(3, "day"), counted(2, "is open", "are open")
    ('1 day', '3 days', '2 are open')
    """
    return f"{count} {noun if count == 1 else plural or noun + 's'}"


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


def help_words(accepted: int) -> str:
    """Return which help still counts, for the most help accepted (an index into HELPS).

    >>> help_words(0), help_words(1)
    ('without help', 'without help or with a reminder')
    """
    return listed(HELP_WORDS[: accepted + 1], "or")


def tidy(text: str) -> str:
    """Return a text from a file on one line, without control characters."""
    return " ".join(_CONTROL.sub(" ", text).split())


def wrap(text: str, width: int, *, indent: int = 0, lead: str = "") -> list[str]:
    """Return a text as lines that fit, the later ones hanging under the first word; a longer word is broken.

    ``indent`` spaces stand before every line, ``lead`` before the first ("- ", or the first columns of a
    table); on a page too narrow for that it becomes part of the text.
    """
    if indent + len(lead) > width - LEAST_TEXT:
        text, lead = " ".join((lead + text).split()), ""
    kept = _KEPT_TOGETHER.sub(lambda found: found[0][:-1] + HARD_SPACE, _CONTROL.sub(" ", text))
    kept = keep_together(kept)
    lines = textwrap.wrap(
        kept,
        max(width, LEAST_TEXT),
        initial_indent=" " * indent + lead,
        subsequent_indent=" " * (indent + len(lead)),
        break_on_hyphens=False,
    )
    return [line.replace(HARD_SPACE, " ").rstrip() for line in lines]


# Sentences of the answers in English: each a method, whole, with all that it needs as typed arguments.
#
# A further language is a class with the same methods; that one is missing is found by mypy. Beside them the
# one word for each key of the files, as it is said in every answer, on every screen and page.

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
    return MappingProxyType({key: words[at] for key, words in table.items()})


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

    def no_move_in_sight(self) -> str:
        """Return that no earliest date can be given."""
        return "No move is in sight within a year of lessons: look at the steps, not at the date."


ENGLISH = English()
