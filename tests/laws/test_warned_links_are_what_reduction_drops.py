"""Without the links that are warned of as implied, the graph is its own transitive reduction.

The reduction is computed by networkx, and whatever stood under a skill still stands under it.
The warnings are read as an editor would: the line and column of each must hold the very name
to take out, so a warning at a wrong place breaks this law too.
"""

from __future__ import annotations

import copy
from pathlib import Path
from tempfile import TemporaryDirectory
from typing import Any

import networkx as nx
import tomli_w
from hypothesis import given

from readiness.course.load import load_course
from readiness.testing import courses, pacings


@given(courses(most_units=3, most_skills=14), pacings())
def test_warned_links_are_what_reduction_drops(graph: dict, pacing: dict) -> None:
    with TemporaryDirectory() as folder:
        warned = _warned(Path(folder), graph, pacing)
        slim = copy.deepcopy(graph)
        for skill, before in warned:
            slim["skill"][skill]["stands_on"].remove(before)
        assert _warned(Path(folder), slim, pacing) == []
    whole, rest = _links(graph), _links(slim)
    assert set(nx.transitive_reduction(whole).edges) == set(rest.edges)
    for skill in graph["skill"]:
        assert nx.ancestors(whole, skill) == nx.ancestors(rest, skill)


def _links(graph: dict[str, Any]) -> nx.DiGraph:
    links: nx.DiGraph = nx.DiGraph()
    links.add_nodes_from(graph["skill"])
    links.add_edges_from((b, s) for s, table in graph["skill"].items() for b in table["stands_on"])
    return links


def _warned(folder: Path, graph: dict[str, Any], pacing: dict[str, Any]) -> list[tuple[str, str]]:
    """Return the (skill, what it stands on) that the warnings point at."""
    text = tomli_w.dumps(graph)
    (folder / "graph.toml").write_text(text, encoding="utf-8")
    (folder / "pacing.toml").write_text(tomli_w.dumps(pacing), encoding="utf-8")
    loaded = load_course(folder)
    assert loaded.course is not None
    places = [p.place for p in loaded.problems if p.id == "implied-link"]
    return [_pointed_at(text.splitlines(), place.line, place.column) for place in places]


def _pointed_at(lines: list[str], line: int, column: int) -> tuple[str, str]:
    before = lines[line - 1][column - 1 :].split('"')[1]
    headers = [text for text in lines[:line] if text.startswith("[skill.")]
    return headers[-1].removeprefix("[skill.").removesuffix("]"), before
