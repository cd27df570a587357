"""From notes to a state: rules R1 to R6, as they are written.

Choices made here, the text of the rules being silent:

* *A settled block under a hold* stands: R1a speaks of notes, and settled is what the teacher
  answers for as a whole.
* *A note on the day of opening* is judged as the note of the day (R1, the one with most help)
  and by the band of the day asked about, as all counting is.
* *What a note under a hold leaves behind* is nothing: ``last_note``, ``last_help``, ``have``
  and ``misses`` are those of the evidence, and a skill noted only under a hold is ``untried``.
* *Last seen and fresh until* are told of every skill that was ever seen to count, also of one
  that has slipped; they decide only for secure ones.
* *A use refreshes* whoever it is: notes on optional and set-aside skills are use as well, and
  a link through a ``must_be_seen``, optional or set-aside skill carries on to what is below it.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from datetime import date, timedelta
from typing import Any

from second_reading.facts import Course, Toml, on_opening_day, under_a_hold

__all__ = ["GAPS", "HELPS", "OPEN", "Walked", "detail", "evidence", "state_on", "walk_all"]

HELPS = ("alone", "cue", "model", "hands-on", "not-shown")
GAPS = {"with-help", "not-shown", "slipped"}
OPEN = {"untried", "building", "wobbling", "stale"}


@dataclass(frozen=True)
class Day:
    """The note of one skill on one day, and whether it counts (R1, R2)."""

    on: date
    help: str
    counts: bool


@dataclass
class Walked:
    """One skill after going through its days (R3), which are those in scope."""

    need: int
    window: timedelta
    settled: date | None
    aside: bool
    days: list[Day] = field(default_factory=list)
    listed: list[date] = field(default_factory=list)
    misses: int = 0
    since: date | None = None
    slipped: bool = False
    last_seen: date | None = None

    @property
    def fresh_until(self) -> date | None:
        """Return the last day on which the skill is not stale (R4)."""
        return None if self.last_seen is None else self.last_seen + self.window


def notes_by_day(known: Toml) -> dict[str, dict[date, str]]:
    """Return the day's note of each skill on each day: the one with most help (R1)."""
    notes: dict[str, dict[date, str]] = {}
    for lesson in known["lesson"]:
        for help_ in HELPS:
            for skill in lesson.get(help_.replace("-", "_"), []):
                of_skill = notes.setdefault(skill, {})
                of_skill[lesson["on"]] = max(of_skill.get(lesson["on"], "alone"), help_, key=HELPS.index)
    return notes


def evidence(course: Course, known: Toml, band: Toml) -> dict[str, list[Day]]:
    """Return each skill's days in order, without those that are no evidence under a hold (R1a, R2)."""
    noted = notes_by_day(known)
    found: dict[str, list[Day]] = {}
    for skill, table in course.skills.items():
        accepted = HELPS.index(band["accepts"][table["kind"]])
        days = [Day(on, h, HELPS.index(h) <= accepted) for on, h in sorted(noted.get(skill, {}).items())]
        found[skill] = [day for day in days if course.quiet(skill) or _stands(known, day)]
    return found


def _stands(known: Toml, day: Day) -> bool:
    """Return whether a note of a skill that is not quiet is evidence (R1a)."""
    return not under_a_hold(known, day.on) and (day.counts or not on_opening_day(known, day.on))


def settled_on(course: Course, known: Toml, skill: str) -> date | None:
    """Return S, the latest day on which a ``settled`` block covered the skill (R3)."""
    unit = course.place(skill)
    covering = (b["on"] for b in known["settled"] if unit <= course.units.index(b["through"]))
    return max(covering, default=None)


def walk_all(course: Course, known: Toml, band: Toml) -> dict[str, Walked]:
    """Go through the days of every skill (R1 to R3), then refresh what was used (R5)."""
    found = evidence(course, known, band)
    walked = {skill: _walk(course, known, band, skill, found[skill]) for skill in course.skills}
    for skill, walk in walked.items():
        for day in [day.on for day in walk.days if day.counts]:
            only_quiet = under_a_hold(known, day)
            for lower in course.ancestors(skill):
                if not course.flag(lower, "must_be_seen") and (course.quiet(lower) or not only_quiet):
                    _refresh(walked[lower], day)
    return walked


def _walk(course: Course, known: Toml, band: Toml, skill: str, found: list[Day]) -> Walked:
    """Go through the days of one skill in order (R3)."""
    table = course.skills[skill]
    walk = Walked(
        need=table.get("days", band["days_needed"][table["kind"]]),
        window=timedelta(weeks=band["fresh_weeks"][table["fade"]]),
        settled=settled_on(course, known, skill),
        aside=any(entry["skill"] == skill for entry in known["set_aside"]),
    )
    walk.since = walk.last_seen = walk.settled
    for day in found:
        if walk.settled is None or day.on >= walk.settled:
            walk.days.append(day)
            _count(walk, day.on, band["spread_days"]) if day.counts else _miss(walk)
    return walk


def _count(walk: Walked, day: date, spread: int) -> None:
    walk.misses = 0
    walk.listed.append(day)
    walk.last_seen = day
    spread_enough = walk.need == 1 or (walk.listed[-1] - walk.listed[0]).days >= spread
    if walk.since is None and len(walk.listed) >= walk.need and spread_enough:
        walk.since = day


def _miss(walk: Walked) -> None:
    walk.misses += 1
    if walk.misses == 2 and walk.since is not None:
        walk.since = None
        walk.listed = []
        walk.slipped = True


def _refresh(lower: Walked, day: date) -> None:
    """Keep an ancestor warm that is secure since a day not after its use (R5)."""
    if lower.since is not None and lower.since <= day:
        lower.last_seen = max(lower.last_seen or day, day)


def state_on(walk: Walked, day: date) -> str:
    """Return the state of a walked skill on a day, the first of R6 that fits."""
    secure = walk.since is not None
    stale = walk.fresh_until is not None and day > walk.fresh_until
    lines = [
        (walk.aside, "set-aside"),
        (secure and walk.misses == 1, "wobbling"),
        (secure and stale, "stale"),
        (secure, "secure"),
        (not walk.days, "untried"),
        (walk.misses >= 1 and walk.slipped, "slipped"),
        (walk.misses == 0, "building"),
        (bool(walk.days) and walk.days[-1].help == "not-shown", "not-shown"),
        (True, "with-help"),
    ]
    return next(state for fits, state in lines if fits)


def detail(walk: Walked, day: date) -> Mapping[str, Any]:
    """Return what section 7 tells of one skill."""
    last = walk.days[-1] if walk.days else None
    return {
        "state": state_on(walk, day),
        "have": len(walk.listed),
        "need": walk.need,
        "last_note": last.on.isoformat() if last else None,
        "last_help": last.help if last else None,
        "last_seen": walk.last_seen.isoformat() if walk.last_seen else None,
        "fresh_until": walk.fresh_until.isoformat() if walk.fresh_until else None,
        "misses": walk.misses,
    }
