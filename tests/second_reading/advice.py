"""Notes, the one thing, look first, earliest, holds until: rule R8, by trying things out."""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence
from datetime import date, timedelta
from fractions import Fraction
from itertools import combinations
from typing import Any

from second_reading.facts import Course, Toml, band_on, lesson_days, lessons_after, turns
from second_reading.states import HELPS, OPEN, Walked, walk_all
from second_reading.verdicts import Entry, Reckoning

__all__ = ["earliest", "holds_until", "look_first", "notes", "one_thing", "showing"]

Target = str | tuple[int, str]
"""What a showing can bring back: a skill, or one member of the group with that number."""


# --- notes -----------------------------------------------------------------------------------


def notes(now: Reckoning) -> list[dict[str, Any]]:
    """Return the notes: fast or long, then stuck, footing, fade-soon, each in graph order."""
    order = now.course.in_order
    stuck = [s for s in order([*now.deciding, *now.rest]) if not now.good(s) and _stuck(now, s)]
    footing = [
        s
        for s in now.entry_list
        if now.states[s] == "secure"
        and any(now.gap(lower) and lower not in now.optional for lower in now.course.ancestors(s))
    ]
    soon = [s for s in now.deciding if now.states[s] == "secure" and _fades(now, s)]
    found = [*_pace(now), *(("stuck", s) for s in stuck)]
    found += [*(("footing", s) for s in footing), *(("fade-soon", s) for s in soon)]
    return [{"id": name, "skill": skill} for name, skill in found]


def _pace(now: Reckoning) -> list[tuple[str, str | None]]:
    assert now.unit is not None
    assert now.unit_since is not None
    days = sum(day >= now.unit_since for day in lesson_days(now.student))
    weeks = now.course.weeks[now.unit]
    if days < math.ceil(Fraction(str(now.band["min_unit_factor"])) * weeks):
        return [("fast", None)]
    return [("long", None)] if days > math.ceil(Fraction(str(now.band["max_unit_factor"])) * weeks) else []


def _stuck(now: Reckoning, skill: str) -> bool:
    walk = now.walked[skill]
    if walk.misses < now.band["stuck_tries"] or walk.misses == 0:
        return False
    tries = [HELPS.index(help_) for _, help_, _ in walk.days[-walk.misses :]]
    last, before = tries[-3:], tries[:-3]
    return not before or min(last) >= min(before)


def _fades(now: Reckoning, skill: str) -> bool:
    until = now.walked[skill].fresh_until
    return until is not None and until + timedelta(days=1) <= now.on + timedelta(days=14)


# --- the one thing ---------------------------------------------------------------------------


def _ignored(now: Reckoning, by_state: Reckoning) -> set[str]:
    """Return what advice never names: optional skills, except members of an unmet group."""
    members = {s for g in now.groups if not by_state.met(g) for s in g.of}
    return now.optional - members


def one_thing(now: Reckoning, planned: Sequence[date]) -> str | None:
    """Return the one thing to work on, None for a verdict that asks for nothing."""
    if now.verdict() not in {"not-yet", "look-again"}:
        return None
    sources = _gap_sources(now)
    return _lowest_root(now, sources) if sources else _best_look(now, planned)


def _gap_sources(now: Reckoning) -> list[str]:
    """Return the deciding skills and members of unmet groups in a gap state, else the rest's."""
    members = [s for g in now.unmet() for s in g.of]
    sources = [s for s in now.course.in_order([*now.deciding, *members]) if now.gap(s)]
    too_many = len(now.not_secure(now.rest)) > now.band["carry_limit"]
    return sources or ([s for s in now.rest if now.gap(s)] if too_many else [])


def _lowest_root(now: Reckoning, sources: list[str]) -> str:
    ignored = _ignored(now, now)

    def weak(skills: Iterable[str]) -> set[str]:
        return {s for s in skills if (now.gap(s) or now.states[s] == "wobbling") and s not in ignored}

    pool = {p for s in sources for p in weak({s, *now.course.ancestors(s)})}
    roots = [p for p in pool if not weak(now.course.ancestors(p))]
    return min(roots, key=lambda s: (-_frees(now, s), now.course.skills[s]["minutes"], s))


def _frees(now: Reckoning, root: str) -> int:
    assert now.unit is not None
    near = now.course.of_unit(now.unit) + (now.course.of_unit(now.next_unit) if now.next_unit else [])
    waiting = [s for s in near if not now.good(s) and s not in now.optional]
    return sum(s == root or root in now.course.ancestors(s) for s in waiting)


def _best_look(now: Reckoning, planned: Sequence[date]) -> str | None:
    looks = _Looks(now, planned)
    gains = {s: looks.gain({s}) for s in looks.candidates}
    most = max(gains.values(), default=0)
    if most:
        return _lowest(now.course, [s for s, gain in gains.items() if gain == most])
    members = [s for g in now.unmet() for s in g.of]
    blockers = [s for s in {*now.deciding, *members} if now.states[s] in OPEN]
    return _lowest(now.course, blockers or [s for s in now.rest if now.states[s] in OPEN])


def _lowest(course: Course, skills: list[str]) -> str | None:
    return min(
        skills, key=lambda s: (len(course.ancestors(s)), course.skills[s]["minutes"], s), default=None
    )


# --- what a look would bring -----------------------------------------------------------------


def showing(student: Toml, day: date, skills: Iterable[str], help_: str = "alone") -> dict[str, Any]:
    """Return the file with one more lesson, in which some skills were shown."""
    lesson = {"on": day, help_.replace("-", "_"): sorted(skills)}
    return {**student, "lesson": [*student.get("lesson", []), lesson]}


