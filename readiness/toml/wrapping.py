"""Lines that fit the page and can still be copied from.

What somebody may copy into a terminal or a file stays on one line: a command in backquotes,
``key = value``, an id, a path, even where it is wider than the page. Nothing here makes a
sentence or knows how wide a page is.
"""

from __future__ import annotations

import textwrap
from typing import Final

from readiness.lazy import regex

__all__ = ["HARD_SPACE", "keep_together", "wrapped"]

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
