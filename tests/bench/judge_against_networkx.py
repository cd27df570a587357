"""How much quicker the engine judges a student than a naive reading; printed, never a test.

Both answer the same question side by side in one run: the shipped course, a student with 200
notes, all states, the deciding set and the verdict. The engine also gives the one thing, look
first, the dates and the full tree of findings; the naive reading gives none of these, so the
ratio is an understatement.

The naive reading is what one writes first: networkx asked for the ancestors of a skill each
time they are needed, dates as ``date`` objects, one pass over all lessons for each skill.

Run it with ``python tests/bench/judge_against_networkx.py``.
"""

from __future__ import annotations

import random
import sys
import tomllib
from collections.abc import Callable
from dataclasses import fields
from datetime import date, timedelta
from pathlib import Path
from time import perf_counter
from typing import Any

import networkx as nx

ROOT = Path(__file__).parents[2]
sys.path.insert(0, str(ROOT))

from readiness.course.load import load_course  # noqa: E402
from readiness.judging import Answer, answer_to_dict, judge  # noqa: E402
from readiness.record.load import build_record  # noqa: E402

NOTES = 200
ROUNDS = 20
ON = date(2025, 12, 2)
UNIT = "c-position"
HELPS = ("alone", "cue", "model", "hands_on", "not_shown")
GAPS = ("with-help", "not-shown", "slipped")
FOLDER = ROOT / "skill_graphs" / "first-two-years"


