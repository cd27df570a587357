"""The few turns of phrase that several checks share."""

from __future__ import annotations

from collections.abc import Sequence

from readiness.course.raw import DraftUnit

__all__ = ["chain", "count", "few_names", "unit_words"]

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
