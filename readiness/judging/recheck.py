"""Check an answer without trusting the program that made it.

The certificate of a verdict is its JSON object (rules, section 7). Here states, sets and verdict
are worked out again from course and record in the plainest way there is. This module imports
nothing else of judging, so a mistake there cannot hide here.
"""

from __future__ import annotations

from collections.abc import Mapping
from datetime import date
from itertools import pairwise
from typing import Any

from readiness.course.model import FADES, KINDS, Band, Course, Skill
from readiness.record.model import HELPS, Record

__all__ = ["recheck"]

GAPS = ("with-help", "not-shown", "slipped")
Facts = dict[str, Any]


def recheck(claim: Mapping[str, Any], course: Course, record: Record) -> tuple[str, ...]:
    """Return the keys of ``claim`` that do not follow from the files; empty when all do."""
    try:
        day = date.fromisoformat(str(claim.get("on"))).toordinal()
    except ValueError:
        return ("on",)
    truth = _truth(course.on(day), record, day)
    return tuple(key for key in truth if key not in claim or claim[key] != truth[key])


def _truth(course: Course, record: Record, day: int) -> Facts:
    band = _band(course, record, day)
    limit = band.whole("carry_limit")
    starts = [(s.on, line, s.unit) for line, s in enumerate(record.unit_starts) if s.on <= day]
    unit = max(starts)[2] if starts else None
    paused = any(h.opened <= day and (h.closed is None or h.closed > day) for h in record.holds)
    head = {"format": 1, "student": record.id, "on": _iso(day), "band": band.name, "unit": unit}
    if unit is None:
        return {**head, "next_unit": None, "verdict": "paused" if paused else "not-placed"}
    facts, number = _facts(course, record, band, day), {u.id: u.number for u in course.units}
    state = {skill: fact["state"] for skill, fact in facts.items()}
    asked = [s for s in course.skills if band.name not in s.optional_in and state[s.id] != "set-aside"]
    early = [s for s in asked if number[s.unit] <= number[unit]]
    nexts = [s for s in asked if number[s.unit] == number[unit] + 1]
    needed = {s.id: [n.id for n in nexts if s.id in n.stands_on] for s in early}
    must = [s.id for s in early if s.always_look or (s.safety and s.unit == unit) or needed[s.id]]
    rest = [s.id for s in early if s.unit == unit and s.id not in must]
    owners: dict[tuple[int, tuple[str, ...]], list[str]] = {}
    for one in nexts:
        for group in one.stands_on_some:
            if all(number[course.skill[member].unit] <= number[unit] for member in group.of):
                of = tuple(skill for skill in state if skill in group.of)
                owners.setdefault((group.at_least, of), []).append(one.id)
    groups = [_group(least, of, state) for least, of in owners]
    unsure = [s for s in must if state[s] != "secure"]
    loose = [s for s in rest if state[s] != "secure"]
    blockers = [{"skill": s, "state": state[s], "needed_by": needed[s]} for s in unsure] + [
        {"group": list(of), "at_least": least, "needed_by": names}
        for (least, of), names in owners.items()
        if not _group(least, of, state)["met"]
    ]
    verdict = "ready-taking-along" if loose else "ready"
    if blockers or len(loose) > limit or _away(record, band, day):
        verdict = "look-again"
    gaps = any(state[s] in GAPS for s in unsure) or any(group["gap"] for group in groups)
    if gaps or sum(state[s] in GAPS for s in loose) > limit:
        verdict = "not-yet"
    return head | {
        "next_unit": next((u.id for u in course.units if u.number == number[unit] + 1), None),
        "verdict": "paused" if paused else verdict,
        "deciding": {s: state[s] for s in must},
        "rest": {s: state[s] for s in rest},
        "details": {s: fact for s, fact in facts.items() if s in must or s in rest},
        "groups": groups,
        "blockers": blockers,
        "taken_along": loose if verdict == "ready-taking-along" and not paused else [],
    }


def _group(least: int, of: tuple[str, ...], state: Mapping[str, str]) -> Facts:
    met = sum(state[m] in ("secure", "set-aside") for m in of) >= least
    gap = not met and sum(state[m] not in GAPS for m in of) < least
    return {"at_least": least, "of": list(of), "met": met, "gap": gap}


