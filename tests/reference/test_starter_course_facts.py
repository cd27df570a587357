"""The shape of the shipped course, counted three ways.

The numbers were counted by hand when the course was written (common practice, no source: a
course may be changed, and then its numbers here change with it). They are counted again from the
file itself with networkx, rustworkx and graphlib, and from the plan that judging reads.
"""

from __future__ import annotations

import graphlib
import re
from collections import Counter
from typing import Any

import networkx as nx
import pytest
import rustworkx as rx

from readiness.course.model import FADES, KINDS, Course
from readiness.course.plan import bits
from readiness.judging.deciding import entry_list

SKILLS_BY_UNIT = [12, 14, 10, 12, 11, 11, 9, 10, 9, 9, 9, 9, 9, 6]
MINUTES_BY_UNIT = [56, 71, 67, 73, 70, 66, 58, 69, 57, 49, 62, 55, 67, 48]
WEEKS_BY_UNIT = [4, 5, 5, 6, 6, 6, 5, 6, 5, 5, 6, 5, 6, 5]
SKILLS_BY_STRAND = {
    "reading": 18, "rhythm": 16, "hand-arm": 14, "ear": 12, "keyboard": 12, "habits": 9, "performing": 9,
    "sound": 9, "words": 8, "coordination": 8, "set-up": 7, "together": 7, "positions": 6, "body": 5,
}  # fmt: skip
SKILLS_BY_KIND = {"motor": 59, "knowledge": 26, "reading": 23, "ear": 18, "habit": 14}
SKILLS_BY_FADE = {"medium": 108, "slow": 21, "fast": 11}
ALWAYS_LOOK = {
    "feet-supported",
    "sit-tall-balanced",
    "distance-set",
    "loose-shoulders",
    "tells-when-it-hurts",
}
OPTIONAL = {
    "firm-fingertip": ["4-5"],
    "says-one-good-one-fix": ["4-5"],
    "home-plan-week": ["4-5", "6-7"],
}
GROUPS = {
    "steady-beat-keys": (1, ["groups-of-two", "groups-of-three"]),
    "plays-called-fingers": (1, ["fingers-on-two", "fingers-on-three"]),
    "held-note-under-tune": (1, ["c-tune-shared", "transposes-tune"]),
    "performs-two-pieces": (2, ["memory-eight-beats", "c-tune-shared", "c-piece-separate"]),
    "together-piece-eight-bars": (2, ["fifth-under-tune", "parallel-five-notes", "taps-two-layers"]),
}
DESCENDANTS = {
    "feet-supported": 98, "sit-tall-balanced": 97, "distance-set": 93, "loose-shoulders": 89,
    "rounded-hand-rest": 82, "right-left-hands": 73, "names-arm-parts": 73, "moves-named-finger": 72,
    "closed-hand-drop": 72, "high-low-sound": 71, "finger-numbers-shown": 71, "steady-beat-body": 68,
}  # fmt: skip
ANCESTORS = {
    "held-note-under-tune": 44, "together-piece-eight-bars": 75, "wrist-lift": 7, "same-moment": 32,
    "landmarks-mixed": 32,
}  # fmt: skip
SITTING_TO_HANDS_TOGETHER = (
    "sit-tall-balanced distance-set middle-of-keyboard finds-middle-c c-position-set same-moment "
    "held-note-under-tune"
)