class _Looks:
    """The next lesson, and what showing some open skills alone in it would make secure.

    The open skills, the deciding skills and the groups are those of the day asked about; what
    is secure is reckoned on the next lesson.
    """

    def __init__(self, now: Reckoning, planned: Sequence[date]) -> None:
        self.now = now
        self.next = lessons_after(now.student, now.on, planned)[0]
        before = self.on_next(set())
        ignored = _ignored(now, before)
        assert now.unit is not None
        self.candidates = [
            s for s in now.course.up_to(now.unit) if now.states[s] in OPEN and s not in ignored
        ]
        self.without = self.reached(set())

    def on_next(self, shown: set[str]) -> Reckoning:
        return Reckoning(self.now.course, showing(self.now.student, self.next, shown), self.next)

    def reached(self, shown: set[str]) -> set[int | str]:
        """Return the deciding skills and (by number) groups that are there on the next lesson."""
        then = self.on_next(shown)
        groups: set[int | str] = {i for i, g in enumerate(self.now.groups) if then.met(g)}
        return groups | {s for s in self.now.deciding if then.good(s)}

    def gain(self, shown: set[str]) -> int:
        return len(self.reached(shown) - self.without)

    def targets(self, shown: set[str]) -> frozenset[Target]:
        """Return, one by one, the deciding skills and members of groups that are there."""
        then = self.on_next(shown)
        skills: set[Target] = {s for s in self.now.deciding if then.good(s)}
        members: set[Target] = {
            (i, s) for i, g in enumerate(self.now.groups) for s in g.of if then.good(s)
        }
        return frozenset(skills | members)


def look_first(now: Reckoning, planned: Sequence[date]) -> list[str]:
    """Return the smallest look set, by trying every set of every size, smallest first.

    What a set of showings brings is what each of them brings, together: a note on one skill
    never changes the days of another, and a refresh needs one used skill above, no matter
    which. So each skill is replayed once, and sets are tried on what came out; the set that
    is chosen is replayed whole. Skills that bring nothing can be in no smallest set, and the
    only skill that brings some wanted skill is in every one.
    """
    if now.open_hold():
        return []
    looks = _Looks(now, planned)
    goal = looks.reached(set(looks.candidates))
    if goal == looks.without:
        return []
    base = looks.targets(set())
    brings = {s: looks.targets({s}) - base for s in looks.candidates}
    useful = [s for s in looks.candidates if brings[s]]
    forced = {
        helpers[0]
        for wanted in goal
        if isinstance(wanted, str) and wanted not in base
        for helpers in [[s for s in useful if wanted in brings[s]]]
        if len(helpers) == 1
    }
    best = _smallest(now, goal, base, brings, sorted(forced), sorted(set(useful) - forced))
    assert goal <= looks.reached(set(best)), "what showings bring adds up"
    return now.course.in_order(best)


def _smallest(
    now: Reckoning,
    goal: set[int | str],
    base: frozenset[Target],
    brings: dict[str, frozenset[Target]],
    forced: list[str],
    others: list[str],
) -> list[str]:
    for size in range(len(others) + 1):
        fitting = []
        for more in combinations(others, size):
            there = base.union(*(brings[s] for s in (*forced, *more)))
            if all(_there(now.groups, wanted, there) for wanted in goal):
                fitting.append(sorted([*forced, *more]))
        if fitting:
            return min(fitting, key=lambda ids: (sum(now.course.skills[s]["minutes"] for s in ids), ids))
    raise AssertionError("showing everything reaches what showing everything reaches")


def _there(groups: list[Entry], wanted: int | str, there: frozenset[Target]) -> bool:
    if isinstance(wanted, str):
        return wanted in there
    return sum((wanted, s) in there for s in groups[wanted].of) >= groups[wanted].at_least


# --- dates -----------------------------------------------------------------------------------


def earliest(now: Reckoning, planned: Sequence[date]) -> date | None:
    """Return the earliest possible date, by giving one good lesson after the other."""
    verdict = now.verdict()
    if verdict in {"ready", "ready-taking-along"}:
        return now.on
    if verdict in {"paused", "not-placed"}:
        return None
    student: Toml = now.student
    for day in lessons_after(now.student, now.on, planned):
        before = Reckoning(now.course, student, day)
        members = [s for g in before.groups for s in g.of]
        student = showing(student, day, before.not_secure([*before.deciding, *members, *before.rest]))
        if Reckoning(now.course, student, day).verdict().startswith("ready"):
            return day
    return None


def holds_until(now: Reckoning) -> date | None:
    """Return the last day of a ready verdict with nothing new noted, going day by day.

    Days are tried until after the last birthday that changes the band and the last day on
    which something can fade, for any band.
    """
    if now.verdict() not in {"ready", "ready-taking-along"}:
        return None
    course, student, walked = now.course, now.student, dict[str, dict[str, Walked]]()
    for name, band in course.bands.items():
        walked[name] = walk_all(course, student, band)
    birthdays = [turns(student["born"], band["from_age"]) for band in course.bands.values()]
    fading = [w.fresh_until for band in walked.values() for w in band.values() if w.fresh_until]
    end = max([now.on, *birthdays, *fading]) + timedelta(days=1)
    day = now.on
    while day <= end:
        following = day + timedelta(days=1)
        name = band_on(course, student, following)
        if not Reckoning(course, student, following, walked[name]).by_states().startswith("ready"):
            return day
        day = following
    return None
