"""Days that can hardly be: somebody's clock is wrong, or a year was mistyped.

What is dated after the day asked about counts for nothing, so such an entry would quietly be
left out - a hold among them; and a lesson a year too early would be taken for a long break. It is named
wherever the student is asked about, and nothing is changed.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from typing import Final

from readiness.days import iso
from readiness.record.model import Record
from readiness.toml.problems import Place, Problem

__all__ = ["odd_days"]

_FAR: Final = 180
"""So many days from every other lesson, a lesson may have the wrong year; a summer is shorter (a guess)."""
_NEAR: Final = 35
"""A lesson that many days from another, in the next year, is where it was meant (a guess)."""


def odd_days(record: Record, latest: int) -> Iterator[Problem]:
    """Yield a warning for every entry after a day, and for every lesson that is a year off.

    Args:
        record: one student.
        latest: the latest day on which something can have been noted.
    """
    yield from _ahead(record, latest)
    yield from _a_year_off(record, latest)


def _ahead(record: Record, latest: int) -> Iterator[Problem]:
    seen = record.entire.seen
    dated = (
        *(("lesson", *one) for one in seen.lesson_lines),
        *(("hold", one.opened, one.line) for one in seen.holds),
        *(("unit start", one.on, one.line) for one in seen.unit_starts),
        *(("settled block", one.on, one.line) for one in seen.settled),
        *(("agreement", one.on, one.line) for one in seen.set_aside),
        *(("band choice", one.on, one.line) for one in seen.band_choices),
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


def _a_year_off(record: Record, latest: int) -> Iterator[Problem]:
    """A lesson that is months from every other, but for a year."""
    noted = [one for one in record.entire.seen.lesson_lines if one[0] <= latest]
    days = {day for day, _ in noted}
    for day, line in noted:
        others = days - {day}
        if record.path is not None and others and _nearest(day, others) >= _FAR:
            meant = [year for year in (day + 365, day - 365) if _nearest(year, others) <= _NEAR]
            if meant:
                message = f"{iso(day)} is months away from every other lesson"
                hint = f"is the year wrong? About {iso(meant[0])} it would be among them"
                yield Problem("far-away-day", "warning", Place(record.path, line, 1), message, hint)


def _nearest(day: int, others: Iterable[int]) -> int:
    return min(abs(day - one) for one in others)
