"""From notes to a state: rules R1 to R6, as they are written."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from datetime import date, timedelta
from typing import Any

from second_reading.facts import Course, Toml

__all__ = ["GAPS", "HELPS", "OPEN", "Walked", "state_on", "walk_all"]

HELPS = ["alone", "cue", "model", "hands-on", "not-shown"]
GAPS = {"with-help", "not-shown", "slipped"}
OPEN = {"untried", "building", "wobbling", "stale"}


@dataclass
class Walked:
    """One skill after going through its days. ``days`` are (day, help, counts)."""

    need: int
    window: timedelta
    settled: date | None
    aside: bool
    days: list[tuple[date, str, bool]] = field(default_factory=list)
    listed: list[date] = field(default_factory=list)
    misses: int = 0
    since: date | None = None
    slipped: bool = False
    last_seen: date | None = None

    @property
    def fresh_until(self) -> date | None:
        """Return the last day on which the skill is not stale (R4)."""
        return None if self.last_seen is None else self.last_seen + self.window


def notes_of(student: Toml, skill: str) -> dict[date, str]:
    """Return the note of each day: the one with most help (R1)."""
    notes: dict[date, str] = {}
    for lesson in student.get("lesson", []):
        for help_ in HELPS:
            if skill in lesson.get(help_.replace("-", "_"), []):
                earlier = notes.get(lesson["on"], "alone")
                notes[lesson["on"]] = max(earlier, help_, key=HELPS.index)
    return notes


def settled_on(course: Course, student: Toml, skill: str) -> date | None:
    """Return the latest day on which a ``settled`` block covered the skill (R3)."""
    days = [
        block["on"]
        for block in student.get("settled", [])
        if course.number(skill) <= course.units.index(block["through"])
    ]
    return max(days, default=None)


def walk_all(course: Course, student: Toml, band: Toml) -> dict[str, Walked]:
    """Go through the days of every skill (R1 to R3), then refresh what was used (R4, R5).

    Staleness is left to :func:`state_on`, being the only part that asks for the day.
    """
    walked = {skill: _walk(course, student, band, skill) for skill in course.skills}
    for skill, walk in walked.items():
        for day in [day for day, _, counts in walk.days if counts]:
            for lower in course.ancestors(skill):
                _refresh(walked[lower], day, course.flag(lower, "must_be_seen"))
    return walked


def _walk(course: Course, student: Toml, band: Toml, skill: str) -> Walked:
    table = course.skills[skill]
    walk = Walked(
        need=band["days_needed"][table["kind"]],
        window=timedelta(days=7 * band["fresh_weeks"][table["fade"]]),
        settled=settled_on(course, student, skill),
        aside=any(entry["skill"] == skill for entry in student.get("set_aside", [])),
    )
    walk.since = walk.last_seen = walk.settled
    accepted = HELPS.index(band["accepts"][table["kind"]])
    for day, help_ in sorted(notes_of(student, skill).items()):
        if walk.settled is None or day >= walk.settled:
            counts = HELPS.index(help_) <= accepted
            walk.days.append((day, help_, counts))
            _count(walk, day, band["spread_days"]) if counts else _miss(walk)
    return walk


def _count(walk: Walked, day: date, spread: int) -> None:
    walk.misses = 0
    walk.listed.append(day)
    walk.last_seen = day
    apart = (walk.listed[-1] - walk.listed[0]).days
    if walk.since is None and len(walk.listed) >= walk.need and (walk.need == 1 or apart >= spread):
        walk.since = day


def _miss(walk: Walked) -> None:
    walk.misses += 1
    if walk.misses == 2 and walk.since is not None:
        walk.since = None
        walk.listed = []
        walk.slipped = True


def _refresh(lower: Walked, day: date, must_be_seen: bool) -> None:
    if must_be_seen or lower.since is None or lower.since > day:
        return
    if lower.last_seen is None or day > lower.last_seen:
        lower.last_seen = day


def state_on(walk: Walked, day: date) -> str:
    """Return the state of a walked skill on a day, the first of R6 that fits."""
    secure = walk.since is not None
    late = walk.fresh_until is not None and day > walk.fresh_until
    lines = [
        (walk.aside, "set-aside"),
        (secure and walk.misses == 1, "wobbling"),
        (secure and late, "stale"),
        (secure, "secure"),
        (not walk.days, "untried"),
        (walk.misses >= 1 and walk.slipped, "slipped"),
        (walk.misses == 0, "building"),
        (bool(walk.days) and walk.days[-1][1] == "not-shown", "not-shown"),
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
        "last_note": last[0].isoformat() if last else None,
        "last_help": last[1] if last else None,
        "last_seen": walk.last_seen.isoformat() if walk.last_seen else None,
        "fresh_until": walk.fresh_until.isoformat() if walk.fresh_until else None,
        "misses": walk.misses,
    }
