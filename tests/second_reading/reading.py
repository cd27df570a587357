"""Answer "why not move up?" a second time, from the text of the rules.

Where the text leaves a choice, this reading chooses what a careful teacher would want:

* Planned lesson dates are followed by a lesson every seven days, counted from the last of
  them: a plan for three weeks does not mean that nothing comes after.
* An *open* skill, in look first and the one thing, is one that is open on the day asked
  about; what it *turns* secure is compared with the next lesson without the showing.
* *Optional* in look first and the one thing is meant for the band of the day asked about,
  as the deciding skills are; an optional member of a group that is unmet (for looks: on the
  next lesson) may be named. What a skill *frees*, and the weak skills of *footing*, leave out
  every optional skill: they count what is asked for.
* *Stuck* with three tries or fewer: there are no earlier ones to be better than, so nothing
  got better, and the skill is stuck.
* *Fade soon* is for secure skills, by the window of the band on the day.
* Limits of lesson days are worked out exactly: 1.1 x 10 is 11.
* Placing: what a ``settled`` block covers and no later note speaks of is shown. All
  ``always_look`` skills of the course are listed, because they are looked at in every unit.
  A placing stays provisional until there are two lesson days, or it is confirmed.
* A what-if on a number changes it in every band; a what-if showing is one more note on the
  day asked about, so the note with most help still holds.
"""

from __future__ import annotations

import copy
from collections.abc import Mapping, Sequence
from datetime import date
from typing import Any

from second_reading.advice import earliest, holds_until, look_first, notes, one_thing, showing
from second_reading.facts import Course, cut
from second_reading.retiring import as_noted_for, as_taught_on
from second_reading.states import detail
from second_reading.verdicts import Reckoning, placing

__all__ = ["reckon", "why"]


def why(
    graph: Mapping[str, Any],
    pacing: Mapping[str, Any],
    student_id: str,
    student: Mapping[str, Any],
    on: date,
    planned: Sequence[date] = (),
    what_if: Mapping[str, Any] | None = None,
) -> dict[str, Any]:
    """Return the object of section 7 of the rules, without findings and cautions."""
    now = reckon(graph, pacing, student, on, what_if)
    head = {
        "format": 1,
        "student": student_id,
        "on": on.isoformat(),
        "band": now.band_name,
        "unit": now.unit,
        "next_unit": now.next_unit,
        "verdict": now.verdict(),
    }
    if now.unit is None:
        return head | _when_not_placed(now)
    return head | _standing(now) | _advice(now, planned)


def reckon(
    graph: Mapping[str, Any],
    pacing: Mapping[str, Any],
    student: Mapping[str, Any],
    on: date,
    what_if: Mapping[str, Any] | None = None,
) -> Reckoning:
    """Return the student's standing on a day, with some things changed for a what-if."""
    changed, known = copy.deepcopy(dict(pacing)), cut(student, on)
    for name, value in (what_if or {}).items():
        if name.startswith("show."):
            known = showing(known, on, [name.removeprefix("show.")], str(value))
            continue
        for band in changed["band"].values():
            *tables, key = name.split(".")
            place = band[tables[0]] if tables else band
            place[key] = type(place[key])(value)
    taught, noted = as_taught_on(graph, on), as_noted_for(graph, known, on)
    return Reckoning(Course(taught, changed), noted, on)


def _when_not_placed(now: Reckoning) -> dict[str, Any]:
    result = placing(now)
    first = None if now.open_hold() else next(iter(result["always_look_open"]), None)
    return {"placing": result, "one_thing": first, "earliest": None, "holds_until": None}


def _standing(now: Reckoning) -> dict[str, Any]:
    shown = now.course.in_order([*now.deciding, *now.rest])
    return {
        "deciding": {s: now.states[s] for s in now.deciding},
        "rest": {s: now.states[s] for s in now.rest},
        "details": {s: dict(detail(now.walked[s], now.on)) for s in shown},
        "groups": [
            {"at_least": g.at_least, "of": g.of, "met": now.met(g), "gap": now.group_gap(g)}
            for g in now.groups
        ],
        "blockers": _blockers(now),
    }


def _blockers(now: Reckoning) -> list[dict[str, Any]]:
    skills = [
        {"skill": s, "state": now.states[s], "needed_by": now.named_by.get(s, [])}
        for s in now.not_secure(now.deciding)
    ]
    groups = [{"group": g.of, "at_least": g.at_least, "needed_by": g.needed_by} for g in now.unmet()]
    return skills + groups


def _advice(now: Reckoning, planned: Sequence[date]) -> dict[str, Any]:
    along = now.not_secure(now.rest) if now.verdict() == "ready-taking-along" else []
    first, last = earliest(now, planned), holds_until(now)
    return {
        "taken_along": along,
        "notes": notes(now),
        "one_thing": one_thing(now, planned),
        "look_first": look_first(now, planned),
        "earliest": first.isoformat() if first else None,
        "holds_until": last.isoformat() if last else None,
    }
