"""What a well-taught student can have, and what comes next: checked against knowledge spaces.

A set of skills that holds everything its skills stand on is a *state*. The outer fringe of a
state is what can be begun next, the inner fringe what was reached last. All states are found
here by going from nothing along the outer fringe, so every count below is a count of what the
project calls startable.

Sources: five-item structure: Doignon and Falmagne (1999), Knowledge Spaces, chapter 7 (as the
data set DoignonFalmagne7 of the R package pks); fringes and paths of it computed with kstpy,
knowledgespaces and pks. Nine states from the base {a, b, ac, bc, abd}: example of the R package
kstMatrix. Counts of states and ways: networkx antichains and topological sorts; the names of
the number sequences are from memory.
"""

from __future__ import annotations

from functools import cache
from math import comb, factorial

import networkx as nx
import pytest
from hypothesis import given
from hypothesis import strategies as st

from readiness.advice.ground import outer_fringe
from readiness.course.model import Course, Group
from reference.tiny import Links, dags, tiny_course

State = frozenset[str]

FIVE = {"a": "", "b": "", "c": "ab", "d": "ab", "e": "c"}
FIVE_FRINGES = {  # state: inner fringe, outer fringe
    "": ("", "ab"),
    "a": ("a", "b"),
    "b": ("b", "a"),
    "ab": ("ab", "cd"),
    "abc": ("c", "de"),
    "abd": ("d", "c"),
    "abcd": ("cd", "e"),
    "abce": ("e", "d"),
    "abcde": ("de", ""),
}
A_OR_B = {"a": "", "b": "", "c": "", "d": "ab"}
A_OR_B_GROUPS = {"c": [Group(1, ("a", "b"))]}
A_OR_B_STATES = ["", "a", "b", "ab", "ac", "bc", "abc", "abd", "abcd"]


def states(course: Course) -> set[State]:
    """Return all states, found by beginning one startable skill after another."""
    found: set[State] = {frozenset()}
    waiting = [frozenset()]
    while waiting:
        state = waiting.pop()
        reached = {state | {skill} for skill in outer_fringe(course, state)} - found
        found |= reached
        waiting += reached
    return found


def inner_fringe(course: Course, state: State) -> tuple[str, ...]:
    """Return the skills that were reached last: without one of them it is a state all the same."""
    found = states(course)
    return tuple(skill.id for skill in course.skills if skill.id in state and state - {skill.id} in found)


def ways(course: Course) -> int:
    """Return how many orders there are in which all skills can be begun one by one."""
    full = frozenset(skill.id for skill in course.skills)

    @cache
    def onward(state: State) -> int:
        if state == full:
            return 1
        return sum(onward(state | {skill}) for skill in outer_fringe(course, state))

    return onward(frozenset())


def named(texts: list[str]) -> set[State]:
    return {frozenset(text) for text in texts}


def test_five_items_have_the_nine_states_and_six_ways():
    course = tiny_course(FIVE)
    assert states(course) == named(list(FIVE_FRINGES))
    assert ways(course) == 6
    containing = {item: sum(item in state for state in states(course)) for item in FIVE}
    assert containing == {"a": 7, "b": 7, "c": 4, "d": 3, "e": 2}


@pytest.mark.parametrize("state", FIVE_FRINGES)
def test_fringes_of_the_five_items(state):
    inner, outer = FIVE_FRINGES[state]
    assert "".join(inner_fringe(tiny_course(FIVE), frozenset(state))) == inner
    assert "".join(outer_fringe(tiny_course(FIVE), frozenset(state))) == outer


def test_a_or_b_before_c_needs_a_group():
    """All-of links alone cannot say it: abd is a state, ac and bc are, but c alone is none."""
    course = tiny_course(A_OR_B, A_OR_B_GROUPS)
    assert states(course) == named(A_OR_B_STATES)
    assert ways(course) == 6
    assert outer_fringe(course, frozenset("ab")) == ("c", "d")
    assert frozenset("ac") & frozenset("bc") not in states(course)


def test_two_of_three_before_d():
    """Counted by hand: of the 8 sets of a, b and c, the 4 with two or three of them can hold d too."""
    course = tiny_course({"a": "", "b": "", "c": "", "d": ""}, {"d": [Group(2, ("a", "b", "c"))]})
    assert len(states(course)) == 8 + 4
    assert inner_fringe(course, frozenset("abd")) == ("d",)
    assert inner_fringe(course, frozenset("abcd")) == ("a", "b", "c", "d")


def chain(size: int, name: str = "s") -> Links:
    return {f"{name}{i}": [f"{name}{i - 1}"] if i else [] for i in range(size)}


def grid(rows: int, columns: int) -> Links:
    return {
        f"{i},{j}": [f"{i - 1},{j}"] * (i > 0) + [f"{i},{j - 1}"] * (j > 0)
        for i in range(rows)
        for j in range(columns)
    }


