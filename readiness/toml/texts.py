"""Text that somebody wrote into a file: what may stand in it, so that a terminal shows it as written."""

from __future__ import annotations

import unicodedata
from typing import Final

from readiness.lazy import regex

__all__ = ["composed", "folded", "unseen"]

_UNSEEN: Final = regex(
    r"(?!\r\n)[\x00-\x1f\x7f-\x9f\ud800-\udfff"
    r"\u2028\u2029\u202a\u202b\u202c\u202d\u202e\u2066\u2067\u2068\u2069\u200e\u200f\u061c]"
)
"""Control characters and halves of letters (Unicode's Cc and Cs), and what breaks a line or turns its
direction without being seen. The end of a line as some systems write it is no more than a newline."""


def unseen(text: str, also: str = "") -> str:
    """Return the first character of a text that does something instead of being seen, or nothing.

    Args:
        also: characters that may stand in it all the same.
    """
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
