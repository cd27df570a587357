"""A way, a placing round and an estimate as JSON objects, keys in a fixed order."""

from __future__ import annotations

from dataclasses import asdict

from readiness.days import iso
from readiness.planning.way_values import Way

__all__ = ["way_to_dict"]

FORMAT = 1


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
