"""Check an answer without trusting the program that made it.

The certificate of a verdict is its JSON object (rules, section 7). Here bands, states, sets and
verdict are worked out again from course and record in the plainest way there is. This module
imports nothing else of judging, so a mistake there cannot hide here.
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
Fact = dict[str, Any]


def recheck(claim: Mapping[str, Any], course: Course, record: Record) -> tuple[str, ...]:
    """Return the keys of ``claim`` that do not follow from the files; empty when all do."""
    truth = _truth(course, record, date.fromisoformat(claim["on"]).toordinal())
    return tuple(key for key in truth if key not in claim or claim[key] != truth[key])


def _truth(course: Course, record: Record, day: int) -> Fact:
    band, order = _band(course, record, day), [unit.id for unit in course.units]
    unit = max(((s.on, n, s.unit) for n, s in enumerate(record.unit_starts) if s.on <= day), default=(0, 0, None))[2]
    paused = any(h.opened <= day and (h.closed is None or h.closed > day) for h in record.holds)
    head = {"format": 1, "student": record.id, "on": _iso(day), "band": band.name, "unit": unit}
    if unit is None:
        return {**head, "next_unit": None, "verdict": "paused" if paused else "not-placed"}
    facts, at, most = _facts(course, record, band, day), order.index(unit), band.whole("carry_limit")
    state = {skill: fact["state"] for skill, fact in facts.items()}
    asked = [s for s in course.skills if band.name not in s.optional_in and state[s.id] != "set-aside"]
    early, nexts = [s for s in asked if order.index(s.unit) <= at], [s for s in asked if order.index(s.unit) == at + 1]
    needed = {s.id: [n.id for n in nexts if s.id in n.stands_on] for s in early}
    must = [s.id for s in early if s.always_look or (s.safety and s.unit == unit) or needed[s.id]]
    rest = [s.id for s in early if s.unit == unit and s.id not in must]
    wanted: dict[tuple[int, tuple[str, ...]], list[str]] = {}
    for owner, group in ((owner, group) for owner in nexts for group in owner.stands_on_some):
        if all(order.index(course.skill[m].unit) <= at for m in group.of):
            of = tuple(sorted(group.of, key=list(state).index))
            wanted.setdefault((group.at_least, of), []).append(owner.id)
    groups = [_group(least, of, state) for least, of in wanted]
    unmet = [{"group": list(key[1]), "at_least": key[0], "needed_by": owners}
             for (key, owners), group in zip(wanted.items(), groups, strict=True) if not group["met"]]  # fmt: skip
    unsure, loose = [s for s in must if state[s] != "secure"], [s for s in rest if state[s] != "secure"]
    gaps, loose_gaps = [s for s in unsure if state[s] in GAPS], [s for s in loose if state[s] in GAPS]
    not_yet = bool(gaps) or any(group["gap"] for group in groups) or len(loose_gaps) > most
    look = bool(unsure or unmet) or len(loose) > most or _away(record, band, day)
    verdict = "not-yet" if not_yet else "look-again" if look else "ready-taking-along" if loose else "ready"
    blockers = [{"skill": s, "state": state[s], "needed_by": needed[s]} for s in unsure]
    return head | {
        "next_unit": order[at + 1] if at + 1 < len(order) else None,
        "verdict": "paused" if paused else verdict,
        "deciding": {s: state[s] for s in must},
        "rest": {s: state[s] for s in rest},
        "details": {s: fact for s, fact in facts.items() if s in must or s in rest},
        "groups": groups,
        "blockers": blockers + unmet,
        "taken_along": loose if verdict == "ready-taking-along" and not paused else [],
    }


def _group(least: int, of: tuple[str, ...], state: Mapping[str, str]) -> Fact:
    met = sum(state[m] in ("secure", "set-aside") for m in of) >= least
    gap = not met and sum(state[m] not in GAPS for m in of) < least
    return {"at_least": least, "of": list(of), "met": met, "gap": gap}


def _band(course: Course, record: Record, day: int) -> Band:
    chosen = [(c.on, n, c.band) for n, c in enumerate(record.band_choices) if c.on <= day]
    born, now = date.fromordinal(record.born), date.fromordinal(day)
    age = now.year - born.year - ((now.month, now.day) < (born.month, born.day))
    youngest = min(course.bands, key=lambda b: b.from_age)
    by_age = max((b for b in course.bands if b.from_age <= age), key=lambda b: b.from_age, default=youngest)
    return course.band[max(chosen)[2]] if chosen else by_age


def _away(record: Record, band: Band, day: int) -> bool:
    days = sorted({lesson.on for lesson in record.lessons if lesson.on <= day})
    gaps = [later - earlier for earlier, later in pairwise([*days, day])]
    return max(gaps[-2:], default=0) >= 7 * band.whole("break_weeks")


def _iso(day: int | None) -> str | None:
    return None if day is None else str(date.fromordinal(day))


def _facts(course: Course, record: Record, band: Band, day: int) -> dict[str, Fact]:
    walked = {skill.id: _walk(course, record, band, day, skill) for skill in course.skills}
    above: dict[str, set[str]] = {}
    while len(above) < len(course.skills):
        for s in course.skills:
            if s.id not in above and all(p in above for p in s.stands_on):
                above[s.id] = {*s.stands_on}.union(*(above[p] for p in s.stands_on))
    facts = {}
    for s in course.skills:
        notes, counts, since, have, misses, slipped, start = walked[s.id]
        seen = [*counts, *([start] if start is not None else [])]
        if since is not None and not s.must_be_seen:
            seen += [d for user, w in walked.items() if s.id in above[user] for d in w[1] if d >= since]
        last_seen, window = max(seen, default=None), band.fresh_days[FADES.index(s.fade)]
        last, helped = max(notes.items(), default=(None, None))
        until = None if last_seen is None else last_seen + window
        state = _state(since, misses, slipped, helped, until is not None and day > until)
        if any(a.skill == s.id and a.on <= day for a in record.set_aside):
            state = "set-aside"
        facts[s.id] = {"state": state, "have": have, "need": band.days_needed[KINDS.index(s.kind)],
                       "last_note": _iso(last), "last_help": None if helped is None else HELPS[helped],
                       "last_seen": _iso(last_seen), "fresh_until": _iso(until), "misses": misses}  # fmt: skip
    return facts


def _state(since: int | None, misses: int, slipped: bool, helped: int | None, stale: bool) -> str:
    if since is not None:
        return "wobbling" if misses == 1 else "stale" if stale else "secure"
    if helped is None or not misses:
        return "untried" if helped is None else "building"
    return "slipped" if slipped else "not-shown" if HELPS[helped] == "not-shown" else "with-help"


def _walk(course: Course, record: Record, band: Band, day: int, skill: Skill) -> tuple[Any, ...]:
    """Return notes, counting days, secure since, have, misses, slipped and settled day (R1 to R3)."""
    number, kind = {u.id: u.number for u in course.units}, KINDS.index(skill.kind)
    covering = [s.on for s in record.settled if s.on <= day and number[s.through] >= number[skill.unit]]
    start = since = max(covering, default=None)
    notes: dict[int, int] = {}
    for lesson in record.lessons:
        for shown in lesson.showings:
            if shown.skill == skill.id and (start or 0) <= lesson.on <= day:
                notes[lesson.on] = max(shown.help, notes.get(lesson.on, 0))
    counts: list[int] = []
    listed: list[int] = []
    misses, slipped, need = 0, False, band.days_needed[kind]
    for on, given in sorted(notes.items()):
        if given <= band.accepts[kind]:
            misses, listed, counts = 0, [*listed, on], [*counts, on]
            apart = need == 1 or listed[-1] - listed[0] >= band.whole("spread_days")
            since = on if since is None and len(listed) >= need and apart else since
        elif (misses := misses + 1) == 2 and since is not None:
            since, listed, slipped = None, [], True
    return notes, counts, since, len(listed), misses, slipped, start
