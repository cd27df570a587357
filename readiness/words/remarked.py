"""What was last remarked about a skill, to stand beside it in a sheet, a plan and a hand-over."""

from __future__ import annotations

from collections.abc import Iterable, Iterator

from readiness.record.model import AGAIN, Said
from readiness.words.grammar import quoted, tidy
from readiness.words.phrases import Phrases

__all__ = ["remark_lines"]


def remark_lines(say: Phrases, said: Iterable[Said], skills: Iterable[str]) -> Iterator[str]:
    """Yield the latest remark on each of some skills and how it was tried again, each with its day."""
    wanted = frozenset(skills)
    for one in said:
        if one.skill in wanted:
            again = f"Tried again {AGAIN[one.again]}, {say.day(one.on)}" if one.again else ""
            yield again or f"Remark of {say.day(one.on)}: {quoted(tidy(one.text))}"
