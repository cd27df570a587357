"""The verdict of a student on a day (R7), placing (R10), what was decided (R11), brought along (R12).

Choices made here, the text of the rules being silent:

* *Left out* skills of the next unit name nothing: neither entry list nor groups come from them.
* *Needed by* are the skills of the next unit that name the skill or the group themselves.
* *Blockers* are the deciding skills that are not secure, in graph order, then the unmet groups
  in the order of the skills that ask for them. Two groups are one when both members and number agree.
* *Breaks* count every lesson noted, also one under a hold: the child was there.
* *After a hold* by the letter: the day of closing and the day asked about are included, and any
  skill of the course that is not quiet will do, also an optional or a set-aside one, and so will
  what was shown before it hurt, where a hold was closed on the day of its opening. A lesson
  that is supposed is such a day whatever is shown in it.
* *Not placed* is paused by the same holds as placed.
* *The decision in force* is the latest one of the unit, if it says ``stay``: a later ``move``
  ends it. It holds on the day ``until`` names and on the day of the third lesson, and is over
  on the day of the fourth. Lessons under a hold are lessons. What is told is the latest, be it
  in force or not; a student not placed has none.
* *Brought along* is told also when paused; not placed there is nothing to bring.
* *Placing:* evidence under a hold shows nothing; the sum that may not exceed ``carry_limit``
  is that of different skills. ``confirmed`` is a day, or true.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from datetime import date, timedelta
from typing import Any

from second_reading.facts import Course, Toml, band_on, latest, lesson_days, paused_on
from second_reading.states import GAPS, Walked, evidence, state_on, walk_all

__all__ = ["READY", "Group", "Reckoning", "brought_along", "decision", "placing", "shown_and_implied"]

READY = {"ready", "ready-taking-along"}


@dataclass
class Group:
    """Skills of which ``at_least`` come before the next unit, and the skills that ask for them."""

    at_least: int
    of: list[str]
    needed_by: list[str]


class Reckoning:
    """Everything R7 asks about a student, of whom this is known, on a day.

    ``walked`` spares the walk where the caller has it, for the band of that day.
    """

    def __init__(
        self, course: Course, known: Toml, on: date, walked: Mapping[str, Walked] | None = None
    ) -> None:
        self.course, self.known, self.on = course, known, on
        self.band_name = band_on(course, known, on)
        self.band: Toml = course.bands[self.band_name]
        self.walked = walk_all(course, known, self.band) if walked is None else walked
        self.states = {skill: state_on(walk, on) for skill, walk in self.walked.items()}
        optional = {s for s, table in course.skills.items() if self.band_name in table.get("optional_in", [])}
        self.left_out = optional | {s for s in course.skills if self.states[s] == "set-aside"}
        start = latest(known["unit_start"])
        self.unit: str | None = start["unit"] if start else None
        self.unit_since: date = start["on"] if start else date.max
        self.next_unit = course.after(self.unit) if self.unit else None
        if self.unit is not None:
            self._decide(self.unit)

    def _decide(self, unit: str) -> None:
        """Work out the entry list, the entry groups, the deciding skills and the rest."""
        course, up_to = self.course, self.course.up_to(unit)
        self.named_by = {s: self._naming(s) for s in up_to}
        self.groups = self._entry_groups(set(up_to))
        self.entry_list = self.asked(s for s in up_to if self.named_by[s])
        always = [s for s in up_to if course.flag(s, "always_look")]
        safety = [s for s in course.of_unit(unit) if course.flag(s, "safety")]
        self.deciding = self.asked([*self.entry_list, *always, *safety])
        self.rest = [s for s in self.asked(course.of_unit(unit)) if s not in self.deciding]

    def _naming(self, lower: str) -> list[str]:
        upper = self.asked(self.course.of_unit(self.next_unit))
        return [s for s in upper if lower in self.course.links(s)]

    def _entry_groups(self, up_to: set[str]) -> list[Group]:
        groups: dict[tuple[int, frozenset[str]], Group] = {}
        for skill in self.asked(self.course.of_unit(self.next_unit)):
            for table in self.course.skills[skill].get("stands_on_some", []):
                members = frozenset(table["of"])
                if members <= up_to:
                    new = Group(table["at_least"], self.course.in_order(members), [])
                    owners = groups.setdefault((new.at_least, members), new).needed_by
                    owners += [] if skill in owners else [skill]
        return list(groups.values())

    def asked(self, skills: Iterable[str]) -> list[str]:
        """Return some skills in graph order, without those optional in the band or set aside."""
        return [s for s in self.course.in_order(skills) if s not in self.left_out]

    def gap(self, skill: str) -> bool:
        return self.states[skill] in GAPS

    def good(self, skill: str) -> bool:
        """Return whether the skill is secure, or set aside, which counts as met everywhere."""
        return self.states[skill] in {"secure", "set-aside"}

    def not_secure(self, skills: Iterable[str]) -> list[str]:
        """Return those of some skills that are neither secure nor set aside."""
        return [s for s in skills if not self.good(s)]

    def met(self, group: Group) -> bool:
        return sum(self.good(s) for s in group.of) >= group.at_least

    def group_gap(self, group: Group) -> bool:
        """Return whether an unmet group could not be met with all members in no gap state."""
        return not self.met(group) and sum(not self.gap(s) for s in group.of) < group.at_least

    def unmet(self) -> list[Group]:
        return [g for g in self.groups if not self.met(g)]

    def paused(self) -> bool:
        """Return whether a hold that pauses this course is open on the day."""
        return paused_on(self.known, self.on)

    def break_limit(self) -> timedelta:
        """Return how long without a lesson is a break: with a rhythm, never as little as its step."""
        in_rhythm = 0 if self.known["weekday"] is None else self.known["weeks"] + 1
        return timedelta(weeks=max(self.band["break_weeks"], in_rhythm))

    def away(self) -> str | None:
        """Return whether the day is in a break, or the latest lesson the first after one."""
        days = lesson_days(self.known)
        if days and self.on - days[-1] >= self.break_limit():
            return "on-a-break"
        if len(days) >= 2 and days[-1] - days[-2] >= self.break_limit():
            return "first-lesson-back"
        return None

    def after_a_hold(self) -> bool:
        """Return whether there were fewer than two lesson days with hands or voice since a hold closed."""
        closed = max((h["closed"] for h in self.known["hold"] if "closed" in h), default=None)
        if closed is None:
            return False
        found = evidence(self.course, self.known, self.band)
        days = {day.on for s, of_skill in found.items() if not self.course.quiet(s) for day in of_skill}
        days |= {lesson["on"] for lesson in self.known["lesson"] if "supposed" in lesson}
        return len({day for day in days if closed <= day <= self.on}) < 2

    def by_states(self) -> str:
        """Return the verdict of the states alone: no hold, no break (R7, 2 to 5)."""
        limit, open_rest = self.band["carry_limit"], self.not_secure(self.rest)
        gap_in_what_decides = any(map(self.gap, self.deciding)) or any(map(self.group_gap, self.groups))
        if gap_in_what_decides or sum(map(self.gap, self.rest)) > limit:
            return "not-yet"
        if self.not_secure(self.deciding) or self.unmet() or len(open_rest) > limit:
            return "look-again"
        return "ready-taking-along" if open_rest else "ready"

    def verdict(self) -> str:
        """Return the verdict, the first that fits (R7)."""
        if self.paused():
            return "paused"
        if self.unit is None:
            return "not-placed"
        verdict = self.by_states()
        return "look-again" if verdict in READY and (self.away() or self.after_a_hold()) else verdict


def decision(now: Reckoning) -> dict[str, Any] | None:
    """Return the teacher's latest decision of the unit, and whether it is in force (R11)."""
    said = latest(d for d in now.known["decision"] if d["unit"] == now.unit)
    if said is None:
        return None
    until = said.get("until")
    since = sum(day > said["on"] for day in lesson_days(now.known))
    lasts = since < 4 if until is None else now.on <= until
    return {
        "on": said["on"].isoformat(),
        "decided": said["decided"],
        "until": until.isoformat() if until else None,
        "in_force": said["decided"] == "stay" and lasts,
    }


