"""What may hurt is asked about first, and what rested begins gently, whatever the rules ask for next.

No verdict and no one thing is changed here. A plan takes shorter turns and more pauses, what works the part
that rested is no home task by itself, and no check is proposed. Common practice, no source: the clinician who
was asked knows better, so what the adult said who closed the hold stands above all of it.
"""

from __future__ import annotations

import re
from collections.abc import Set as AbstractSet
from typing import Final

from readiness.advice.skill_traits import resting_skills, works
from readiness.course.model import Course
from readiness.judging.answer import KeptBack
from readiness.judging.history import known_on
from readiness.judging.lookahead import keeps_back
from readiness.judging.states import judge_states
from readiness.lazy import regex
from readiness.record.model import Hold, Record, Task

__all__ = [
    "GENTLE_DAYS", "UNPLAYED", "closed_lately", "gently", "is_unhurt", "kept_back", "kept_from_home",
    "mentions_pain", "pain_noted", "tasks_now", "tender_skills",
]  # fmt: skip

GENTLE_DAYS: Final = 28
"""How long after a hold everything begins gently, at the least; common practice, no source."""

UNPLAYED: Final = ("listening", "page", "words", "planning")
"""What is done in place of playing; planning is for who does not play at all."""

_PART: Final = r"(?:wrist|hand|arm|forearm|elbow|shoulder|neck|finger|fingertip|thumb|knuckle|throat|voice)s?"
_FELT: Final = r"(?:tired|fatigued?|weakness|stiffness|broken)"
_PAIN: Final = regex(
    r"\b(?:ach(?:es?|ing|y)|burn(?:s|ing)?|cramp\w*|hurt(?:s|ing)?|numb(?:ness)?|ouch|ow|pain(?:s|ful)?"
    r"|sore(?:ness)?|st(?:ings?|inging|ung)|swell\w*|swollen|tingl\w*|pins and needles|hoarse(?:ness)?"
    r"|stiff (?:neck|shoulders?|back)|bandag\w*|sprain\w*|splint|bruis\w*|injur\w*|due(?:le|len)|dolor\w*"
    r"|hormigue\w*"
    rf"|{_PART}(?: \w+){{0,3}} {_FELT}|{_FELT}(?: \w+){{0,3}} {_PART})\b",
    re.IGNORECASE,
)
"""Words for what stops playing: pain, numbness, tingling, weakness, swelling, soreness (C1), and as they are
said; of a part of the body also tired. A stiff wrist or a weak finger is more often a matter of technique.
Common practice, no source: a hint, and never sure."""


def mentions_pain(words: str) -> bool:
    """Return whether a remark speaks of something that hurts, so that pausing is offered.

    >>> [mentions_pain(one) for one in ("left wrist sore", "wrist tired", "tired from school")]
    [True, True, False]
    """
    return _PAIN.search(words) is not None


def pain_noted(record: Record, day: int) -> tuple[str, ...]:
    """Return what in the latest lesson speaks of something that hurts; nothing once a pause was opened."""
    last = max((one.on for one in record.lessons if one.on <= day), default=None)
    if last is None or any(last <= hold.opened <= day for hold in record.entire.holds):
        return ()
    of_day = (one for one in record.lessons if one.on == last)
    return tuple(text for one in of_day for text in (one.note, *one.remarks.values()) if mentions_pain(text))


def is_unhurt(course: Course, record: Record, day: int) -> bool:
    """Return whether nothing rests, rested until lately or may hurt: only then may all be called well."""
    return not (record.open_holds(day) or closed_lately(course, record, day) or pain_noted(record, day))


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
    kept = last < since and any(one.because == "after-a-hold" for one in kept_back(course, record, day))
    since = last if kept else since
    found = sorted((one for one in closed if closed[one] >= since), key=closed.__getitem__)
    return tuple({hold.part: hold for hold in found}.values())


def kept_back(course: Course, record: Record, day: int) -> tuple[KeptBack, ...]:
    """Return what keeps a move back on a day, whatever was shown (rule R7)."""
    course, known = course.on(day), known_on(course, record, day)
    states = judge_states(course.plan, known, known.band_on(course, day), day)
    return tuple(keeps_back(course.plan, known, states))


def tender_skills(course: Course, record: Record, day: int) -> frozenset[str]:
    """Return the skills that work a part of the body which rested until lately."""
    parts = {hold.part for hold in closed_lately(course, record, day)}
    skills = course.skills if parts else ()
    return frozenset(skill.id for skill in skills if any(works(skill, part) for part in parts))


def kept_from_home(course: Course, record: Record, day: int) -> frozenset[str]:
    """Return the skills that are no home task: what rests, and all that is played where it may hurt."""
    played = {skill.id for skill in course.skills if not skill.quiet} if pain_noted(record, day) else set()
    return resting_skills(course, record, day) | played


def tasks_now(course: Course, record: Record, day: int) -> tuple[Task, ...]:
    """Return the home tasks given up to a day, without those for what waits, or rested after that.

    What the teacher gave after a hold was closed stands, for it was given knowing that.
    """
    waiting, tender = kept_from_home(course, record, day), tender_skills(course, record, day)
    closed = max((hold.closed or 0 for hold in closed_lately(course, record, day)), default=0)
    return tuple(
        task for task in record.tasks
        if task.given <= day and task.for_skill not in waiting
        and (task.given >= closed or task.for_skill not in tender)
    )  # fmt: skip
