"""The earliest possible date, and how long a ready verdict holds (rules, section 4).

Both replay the rules on days ahead with supposed showings, or with none. They say what the
rules allow, never what a child will do.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from itertools import islice
from typing import Final, Literal

from readiness.course.model import Band, Course, Plan, bits
from readiness.judging.answer import LESSONS_AFTER_A_HOLD, AfterHold, Answer, Gap, KeptBack
from readiness.judging.deciding import Deciding, decided_on, verdict
from readiness.judging.history import Known
from readiness.judging.states import States, judge_states
from readiness.lazy import dataclass
from readiness.record.rhythm import WEEK
from readiness.terms import READY

__all__ = [
    "WEEK", "Earliest", "Holds", "after_hold", "break_now", "break_of", "break_on", "earliest_date",
    "holds_until", "keeps_back", "review_lessons",
]  # fmt: skip

# What keeps a verdict back for a day: a break, and the first lessons after a pause (rule R7).
#
# After some weeks away the first lesson back is for looking, not for moving, and after a pause for
# care two lessons with playing come first. Nothing here reads a calendar: days come in.


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


def break_of(course: Course, answer: Answer, lesson_days: Iterable[int], day: int) -> Gap | None:
    """Return the break of a student on a day, by the numbers of the day of an answer (rule R7).

    Of a student who is paused or has begun no unit too, of whom ``Answer.away`` says nothing.

    Args:
        course, answer: what is taught, and what was judged.
        lesson_days: the different lesson days, oldest first; later ones than the day are left out.
        day: the day asked about, or one to come.
    """
    weeks = course.on(answer.on).band[answer.band].whole("break_weeks")
    return break_on([one for one in lesson_days if one <= day], day, answer.calendar.break_days(weeks))


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

    >>> [review_lessons(7 * weeks) for weeks in (5, 6, 9, 10, 20)]
    [1, 2, 2, 3, 3]
    """
    quarters = (days_away // WEEK + 2) // 4
    return min(3, max(1, quarters))


MOST_LESSONS: Final = 52


@dataclass(frozen=True)
class Holds:
    """The last day on which a ready verdict stands with nothing new noted, and what ends it.

    ``because`` is birthday, no-lesson or skill; ``skill`` is then its number. None for both days
    and causes: nothing ends it.
    """

    until: int | None = None
    because: Literal["birthday", "no-lesson", "skill"] | None = None
    skill: int | None = None


@dataclass(frozen=True)
class Earliest:
    """The first lesson on which the student could be ready, None if not within 52, and what came before.

    ``kept_back`` are the lessons on which all could be there and a break or a hold keeps the move back.
    """

    day: int | None = None
    kept_back: tuple[KeptBack, ...] = ()


def earliest_date(course: Course, known: Known) -> Earliest:
    """Return the first lesson on which the student could be ready, and what keeps a move back until then.

    At each lesson everything asked for that is not secure is supposed to be shown alone.
    The student is placed and not ready today.
    """
    supposed, kept_back = known, list[KeptBack]()
    for day in islice(known.lessons_to_come(), MOST_LESSONS):
        deciding, states = decided_on(course, supposed, day)
        asked = deciding.skills | deciding.rest | deciding.group_members
        supposed = supposed.with_showings(bits(asked & ~states.met), day)
        deciding, states = decided_on(course, supposed, day)
        if _is_ready(deciding, states):
            found = tuple(KeptBack(day, why) for why in keeps_back(course.plan, supposed, states))
            if not found:
                return Earliest(day, tuple(kept_back))
            kept_back += found
    return Earliest(None, tuple(kept_back))


def _is_ready(deciding: Deciding, states: States) -> bool:
    return verdict(deciding, states, states.band.whole("carry_limit")) in READY


def holds_until(course: Course, known: Known) -> Holds:
    """Return the last day on which a ready verdict still stands with nothing new noted, and why.

    Between two birthdays that change the band only fading and the break can end it, so only the
    days on which something turns stale or the break begins are looked at.
    """
    start: int | None = known.day
    while start is not None:
        band, end = known.band_on(course, start), known.next_band_day(course, start)
        for day in (start, *_turning_days(course, known, start, band)):
            if end is not None and day >= end:
                break
            deciding, states = decided_on(course, known, day)
            if not _is_ready(deciding, states) or break_now(known, band, day):
                return _ended(course, known, day)
        start = end
    return Holds()


def _turning_days(course: Course, known: Known, start: int, band: Band) -> list[int]:
    """Return the days after ``start`` on which a skill turns stale, or a break begins, in its band."""
    deciding, states = decided_on(course, known, start)
    days = {day + known.calendar.break_days(band.whole("break_weeks")) for day in known.lesson_days[-1:]}
    for i in bits(deciding.skills | deciding.rest | deciding.group_members):
        seen = states.last_seen[i]
        if seen is not None:
            days.add(seen + band.fresh_days[course.plan.fade[i]] + 1)
    return sorted(day for day in days if day > start)


def _ended(course: Course, known: Known, day: int) -> Holds:
    """Return why a verdict ends on a day: what fades comes first, then a birthday, then the break.

    A birthday is the cause where its numbers say no themselves: a lesson noted in time would not help.
    """
    band = known.band_on(course, day - 1)
    deciding, states = decided_on(course, known, day, band)
    if not _is_ready(deciding, states):
        return Holds(day - 1, "skill", _faded(course, known, deciding, states))
    is_break = break_now(known, band, day) is not None and _is_ready(*decided_on(course, known, day))
    return Holds(day - 1, "no-lesson" if is_break else "birthday")


def _faded(course: Course, known: Known, deciding: Deciding, states: States) -> int:
    """Return the first skill in graph order that faded that day: a deciding one before one of the rest."""
    before = judge_states(course.plan, known, states.band, states.day - 1)
    faded = before.secure & ~states.secure
    for asked in (deciding.skills, deciding.unmet_members(states), deciding.rest):
        found = next(bits(faded & asked), None)
        if found is not None:
            return found
    raise AssertionError("a verdict that ends by fading has a skill that faded")