def made_up_student(graph: dict[str, Any]) -> dict[str, Any]:
    """Return a student in the ninth unit with 200 notes in 20 lessons, always the same."""
    chance = random.Random(2025)
    units = list(graph["unit"])
    known = [n for n, s in graph["skill"].items() if units.index(s["unit"]) <= units.index(UNIT)]
    lessons = []
    for week in range(20):
        lesson: dict[str, Any] = {"on": ON - timedelta(days=7 * (19 - week))}
        for skill in chance.sample(known, NOTES // 20):
            lesson.setdefault(chance.choices(HELPS, (12, 3, 2, 1, 1))[0], []).append(skill)
        lessons.append(lesson)
    first = lessons[0]["on"]
    return {
        "format": 1,
        "name": "Made up",
        "born": "2018-03-02",
        "unit_start": [{"unit": UNIT, "on": first + timedelta(days=70)}],
        "settled": [{"through": "hands-take-turns", "on": first}],
        "lesson": lessons,
    }


class Naive:
    """The rules as one writes them first."""

    def __init__(
        self,
        graph: dict[str, Any],
        pacing: dict[str, Any],
        student: dict[str, Any],
        unit: str = UNIT,
        band: str = "6-7",
    ) -> None:
        self.skills, self.units, self.student = graph["skill"], list(graph["unit"]), student
        self.unit, self.band = unit, pacing["band"][band]
        self.links = nx.DiGraph()
        self.links.add_nodes_from(self.skills)
        self.links.add_edges_from((b, s) for s, t in self.skills.items() for b in t["stands_on"])

    def number(self, skill: str) -> int:
        return self.units.index(self.skills[skill]["unit"])

    def days(self, skill: str) -> list[tuple[date, bool, str]]:
        accepted = HELPS.index(self.band["accepts"][self.skills[skill]["kind"]])
        worst: dict[date, int] = {}
        for lesson in self.student["lesson"]:
            for at, help_ in enumerate(HELPS):
                if lesson["on"] <= ON and skill in lesson.get(help_, []):
                    worst[lesson["on"]] = max(worst.get(lesson["on"], 0), at)
        return [(day, worst[day] <= accepted, HELPS[worst[day]]) for day in sorted(worst)]

    def settled(self, skill: str) -> date | None:
        blocks = self.student["settled"]
        return max(
            (b["on"] for b in blocks if self.number(skill) <= self.units.index(b["through"])), default=None
        )

    def walk(self, skill: str) -> tuple[date | None, int, bool, list[tuple[date, bool, str]]]:
        since, misses, slipped, listed = self.settled(skill), 0, False, list[date]()
        days = [d for d in self.days(skill) if since is None or d[0] >= since]
        need = self.band["days_needed"][self.skills[skill]["kind"]]
        for day, counts, _ in days:
            misses = 0 if counts else misses + 1
            if counts:
                listed.append(day)
                wide = (listed[-1] - listed[0]).days >= self.band["spread_days"]
                if since is None and len(listed) >= need and (need == 1 or wide):
                    since = day
            elif misses == 2 and since is not None:
                since, slipped, listed = None, True, []
        return since, misses, slipped, days

    def last_seen(self, skill: str, since: date) -> date:
        seen = [self.settled(skill) or since, *(day for day, counts, _ in self.walk(skill)[3] if counts)]
        if not self.skills[skill].get("must_be_seen", False):
            for other in self.skills:
                if skill in nx.ancestors(self.links, other):
                    seen += [day for day, counts, _ in self.walk(other)[3] if counts and day >= since]
        return max(seen)

    def state(self, skill: str) -> str:
        since, misses, slipped, days = self.walk(skill)
        if since is not None:
            weeks = self.band["fresh_weeks"][self.skills[skill]["fade"]]
            stale = ON - self.last_seen(skill, since) > timedelta(weeks=weeks)
            return "wobbling" if misses == 1 else "stale" if stale else "secure"
        if not days:
            return "untried"
        if misses == 0:
            return "building"
        return "slipped" if slipped else "not-shown" if days[-1][2] == "not_shown" else "with-help"

    def answer(self) -> tuple[str, dict[str, str]]:
        here = self.units.index(self.unit)
        states = {skill: self.state(skill) for skill in self.skills}
        coming = [s for s in self.skills if self.number(s) == here + 1]
        entry = {b for s in coming for b in self.skills[s]["stands_on"] if self.number(b) <= here}
        looked_at = {s for s, t in self.skills.items() if t.get("always_look") and self.number(s) <= here}
        safe = {s for s, t in self.skills.items() if t.get("safety") and self.number(s) == here}
        deciding = {s: states[s] for s in self.skills if s in entry | looked_at | safe}
        rest = [states[s] for s in self.skills if self.number(s) == here and s not in deciding]
        limit = self.band["carry_limit"]
        if any(state in GAPS for state in deciding.values()) or sum(s in GAPS for s in rest) > limit:
            return "not-yet", deciding
        loose = sum(state != "secure" for state in rest)
        if any(state != "secure" for state in deciding.values()) or loose > limit:
            return "look-again", deciding
        return "ready-taking-along" if loose else "ready", deciding


def best_of(times: int, work: Callable[[], object]) -> float:
    """Return the shortest of some runs, in seconds."""
    best = float("inf")
    for _ in range(times):
        begun = perf_counter()
        work()
        best = min(best, perf_counter() - begun)
    return best


def everything(answer: Answer) -> list[object]:
    """Return all an answer says; what nobody asks for is not worked out."""
    return [getattr(answer, field.name) for field in fields(answer)] + list(answer.standings.values())


def main() -> None:
    graph = tomllib.loads((FOLDER / "graph.toml").read_text(encoding="utf-8"))
    pacing = tomllib.loads((FOLDER / "pacing.toml").read_text(encoding="utf-8"))
    student = made_up_student(graph)
    course = load_course(FOLDER).course
    if course is None:
        sys.exit("The shipped course has an error.")
    records = [build_record("made-up", student, course) for _ in range(ROUNDS + 1)]
    naive = Naive(graph, pacing, student)
    said = answer_to_dict(judge(course, records.pop(), ON.toordinal()))
    verdict, deciding = naive.answer()
    if (said["verdict"], said["deciding"]) != (verdict, deciding):
        sys.exit(f"The two disagree: {said['verdict']} and {verdict}.")
    engine = best_of(ROUNDS, lambda: everything(judge(course, records.pop(), ON.toordinal())))
    slow = best_of(3, naive.answer)
    notes = sum(len(lesson.get(h, [])) for lesson in student["lesson"] for h in HELPS)
    print(f"{len(graph['skill'])} skills, {notes} notes, verdict of both: {verdict}")
    print(f"engine with all findings  {engine * 1000:9.2f} ms")
    print(f"naive, states and verdict {slow * 1000:9.2f} ms")
    print(f"ratio                     {slow / engine:9.0f} x")


if __name__ == "__main__":
    main()
