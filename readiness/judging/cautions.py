"""Which of the trade's cautions C1 to C14 apply to an answer. Their texts are in ``words``.

Only those that an answer about readiness can call for are decided here; the ones about
plans, exports, enrolment and counts (C4, C8, C9, C10, C12) belong to those outputs.
Common practice, no source, except where the words texts name one.
"""

from __future__ import annotations

import re
from collections.abc import Iterable
from typing import Final

from readiness.course.model import Course, Skill
from readiness.judging.findings import Finding
from readiness.judging.reasons import rules_in
from readiness.record.model import HELPS, Record

__all__ = ["FOLDING_JOINTS", "cautions_for"]

FOLDING_JOINTS: Final = frozenset({"firm-fingertip", "rounded-hand-keys", "joins-two-tones"})
"""Skills at which small joints often fold in (C3)."""

_TOUCH: Final = re.compile(r"\b(permission|touch\w*)\b", re.IGNORECASE)
_PICTURE: Final = re.compile(r"\b(photo|video|film|recording|recorded)\b", re.IGNORECASE)
_HOARSE: Final = re.compile(r"\bhoarse", re.IGNORECASE)
_HANDS_ON: Final = HELPS.index("hands-on")


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
    skills = [course.skill[skill] for skill in dict.fromkeys(shown)]
    tests = {
        "C1": paused,
        "C2": any(skill.kind == "motor" or skill.always_look for skill in skills),
        "C3": any(course.names_of(skill.id) & FOLDING_JOINTS for skill in skills),
        "C5": seat_open and course.uses == "hand",
        "C6": any(_mentions(_TOUCH, skill) for skill in skills) or _hands_on(course, record, day, skills),
        "C7": any(_mentions(_PICTURE, skill) for skill in skills) and not record.consents.get("video"),
        "C11": any(rule.changed for rule in rules_in(findings)),
        "C13": _hoarse(record, day),
        "C14": True,
    }
    return tuple(caution for caution, applies in tests.items() if applies)


def _mentions(word: re.Pattern[str], skill: Skill) -> bool:
    texts = (skill.shown_when, skill.age_note, skill.alternative, *skill.remedies)
    return any(word.search(text) for text in texts)


def _hands_on(course: Course, record: Record, day: int, skills: list[Skill]) -> bool:
    ids = {name for skill in skills for name in course.names_of(skill.id)}
    return any(
        showing.help == _HANDS_ON and showing.skill in ids
        for lesson in record.lessons
        if lesson.on <= day
        for showing in lesson.showings
    )


def _hoarse(record: Record, day: int) -> bool:
    words = [
        text
        for lesson in record.lessons
        if lesson.on <= day
        for text in (lesson.note, *lesson.remarks.values())
    ]
    words += [hold.words for hold in (*record.holds, *record.resting(day)) if hold.is_open(day)]
    return any(_HOARSE.search(text) for text in words)
