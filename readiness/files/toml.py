"""TOML text to plain values: ``tomllib``, or a quicker reader where one is installed.

``tomllib`` is the reference. The optional ``rtoml`` (``pip install 'readiness[fast]'``) reads the
same text in about a tenth of the time, but by a newer edition of TOML that allows more. A file
must not be right on one machine and wrong on the next, so a text with anything the two may see
differently goes to ``tomllib``, and so does every text that the quicker one refuses: what is
wrong with it is said in one way only.
"""

from __future__ import annotations

import re
import tomllib
from typing import Any, Final

try:
    import rtoml
except ImportError:  # it is optional
    rtoml = None  # type: ignore[assignment]

__all__ = ["loads"]

_SEEN_DIFFERENTLY: Final = (
    ("\\", re.compile(r"\\[^btnfr\"\\uU]")),  # escapes that the newer edition alone has
    (":", re.compile(r":\d\d")),  # times of day: it lets the seconds be left out
    ("}", re.compile(r",[ \t]*\}")),  # an inline table with a comma at its end
    ("{", re.compile(r"\{[^}\n]*(?:\n|\Z)")),  # an inline table over several lines
    ("\ufeff", re.compile("\ufeff")),  # a mark that is none of the text
)
"""A sign without which it cannot be there, and what the two may see differently."""


def loads(text: str) -> dict[str, Any]:
    """Return what a text holds.

    Raises:
        tomllib.TOMLDecodeError: it is not TOML (a ``ValueError``).
        RecursionError: it is nested too deep.
    """
    if rtoml is not None and not _is_seen_differently(text):
        try:
            return rtoml.loads(text.replace("\r\n", "\n"))  # as tomllib takes line ends
        except ValueError:
            pass  # tomllib says what is wrong, or that nothing is
    return tomllib.loads(text)


def _is_seen_differently(text: str) -> bool:
    return any(sign in text and what.search(text) for sign, what in _SEEN_DIFFERENTLY)
