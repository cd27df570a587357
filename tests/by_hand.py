"""Questions written by hand, as fixed cases of a law."""

from __future__ import annotations

from collections.abc import Mapping
from datetime import date
from typing import Any

from readiness.testing.situation import Situation
from readiness.testing.strategies import band_of


def small(
    units: Mapping[str, Mapping[str, Mapping[str, Any]]],
    student: Mapping[str, Any],
    on: date,
    bands: Mapping[int, Mapping[str, Any]] | None = None,
    studio: Mapping[str, Any] | None = None,
) -> Situation:
    """Return a question written by hand, as a fixed case of a law.

    Args:
        units: by unit its skills, each with what is not plain (one minute, motor, fast, stands on nothing).
        student: what the student file says beside the name and the birth date (six years on 1 January 2024).
        on: the day asked about.
        bands: by age what is not plain: alone, one day, fresh for 3, 5 and 9 weeks.
        studio: what the studio says of lessons.
    """
    usual = {
        "strand": "only", "kind": "motor", "fade": "fast", "minutes": 1, "shown_when": "Shown 3 of 3.",
        "stands_on": [], "remedies": ["Try it one way.", "Try it another way."],
    }  # fmt: skip
    plain = (6, 2, 4, 3), (0.5, 2.0), (["alone"] * 5, [1] * 5, [3, 5, 9])
    graph = {
        "format": 1, "name": "Made up", "edition": "1", "strand": {"only": {"name": "Only strand"}},
        "unit": {unit: {"name": unit, "aim": "Made up.", "lesson_weeks": 1} for unit in units},
        "skill": {
            skill: {"name": skill, "unit": unit, **usual, **table}
            for unit, skills in units.items()
            for skill, table in skills.items()
        },
    }  # fmt: skip
    pacing = {
        "format": 1, "name": "Made up", "edition": "1", "basis": {},
        "band": {
            f"from-{age}": {**band_of(age, *plain), **rules} for age, rules in (bands or {5: {}}).items()
        },
    }  # fmt: skip
    file = {"format": 1, "name": "Somebody", "born": "2018-01-01", **student}
    return Situation(graph, pacing, file, on, studio or {})
