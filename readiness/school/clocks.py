"""Entries dated after the day it is: somebody's clock is wrong, or a year was mistyped.

What is dated after the day asked about counts for nothing, so such an entry would quietly be
left out - a hold among them. It is named, and nothing is changed.
"""

from __future__ import annotations

from collections.abc import Iterator

from readiness.days import iso
from readiness.files.problems import Place, Problem
from readiness.record.model import Record

__all__ = ["entries_ahead"]


def entries_ahead(record: Record, latest: int) -> Iterator[Problem]:
    """Yield a warning for every entry that is dated after a day.

    Args:
        record: one student.
        latest: the latest day on which something can have been noted.
    """
    seen = record.entire.seen
    dated = (
        *(("lesson", *one) for one in seen.lesson_lines),
        *(("hold", one.opened, one.line) for one in seen.holds),
        *(("unit start", one.on, one.line) for one in seen.unit_starts),
        *(("decision", one.on, one.line) for one in seen.decisions),
    )
    for what, day, line in dated:
        if day > latest and record.path is not None:
            yield Problem(
                f"future-{what.replace(' ', '-')}",
                "warning",
                Place(record.path, line, 1),
                f"this {what} is dated {iso(day)}, which has not come yet, so it does not count",
                "correct the date; the clock of the machine it was noted on may be wrong",
            )
