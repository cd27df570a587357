"""The time after a hold was closed: what rested begins gently, whatever the rules ask for next.

No verdict and no one thing is changed here. A plan takes shorter turns and more pauses, what works the part
that rested is no home task by itself, and no check is proposed. Common practice, no source: the clinician who
was asked knows better, so what the adult said who closed the hold stands above all of it.
"""

from __future__ import annotations

from collections.abc import Set as AbstractSet
from typing import Final

from readiness.advice.skill_traits import resting_skills, works
from readiness.course.model import Course
from readiness.judging.history import known_on
from readiness.judging.lookahead import keeps_back
from readiness.judging.states import judge_states
from readiness.record.model import Hold, Record, Task

__all__ = ["GENTLE_DAYS", "UNPLAYED", "closed_lately", "gently", "kept_back", "tasks_now", "tender_skills"]

GENTLE_DAYS: Final = 28
"""How long after a hold everything begins gently, at the least; common practice, no source."""

UNPLAYED: Final = ("listening", "page", "words", "planning")
"""What is done in place of playing; planning is for who does not play at all."""


def gently(count: int, tender: AbstractSet[str]) -> int:
    """Return so many minutes or things, half of them where something rested until lately.

    >>> gently(5, {"wrist-lift"}), gently(5, set())
    (3, 5)
    """
    return -(-count // 2) if tender else count


def closed_lately(course: Course, record: Record, day: int) -> tuple[Hold, ...]:
    """Return the holds that a student still comes back from on a day; of one part the latest.

    For ``GENTLE_DAYS`` after the closing, and longer while a move waits for lessons with playing (rule R7).
    A part that rested for another course begins gently here too. None while another hold of this one is open:
    then nothing is played.
    """
    if not record.entire.seen.holds or any(hold.is_open(day) for hold in record.seen.holds):
        return ()
    resting = {hold.part for hold in record.resting(day)}
    ended = (hold for hold in record.entire.holds if hold.part not in resting)
    closed = {hold: hold.closed for hold in ended if hold.closed is not None and hold.closed <= day}
    last = max((hold.closed for hold in record.holds if hold in closed and hold.closed), default=day)
    since = day - GENTLE_DAYS + 1
    since = last if last < since and "after-a-hold" in kept_back(course, record, day) else since
    found = sorted((one for one in closed if closed[one] >= since), key=closed.__getitem__)
    return tuple({hold.part: hold for hold in found}.values())


def kept_back(course: Course, record: Record, day: int) -> tuple[str, ...]:
    """Return the findings by which there is no move on a day, whatever was shown (rule R7)."""
    course, known = course.on(day), known_on(course, record, day)
    states = judge_states(course.plan, known, known.band_on(course, day), day)
    return tuple(keeps_back(course.plan, known, states))


def tender_skills(course: Course, record: Record, day: int) -> frozenset[str]:
    """Return the skills that work a part of the body which rested until lately."""
    parts = {hold.part for hold in closed_lately(course, record, day)}
    skills = course.skills if parts else ()
    return frozenset(skill.id for skill in skills if any(works(skill, part) for part in parts))


def tasks_now(course: Course, record: Record, day: int) -> tuple[Task, ...]:
    """Return the home tasks given up to a day, without those that work what rests or rested after that.

    What the teacher gave after a hold was closed stands, for it was given knowing that.
    """
    resting, tender = resting_skills(course, record, day), tender_skills(course, record, day)
    closed = max((hold.closed or 0 for hold in closed_lately(course, record, day)), default=0)
    return tuple(
        task for task in record.tasks
        if task.given <= day and task.for_skill not in resting
        and (task.given >= closed or task.for_skill not in tender)
    )  # fmt: skip
