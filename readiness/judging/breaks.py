"""What keeps a verdict back for a day: a break, and the first lessons after a pause (rule R7).

After some weeks away the first lesson back is for looking, not for moving, and after a pause for
care two lessons with playing come first. Nothing here reads a calendar: days come in.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from readiness.course.model import Band
from readiness.course.plan import Plan
from readiness.judging.answer import LESSONS_AFTER_A_HOLD, AfterHold, Gap
from readiness.judging.known import Known
from readiness.judging.states import States
from readiness.record.rhythm import WEEK

__all__ = ["WEEK", "after_hold", "break_now", "break_on", "keeps_back", "review_lessons"]

def break_on(lesson_days: Sequence[int], day: int, limit: int) -> Gap | None:
    """Return the break that stands in the way of a move on ``day``, if any.

    Args:
        lesson_days: different lesson days up to ``day``, oldest first. Without a lesson
            there is nothing to be away from, so no break.
        day: the day asked about.
        limit: so many days without a lesson are a break.
    """
    if not lesson_days:
        return None
    last = lesson_days[-1]
    if day - last >= limit:
        return Gap("on-a-break", day - last, last)
    if len(lesson_days) > 1 and last - lesson_days[-2] >= limit:
        return Gap("first-lesson-back", last - lesson_days[-2], lesson_days[-2])
    return None


def break_now(known: Known, band: Band, day: int) -> Gap | None:
    """Return the break of a student on a day, by the numbers of a band and the rhythm (rule R7)."""
    return break_on(known.lesson_days, day, known.calendar.break_days(band.whole("break_weeks")))


def after_hold(plan: Plan, known: Known, states: States) -> AfterHold | None:
    """Return what a closed hold still asks for: lesson days on which something was played (rule R7)."""
    closed = [hold for hold in known.paused if hold.closed is not None and hold.closed <= states.day]
    if not closed:
        return None
    last = max(closed, key=lambda hold: (hold.closed or 0, -hold.line))
    first = last.closed or 0
    played = {n[0] for i, notes in states.evidence.items() if not plan.quiet >> i & 1 for n in notes}
    days = tuple(sorted(day for day in {*played, *known.supposed} if first <= day <= states.day))
    return AfterHold(first, last.line, days) if len(days) < LESSONS_AFTER_A_HOLD else None


def keeps_back(plan: Plan, known: Known, states: States) -> Iterator[str]:
    """Yield what keeps a ready verdict back on the day of the states: a break, a closed hold, or both."""
    if gap := break_now(known, states.band, states.day):
        yield gap.kind
    if after_hold(plan, known, states):
        yield "after-a-hold"


def review_lessons(days_away: int) -> int:
    """Return how many lessons of review a break asks for: a quarter of its weeks, 1 to 3.

    Halves round up. Common practice, no source (pacing ``[basis].review_lessons``).

    >>> [review_lessons(7 * weeks) for weeks in (3, 6, 10, 11, 20)]
    [1, 2, 3, 3, 3]
    """
    quarters = (days_away // WEEK + 2) // 4
    return min(3, max(1, quarters))
