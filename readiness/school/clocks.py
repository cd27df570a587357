"""Days that can hardly be: somebody's clock is wrong, or a year was mistyped.

What is dated after the day asked about counts for nothing, so such an entry would quietly be
left out - a hold among them; and a lesson a year too early would be taken for a long break. It is named
wherever the student is asked about, and nothing is changed.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from pathlib import Path
from typing import Final

from readiness.days import iso
from readiness.record.model import Record
from readiness.toml.problems import Place, Problem

__all__ = ["odd_days"]

_FAR: Final = 180
"""So many days from every other lesson, a lesson may have the wrong year; a summer is shorter (a guess)."""
_NEAR: Final = 35
"""A lesson that many days from another, in the next year, is where it was meant (a guess)."""
_YEARS: Final = 3 * 365
"""So many days from every lesson, anything may have the wrong year: no break is as long (a guess)."""


def odd_days(record: Record, latest: int) -> Iterator[Problem]:
    """Yield a warning for every entry after a day, and for every one that is far from all lessons.

    Args:
        record: one student.
        latest: the latest day on which something can have been noted.
    """
    if record.path is not None:
        yield from _ahead(record.path, record, latest)
        yield from _far_away(record.path, record, latest)


def _dated(record: Record) -> Iterator[tuple[str, int, int]]:
    """Yield what is noted with a day: what it is, the day, the line."""
    seen = record.entire.seen
    yield from (("lesson", *one) for one in seen.lesson_lines)
    yield from (("hold", one.opened, one.line) for one in seen.holds)
    yield from (("end of a hold", one.closed, one.line) for one in seen.holds if one.closed is not None)
    yield from (("unit start", one.on, one.line) for one in seen.unit_starts)
    yield from (("settled block", one.on, one.line) for one in seen.settled)
    yield from (("agreement", one.on, one.line) for one in seen.set_aside)
    yield from (("band choice", one.on, one.line) for one in seen.band_choices)
    yield from (("decision", one.on, one.line) for one in seen.decisions)


def _ahead(path: Path, record: Record, latest: int) -> Iterator[Problem]:
    for what, day, line in _dated(record):
        if day > latest:
            message = f"this {what} is dated {iso(day)}, which has not come yet, so it does not count"
            hint = "correct the date; the clock of the machine it was noted on may be wrong"
            here = Place(path, line, 1)
            yield Problem(f"future-{what.replace(' ', '-')}", "warning", here, message, hint)


def _far_away(path: Path, record: Record, latest: int) -> Iterator[Problem]:
    """Something years from every lesson, or a lesson months from every other, but for a year."""
    lessons = {day for day, _ in record.entire.seen.lesson_lines if day <= latest}
    for what, day, line in _dated(record):
        others = lessons - {day} if what == "lesson" else lessons
        if day > latest or not others or (gap := _nearest(day, others)) < _FAR:
            continue
        meant = [year for year in (day + 365, day - 365) if _nearest(year, others) <= _NEAR]
        if gap >= _YEARS or (meant and what == "lesson"):
            message = f"{iso(day)} is {'years' if gap >= _YEARS else 'months'} away from every other lesson"
            among = f" About {iso(meant[0])} it would be among them" if meant else ""
            yield Problem(
                "far-away-day", "warning", Place(path, line, 1), message, f"is the year wrong?{among}"
            )


def _nearest(day: int, others: Iterable[int]) -> int:
    return min(abs(day - one) for one in others)
