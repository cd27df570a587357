"""The list of the checks of a course: each enters itself, with the warnings it gives."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Sequence
from typing import Final

from readiness.course.draft import Draft, DraftUnit
from readiness.toml.problems import Problem

__all__ = [
    "AS_WRITTEN", "OF_A_DAY", "WARNINGS", "Check", "as_written", "chain", "count", "few_names",
    "of_a_day", "unit_words",
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


def count(number: int, one: str) -> str:
    """Return a number with its word.

    >>> count(1, "skill"), count(3, "skill")
    ('1 skill', '3 skills')
    """
    return f"{number} {one}" if number == 1 else f"{number} {one}s"


def unit_words(unit: DraftUnit) -> str:
    """Return a unit by its number and id, as they are found in the file."""
    return f'unit {unit.number} "{unit.id}"'