def brought_along(now: Reckoning) -> list[str]:
    """Return what is not settled in the units before (R12)."""
    if now.unit is None:
        return []
    earlier = set(now.course.up_to(now.unit)) - set(now.course.of_unit(now.unit))
    return [s for s in now.asked(earlier) if now.states[s] == "building" or now.gap(s)]


def shown_and_implied(now: Reckoning) -> tuple[set[str], set[str]]:
    """Return the skills that are shown, and those that shown ones imply (R10)."""
    shown, missed = set[str](), set[str]()
    for skill, walk in now.walked.items():
        if walk.days:
            (shown if walk.days[-1].counts else missed).add(skill)
        elif walk.settled is not None:
            shown.add(skill)
    below = {lower for skill in shown for lower in now.course.ancestors(skill)}
    return shown, {s for s in below - missed if not now.course.flag(s, "must_be_seen")}


def placing(now: Reckoning) -> dict[str, Any]:
    """Return where a student who is not placed would start, by climbing from the first unit (R10)."""
    course = now.course
    shown, implied = shown_and_implied(now)
    start, patches, stopped = course.units[0], set[str](), set[str]()
    for unit in course.units[1:]:
        named = {lower for s in now.asked(course.of_unit(unit)) for lower in course.links(s)}
        entry_list = now.asked(named & set(course.up_to(start)))
        missing = {s for s in entry_list if not course.flag(s, "always_look")} - shown - implied
        if len(patches | missing) > now.band["carry_limit"]:
            stopped = missing - patches
            break
        patches |= missing
        start = unit
    always = [s for s in now.asked(course.skills) if course.flag(s, "always_look") and s not in shown]
    confirmed = any(block.get("confirmed") for block in now.known["placing"])
    return {
        "start_unit": start,
        "patches": course.in_order(patches),
        "stopped_by": course.in_order(stopped),
        "always_look_open": always,
        "provisional": not confirmed and len(lesson_days(now.known)) < 2,
    }
