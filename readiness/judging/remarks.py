"""Notes beside the verdict (rule R8): fast, long, stuck, footing, fade-soon, young.

They never change a verdict. They are what a careful colleague would mention.
"""

from __future__ import annotations

from collections.abc import Iterable
from decimal import Decimal
from functools import cache
from math import ceil
from typing import Final

from readiness.course.model import Band, Course, Skill, bits
from readiness.days import age_on
from readiness.judging.answer import Remark
from readiness.judging.deciding import Deciding
from readiness.judging.findings import Finding
from readiness.judging.history import Known
from readiness.judging.reasons import rules_in
from readiness.judging.states import States
from readiness.record.model import HELPS, Record
from readiness.terms import Help, Kind

__all__ = [
    "FOLDING_JOINTS", "cautions_for", "is_stuck", "lesson_days_in_unit", "remarks", "skill_cautions",
    "unit_limit", "young",
]  # fmt: skip

SOON_DAYS = 14
LATEST_TRIES = 3


def lesson_days_in_unit(known: Known) -> int:
    """Return how many lesson days under no hold there were since the unit began, that day included."""
    if known.unit_start is None:
        return 0
    return sum(1 for day in known.lesson_days_played if day >= known.unit_start)


@cache
def unit_limit(factor: float | int, lesson_weeks: int) -> int:
    """Return a unit's limit in lesson days, rounded up, without floating-point surprises.

    >>> unit_limit(1.1, 10), unit_limit(0.75, 5)
    (11, 4)
    """
    return ceil(Decimal(str(factor)) * lesson_weeks)


def remarks(course: Course, known: Known, deciding: Deciding, states: States) -> tuple[Remark, ...]:
    """Return all notes, in the order of the rules and then of the graph."""
    return (
        *_pace(course, known, deciding.unit, states.band),
        *_stuck(course, deciding, states),
        *_footing(course, deciding, states),
        *_fading(course, deciding, states),
        *young(course, known),
    )


def _pace(course: Course, known: Known, unit: int, band: Band) -> tuple[Remark, ...]:
    days = lesson_days_in_unit(known)
    weeks = course.units[unit].lesson_weeks
    least = unit_limit(band.number("min_unit_factor"), weeks)
    most = unit_limit(band.number("max_unit_factor"), weeks)
    fast = (Remark("fast", days=days, limit=least),) if 0 < days < least else ()
    return (*fast, *((Remark("long", days=days, limit=most),) if days > most else ()))


def is_stuck(helps: tuple[int, ...], tries: int) -> bool:
    """Return whether a row of misses shows no change for a while (rule R8).

    Args:
        helps: the help in each miss in a row at the end, oldest first.
        tries: the band's ``stuck_tries``. Without earlier tries there is nothing to compare with.
    """
    if len(helps) < tries:
        return False
    earlier, latest = helps[:-LATEST_TRIES], helps[-LATEST_TRIES:]
    return bool(earlier) and min(latest) >= min(earlier)


def _stuck(course: Course, deciding: Deciding, states: States) -> tuple[Remark, ...]:
    tries = states.band.whole("stuck_tries")
    found = []
    for i in bits((deciding.skills | deciding.rest) & ~states.secure):
        misses = states.folds[i].misses
        helps = tuple(note[1] for note in states.evidence[i][-misses:]) if misses else ()
        if misses and is_stuck(helps, tries):
            found.append(Remark("stuck", course.plan.ids[i], misses, tries))
    return tuple(found)


def _footing(course: Course, deciding: Deciding, states: States) -> tuple[Remark, ...]:
    plan = course.plan
    gaps = states.gaps & ~deciding.left_out
    return tuple(
        Remark("footing", plan.ids[i], other=plan.names(plan.ancestors[i] & gaps))
        for i in bits(deciding.entry & states.secure)
        if plan.ancestors[i] & gaps
    )


def _fading(course: Course, deciding: Deciding, states: States) -> tuple[Remark, ...]:
    plan = course.plan
    found = []
    for i in bits(deciding.skills & states.secure):
        seen = states.last_seen[i]
        assert seen is not None
        last_fresh = seen + states.band.fresh_days[plan.fade[i]]
        if last_fresh < states.day + SOON_DAYS:
            found.append(Remark("fade-soon", plan.ids[i], last_fresh, SOON_DAYS))
    return tuple(found)


def young(course: Course, known: Known) -> tuple[Remark, ...]:
    """Say that the student is younger than every band was made for."""
    youngest = course.bands[0].from_age
    is_young = known.chosen_band is None and age_on(known.born, known.day) < youngest
    return (Remark("young", limit=youngest),) if is_young else ()


# Which of the trade's cautions C1 to C14 apply to an answer. Their texts are in ``words``.
#
# Only those that an answer about readiness can call for are decided here; the ones about
# plans, exports, enrolment and counts (C4, C8, C9, C10, C12) belong to those outputs.
# Common practice, no source, except where the words texts name one.

FOLDING_JOINTS: Final = frozenset({"firm-fingertip", "rounded-hand-keys", "joins-two-tones"})
"""Skills at which small joints often fold in (C3)."""

_HANDS_ON: Final = HELPS.index(Help.HANDS_ON)


def skill_cautions(course: Course, shown: Iterable[str]) -> tuple[str, ...]:
    """Return the ids of the cautions that some skills call for whoever they are shown to, by their fields."""
    skills = [course.skill[skill] for skill in shown]
    tests = {
        "C2": any(skill.kind == Kind.MOTOR or skill.always_look for skill in skills),
        "C3": any(course.names_of(skill.id) & FOLDING_JOINTS for skill in skills),
        "C6": any(skill.touches for skill in skills),
    }
    return tuple(caution for caution, applies in tests.items() if applies)


def cautions_for(
    course: Course,
    record: Record,
    day: int,
    shown: Iterable[str],
    findings: tuple[Finding, ...],
    *,
    paused: bool,
    seat_open: bool,
) -> tuple[str, ...]:
    """Return the ids of the cautions to show, in order.

    Args:
        shown: ids of the skills that the answer puts before the teacher.
        paused: whether a hold is open.
        seat_open: whether a skill that is always looked at is not secure.
    """
    ids, open_ = tuple(dict.fromkeys(shown)), (hold for hold in record.seen.holds if hold.is_open(day))
    skills, about = [course.skill[skill] for skill in ids], skill_cautions(course, ids)
    tests = {
        "C1": paused,
        "C2": "C2" in about,
        "C3": "C3" in about,
        "C5": seat_open and course.uses == "hand",
        "C6": "C6" in about or _hands_on(course, record, day, skills),
        "C7": any(skill.recorded for skill in skills) and not record.consents.get("video"),
        "C11": any(rule.changed for rule in rules_in(findings)),
        "C13": any(hold.part == "voice" for hold in (*open_, *record.resting(day))),
        "C14": True,
    }
    return tuple(caution for caution, applies in tests.items() if applies)


def _hands_on(course: Course, record: Record, day: int, skills: list[Skill]) -> bool:
    ids = {name for skill in skills for name in course.names_of(skill.id)}
    return any(
        showing.help == _HANDS_ON and showing.skill in ids
        for on, _, showings in record.seen.lessons()
        if on <= day
        for showing in showings
    )
