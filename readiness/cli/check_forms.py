"""The forms of ``readiness check --format``: JSON for editors, SARIF 2.1.0 for reviews.

SARIF is an open standard (OASIS, "Static Analysis Results Interchange Format Version 2.1.0"); the numbers
beside its parts are those of its sections.
"""

from __future__ import annotations

import json
from collections.abc import Sequence
from importlib.metadata import PackageNotFoundError, version
from pathlib import Path
from typing import Any
from urllib.parse import quote

from readiness.course.model import LoadedCourse
from readiness.toml.problems import Place, Problem, end_column, errors

__all__ = ["as_json", "as_sarif"]


def as_json(
    loaded: LoadedCourse, problems: Sequence[Problem], target: str | None, *, with_facts: bool, strict: bool
) -> str:
    """Return one JSON object with what was found, and with the facts of the course if wanted."""
    from readiness.editing.as_json import facts_to_dict, problem_to_dict
    from readiness.editing.facts import course_facts

    found: dict[str, object] = {
        "format": 1,
        "accepted": loaded.course is not None and not (problems if strict else errors(problems)),
        "problems": [problem_to_dict(one) for one in problems],
    }
    if with_facts and loaded.course is not None:
        found["facts"] = facts_to_dict(course_facts(loaded.course, target))
    return json.dumps(found, ensure_ascii=False, indent=2)


def as_sarif(problems: Sequence[Problem], here: Path) -> str:
    """Return a SARIF log (3.13) of one run (3.14); places in ``here`` are named as seen from it."""
    rules = list(dict.fromkeys(one.id for one in problems))
    driver = {"name": "readiness", "version": _version(), "rules": [{"id": rule} for rule in rules]}
    log = {
        "$schema": "https://json.schemastore.org/sarif-2.1.0.json",
        "version": "2.1.0",
        "runs": [
            {
                "tool": {"driver": driver},
                "columnKind": "unicodeCodePoints",  # 3.14.17
                "results": [_result(one, rules.index(one.id), here) for one in problems],
            }
        ],
    }
    return json.dumps(log, ensure_ascii=False, indent=2)


def _result(problem: Problem, rule: int, here: Path) -> dict[str, Any]:
    """Return a result (3.27); the second place is a related location (3.27.22)."""
    hint = f": {problem.hint}" if problem.hint else ""
    result: dict[str, Any] = {
        "ruleId": problem.id,
        "ruleIndex": rule,
        "level": problem.severity,
        "message": {"text": f"{problem.message}{hint}"},
        "locations": [_location(problem.place, here)],
    }
    if problem.other is not None:
        label = {"message": {"text": problem.other_label or "and here"}}
        result["relatedLocations"] = [{"id": 0, **label, **_location(problem.other, here)}]
    return result


def _location(place: Place, here: Path) -> dict[str, Any]:
    """Return a location (3.28) with its region (3.30); a file as a whole has no region."""
    path = place.file.resolve()
    inside = path.is_relative_to(here.resolve())
    uri = quote(path.relative_to(here.resolve()).as_posix()) if inside else path.as_uri()
    physical: dict[str, Any] = {"artifactLocation": {"uri": uri}}
    if place.line >= 1:
        physical["region"] = {
            "startLine": place.line,
            "startColumn": max(1, place.column),
            "endLine": place.line,
            "endColumn": max(1, end_column(place)),
        }
    return {"physicalLocation": physical}


def _version() -> str:
    try:
        return version("readiness")
    except PackageNotFoundError:
        return "0"
