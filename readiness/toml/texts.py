"""Text that somebody wrote: what may stand in it, lines that fit the page, the name that was meant.

What somebody may copy into a terminal or a file stays on one line: a command in backquotes,
``key = value``, an id, a path, even where it is wider than the page. Nothing here makes a
sentence or knows how wide a page is.

At most one name is suggested, and none when nothing is near: a wrong suggestion costs more
than no suggestion. Nothing is ever put in place of what was written.
"""

from __future__ import annotations

import textwrap
import unicodedata
from collections.abc import Callable, Iterable, Mapping
from datetime import date
from functools import lru_cache
from typing import Final

from readiness.lazy import regex

__all__ = [
    "AN_ID", "HARD_SPACE", "DidYouMean", "as_id", "composed", "did_you_mean", "folded", "is_slip",
    "keep_together", "nearest", "quoted", "unseen", "wrapped",
]  # fmt: skip

_UNSEEN: Final = regex(
    r"(?!\r\n)[\x00-\x1f\x7f-\x9f\ud800-\udfff"
    r"\u2028\u2029\u202a\u202b\u202c\u202d\u202e\u2066\u2067\u2068\u2069\u200e\u200f\u061c]"
)
"""Control characters and halves of letters (Unicode's Cc and Cs), and what breaks a line or turns its
direction without being seen. The end of a line as some systems write it is no more than a newline."""


def unseen(text: str, also: str = "") -> str:
    """Return a text's first character that acts in place of being seen, but for ``also``, or nothing."""
    if not _UNSEEN.search(text):
        return ""
    return next((found[0] for found in _UNSEEN.finditer(text) if found[0] not in also), "")


def composed(text: str) -> str:
    """Return a name in one form of its letters (Unicode's NFC): typed in two ways, it is one name."""
    return unicodedata.normalize("NFC", text)


def folded(name: str) -> str:
    """Return a name without capitals and accents.

    >>> folded("Zoë")
    'zoe'
    """
    letters = unicodedata.normalize("NFKD", name.casefold())
    return "".join(letter for letter in letters if not unicodedata.combining(letter))


def as_id(name: str) -> str:
    """Return a name as the id of a skill, a unit or a strand is written; empty where nothing is left of it.

    >>> as_id("Bench height")
    'bench-height'
    """
    return "-".join(_OF_AN_ID.findall(folded(name)))


AN_ID: Final = regex("[a-z0-9-]+")
"""How an id is written."""
_OF_AN_ID: Final = regex("[a-z0-9]+")


def quoted(value: object) -> str:
    """Return a value as TOML writes it."""
    if isinstance(value, (list, tuple)):
        return f"[{', '.join(map(quoted, value))}]"
    if isinstance(value, Mapping):
        inner = ", ".join(f"{key} = {quoted(item)}" for key, item in value.items())
        return f"{{ {inner} }}"
    if isinstance(value, date):
        return value.isoformat()
    import tomli_w

    return tomli_w.dumps({"x": value}).removeprefix("x = ").rstrip("\n")


HARD_SPACE: Final = "\N{NO-BREAK SPACE}"
_COPIED: Final = regex(r"`[^`\n]+`|(?<!\S)[\w.-]+ = (?:\"[^\"\n]*\"|\[[^\]\n]*\]|\S+)")


def keep_together(text: str) -> str:
    r"""Return a text whose commands and lines for a file have spaces at which no line ends.

    >>> keep_together("then `readiness back temwa`, please").split(" ")
    ['then', '`readiness\xa0back\xa0temwa`,', 'please']
    """
    return _COPIED.sub(lambda found: found[0].replace(" ", HARD_SPACE), text)


def wrapped(text: str, width: int, *, first: str = "", later: str = "") -> list[str]:
    """Return a text as lines that fit, except where what may be copied is wider.

    Args:
        text: one paragraph; hard spaces in it hold, and come out as spaces.
        first, later: what stands before the first line, and before the others.
    """
    lines = textwrap.wrap(
        keep_together(text),
        width,
        initial_indent=first,
        subsequent_indent=later,
        break_long_words=False,
        break_on_hyphens=False,
    )
    return [line.replace(HARD_SPACE, " ") for line in lines]


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
    known = _known(tuple(sorted(set(names))))
    for alike, by in zip(_ALIKE, known, strict=True):
        if (meant := by.get(alike(word))) is not None:
            return meant
    plain, near = _plain(word), list(known[0])
    if len(near) > _MANY:
        near = [one for one in near if one[:1] == plain[:1]][:_MANY]
    from difflib import get_close_matches  # here, since most commands have nothing to suggest

    close = get_close_matches(plain, near, n=1, cutoff=0.7)
    return known[0][close[0]] if close else None


def is_slip(word: str, name: str) -> bool:
    """Return whether two words are one slip apart: one letter more, less or other, or two swapped.

    >>> [is_slip(word, "wrist-lift") for word in ("wrst-lift", "wrsit-lift", "wrist-lift", "lift-wrist")]
    [True, True, False, False]
    """
    if word == name or abs(len(word) - len(name)) > 1:
        return False
    at = next((i for i, (one, other) in enumerate(zip(word, name, strict=False)) if one != other), len(name))
    left, right = word[at:], name[at:]
    alike = ((left[1:], right[1:]), (left[1:], right), (left, right[1:]))
    return any(one == other for one, other in alike) or (left[1::-1] + left[2:] == right and len(left) > 1)


class DidYouMean(str):
    """A hint that asks whether a ``name`` was meant."""

    __slots__ = ("name",)
    name: str


def did_you_mean(word: str, names: Iterable[str], more: str = "") -> str:
    """Return the suggestion as a hint, and ``more`` behind it; empty when nothing is near.

    >>> did_you_mean("motr", ["motor", "ear"])
    'did you mean "motor"?'
    >>> did_you_mean("m\N{CYRILLIC SMALL LETTER O}tor", ["motor", "ear"])
    'did you mean "motor"? Letter 2 of what is written is cyrillic small letter o'
    """
    if (name := nearest(word, names)) is None:
        return ""
    odd = [at for at, one in enumerate(word) if not folded(one).isascii() and not _APART.match(one)]
    if odd and name.isascii():  # it may look the same, or not be seen at all
        what = unicodedata.name(word[odd[0]], f"U+{ord(word[odd[0]]):04X}").lower()
        more = f" Letter {odd[0] + 1} of what is written is {what}"
    hint = DidYouMean(f'did you mean "{name}"?{more}')
    hint.name = name
    return hint


_APART: Final = regex(r"[\s_\u2010-\u2015-]+")
"""Spaces, hyphens and the dashes that a word processor makes of them."""


def _plain(name: str) -> str:
    return "-".join(filter(None, _APART.split(name.casefold())))


_ALIKE: Final[tuple[Callable[[str], str], ...]] = (
    _plain, lambda name: " ".join(sorted(_plain(name).split("-"))), lambda one: "".join(sorted(_plain(one))),
)  # fmt: skip
"""The ways in which two names can be the same but for a slip, the surest first."""


@lru_cache(maxsize=8)
def _known(names: tuple[str, ...]) -> list[Mapping[str, str]]:
    """Return, for each way of being alike, the first name by what it is like: once for many words."""
    return [{alike(name): name for name in reversed(names)} for alike in _ALIKE]
