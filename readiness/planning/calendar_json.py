"""What lies ahead or went by, as JSON objects: breaks, changes, things for two, a big day.

Keys in a fixed order, dates as written.
"""

from __future__ import annotations

from readiness.days import iso
from readiness.judging.answer import Answer
from readiness.planning.after_break import AfterBreak, Look
from readiness.planning.change_facts import Fact
from readiness.planning.changed import Changed
from readiness.planning.keep_warm import KeepWarm

__all__ = ["back_to_dict", "changed_to_dict", "keep_warm_to_dict"]

FORMAT = 1


def back_to_dict(back: AfterBreak, ahead: KeepWarm | None, answer: Answer) -> dict[str, object]:
    """Return what a break cost as plain values."""
    return {
        "format": FORMAT,
        "student": answer.student,
        "on": iso(answer.on),
        "band": answer.band,
        "unit": answer.unit,
        "verdict": answer.verdict,
        "break": back.kind,
        "days": back.days,
        "last_lesson": iso(back.last_lesson),
        "due": [
            {
                "skill": one.skill,
                "role": one.role,
                "last_seen": iso(one.last_seen),
                "window_days": one.window,
                "due_before": one.before,
                "seen_again": one.again,
            }
            for one in back.due
        ],
        "not_due": list(back.kept),
        "look_on": iso(back.look_on),
        "looks": [_look(one) for one in back.looks],
        "later": [_look(one) for one in back.later],
        "resting": list(back.resting),
        "review_lessons": back.lessons,
        "ahead": None if ahead is None else keep_warm_to_dict(ahead),
    }


def _look(look: Look) -> dict[str, object]:
    return {"skills": list(look.skills), "why": look.why, "clears": list(look.clears)}


def keep_warm_to_dict(warm: KeepWarm) -> dict[str, object]:
    """Return a keep-warm list as plain values."""
    return {
        "name": warm.ahead.name,
        "from": iso(warm.ahead.first),
        "last_lesson_before": iso(warm.ahead.lesson),
        "first_lesson_back": iso(warm.ahead.back),
        "skills": list(warm.skills),
        "fresh_thanks_to_it": [*warm.kept, *warm.kept_more],
        "deciding_thanks_to_it": list(warm.kept),
        "used": list(warm.used),
        "due_all_the_same": list(warm.due),
    }


def changed_to_dict(found: Changed, known_by: str) -> dict[str, object]:
    """Return why a verdict changed as plain values."""
    return {
        "format": FORMAT,
        "student": found.later.student,
        "since": iso(found.earlier.on),
        "on": iso(found.later.on),
        "before": found.earlier.verdict,
        "after": found.later.verdict,
        "differs": found.asked,
        "turns": [{"on": iso(turn.day), "verdict": turn.verdict} for turn in found.turns],
        "restoring": [list(causes) for causes in found.restoring],
        "causes": [
            {"id": one.id, "alone": one.alone, "facts": [_fact(fact) for fact in one.facts]}
            for one in found.causes
        ],
        "without_effect": list(found.without_effect),
        "earlier_course": known_by,
    }


def _fact(fact: Fact) -> dict[str, object]:
    plain = {
        "id": fact.kind,
        "skill": fact.skill,
        "on": iso(fact.day),
        "rule": fact.rule or None,
        "before": fact.before,
        "after": fact.after,
        "by": fact.by or None,
        "line": fact.line or None,
    }
    return {key: value for key, value in plain.items() if value is not None}
