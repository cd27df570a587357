"""A way, a placing round and an estimate as JSON objects, keys in a fixed order."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import asdict

from readiness.days import iso
from readiness.judging.answer import Answer
from readiness.planning.as_json import FORMAT, start_to_dict
from readiness.planning.estimates import Estimate
from readiness.planning.placing.claim import Claim
from readiness.planning.placing.round import PlacingRound
from readiness.planning.way_values import Way

__all__ = ["claim_to_dict", "placing_to_dict", "way_to_dict", "when_to_dict"]


def way_to_dict(way: Way) -> dict[str, object]:
    """Return a way as plain values, ready for ``json.dumps``."""
    return {
        "format": FORMAT,
        "student": way.student,
        "on": iso(way.on),
        "band": way.band,
        "to": way.target,
        "is_unit": way.is_unit,
        "minutes": way.minutes,
        "steps": [asdict(step) for step in way.steps],
        "choices": [{**asdict(one), "of": list(one.of), "taken": list(one.taken)} for one in way.choices],
        "new_skills_per_lesson": way.begins,
        "lessons": way.lessons,
        "earliest": iso(way.earliest),
        "not_before": iso(way.not_before),
        "proof": {"proved": way.proved, "at_least_minutes": way.at_least, "sets_compared": way.compared},
    }


def placing_to_dict(now: PlacingRound) -> dict[str, object]:
    """Return a placing round as plain values.

    ``start`` is where to start, ``start_unit`` what rule R10 says from what was seen and implied alone.
    """
    result, look = now.result, now.next
    return {
        "next": None if look is None else {"skills": list(look.skills), "why": look.why},
        "stop": now.stop or None,
        "start_unit": result.start_unit,
        "patches": list(result.patches),
        "stopped_by": list(result.stopped_by),
        **start_to_dict(now),
        "probably_missing": list(now.patches),
        "raises": list(now.raises),
        "seen": list(now.seen),
        "implied": list(result.implied),
        "taken_as_there": list(now.taken),
        "provisional": result.provisional,
        "always_look_open": list(result.always_look_open),
        "always_look_never_asked": list(now.seat_unseen),
        "strands_left_alone": list(now.strands_closed),
        "looks": now.looks,
        "room": now.room,
        "whole": now.whole,
    }


def claim_to_dict(held: Claim) -> dict[str, object]:
    """Return a claim held against what was seen as plain values."""
    return {
        "claimed": held.unit,
        "may_be_missing": held.limit,
        **{name: list(skills) for name, skills in held.lists.items()},
        "by_strand": {
            strand: {name: list(skills) for name, skills in lists.items()} for strand, lists in held.strands
        },
    }


def when_to_dict(answer: Answer, found: Sequence[Estimate]) -> dict[str, object]:
    """Return the earliest date and, marked as estimates for the teacher, what earlier cases took."""
    told = [one for one in found if answer.verdict != "paused"]
    return {
        "format": FORMAT,
        "student": answer.student,
        "on": iso(answer.on),
        "verdict": answer.verdict,
        "earliest": iso(answer.earliest),
        "estimates_for_the_teacher_alone": [_estimate(one) for one in told],
        "cautions": (["C12"] if any(one.is_silent for one in told) else []) + ["C14"],
    }


def _estimate(one: Estimate) -> dict[str, object]:
    """Return one estimate; with too few cases only their number."""
    return {
        "skill": one.skill,
        "kind": one.kind,
        "band": one.band,
        "lessons_so_far": one.so_far,
        "number_of_cases": len(one.cases),
        "cases": None if one.is_silent else list(one.cases),
        "under_way": one.under_way,
        "lessons_from_now": None if one.low is None else [one.low, one.high],
        "usual_weeks_of_the_unit": one.usual_weeks,
    }
