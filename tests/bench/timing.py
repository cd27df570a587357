"""Times of work done in turn, the best of several rounds, and the tables they are printed as."""

from __future__ import annotations

import gc
import os
import platform
from collections.abc import Iterator, Sequence
from contextlib import contextmanager
from time import process_time

__all__ = ["Best", "machine", "table"]


class Best(dict[str, float]):
    """The shortest time of each kind of work, in seconds of the processor: whoever else is busy counts less.

    Work is timed where it stands, so that what comes before it in a round need not be timed.
    """

    @contextmanager
    def of(self, what: str) -> Iterator[None]:
        """Time what is done inside, and keep it if it was quicker than before."""
        gc.collect()
        begun = process_time()
        yield
        self[what] = min(self.get(what, float("inf")), process_time() - begun)


def table(head: Sequence[str], rows: Sequence[Sequence[object]]) -> str:
    """Return rows as a table in Markdown; the first column is words, the others are numbers."""
    lines = [head, ["---", *["---:"] * (len(head) - 1)], *rows]
    return "\n".join(f"| {' | '.join(map(str, line))} |" for line in lines) + "\n"


def machine() -> str:
    """Return the line that says what was measured on."""
    kind = f"{platform.system()} {platform.machine()}"
    return f"{os.cpu_count()} cores ({kind}), Python {platform.python_version()}"
