"""The shipped course as judging reads it, held against its own file, read with networkx and rustworkx.

Nothing here says what the course must be, only that the plan says of it what the file says: the
numbers are counted from the file with tomllib, what stands on what is asked of networkx and rustworkx.
"""

from __future__ import annotations

import re
from collections import Counter
from pathlib import Path
from typing import Any

import networkx as nx
import pytest
import rustworkx as rx

from readiness.course.load import load_course
from readiness.course.model import FADES, KINDS, Course, bits
from readiness.judging.states import entry_list


@pytest.fixture(scope="module")
def skills(graph_file) -> dict[str, Any]:
    return graph_file["skill"]


@pytest.fixture(scope="module")
def digraph(skills) -> nx.DiGraph:
    """The all-of links as networkx holds them, from what comes first to what stands on it."""
    graph = nx.DiGraph()
    graph.add_nodes_from(skills)
    graph.add_edges_from((before, skill) for skill, s in skills.items() for before in s["stands_on"])
    return graph


@pytest.fixture(scope="module")
def rust(skills) -> tuple[rx.PyDiGraph, dict[str, int]]:
    """The same links as rustworkx holds them, and its numbers of the skills."""
    graph = rx.PyDiGraph()
    at = dict(zip(skills, graph.add_nodes_from(list(skills)), strict=True))
    graph.add_edges_from_no_data([(at[b], at[skill]) for skill, s in skills.items() for b in s["stands_on"]])
    return graph, at


def test_skills_by_unit_strand_kind_and_fade(skills, graph_file, starter: Course):
    for part in ("strand", "kind", "fade"):
        counted = Counter(s[part] for s in skills.values())
        assert Counter(getattr(skill, part) for skill in starter.skills) == counted

    plan = starter.plan
    by_unit = Counter(s["unit"] for s in skills.values())
    assert [members.bit_count() for members in plan.in_unit] == [by_unit[unit] for unit in graph_file["unit"]]
    assert Counter(KINDS[kind] for kind in plan.kind) == Counter(s["kind"] for s in skills.values())
    assert Counter(FADES[fade] for fade in plan.fade) == Counter(s["fade"] for s in skills.values())


def test_minutes_and_weeks(skills, graph_file, starter: Course):
    plan, by_unit = starter.plan, Counter()
    for s in skills.values():
        by_unit[s["unit"]] += s["minutes"]
    minutes = [sum(plan.minutes[i] for i in bits(members)) for members in plan.in_unit]
    assert minutes == [by_unit[unit] for unit in graph_file["unit"]]
    weeks = [table["lesson_weeks"] for table in graph_file["unit"].values()]
    assert [unit.lesson_weeks for unit in starter.units] == weeks


def test_links_and_groups(skills, starter: Course):
    plan = starter.plan
    needs = {skill: set(plan.names(needed)) for skill, needed in zip(plan.ids, plan.needs, strict=True)}
    assert needs == {skill: set(s["stands_on"]) for skill, s in skills.items()}
    groups = {(plan.ids[g.owner], g.at_least, plan.names(g.members)) for unit in plan.groups for g in unit}
    assert {(owner, n, frozenset(of)) for owner, n, of in groups} == {
        (skill, group["at_least"], frozenset(group["of"]))
        for skill, s in skills.items()
        for group in s.get("stands_on_some", [])
    }


def test_flags(skills, starter: Course):
    plan = starter.plan
    for flag in ("always_look", "safety", "must_be_seen"):
        flagged = {skill for skill, s in skills.items() if s.get(flag)}
        assert set(plan.names(getattr(plan, flag))) == flagged != set()
    for band, optional in plan.optional.items():
        named = {skill for skill, s in skills.items() if band in s.get("optional_in", [])}
        assert set(plan.names(optional)) == named


def test_no_link_is_said_twice_and_none_is_told_as_such(course_folder: Path, digraph, rust):
    """networkx and rustworkx find no link that others imply; the project warns of none."""
    assert set(nx.transitive_reduction(digraph).edges) == set(digraph.edges)
    assert rx.transitive_reduction(rust[0])[0].num_edges() == digraph.number_of_edges()
    assert "implied-link" not in {problem.id for problem in load_course(course_folder).problems}


def test_all_that_a_skill_stands_on_and_all_that_stands_on_it(digraph, rust, starter: Course):
    plan, (graph, at) = starter.plan, rust
    for i, skill in enumerate(plan.ids):
        above, below = nx.ancestors(digraph, skill), nx.descendants(digraph, skill)
        assert set(plan.names(plan.ancestors[i])) == above
        assert set(plan.names(plan.descendants[i])) == below
        assert plan.depth[i] == len(above) == len(rx.ancestors(graph, at[skill]))
        assert len(below) == len(rx.descendants(graph, at[skill]))


def test_entry_lists(skills, graph_file, starter: Course):
    """Rule R7, for a band in which nothing is optional: what a unit's skills stand on in earlier units."""
    units = list(graph_file["unit"])
    for number, unit in enumerate(units[1:], 1):
        named = {before for s in skills.values() if s["unit"] == unit for before in s["stands_on"]}
        earlier = {skill for skill in named if skills[skill]["unit"] in units[:number]}
        assert set(starter.plan.names(entry_list(starter.plan, number, 0))) == earlier != set()


def test_every_criterion_carries_a_number_and_every_skill_two_activities(skills):
    """Common practice, no source: what is counted can be agreed on, and one activity alone is soon stale."""
    counted = re.compile(r"\d|\b(once|one|two|three|four|five)\b")
    for skill, s in skills.items():
        assert counted.search(s["shown_when"]), skill
        assert len(s["remedies"]) == 2, skill
