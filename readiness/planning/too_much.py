"""Where a lesson or the home practice goes beyond the numbers of the pacing (caution C4).

The numbers are common practice only; comfort decides. So nothing is refused here: it is
named, and the caution stands beside it.
"""

from __future__ import annotations

from readiness.course.model import Band
from readiness.judging.answer import Answer
from readiness.record.model import Record
from readiness.record.practice import practice_on

__all__ = ["too_much"]


def too_much(record: Record, answer: Answer, band: Band, minutes: int) -> tuple[str, ...]:
    """Return what exceeds: lesson or block, and of the home tasks above-usual, without-pause, sudden-rise.

    Args:
        record: with the home tasks given so far.
        answer: for the day.
        band: whose numbers they are.
        minutes: the length of the lesson.
    """
    usual = band.numbers["lesson_minutes_range"]
    assert isinstance(usual, (list, tuple))
    tests = {
        "lesson": minutes > int(usual[1]),
        "block": band.whole("activity_minutes") > band.whole("play_without_pause_minutes"),
    }
    given = [task for task in record.tasks if task.given <= answer.on]
    found = tuple(name for name, applies in tests.items() if applies)
    return (*found, *practice_on(given, band, answer.on).too_much)