ENTRY_LISTS = {  # by the number of the unit: from the unit before it, and from earlier ones
    2: (
        (
            "bench-height-check distance-set loose-shoulders high-low-sound high-low-keys "
            "middle-of-keyboard steady-beat-body starts-stops-on-signal"
        ),
        "",
    ),
    3: (
        "closed-hand-drop rounded-hand-rest names-arm-parts long-short-sound steady-beat-keys echo-sing-two",
        "high-low-keys high-low-sound loud-soft-sound steady-beat-body",
    ),
    4: (
        "right-left-hands finger-numbers-shown rounded-hand-keys wrist-lift",
        (
            "echo-clap-four groups-high-low-middle home-set-up loud-soft-sound starts-stops-on-signal "
            "steady-beat-keys"
        ),
    ),
    5: (
        "separate-arm-gestures ready-hands claps-word-rhythm numeral-to-finger follows-practice-card",
        (
            "beat-and-half-speed finger-numbers-shown groups-of-three groups-of-two rounded-hand-keys "
            "steady-beat-body steady-beat-keys"
        ),
    ),
    6: (
        "plays-called-fingers piece-one-hand quarter-half-claps follows-number-row says-numbers-playing",
        "alternate-arms-steady up-down-same-ear wrist-lift",
    ),
    7: (
        "hands-alternate-fours holds-long-notes",
        (
            "beat-against-rhythm finger-numbers-shown groups-of-three groups-of-two middle-of-keyboard "
            "rounded-hand-keys"
        ),
    ),
    8: (
        "names-any-white-key thumb-on-side-tip strong-beat-groups",
        (
            "echo-clap-four fingers-on-three free-black-key-piece quarter-half-claps reads-two-rows "
            "repeats-one-spot separate-touch up-down-same-ear"
        ),
    ),
    9: (
        (
            "step-skip-keys reads-steps-skips-shapes five-fingers-white five-note-separate "
            "joins-two-tones metre-signs"
        ),
        (
            "counts-while-playing finds-middle-c loud-soft-keys phrase-lift ready-next-hand "
            "sings-up-down white-key-piece"
        ),
    ),
    10: (
        "c-position-set c-piece-separate",
        (
            "counts-while-playing eighth-pairs finds-middle-c metre-signs names-any-white-key "
            "quarter-rest reads-direction"
        ),
    ),
    11: (
        "landmarks-mixed eyes-on-page",
        (
            "c-five-note-pattern c-position-set counts-in holds-long-notes metre-signs "
            "reads-steps-skips-shapes says-one-good-one-fix step-skip-ear"
        ),
    ),
    12: (
        "prepares-new-piece",
        (
            "c-five-note-legato c-five-note-pattern c-piece-separate c-position-set forte-piano-signs "
            "names-any-white-key step-skip-ear"
        ),
    ),
    13: (
        "",
        (
            "beat-against-rhythm c-five-note-pattern c-position-set fifth-together five-note-separate "
            "hands-alternate-beats holds-long-notes loud-soft-keys plays-for-one-listener "
            "reads-bass-line reads-treble-line ready-next-hand ties-dots"
        ),
    ),
    14: (
        "held-note-under-tune fifth-under-tune reads-two-staves-turns balance-aware performs-two-pieces",
        "g-position-set interval-ear plays-eighths rests-half-whole",
    ),
}


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
    by_unit = Counter(s["unit"] for s in skills.values())
    assert [by_unit[unit] for unit in graph_file["unit"]] == SKILLS_BY_UNIT
    assert sum(SKILLS_BY_UNIT) == len(skills) == len(starter.skills) == 140
    for part, printed in (("strand", SKILLS_BY_STRAND), ("kind", SKILLS_BY_KIND), ("fade", SKILLS_BY_FADE)):
        assert Counter(s[part] for s in skills.values()) == printed
        assert Counter(getattr(skill, part) for skill in starter.skills) == printed

    plan = starter.plan
    assert [members.bit_count() for members in plan.in_unit] == SKILLS_BY_UNIT
    assert Counter(KINDS[kind] for kind in plan.kind) == SKILLS_BY_KIND
    assert Counter(FADES[fade] for fade in plan.fade) == SKILLS_BY_FADE


def test_minutes_and_weeks(skills, graph_file, starter: Course):
    by_unit: Counter[str] = Counter()
    for s in skills.values():
        by_unit[s["unit"]] += s["minutes"]
    assert [by_unit[unit] for unit in graph_file["unit"]] == MINUTES_BY_UNIT
    assert [table["lesson_weeks"] for table in graph_file["unit"].values()] == WEEKS_BY_UNIT
    assert (sum(MINUTES_BY_UNIT), sum(WEEKS_BY_UNIT)) == (868, 75)

    plan = starter.plan
    assert [sum(plan.minutes[i] for i in bits(members)) for members in plan.in_unit] == MINUTES_BY_UNIT
    assert [unit.lesson_weeks for unit in starter.units] == WEEKS_BY_UNIT


def test_links_and_groups(skills, starter: Course):
    assert sum(len(s["stands_on"]) for s in skills.values()) == 227
    assert sum(needs.bit_count() for needs in starter.plan.needs) == 227

    found = {skill: s["stands_on_some"] for skill, s in skills.items() if s.get("stands_on_some")}
    assert found == {skill: [{"at_least": n, "of": of}] for skill, (n, of) in GROUPS.items()}
    assert sum(len(of) for _, of in GROUPS.values()) == 12

    plan = starter.plan
    groups = [group for unit in plan.groups for group in unit]
    assert {plan.ids[g.owner]: (g.at_least, plan.names(g.members)) for g in groups} == {
        skill: (n, tuple(sorted(of, key=plan.index.__getitem__))) for skill, (n, of) in GROUPS.items()
    }


