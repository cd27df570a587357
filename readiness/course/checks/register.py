"""The list of the checks of a course, with the warnings each gives, and those that a teacher means.

Warnings that a teacher means: ``allow = ["small-leap"]`` with a ``reason``, for a unit or the course.

``allow`` at the top of ``graph.toml`` is for both files; in a unit it is for the unit's table and those
of its skills. An error cannot be allowed.
"""

from __future__ import annotations

from bisect import bisect_right
from collections.abc import Callable, Iterable, Iterator, Sequence
from operator import itemgetter
from pathlib import Path
from typing import Final

from readiness.course.draft import Draft, DraftUnit, Word
from readiness.toml.problems import Place, Problem
from readiness.toml.texts import did_you_mean

__all__ = [
    "AS_WRITTEN", "OF_A_DAY", "WARNINGS", "Check", "as_written", "chain", "count", "few_names",
    "of_a_day", "unit_words", "without_allowed",
]  # fmt: skip

Check = Callable[[Draft], Iterable[Problem]]
"""Yields what is wrong in a course: errors or warnings, not both."""
AS_WRITTEN: Final[list[Check]] = []
"""The checks that look at what is written, whatever day it is."""
OF_A_DAY: Final[list[Check]] = []
"""The checks of a course as it is on a day, for skills come and go with the years."""
WARNINGS: Final[set[str]] = set()
"""Every warning there is of a course; a course may allow it."""


def as_written(*warnings: str) -> Callable[[Check], Check]:
    """Enter a check that looks at what is written, whatever day it is; ``warnings``: the ids it gives."""
    return _entered(AS_WRITTEN, warnings)


def of_a_day(*warnings: str) -> Callable[[Check], Check]:
    """Enter a check that is made of every stretch of days between two changes; ``warnings`` as there."""
    return _entered(OF_A_DAY, warnings)


def _entered(checks: list[Check], warnings: Iterable[str]) -> Callable[[Check], Check]:
    def enter(check: Check) -> Check:
        checks.append(check)
        return check

    WARNINGS.update(warnings)
    return enter


# The few turns of phrase that several checks share.


LONGEST = 12


def chain(skills: Sequence[str]) -> str:
    """Return skills one after the other; the middle of a very long way is only counted.

    >>> chain(["sit", "rest", "lift"])
    'sit > rest > lift'
    """
    if len(skills) <= LONGEST:
        return " > ".join(skills)
    left_out = len(skills) - LONGEST + 1
    return " > ".join([*skills[: LONGEST // 2], f"... {left_out} more ...", *skills[1 - LONGEST // 2 :]])


def few_names(names: Sequence[str]) -> str:
    """Return names in a row; of very many the rest is only counted.

    >>> few_names(["sit", "rest"])
    'sit, rest'
    """
    more = f" and {len(names) - LONGEST} more" if len(names) > LONGEST else ""
    return ", ".join(names[:LONGEST]) + more


def count(number: int, noun: str) -> str:
    """Return a number with its word.

    >>> count(1, "skill"), count(3, "skill")
    ('1 skill', '3 skills')
    """
    return f"{number} {noun}" if number == 1 else f"{number} {noun}s"


def unit_words(unit: DraftUnit) -> str:
    """Return a unit by its number and id, as they are found in the file."""
    return f'unit {unit.number} "{unit.id}"'


_Keys = tuple[str, ...]


def _allowing(draft: Draft) -> Iterator[tuple[_Keys, tuple[Word, ...]]]:
    """Yield the tables that allow something, the file itself first."""
    for path in ((), *(("unit", unit.id) for unit in draft.units)):
        words = draft.graph.texts(*path, "allow")
        if words:
            yield path, words


@as_written()
def check_allowed(draft: Draft) -> Iterator[Problem]:
    """What is allowed is a warning."""
    for _, words in _allowing(draft):
        for word in words:
            if word.text not in WARNINGS:
                message = f'there is no warning "{word.text}" that could be allowed'
                meant = did_you_mean(word.text, sorted(WARNINGS))
                hint = meant or "name the word in [...]; an error is corrected"
                yield Problem("unknown-warning", "error", word.place, message, hint, word=word.text)


@as_written()
def check_reasons(draft: Draft) -> Iterator[Problem]:
    """What is allowed is so for a reason that the next reader is told."""
    for path, words in _allowing(draft):
        if not (draft.graph.text(*path, "reason") or "").strip():
            message = f"{words[0].text} is allowed, and nothing says why"
            hint = 'tell the next reader: reason = "..."'
            yield Problem("allowed-without-reason", "warning", words[0].place, message, hint)


def without_allowed(draft: Draft, problems: Iterable[Problem], own: Path) -> tuple[Problem, ...]:
    """Return the problems that nobody has allowed; where there is no error, what is allowed for nothing, too.

    What a course inherits is allowed for the other one, so that is told only of the file ``own``.
    """
    allowed = {path[1:]: {word.text: word for word in words} for path, words in _allowing(draft)}
    found = tuple(problems)
    if not allowed:
        return found
    unit_at, left = _unit_at(draft), list[Problem]()
    silenced: set[tuple[_Keys, str]] = set()
    for one in found:
        tables = [table for table in ((), (unit_at(one.place),)) if one.id in allowed.get(table, ())]
        if one.severity == "error" or not tables:
            left.append(one)
        silenced.update((table, one.id) for table in tables)
    if all(one.severity == "warning" for one in left):
        mine = ((table, word) for table, words in allowed.items() for word in words.values())
        needless = [word for table, word in mine if (table, word.text) not in silenced]
        told, hint = "is allowed here, and there is none", "take it out: it would hide one to come"
        left += [
            Problem("unused-allow", "warning", word.place, f"{word.text} {told}", hint)
            for word in needless
            if word.place.file == own
        ]
    return tuple(left)


def _unit_at(draft: Draft) -> Callable[[Place], str]:
    """Return what says which unit a line of the files is about."""
    begins = [(unit.place, unit.id) for unit in draft.units]
    begins += [(skill.place, draft.meant_unit.get(skill.id, "")) for skill in draft.skills]
    begins += [(draft.graph.source.key_place("strand", strand), "") for strand in draft.strands]
    lines: dict[object, list[tuple[int, str]]] = {}
    for place, unit in sorted(begins, key=lambda begin: begin[0].line):
        lines.setdefault(place.file, []).append((place.line, unit))

    def unit_at(place: Place) -> str:
        above = lines.get(place.file, [])
        at = bisect_right(above, place.line, key=itemgetter(0))
        return above[at - 1][1] if at else ""

    return unit_at
