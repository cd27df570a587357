"""The name that somebody probably meant.

At most one name is suggested, and none when nothing is near: a wrong suggestion costs more
than no suggestion. Nothing is ever put in place of what was written.
"""

from __future__ import annotations

from collections.abc import Iterable
from difflib import get_close_matches

__all__ = ["did_you_mean", "nearest"]

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
    known = sorted(set(names))
    for alike in (_plain, _parts, _letters):
        meant = [name for name in known if alike(name) == alike(word)]
        if meant:
            return meant[0]
    plain = {_plain(name): name for name in reversed(known)}
    close = get_close_matches(_plain(word), plain, n=1, cutoff=0.7)
    return plain[close[0]] if close else None


def did_you_mean(word: str, names: Iterable[str]) -> str:
    """Return the suggestion as a hint, empty when nothing is near.

    >>> did_you_mean("motr", ["motor", "ear"])
    'did you mean "motor"?'
    """
    name = nearest(word, names)
    return f'did you mean "{name}"?' if name is not None else ""


def _plain(name: str) -> str:
    return "-".join(name.casefold().replace("_", " ").replace("-", " ").split())


def _parts(name: str) -> list[str]:
    return sorted(_plain(name).split("-"))


def _letters(name: str) -> list[str]:
    return sorted(_plain(name))
