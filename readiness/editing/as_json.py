"""What the workbench found, as plain JSON values for editors and other programs."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import asdict, replace
from typing import Any

from readiness.advice.answer_changes import Reason, StudentChange
from readiness.course.checks.units import Leap
from readiness.days import iso
from readiness.editing.compare import Comparison, Difference
from readiness.editing.dry_run import Retiring, Trial
from readiness.editing.facts import Colleague, CourseFacts, Optional, ReachBack
from readiness.school.counts import Past
from readiness.toml.problems import Place, Problem, end_column

__all__ = [
    "advice_to_dict", "facts_to_dict", "problem_to_dict", "retiring_to_dict", "trial_to_dict",
    "unit_to_dict",
]  # fmt: skip

FORMAT = 1
_DAYS = frozenset({"other-earliest", "other-holds-until"})


def problem_to_dict(problem: Problem) -> dict[str, Any]:
    """Return a problem with all an editor needs to jump to it."""
    other = problem.other
    more = {"other": _place(other) | {"label": problem.other_label}} if other is not None else {}
    return {
        **_place(problem.place),
        "severity": problem.severity,
        "id": problem.id,
        "message": problem.message,
        "hint": problem.hint,
    } | more


def _place(place: Place | None) -> dict[str, Any]:
    if place is None:
        return {}
    return {
        "file": str(place.file), "line": place.line, "column": place.column, "end_column": end_column(place),
    }  # fmt: skip


def _fields(found: Difference | ReachBack | Optional, *names: str) -> dict[str, Any]:
    """Return some fields under their own names, and the place."""
    return {**{name: getattr(found, name) for name in names}, **_place(found.place)}


def trial_to_dict(trial: Trial, on: int, different: Iterable[Difference] = ()) -> dict[str, Any]:
    """Return what a course would do in a studio."""
    found = trial.comparison
    return {
        "format": FORMAT,
        "on": iso(on),
        "accepted": trial.course is not None,
        "problems": [problem_to_dict(one) for one in trial.problems],
        "different": [_fields(one, "id", "subject", "what", "old", "new") for one in different],
        **(_comparison(found) if found is not None else {}),
        "unreadable": [
            {"student": one.path.stem, "problems": [problem_to_dict(p) for p in one.problems]}
            for one in trial.lost
        ],
    }


def _comparison(found: Comparison) -> dict[str, Any]:
    return {
        "changed": [_change(one) for one in found.changed],
        "other_advice": [_change(one) for one in found.advised],
        "unchanged": [answer.student for answer in found.unchanged],
    }


def _change(change: StudentChange) -> dict[str, Any]:
    return {
        "student": change.after.student,
        "from": change.before.verdict,
        "to": change.after.verdict,
        "reasons": [_reason(one) for one in change.reasons],
    }


def _reason(reason: Reason) -> dict[str, Any]:
    both = reason.old, reason.new
    old, new = (iso(d) if reason.id in _DAYS and isinstance(d, int) else d for d in both)
    named: dict[str, Any] = {"id": reason.id}
    if reason.skill is not None:
        named["skill"] = reason.skill
    if reason.members:
        named |= {"of": list(reason.members)} | ({"at_least": reason.at_least} if reason.at_least else {})
    if reason.rule:
        named["rule"] = reason.rule
    named |= {"old": old, "new": new}
    if reason.standing is not None:
        seen, until = reason.standing.last_seen, reason.standing.fresh_until
        named |= {"last_seen": iso(seen), "fresh_until": iso(until)}
    return named


def retiring_to_dict(found: Retiring) -> dict[str, Any]:
    """Return what retiring skills would do."""
    return {
        "skills": list(found.skills),
        "into": list(found.into),
        "new": list(found.new),
        "stands_on_it": [
            {"skill": skill, "names": named, **_place(place)} for skill, named, place in found.uses
        ],
        "records": [
            {
                "student": one.student,
                "lesson_days": one.notes,
                "first": iso(one.first),
                "last": iso(one.last),
                "set_aside": one.aside,
                "other_way": one.other_way,
                "tasks": one.tasks,
            }
            for one in found.mentions
        ],
        "lines": [{"text": text, **_place(place)} for text, place in found.lines],
        **trial_to_dict(found.trial, found.day),
    }


def unit_to_dict(facts: CourseFacts, past: Sequence[Past]) -> dict[str, Any]:
    """Return the facts of one unit, with how long it took."""
    told = facts_to_dict(facts)
    times = [{**asdict(one.stay), "limit": one.limit, "over": one.over} for one in past]
    return {
        "format": 1,
        **told["units"][0],
        "leaps": told["leaps"],
        "reach_back": told["reach_back"],
        "past": times,
    }


def _leap(leap: Leap) -> dict[str, Any]:
    return {
        **asdict(leap),
        "review_share": float(leap.review_share),
        "room": float(leap.room),
        "ratio": None if leap.ratio is None else round(float(leap.ratio), 6),
        "size": leap.size,
    }


def advice_to_dict(said: Colleague) -> dict[str, Any]:
    """Return what a colleague would say, in the words of its fields."""
    return {**asdict(replace(said, leaps=())), "leaps": [_leap(one) for one in said.leaps]}


def facts_to_dict(facts: CourseFacts) -> dict[str, Any]:
    """Return the facts about a course; ratios are given to six decimals."""
    return {
        "leaps": [_leap(one) for one in facts.leaps],
        "units": [
            {
                "unit": one.unit,
                "skills": one.skills,
                "chain": list(one.chain),
                "leads_on": one.leads_on,
                "small": one.is_small,
            }
            for one in facts.units
        ],
        "reach_back": [_fields(one, "skill", "before", "units") for one in facts.reach_back],
        "rests_on": list(map(asdict, facts.rests_on)),
        "chain": list(facts.chain),
        "optional": [_fields(one, "skill", "band", "note", "back_in") for one in facts.optional],
        "loose_ends": [{"skill": one.id, **_place(one.place)} for one in facts.loose_ends],
    }