def fence(size: int) -> Links:
    """A zigzag: every second skill stands on its neighbours."""
    return {f"s{i}": [f"s{j}" for j in (i - 1, i + 1) if 0 <= j < size] if i % 2 else [] for i in range(size)}


def boolean(size: int) -> Links:
    """All subsets of a set; each stands on those with one element less."""
    return {f"n{s}": [f"n{s & ~(1 << i)}" for i in range(size) if s >> i & 1] for s in range(2**size)}


def tree(size: int) -> Links:
    """A binary tree, the root first."""
    return {f"s{i}": [f"s{(i - 1) // 2}"] if i else [] for i in range(size)}


def side_by_side(*sizes: int) -> Links:
    return {skill: needed for k, size in enumerate(sizes) for skill, needed in chain(size, f"k{k}-").items()}


FENCES = [  # Fibonacci numbers and Euler zigzag numbers
    (1, 2, 1),
    (2, 3, 1),
    (3, 5, 2),
    (4, 8, 5),
    (5, 13, 16),
    (6, 21, 61),
    (7, 34, 272),
    (8, 55, 1385),
    (9, 89, 7936),
]

COUNTED = [  # links, states, ways
    *[(f"chain {n}", chain(n), n + 1, 1) for n in range(7)],
    *[(f"unrelated {n}", side_by_side(*[1] * n), 2**n, factorial(n)) for n in range(7)],
    *[  # hook lengths; the first row are Catalan numbers
        (f"grid {a}x{b}", grid(a, b), comb(a + b, a), w)
        for a, b, w in [(2, 2, 2), (2, 3, 5), (2, 4, 14), (2, 5, 42), (3, 3, 42), (3, 4, 462)]
    ],
    *[(f"fence {n}", fence(n), s, w) for n, s, w in FENCES],
    ("N", {"a": [], "b": [], "c": ["a", "b"], "d": ["b"]}, 8, 5),
    *[  # Dedekind numbers
        (f"boolean {n}", boolean(n), s, w) for n, s, w in [(0, 2, 1), (1, 3, 1), (2, 6, 2), (3, 20, 48)]
    ],
    *[  # products, and multinomial coefficients (rules also on Ruskey's page on ideals of posets)
        (f"chains {sizes}", side_by_side(*sizes), s, w)
        for sizes, s, w in [((2, 3), 12, 10), ((2, 2), 9, 6), ((2, 2, 2), 27, 90)]
    ],
    *[(f"tree {n}", tree(n), s, w) for n, s, w in [(1, 2, 1), (3, 5, 2), (7, 26, 80), (15, 677, 21964800)]],
]


@pytest.mark.parametrize(
    ("links", "n_states", "n_ways"), [row[1:] for row in COUNTED], ids=[r[0] for r in COUNTED]
)
def test_counts_of_states_and_ways(links, n_states, n_ways):
    course = tiny_course(links)
    assert len(states(course)) == n_states
    assert ways(course) == n_ways


def test_boolean_lattice_of_four():
    """168, the Dedekind number; 1680384 ways (from OEIS A046873, number from memory)."""
    course = tiny_course(boolean(4))
    assert (len(states(course)), ways(course)) == (168, 1680384)


@given(dags(most=7))
def test_states_and_ways_of_any_links(links):
    """One state for each antichain, one way for each topological sort: networkx counts both."""
    graph = nx.DiGraph((before, skill) for skill, needed in links.items() for before in needed)
    graph.add_nodes_from(links)
    course = tiny_course(links)
    assert len(states(course)) == sum(1 for _ in nx.antichains(graph))
    if links:
        assert ways(course) == sum(1 for _ in nx.all_topological_sorts(graph))


@st.composite
def courses_with_groups(draw: st.DrawFn) -> Course:
    links = draw(dags(most=6))
    graph = nx.DiGraph((before, skill) for skill, needed in links.items() for before in needed)
    graph.add_nodes_from(links)
    order = list(nx.topological_sort(graph))
    groups: dict[str, list[Group]] = {}
    for place, skill in enumerate(order[2:], start=2):
        of = draw(st.lists(st.sampled_from(order[:place]), unique=True, max_size=3))
        if of:
            groups[skill] = [Group(draw(st.integers(1, len(of))), tuple(of))]
    return tiny_course(links, groups)


@given(courses_with_groups())
def test_laws_of_a_learning_space(course):
    """Falmagne and Doignon (2011), Learning Spaces: well graded, closed under union, fixed by the fringes."""
    found = states(course)
    full = frozenset(skill.id for skill in course.skills)
    assert full in found
    fringes = {}
    for state in found:
        inner = tuple(sorted(skill for skill in state if state - {skill} in found))
        outer = outer_fringe(course, state)
        assert set(outer) == {skill for skill in full - state if state | {skill} in found}
        assert bool(inner) == bool(state)
        assert bool(outer) == (state != full)
        fringes[inner, outer] = state
    assert len(fringes) == len(found)
    assert all(one | other in found for one in found for other in found)