def _band(course: Course, record: Record, day: int) -> Band:
    chosen = [(c.on, line, c.band) for line, c in enumerate(record.band_choices) if c.on <= day]
    born, now = date.fromordinal(record.born), date.fromordinal(day)
    age = now.year - born.year - ((now.month, now.day) < (born.month, born.day))
    ages = sorted(course.bands, key=lambda band: band.from_age)
    by_age = [ages[0], *(band for band in ages if band.from_age <= age)][-1]
    return course.band[max(chosen)[2]] if chosen else by_age


def _away(record: Record, band: Band, day: int) -> bool:
    days = sorted({lesson.on for lesson in record.lessons if lesson.on <= day})
    gaps = [later - earlier for earlier, later in pairwise([*days, day])]
    return max(gaps[-2:], default=0) >= 7 * band.whole("break_weeks")


def _iso(day: int | None) -> str | None:
    return None if day is None else str(date.fromordinal(day))


def _facts(course: Course, record: Record, band: Band, day: int) -> dict[str, Facts]:
    walked = {skill.id: _walk(course, record, band, day, skill) for skill in course.skills}
    facts = {skill.id: dict(walked[skill.id]) for skill in course.skills}
    for user in (skill for skill in course.skills if walked[skill.id]["counts"]):
        under, waiting = set[str](), list(user.stands_on)
        while waiting:
            under.add(waiting[-1])
            waiting += [s for s in course.skill[waiting.pop()].stands_on if s not in under]
        for skill in under:
            since, must = facts[skill]["since"], course.skill[skill].must_be_seen
            if since is not None and not must:
                facts[skill]["seen"] += [on for on in walked[user.id]["counts"] if on >= since]
    aside = frozenset(entry.skill for entry in record.set_aside if entry.on <= day)
    aside = aside if course.era is None else course.era.not_asked(aside)
    return {skill.id: _fact(skill, band, day, facts[skill.id], skill.id in aside) for skill in course.skills}


def _fact(skill: Skill, band: Band, day: int, w: Facts, aside: bool) -> Facts:
    seen = max(w["seen"], default=None)
    until = None if seen is None else seen + band.fresh_days[FADES.index(skill.fade)]
    last, helped = max(w["notes"].items(), default=(None, None))
    if w["since"] is not None:
        state = "wobbling" if w["misses"] == 1 else "stale" if until is not None and day > until else "secure"
    elif not w["misses"]:
        state = "untried" if last is None else "building"
    else:
        state = "slipped" if w["slipped"] else "not-shown" if helped == 4 else "with-help"
    return {
        "state": "set-aside" if aside else state, "have": w["have"], "need": w["need"],
        "last_note": _iso(last), "last_help": None if helped is None else HELPS[helped],
        "last_seen": _iso(seen), "fresh_until": _iso(until), "misses": w["misses"],
    }  # fmt: skip


def _walk(course: Course, record: Record, band: Band, day: int, skill: Skill) -> Facts:
    """Walk through the days of one skill (R1 to R3)."""
    need, most = (rule[KINDS.index(skill.kind)] for rule in (band.days_needed, band.accepts))
    order = [unit.id for unit in course.units]
    covered = [s for s in record.settled if order.index(s.through) >= order.index(skill.unit)]
    start = since = max((s.on for s in covered if s.on <= day), default=None)
    notes: dict[int, int] = {}
    for lesson in record.lessons:
        for shown in lesson.showings:
            meant = course.stands_for.get(shown.skill, (shown.skill,))
            if skill.id in meant and (start or 0) <= lesson.on <= day:
                notes[lesson.on] = max(shown.help, notes.get(lesson.on, 0))
    counts: list[int] = []
    listed: list[int] = []
    misses, slipped = 0, False
    for on, given in sorted(notes.items()):
        if given <= most:
            misses, listed, counts = 0, [*listed, on], [*counts, on]
            apart = need == 1 or on - listed[0] >= band.whole("spread_days")
            since = on if since is None and len(listed) >= need and apart else since
        elif (misses := misses + 1) == 2 and since is not None:
            since, listed, slipped = None, [], True
    return {
        "since": since, "have": len(listed), "need": need, "misses": misses, "slipped": slipped,
        "notes": notes, "counts": counts, "seen": [*counts, *([] if start is None else [start])],
    }  # fmt: skip
