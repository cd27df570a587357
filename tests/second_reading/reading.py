"""Answer "why not move up?" a second time, from the text of the rules (section 7).

Choices made here, the text of the rules being silent:

* *What was written for later days* is ignored as the file is read for D; N, the look, the
  earliest date and holds until look ahead from there, in the course as it is taught on D.
* *Paused* keeps deciding, rest, details, groups, blockers and notes, and next lesson and decision.
* *What-if:* a number is changed in every band. A showing is one more lesson on N, and the
  answer is that of N, in the course as taught on N, knowing of earlier days what D knew. With
  N null there is no lesson to suppose it in, and the plain answer stays.
"""

from __future__ import annotations

import copy
from collections.abc import Mapping
from datetime import date
from typing import Any

from second_reading.advice import earliest, holds_until, look_first, notes, one_thing, showing
from second_reading.facts import Course, known_on, lessons_to_come, next_lesson
from second_reading.retiring import as_noted_for, as_taught_on
from second_reading.states import detail
from second_reading.verdicts import Reckoning, brought_along, decision, placing

__all__ = ["reckon", "why"]

Toml = Mapping[str, Any]


def why(
    graph: Toml,
    pacing: Toml,
    student_id: str,
    student: Toml,
    on: date,
    studio: Toml | None = None,
    *,
    other_uses: frozenset[str] = frozenset(),
    what_if: Toml | None = None,
) -> dict[str, Any]:
    """Return the object of section 7 of the rules, without findings, cautions and proof.

    Files are as ``tomllib`` gives them; of the studio ``lesson_dates``, ``rhythm`` and ``event``
    are read. ``other_uses`` is what the other courses of the studio use. ``what_if`` has changed
    numbers by name, and ``show.<skill>`` with a help.
    """
    now = reckon(graph, pacing, student, on, what_if, studio, student_id=student_id, other_uses=other_uses)
    head = {
        "format": 1,
        "student": student_id,
        "on": now.on.isoformat(),
        "band": now.band_name,
        "unit": now.unit,
        "next_unit": now.next_unit,
        "verdict": now.verdict(),
    }
    return head | (_when_not_placed(now) if now.unit is None else _standing(now)) | _dates(now)


def reckon(
    graph: Toml,
    pacing: Toml,
    student: Toml,
    on: date,
    what_if: Toml | None = None,
    studio: Toml | None = None,
    *,
    student_id: str = "",
    other_uses: frozenset[str] = frozenset(),
) -> Reckoning:
    """Return the student's standing on a day, or that of a what-if."""
    known = known_on(graph, student_id, student, on, studio or {}, other_uses)
    changes = dict(what_if or {})
    shows = {name: str(changes.pop(name)) for name in [*changes] if name.startswith("show.")}
    following = next_lesson(known, on)
    if shows and following is not None:
        on = following
        for name, help_ in shows.items():
            known = showing(known, on, [name.removeprefix("show.")], help_)
    course = Course(as_taught_on(graph, on), _with_numbers(pacing, changes))
    return Reckoning(course, as_noted_for(graph, known, on), on)


def _with_numbers(pacing: Toml, changes: Toml) -> Toml:
    changed = copy.deepcopy(dict(pacing))
    for name, value in changes.items():
        *tables, key = name.split(".")
        for band in changed["band"].values():
            place = band[tables[0]] if tables else band
            place[key] = type(place[key])(value)
    return changed


def _when_not_placed(now: Reckoning) -> dict[str, Any]:
    result = placing(now)
    first = None if now.paused() else next(iter(result["always_look_open"]), None)
    return {"placing": result, "one_thing": first}


def _standing(now: Reckoning) -> dict[str, Any]:
    next_one = next_lesson(now.known, now.on)
    listed = now.course.in_order([*now.deciding, *now.rest])
    groups = [
        {"at_least": g.at_least, "of": g.of, "met": now.met(g), "gap": now.group_gap(g)} for g in now.groups
    ]
    return {
        "deciding": {s: now.states[s] for s in now.deciding},
        "rest": {s: now.states[s] for s in now.rest},
        "details": {s: dict(detail(now.walked[s], now.on)) for s in listed},
        "groups": groups,
        "blockers": _blockers(now),
        "taken_along": now.not_secure(now.rest) if now.verdict() == "ready-taking-along" else [],
        "notes": notes(now),
        "one_thing": one_thing(now, next_one),
        "look_first": look_first(now, next_one),
    }


def _blockers(now: Reckoning) -> list[dict[str, Any]]:
    skills = [
        {"skill": s, "state": now.states[s], "needed_by": now.named_by[s]}
        for s in now.not_secure(now.deciding)
    ]
    return skills + [{"group": g.of, "at_least": g.at_least, "needed_by": g.needed_by} for g in now.unmet()]


def _dates(now: Reckoning) -> dict[str, Any]:
    next_one = next_lesson(now.known, now.on)
    until, because = holds_until(now)
    first = earliest(now, lessons_to_come(now.known, now.on), next_one)
    return {
        "earliest": first.isoformat() if first else None,
        "holds_until": until.isoformat() if until else None,
        "holds_because": because,
        "next_lesson": next_one.isoformat() if next_one else None,
        "decision": decision(now),
        "brought_along": brought_along(now),
    }
