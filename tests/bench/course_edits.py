"""What looking at a course costs; printed, never a test.

* The check of courses of 140 skills (the shipped one), 1,000 and 5,000 beside ``tomllib`` and networkx's own
  acyclicity and transitive reduction of the same links, side by side in one run. The check reads, finds the
  place of every word, and asks every question of R9; the other two say no place and no sentence.
* The links that a longer way implies, in a course of 5,000 skills, beside networkx's
  ``transitive_reduction`` on the same links; both must leave the same links.
* Reading and checking that course, and comparing it with an edit for some students.

Run it with ``python tests/bench/course_edits.py``.
"""

from __future__ import annotations

import random
import sys
import tomllib
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from dataclasses import replace
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


def large_course(shipped: dict[str, Any], many: int = SKILLS, units: int = UNITS) -> dict[str, Any]:
    """Return a course of so many skills and units, always the same, with links near and far."""
    chance = random.Random(2026)
    kept = ("strand", "kind", "fade", "minutes", "remedies")  # a file of more than 100,000 values is refused
    sample = {key: next(iter(shipped["skill"].values()))[key] for key in kept}
    skills: dict[str, Any] = {}
    for at in range(many):
        near = [f"skill-{chance.randrange(max(0, at - 60), at)}" for _ in range(2)] if at else []
        far = [f"skill-{chance.randrange(at)}"] if at and chance.random() < 0.5 else []
        skills[f"skill-{at}"] = {
            **sample,
            "name": f"Skill {at}",
            "shown_when": f"Does {at} of {at + 1}.",
            "unit": f"unit-{at * units // many}",
            "always_look": at < 5,
            "asks_pain": at == 0,
            "stands_on": list(dict.fromkeys([*near, *far])),
        }
    tables = {f"unit-{at}": {"name": f"Unit {at}", "lesson_weeks": 10} for at in range(units)}
    return {**shipped, "unit": tables, "skill": skills}


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


def check_beside_peers(folder: Path, times: int) -> None:
    texts = [(folder / name).read_text(encoding="utf-8") for name in ("graph.toml", "pacing.toml")]
    tables = tomllib.loads(texts[0])["skill"]
    named = {name: table["stands_on"] for name, table in tables.items()}

    def reduced() -> None:
        links = nx.DiGraph((before, skill) for skill, needed in named.items() for before in needed)
        assert nx.is_directed_acyclic_graph(links)
        nx.transitive_reduction(links)

    works = (lambda: load_course(folder), lambda: [tomllib.loads(text) for text in texts], reduced)
    check, parse, graph = (one * 1000 for one in seconds(times, *works))
    print(f"| {len(tables):,} | {parse:,.0f} | {graph:,.0f} | {check:,.0f} | {check / (parse + graph):.2f} |")


def reduction(graph: dict[str, Any], folder: Path) -> None:
    files = read_files(folder)
    links: nx.DiGraph[str] = nx.DiGraph()
    links.add_nodes_from(graph["skill"])
    links.add_edges_from((b, s) for s, table in graph["skill"].items() for b in table["stands_on"])

    def ours() -> tuple[tuple[str, str], ...]:
        return implied_links(make_draft(files.graph.written, files.pacing.written))

    draft = make_draft(files.graph.written, files.pacing.written)
    (mine,) = seconds(3, lambda: implied_links(replace(draft)))
    begun = process_time()
    slim = nx.transitive_reduction(links)
    theirs = process_time() - begun
    implied = {(before, skill) for skill, before in ours()}
    same = set(slim.edges) == set(links.edges) - implied
    print(f"{SKILLS} skills, {links.number_of_edges()} links: networkx {theirs:.1f} s", end="")
    print(f", ours {mine * 1000:.0f} ms", end="")
    print(f", {theirs / mine:.0f} x, {'the same' if same else 'OTHER'} links left ({len(implied)} implied)")


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


@contextmanager
def made(graph: dict[str, Any]) -> Iterator[Path]:
    """Give a folder with this course and the shipped pacing."""
    with TemporaryDirectory() as name:
        (Path(name) / "graph.toml").write_text(tomli_w.dumps(graph), encoding="utf-8")
        (Path(name) / "pacing.toml").write_bytes((FOLDER / "pacing.toml").read_bytes())
        yield Path(name)


def main() -> None:
    print("| skills | tomllib, ms | networkx, ms | read and checked, ms | x both |")
    print("|---:|---:|---:|---:|---:|")
    check_beside_peers(FOLDER, 20)
    shipped = tomllib.loads((FOLDER / "graph.toml").read_text(encoding="utf-8"))
    graph = large_course(shipped)
    for many, times in ((1000, 3), (SKILLS, 1)):
        with made(large_course(shipped, many, many // 50)) as folder:
            check_beside_peers(folder, times)
    with made(graph) as folder:
        large_edit(graph, folder)
        reduction(graph, folder)


if __name__ == "__main__":
    main()
