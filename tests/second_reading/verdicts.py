"""The verdict of a student on a day: rule R7, and placing by R10."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date, timedelta
from typing import Any

from second_reading.facts import Course, Toml, band_on, lesson_days
from second_reading.states import GAPS, HELPS, Walked, notes_of, settled_on, state_on, walk_all

__all__ = ["Entry", "Reckoning", "placing"]


@dataclass
class Entry:
    """A group of skills of which ``at_least`` come before the next unit."""

    at_least: int
    of: list[str]
    needed_by: list[str]


class Reckoning:
    """Everything R7 asks about a student on a day, whose file is already cut to what is known.

    Args:
        course: what is taught.
        student: the file, with nothing in it that may not be used.
        on: the day.
        walked: the skills gone through for the band of that day, where the caller has them.
    """

    def __init__(
        self, course: Course, student: Toml, on: date, walked: Mapping[str, Walked] | None = None
    ) -> None:
        self.course, self.student, self.on = course, student, on
        self.band_name = band_on(course, student, on)
        self.band: Toml = course.bands[self.band_name]
        self.walked = walk_all(course, student, self.band) if walked is None else walked
        self.states = {skill: state_on(walk, on) for skill, walk in self.walked.items()}
        start = unit_start(student)
        self.unit: str | None = start["unit"] if start else None
        self.unit_since: date | None = start["on"] if start else None
        self.next_unit = course.after(self.unit) if self.unit else None
        self.optional = {
            s for s in course.skills if self.band_name in course.skills[s].get("optional_in", [])
        }
        if self.unit is not None:
            self._sort_skills(self.unit)

    def _sort_skills(self, unit: str) -> None:
        """Work out the entry list, the entry groups, the deciding skills and the rest."""
        course, up_to = self.course, set(self.course.up_to(unit))
        self.named_by: dict[str, list[str]] = {}
        for skill in self.asked(course.of_unit(self.next_unit)):
            for lower in course.links(skill):
                self.named_by.setdefault(lower, []).append(skill)
        self.groups = self._entry_groups(up_to)
        entry = {s for s in self.named_by if s in up_to}
        always = {s for s in up_to if course.flag(s, "always_look")}
        safety = {s for s in course.of_unit(unit) if course.flag(s, "safety")}
        self.entry_list = self.asked(course.in_order(entry))
        self.deciding = self.asked(course.in_order(entry | always | safety))
        self.rest = [s for s in self.asked(course.of_unit(unit)) if s not in self.deciding]

    def _entry_groups(self, up_to: set[str]) -> list[Entry]:
        groups: list[Entry] = []
        for skill in self.asked(self.course.of_unit(self.next_unit)):
            for table in self.course.skills[skill].get("stands_on_some", []):
                if not set(table["of"]) <= up_to:
                    continue
                members = self.course.in_order(table["of"])
                same = [g for g in groups if (g.at_least, g.of) == (table["at_least"], members)]
                if not same:
                    groups.append(Entry(table["at_least"], members, [skill]))
                elif skill not in same[0].needed_by:
                    same[0].needed_by.append(skill)
        return groups

    def asked(self, skills: list[str]) -> list[str]:
        """Leave out what is optional in the band or set aside."""
        return [s for s in skills if s not in self.optional and self.states[s] != "set-aside"]

    def gap(self, skill: str) -> bool:
        """Return whether the skill is in a gap state."""
        return self.states[skill] in GAPS

    def good(self, skill: str) -> bool:
        """Return whether the skill is secure, or set aside, which counts as met everywhere."""
        return self.states[skill] in {"secure", "set-aside"}

    def met(self, group: Entry) -> bool:
        """Return whether enough members of a group are there."""
        return sum(self.good(s) for s in group.of) >= group.at_least

    def group_gap(self, group: Entry) -> bool:
        """Return whether an unmet group cannot be met by the members in no gap state."""
        return not self.met(group) and sum(not self.gap(s) for s in group.of) < group.at_least

    def unmet(self) -> list[Entry]:
        """Return the entry groups that are not met."""
        return [g for g in self.groups if not self.met(g)]

    def not_secure(self, skills: list[str]) -> list[str]:
        """Return those of some skills that are neither secure nor set aside."""
        return [s for s in skills if not self.good(s)]

    def open_hold(self) -> bool:
        """Return whether a hold is open on the day."""
        return any(
            h["opened"] <= self.on and ("closed" not in h or h["closed"] > self.on)
            for h in self.student.get("hold", [])
        )

    def away(self) -> str | None:
        """Return whether the day is in a break, or the latest lesson the first after one."""
        days, long = lesson_days(self.student), timedelta(days=7 * self.band["break_weeks"])
        if not days:
            return None
        if self.on - days[-1] >= long:
            return "on-a-break"
        if len(days) >= 2 and days[-1] - days[-2] >= long:
            return "first-lesson-back"
        return None

    def by_states(self) -> str:
        """Return the verdict of the states alone: no hold, no break."""
        limit = self.band["carry_limit"]
        if (
            any(self.gap(s) for s in self.deciding)
            or any(self.group_gap(g) for g in self.groups)
            or sum(self.gap(s) for s in self.rest) > limit
        ):
            return "not-yet"
        open_rest = self.not_secure(self.rest)
        if self.not_secure(self.deciding) or self.unmet() or len(open_rest) > limit:
            return "look-again"
        return "ready-taking-along" if open_rest else "ready"

    def verdict(self) -> str:
        """Return the verdict, the first that fits."""
        if self.open_hold():
            return "paused"
        if self.unit is None:
            return "not-placed"
        verdict = self.by_states()
        return "look-again" if verdict.startswith("ready") and self.away() else verdict


def unit_start(student: Toml) -> Toml | None:
    """Return the latest ``unit_start``, of equals the later in the file."""
    found: Toml | None = None
    for start in student.get("unit_start", []):
        if found is None or start["on"] >= found["on"]:
            found = start
    return found


def placing(now: Reckoning) -> dict[str, Any]:
    """Return where a student who is not placed would start (R10).

    A skill covered by a ``settled`` block and not noted since is shown.
    """
    course = now.course
    shown, missed = _shown(now)
    implied = {
        lower
        for skill in shown
        for lower in course.ancestors(skill)
        if not course.flag(lower, "must_be_seen") and lower not in missed
    }
    start, patches, stopped = course.units[0], set[str](), set[str]()
    for unit in course.units[1:]:
        lower_units = set(course.up_to(start))
        named = {n for s in now.asked(course.of_unit(unit)) for n in course.links(s) if n in lower_units}
        missing = {
            s
            for s in now.asked(course.in_order(named))
            if s not in shown and s not in implied and not course.flag(s, "always_look")
        }
        if len(patches | missing) > now.band["carry_limit"]:
            stopped = missing - patches
            break
        patches |= missing
        start = unit
    always = [s for s in now.asked(list(course.skills)) if course.flag(s, "always_look") and s not in shown]
    return {
        "start_unit": start,
        "patches": course.in_order(patches),
        "stopped_by": course.in_order(stopped),
        "always_look_open": always,
        "provisional": _provisional(now),
    }


def _shown(now: Reckoning) -> tuple[set[str], set[str]]:
    """Return the skills whose latest note counts, and those whose latest note does not."""
    shown, missed = set[str](), set[str]()
    for skill in now.course.skills:
        settled = settled_on(now.course, now.student, skill)
        notes = {d: h for d, h in notes_of(now.student, skill).items() if settled is None or d >= settled}
        accepted = HELPS.index(now.band["accepts"][now.course.skills[skill]["kind"]])
        if notes:
            counts = HELPS.index(notes[max(notes)]) <= accepted
            (shown if counts else missed).add(skill)
        elif settled is not None:
            shown.add(skill)
    return shown, missed


def _provisional(now: Reckoning) -> bool:
    """Return whether there was one lesson only and nobody has confirmed the placing."""
    confirmed = any("confirmed" in p and p["confirmed"] <= now.on for p in now.student.get("placing", []))
    return len(lesson_days(now.student)) < 2 and not confirmed
