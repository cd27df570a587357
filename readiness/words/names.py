"""What somebody is called in a list: the given name, and the id where that alone would not say who.

Two students of one given name are told apart by their ids everywhere that more than one student
is spoken of. In what is said to a child or a family the given name is enough.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable
from collections.abc import Set as AbstractSet

from readiness.record.model import Record
from readiness.words.grammar import listed, tidy

__all__ = ["called", "namesake_words", "namesakes"]


def namesakes(names: Iterable[str]) -> frozenset[str]:
    """Return the given names that more than one student has, folded.

    >>> sorted(namesakes(["Mia", "Ottilie", "ottilie"]))
    ['ottilie']
    """
    counts = Counter(_folded(name) for name in names)
    return frozenset(name for name, count in counts.items() if count > 1)


def called(name: str, student: str, shared: AbstractSet[str]) -> str:
    """Return a student's name, with the id where others have that name.

    Args:
        name, student: the given name and the id.
        shared: what ``namesakes`` gives.

    >>> called("Ottilie", "ottilie2", {"ottilie"}), called("Mia", "mia-k", {"ottilie"})
    ('Ottilie (ottilie2)', 'Mia')
    """
    return f"{tidy(name)} ({student})" if _folded(name) in shared else tidy(name)


def namesake_words(record: Record, everybody: Iterable[Record]) -> str:
    """Return which of several students of one given name it is about; empty where there is only one."""
    name = _folded(record.name)
    others = [one.id for one in everybody if one.id != record.id and _folded(one.name) == name]
    if not others:
        return ""
    have = "has" if len(others) == 1 else "have"
    return f"this is about {record.id}; {listed(others)} {have} the name {tidy(record.name)} too."


def _folded(name: str) -> str:
    return tidy(name).casefold()
