"""What looking at a course costs; printed, never a test.

* The check of the shipped course beside reading its two files with ``tomllib`` alone, side by
  side in one run. The check reads, finds the place of every word, and asks every question of R9.
* The links that a longer way implies, in a course of 5,000 skills, beside networkx's
  ``transitive_reduction`` on the same links; both must leave the same links.
* Reading and checking that course, and comparing it with an edit for some students.

Run it with ``python tests/bench/course_edits.py``.
"""

from __future__ import annotations

import random
import sys
import tomllib
from collections.abc import Callable
from datetime import date, timedelta
from pathlib import Path
from tempfile import TemporaryDirectory
from time import perf_counter, process_time
from typing import Any

import networkx as nx
import tomli_w

ROOT = Path(__file__).parents[2]
sys.path.insert(0, str(ROOT))

from readiness.course.checks.links import implied_links  # noqa: E402
from readiness.course.draft import make_draft  # noqa: E402
from readiness.course.layers import read_files  # noqa: E402
from readiness.course.load import course_of, load_course  # noqa: E402
from readiness.editing.compare import compare  # noqa: E402
from readiness.editing.edits import Add, apply  # noqa: E402
from readiness.record.load import build_record  # noqa: E402

FOLDER = ROOT / "skill_graphs" / "first-two-years"
SKILLS, UNITS, STUDENTS = 5000, 100, 20


def large_course(shipped: dict[str, Any]) -> dict[str, Any]:
    """Return a course of 5,000 skills in 100 units, always the same, with links near and far."""
    chance = random.Random(2026)
    sample = dict(next(iter(shipped["skill"].values())))
    skills: dict[str, Any] = {}
    for at in range(SKILLS):
        near = [f"skill-{chance.randrange(max(0, at - 60), at)}" for _ in range(2)] if at else []
        far = [f"skill-{chance.randrange(at)}"] if at and chance.random() < 0.5 else []
        skills[f"skill-{at}"] = {
            **sample,
            "unit": f"unit-{at * UNITS // SKILLS}",
            "always_look": at < 5,
            "stands_on": list(dict.fromkeys([*near, *far])),
        }
    units = {f"unit-{at}": {"name": f"Unit {at}", "lesson_weeks": 10} for at in range(UNITS)}
    return {**shipped, "unit": units, "skill": skills}


def student(graph: dict[str, Any], number: int) -> dict[str, Any]:
    """Return somebody in the middle of the course with thirty lessons."""
    chance, on = random.Random(number), date(2025, 12, 2)
    unit = f"unit-{40 + number % 20}"
    near = [name for name, table in graph["skill"].items() if table["unit"] == unit]
    lessons = [
        {"on": on - timedelta(days=7 * week), "alone": chance.sample(near, min(8, len(near)))}
        for week in range(29, -1, -1)
    ]
    first = lessons[0]["on"]
    return {
        "format": 1, "name": f"Student {number}", "born": "2018-03-02", "lesson": lessons,
        "unit_start": [{"unit": unit, "on": first}],
        "settled": [{"through": f"unit-{39 + number % 20}", "on": first}],
    }  # fmt: skip


def seconds(times: int, *works: Callable[[], object]) -> list[float]:
    """Return the least processor time of some runs of each work, taken in turn."""
    best = [float("inf")] * len(works)
    for _ in range(times):
        for at, work in enumerate(works):
            begun = process_time()
            work()
            best[at] = min(best[at], process_time() - begun)
    return best


def shipped_check() -> None:
    texts = [(FOLDER / name).read_text(encoding="utf-8") for name in ("graph.toml", "pacing.toml")]
    check, parse = seconds(30, lambda: load_course(FOLDER), lambda: [tomllib.loads(text) for text in texts])
    print(f"shipped course: tomllib {parse * 1000:.1f} ms, read and checked {check * 1000:.1f} ms", end="")
    print(f", {check / parse:.2f} x")


def reduction(graph: dict[str, Any], folder: Path) -> None:
    files = read_files(folder)
    links: nx.DiGraph[str] = nx.DiGraph()
    links.add_nodes_from(graph["skill"])
    links.add_edges_from((b, s) for s, table in graph["skill"].items() for b in table["stands_on"])

    def ours() -> tuple[tuple[str, str], ...]:
        return implied_links(make_draft(files.graph.data, files.graph, files.pacing.data, files.pacing))

    draft = make_draft(files.graph.data, files.graph, files.pacing.data, files.pacing)
    (mine,) = seconds(3, lambda: implied_links(_fresh(draft)))
    begun = process_time()
    slim = nx.transitive_reduction(links)
    theirs = process_time() - begun
    implied = {(before, skill) for skill, before in ours()}
    same = set(slim.edges) == set(links.edges) - implied
    print(f"{SKILLS} skills, {links.number_of_edges()} links: networkx {theirs:.1f} s", end="")
    print(f", ours {mine * 1000:.0f} ms", end="")
    print(f", {theirs / mine:.0f} x, {'the same' if same else 'OTHER'} links left ({len(implied)} implied)")


def _fresh(draft: Any) -> Any:
    """Return a draft that has worked nothing out yet."""
    return type(draft)(draft.units, draft.strands, draft.skills, draft.bands, draft.changes)


def large_edit(graph: dict[str, Any], folder: Path) -> None:
    begun = perf_counter()
    loaded = load_course(folder)
    checked = perf_counter() - begun
    if loaded.course is None:
        sys.exit("The large course has an error.")
    old = loaded.course
    records = {f"s{n}": build_record(f"s{n}", student(graph, n), old) for n in range(STUDENTS)}
    begun = perf_counter()
    new = course_of(apply(read_files(folder), [Add("skill-2500", "skill-7")])).course
    edited = perf_counter() - begun
    if new is None:
        sys.exit("The edit is refused.")
    begun = perf_counter()
    found = compare(
        old, new, {name: (record, record) for name, record in records.items()}, date(2025, 12, 2).toordinal()
    )
    compared = perf_counter() - begun
    print(f"{SKILLS} skills: read and checked {checked:.1f} s, edited and checked {edited:.1f} s", end="")
    print(f", {STUDENTS} students compared {compared:.1f} s ({len(found.changed)} change)")


def main() -> None:
    shipped_check()
    shipped = tomllib.loads((FOLDER / "graph.toml").read_text(encoding="utf-8"))
    graph = large_course(shipped)
    with TemporaryDirectory() as name:
        folder = Path(name)
        (folder / "graph.toml").write_text(tomli_w.dumps(graph), encoding="utf-8")
        (folder / "pacing.toml").write_bytes((FOLDER / "pacing.toml").read_bytes())
        large_edit(graph, folder)
        reduction(graph, folder)


if __name__ == "__main__":
    main()