def test_flags(skills, starter: Course):
    plan = starter.plan
    assert {skill for skill, s in skills.items() if s.get("always_look")} == ALWAYS_LOOK
    assert set(plan.names(plan.always_look)) == ALWAYS_LOOK
    assert {skill: s["optional_in"] for skill, s in skills.items() if s.get("optional_in")} == OPTIONAL
    for band, optional in plan.optional.items():
        assert set(plan.names(optional)) == {skill for skill, bands in OPTIONAL.items() if band in bands}
    for flag, members in (("safety", plan.safety), ("must_be_seen", plan.must_be_seen)):
        assert set(plan.names(members)) == {skill for skill, s in skills.items() if s.get(flag)}
        assert set(plan.names(members)) >= ALWAYS_LOOK


def test_no_loop_no_link_said_twice_no_link_to_a_later_unit(skills, graph_file, digraph, rust):
    graphlib.TopologicalSorter({skill: s["stands_on"] for skill, s in skills.items()}).prepare()
    assert nx.is_directed_acyclic_graph(digraph)
    assert rx.is_directed_acyclic_graph(rust[0])
    assert set(nx.transitive_reduction(digraph).edges) == set(digraph.edges)
    assert rx.transitive_reduction(rust[0])[0].num_edges() == digraph.number_of_edges() == 227

    order = {unit: number for number, unit in enumerate(graph_file["unit"])}
    for skill, s in skills.items():
        groups = [member for group in s.get("stands_on_some", []) for member in group["of"]]
        for before in (*s["stands_on"], *groups):
            assert order[skills[before]["unit"]] <= order[s["unit"]], (before, skill)


def test_no_group_is_already_implied(digraph):
    for skill, (at_least, members) in GROUPS.items():
        assert len(nx.ancestors(digraph, skill) & set(members)) < at_least
        assert all(not nx.ancestors(digraph, one) & set(members) for one in members), "one inside another"


def test_longest_chain_roots_and_leaves(skills, digraph, rust, starter: Course):
    assert nx.dag_longest_path_length(digraph) + 1 == rx.dag_longest_path_length(rust[0]) + 1 == 19
    assert sum(1 for _, degree in digraph.in_degree if not degree) == 11
    named = {m for s in skills.values() for group in s.get("stands_on_some", []) for m in group["of"]}
    leaves = {skill for skill, degree in digraph.out_degree if not degree} - named

    plan = starter.plan
    assert plan.depth.count(0) == 11
    grouped = set().union(*(plan.names(group.members) for unit in plan.groups for group in unit))
    assert {plan.ids[i] for i, below in enumerate(plan.descendants) if not below} - grouped == leaves
    assert len(leaves) == 20


def test_what_stands_on_the_most(digraph, rust, starter: Course):
    graph, at = rust
    plan = starter.plan
    for skill, count in DESCENDANTS.items():
        assert len(nx.descendants(digraph, skill)) == count, skill
        assert len(rx.descendants(graph, at[skill])) == count
        assert plan.descendants[plan.index[skill]].bit_count() == count
    most = sorted((below.bit_count() for below in plan.descendants), reverse=True)
    assert most[: len(DESCENDANTS)] == list(DESCENDANTS.values())


def test_what_some_skills_stand_on(digraph, rust, starter: Course):
    graph, at = rust
    plan = starter.plan
    for skill, count in ANCESTORS.items():
        assert len(nx.ancestors(digraph, skill)) == count, skill
        assert len(rx.ancestors(graph, at[skill])) == count
        assert plan.depth[plan.index[skill]] == count


def test_all_ancestors_and_descendants_of_the_plan(digraph, starter: Course):
    plan = starter.plan
    for i, skill in enumerate(plan.ids):
        assert set(plan.names(plan.ancestors[i])) == nx.ancestors(digraph, skill)
        assert set(plan.names(plan.descendants[i])) == nx.descendants(digraph, skill)


def test_one_chain_from_sitting_to_hands_together(digraph):
    assert nx.is_path(digraph, SITTING_TO_HANDS_TOGETHER.split())


@pytest.mark.parametrize("number", ENTRY_LISTS)
def test_entry_list(number, skills, graph_file, starter: Course):
    """Rule R7, for a band in which nothing is optional."""
    units = list(graph_file["unit"])
    unit = units[number - 1]
    named = {b for s in skills.values() if s["unit"] == unit for b in s["stands_on"]}
    near, far = (set(words.split()) for words in ENTRY_LISTS[number])
    assert {skill for skill in named if skills[skill]["unit"] == units[number - 2]} == near
    assert {skill for skill in named if skills[skill]["unit"] in units[: number - 2]} == far
    assert set(starter.plan.names(entry_list(starter.plan, number - 1, 0))) == near | far


def test_every_criterion_carries_a_number_and_every_skill_two_activities(skills):
    counted = re.compile(r"\d|\b(once|one|two|three|four|five)\b")
    for skill, s in skills.items():
        assert counted.search(s["shown_when"]), skill
        assert len(s["remedies"]) == 2, skill
