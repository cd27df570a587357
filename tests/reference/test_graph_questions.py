"""The questions asked of the skill graph, answered a second time by other libraries.

rustworkx, igraph, networkx and graphlib each have their own algorithms; on random links they
and the project must agree.
"""

from __future__ import annotations

import graphlib
from itertools import pairwise

import igraph
import networkx as nx
import pytest
import rustworkx as rx
from hypothesis import example, given

from readiness.course.checks import check
from readiness.course.checks.links import implied_links
from readiness.course.graph import SkillGraph
from reference.tiny import Links, dags, digraphs, draft_of, tiny_course

LOOP = {"a": ["c"], "b": ["a"], "c": ["b"], "d": ["a"]}


def pairs(links: Links) -> list[tuple[str, str]]:
    """Return the links from what comes first to what stands on it."""
    return [(before, skill) for skill, needed in links.items() for before in needed]


def in_networkx(links: Links) -> nx.DiGraph:
    graph = nx.DiGraph(pairs(links))
    graph.add_nodes_from(links)
    return graph


def in_rustworkx(links: Links) -> rx.PyDiGraph:
    graph = rx.PyDiGraph()
    at = dict(zip(links, graph.add_nodes_from(list(links)), strict=True))
    graph.add_edges_from_no_data([(at[before], at[skill]) for before, skill in pairs(links)])
    return graph


def in_igraph(links: Links) -> igraph.Graph:
    at = {skill: number for number, skill in enumerate(links)}
    edges = [(at[before], at[skill]) for before, skill in pairs(links)]
    return igraph.Graph(n=len(at), edges=edges, directed=True)


@given(digraphs())
@example(LOOP)
@example({"a": ["a"]})
def test_whether_there_is_an_order(links):
    """All agree whether there is a loop; with one there is no order."""
    opinions = {
        nx.is_directed_acyclic_graph(in_networkx(links)),
        rx.is_directed_acyclic_graph(in_rustworkx(links)),
        in_igraph(links).is_dag(),
        graphlib_has_order(links),
    }
    assert len(opinions) == 1
    if opinions == {True}:
        assert set(SkillGraph(links).order()) == set(links)
    else:
        with pytest.raises(ValueError, match="loop"):
            SkillGraph(links).order()


def graphlib_has_order(links: Links) -> bool:
    try:
        graphlib.TopologicalSorter(links).prepare()
    except graphlib.CycleError:
        return False
    return True


@given(digraphs())
@example(LOOP)
@example({"a": ["a"], "b": []})
def test_a_course_with_a_loop_is_refused_and_no_other(links):
    found = {problem.id for problem in check(draft_of(links))} & {"loop", "self-link"}
    self_links = {skill for skill, needed in links.items() if skill in needed}
    others = {skill: [b for b in needed if b != skill] for skill, needed in links.items()}
    assert ("self-link" in found) == bool(self_links)
    assert ("loop" in found) == (not rx.is_directed_acyclic_graph(in_rustworkx(others)))


@given(dags())
def test_order_is_the_earliest_in_the_file(links):
    """rustworkx takes, of all skills that can come next, the one that is first in the file too."""
    place = {skill: f"{number:03}" for number, skill in enumerate(links)}
    theirs = rx.lexicographical_topological_sort(in_rustworkx(links), key=place.__getitem__)
    assert SkillGraph(links).order() == tuple(theirs)

    order = SkillGraph(links).order()
    assert all(order.index(before) < order.index(skill) for before, skill in pairs(links))
    assert len(order) == len(links) == len(in_igraph(links).topological_sorting())


@given(digraphs())
@example(LOOP)
def test_knots_are_the_strong_components(links):
    names = list(links)
    graph = in_rustworkx(links)
    rust = {
        frozenset(names[i] for i in part) for part in rx.strongly_connected_components(graph) if len(part) > 1
    }
    parts = in_igraph(links).connected_components("strong")
    other = {frozenset(names[i] for i in part) for part in parts if len(part) > 1}
    assert {frozenset(knot) for knot in SkillGraph(links).knots()} == rust == other


@given(dags())
def test_ancestors_and_descendants(links):
    graph, rust, small = SkillGraph(links), in_rustworkx(links), in_igraph(links)
    plan = tiny_course(links).plan
    names = list(links)
    for i, skill in enumerate(names):
        above = {names[j] for j in rx.ancestors(rust, i)}
        below = {names[j] for j in rx.descendants(rust, i)}
        assert {names[j] for j in small.subcomponent(i, mode="in")} - {skill} == above
        assert {names[j] for j in small.subcomponent(i, mode="out")} - {skill} == below
        assert graph.ancestors(skill) == above == set(plan.names(plan.ancestors[i]))
        assert below == set(plan.names(plan.descendants[i]))
        assert plan.depth[i] == len(above)


@given(dags())
def test_path_is_a_shortest_way(links):
    graph, small = SkillGraph(links), in_igraph(links)
    names = list(links)
    known = set(pairs(links))
    for i, first in enumerate(names):
        for j, last in enumerate(names):
            way = graph.path(first, last)
            [[far]] = small.distances(i, j)
            if not way:
                assert far == float("inf")
                continue
            assert (way[0], way[-1], len(way) - 1) == (first, last, far)
            assert known.issuperset(pairwise(way))


@given(dags())
@example({"a": [], "b": ["a"], "c": ["a", "b"]})
def test_links_that_are_not_implied_are_the_transitive_reduction(links):
    implied = {(before, skill) for skill, before in implied_links(draft_of(links))}
    kept = set(pairs(links)) - implied
    assert kept == set(nx.transitive_reduction(in_networkx(links)).edges)

    names = list(links)
    reduced, there = rx.transitive_reduction(in_rustworkx(links))
    back = {new: old for old, new in there.items()}
    assert kept == {(names[back[a]], names[back[b]]) for a, b in reduced.edge_list()}
