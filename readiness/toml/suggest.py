"""The name that somebody probably meant.

At most one name is suggested, and none when nothing is near: a wrong suggestion costs more
than no suggestion. Nothing is ever put in place of what was written.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from functools import lru_cache
from typing import Final

from readiness.lazy import dataclass, regex

__all__ = ["did_you_mean", "nearest"]

_MANY = 500  # among more names only those that begin alike are compared letter by letter
_LONGEST = 80  # nobody mistypes a name that long; comparing it would only take time


def nearest(word: str, names: Iterable[str]) -> str | None:
    """Return the name nearest to a word, None when none is near.

    Capital letters, spaces and underscores for hyphens, letters in the wrong order and
    parts in the wrong order count as near.

    >>> nearest("wrsit-lift", ["wrist-lift", "rounded-hand-keys"])
    'wrist-lift'
    >>> nearest("lift_wrist", ["wrist-lift", "rounded-hand-keys"])
    'wrist-lift'
    """
    if not 0 < len(word) <= _LONGEST:
        return None
    known = _Known.of(tuple(sorted(set(names))))
    for alike, by in zip(_ALIKE, known.by, strict=True):
        if (meant := by.get(alike(word))) is not None:
            return meant
    plain = _plain(word)
    near = known.plain if len(known.plain) <= _MANY else known.by_letter.get(plain[:1], ())[:_MANY]
    from difflib import get_close_matches  # here, since most commands have nothing to suggest

    close = get_close_matches(plain, near, n=1, cutoff=0.7)
    return known.by[0][close[0]] if close else None


def did_you_mean(word: str, names: Iterable[str]) -> str:
    """Return the suggestion as a hint, empty when nothing is near.

    >>> did_you_mean("motr", ["motor", "ear"])
    'did you mean "motor"?'
    """
    name = nearest(word, names)
    return f'did you mean "{name}"?' if name is not None else ""


_APART: Final = regex(r"[\s_\u2010-\u2015-]+")
"""Spaces, hyphens and the dashes that a word processor makes of them."""


def _plain(name: str) -> str:
    return "-".join(filter(None, _APART.split(name.casefold())))


def _parts(name: str) -> str:
    return " ".join(sorted(_plain(name).split("-")))


def _letters(name: str) -> str:
    return "".join(sorted(_plain(name)))


_ALIKE: Final = (_plain, _parts, _letters)
"""The ways in which two names can be the same but for a slip, the surest first."""


@dataclass(frozen=True)
class _Known:
    """Names made ready once, for all the words that are looked for among them.

    ``by`` has, for each way of being alike, the first name by what it is like.
    """

    by: tuple[Mapping[str, str], ...]
    plain: tuple[str, ...]
    by_letter: Mapping[str, tuple[str, ...]]

    @classmethod
    @lru_cache(maxsize=8)
    def of(cls, names: tuple[str, ...]) -> _Known:
        by = tuple({alike(name): name for name in reversed(names)} for alike in _ALIKE)
        plain = tuple(by[0])
        letters: dict[str, list[str]] = {}
        for name in plain:
            letters.setdefault(name[:1], []).append(name)
        return cls(by, plain, {letter: tuple(some) for letter, some in letters.items()})
