"""The links called redundant are those that a transitive reduction leaves out.

Outside value: ``networkx.transitive_reduction``, another program's answer to the same
question, on random graphs without loops and with the skills in any order in the file.
"""

from __future__ import annotations

from itertools import pairwise, permutations
from pathlib import Path

import networkx as nx
from hypothesis import given
from hypothesis import strategies as st

from readiness.course.checks import check
from readiness.course.checks.links import implied_links
from readiness.course.draft import Draft, DraftSkill, DraftUnit, Word
from readiness.toml.problems import Place

PLACE = Place(Path("graph.toml"), 1, 1)


def draft_of(needs: dict[str, list[str]]) -> Draft:
    """Return a course of one unit with these links."""
    return Draft(
        units=(DraftUnit("only", 1, "Only", PLACE, 4, PLACE),),
        strands=("one",),
        skills=tuple(
            DraftSkill(
                id=skill,
                place=PLACE,
                unit=Word("only", PLACE),
                strand=Word("one", PLACE),
                minutes=5,
                stands_on=tuple(Word(before, PLACE) for before in needed),
                groups=(),
                optional_in=(),
            )
            for skill, needed in needs.items()
        ),
        bands=(),
    )


@st.composite
def links_without_loops(draw: st.DrawFn) -> dict[str, list[str]]:
    """Return skills that stand on some of those before them, written in any order."""
    count = draw(st.integers(1, 12))
    needs = {f"s{at}": [f"s{before}" for before in range(at) if draw(st.booleans())] for at in range(count)}
    return {skill: needs[skill] for skill in draw(st.permutations(list(needs)))}


def graph_of(needs: dict[str, list[str]]) -> nx.DiGraph:
    graph = nx.DiGraph()
    graph.add_nodes_from(needs)
    graph.add_edges_from((before, skill) for skill, needed in needs.items() for before in needed)
    return graph


@given(links_without_loops())
def test_what_is_left_is_the_reduction(needs):
    draft = draft_of(needs)
    links = {(before, skill) for skill, needed in needs.items() for before in needed}
    left = links - {(before, skill) for skill, before in implied_links(draft)}
    assert left == set(nx.transitive_reduction(graph_of(needs)).edges)


@given(links_without_loops())
def test_the_longer_way_that_is_shown_is_there_and_is_the_shortest(needs):
    graph = graph_of(needs)
    for problem in check(draft_of(needs)):
        if problem.id != "implied-link":
            continue
        shown = problem.message.split(": ")[1]
        if "more ..." in shown:
            continue
        way = shown.split(" > ")
        assert all(graph.has_edge(before, skill) for before, skill in pairwise(way))
        without = graph.copy()
        without.remove_edge(way[0], way[-1])
        assert len(way) - 1 == nx.shortest_path_length(without, way[0], way[-1])


@given(links_without_loops(), st.data())
def test_a_link_back_is_a_loop_and_the_ring_is_there(needs, data):
    above = nx.transitive_closure(graph_of(needs))
    back = [(a, b) for a, b in permutations(needs, 2) if above.has_edge(a, b)]
    if not back:
        return
    early, late = data.draw(st.sampled_from(back))
    looped = {skill: [*needed, late] if skill == early else needed for skill, needed in needs.items()}
    rings = [p.message.split(": ")[1].split(" > ") for p in check(draft_of(looped)) if p.id == "loop"]
    graph = graph_of(looped)
    assert rings
    for ring in rings:
        assert ring[0] == ring[-1]
        if "more ..." not in " ".join(ring):
            assert all(graph.has_edge(before, skill) for before, skill in pairwise(ring))


@given(links_without_loops())
def test_without_a_link_back_there_is_no_loop(needs):
    assert not [p for p in check(draft_of(needs)) if p.id == "loop"]


def test_a_chain_of_five_thousand_skills_is_checked():
    needs = {f"s{at}": [f"s{at - 1}"] if at else [] for at in range(5000)}
    needs["s4999"].append("s0")
    (problem,) = (p for p in check(draft_of(needs)) if p.id == "implied-link")
    assert problem.message.endswith(
        "s0 > s1 > s2 > s3 > s4 > s5 > ... 4989 more ... > s4995 > s4996 > s4997 > s4998 > s4999"
    )


def test_a_ring_of_five_thousand_skills_is_found():
    needs = {f"s{at}": [f"s{(at - 1) % 5000}"] for at in range(5000)}
    (problem,) = (p for p in check(draft_of(needs)) if p.id == "loop")
    assert problem.message.startswith("these skills wait for each other: s0 > s1 > ")
