"""The smallest cover is the smallest: all sets on small questions, an exact solver on large ones."""

from __future__ import annotations

import json
from dataclasses import replace
from itertools import combinations

import numpy as np
import pytest
from hypothesis import assume, example, given
from hypothesis import strategies as st
from laws.covers import confirms, pieces_on_techniques, question
from scipy.optimize import Bounds, LinearConstraint, milp

from readiness.course.model import bits
from readiness.judging.cover import smallest_cover, solved
from readiness.judging.cover_search import Component, Steps, best_cover


@st.composite
def questions(draw):
    count = draw(st.integers(1, 8))
    things = st.sets(st.integers(0, count + 1), max_size=4)
    settles = {i: draw(things) for i in draw(st.sets(st.integers(0, count - 1), min_size=1))}
    reached = set().union(*settles.values())
    members = draw(st.lists(st.sets(st.integers(0, count + 1), min_size=1, max_size=5), max_size=6))
    wants = [(some, draw(st.integers(1, min(3, len(some & reached))))) for some in members if some & reached]
    minutes = draw(st.lists(st.sampled_from([3, 5, 5, 5, 8]), min_size=count, max_size=count))
    names = [f"skill-{i}" for i in range(count)]
    return question(settles, wants, minutes, draw(st.permutations(names)))


def best_of_all(settles, wants, plan):
    """Return the key of the best set, by trying all."""

    def key(some):
        return len(some), sum(plan.minutes[i] for i in some), sorted(plan.ids[i] for i in some)

    def meets(some):
        secure = {e for i in some for e in bits(settles[i])}
        return all(len(secure & set(bits(want.skills))) >= want.at_least for want in wants)

    return min(key(some) for n in range(len(settles) + 1) for some in combinations(settles, n) if meets(some))


def key_of(cover):
    plan = cover.plan
    return len(cover.skills), sum(plan.minutes[i] for i in cover.skills), sorted(cover.ids)


# The skill that settles most is in no smallest set.
BY_SIZE = question({0: [0, 1, 2, 3], 1: [0, 1, 4], 2: [2, 3, 5]}, [([e], 1) for e in range(6)], [5, 5, 5])
# Taking the short skill first leaves a long one.
BY_MINUTES = question(
    {0: [0, 1], 1: [2, 3], 2: [0, 2], 3: [1, 3]}, [([e], 1) for e in range(4)], [3, 9, 5, 5]
)
# Taking what settles most first leads to {1, 2, 3}; {0, 2, 4} is as small and short and has the first id.
BY_ID = question(
    {0: [2, 4], 1: [0, 2], 2: [1, 2], 3: [3, 4], 4: [0, 2, 3]}, [([e], 1) for e in range(5)], [5] * 5
)


@given(questions())
@example(BY_SIZE)
@example(BY_MINUTES)
@example(BY_ID)
def test_of_all_sets_it_is_the_best(asked):
    cover = smallest_cover(*asked)
    assert cover.proved
    assert key_of(cover) == best_of_all(*asked)


def part_of(settles, wants, plan):
    """Return a question as one part, nothing left out."""
    order = sorted(settles, key=lambda i: plan.ids[i])
    alone = sum(want.skills for want in set(wants) if want.skills.bit_count() == 1)
    groups = [(want.skills, want.at_least) for want in wants if want.skills.bit_count() > 1]
    return Component([settles[i] for i in order], [plan.minutes[i] for i in order], alone, groups), order


@given(questions())
@example(BY_SIZE)
@example(BY_MINUTES)
@example(BY_ID)
def test_the_search_and_the_solver_need_nothing_left_out_before(asked):
    """What is left after reducing small questions is little, so the search is given them whole."""
    pytest.importorskip("highspy")
    assume(asked[1])
    part, order = part_of(*asked)
    best = best_of_all(*asked)
    for found in (best_cover(part, Steps(10_000)), solved(part)):
        assert found.proved
        chosen = tuple(order[i] for i in found.cover)
        assert key_of(replace(smallest_cover(*asked), skills=chosen)) == best


def least(settles, wants, plan):
    """Return the size and minutes by HiGHS, a solver for whole-number programs that scipy brings along."""
    skills = sorted(settles)
    rows = np.array([[bool(settles[i] & want.skills) for i in skills] for want in wants], float)
    size, minutes = np.ones(len(skills)), np.array([plan.minutes[i] for i in skills], float)
    meets = LinearConstraint(rows, 1, np.inf)

    def best(costs, *more):
        found = milp(costs, constraints=[meets, *more], integrality=size, bounds=Bounds(0, 1))
        assert found.success
        return round(found.fun)

    count = best(size)
    return count, best(minutes, LinearConstraint(size[None], count, count))


SAME, MIXED = (5,), (3, 5, 8, 10)


@pytest.mark.parametrize(
    ("techniques", "pieces", "seed", "minutes"),
    [
        *((27, 60, seed, minutes) for seed in (0, 2) for minutes in (SAME, MIXED)),
        *((33, 80, seed, minutes) for seed in (1, 2) for minutes in (SAME, MIXED)),
        (45, 120, 1, MIXED),
        (45, 120, 2, SAME),
        (60, 160, 2, SAME),
    ],
)
def test_an_exact_solver_finds_nothing_better(techniques, pieces, seed, minutes):
    asked = pieces_on_techniques(techniques, pieces, seed, minutes)
    cover = smallest_cover(*asked)
    assert cover.proved
    assert key_of(cover)[:2] == least(*asked)


@pytest.mark.parametrize("minutes", [(5,), (3, 5, 8, 10)])
@pytest.mark.parametrize("seed", range(3))
def test_beyond_the_steps_the_solver_gives_the_same_set(seed, minutes):
    pytest.importorskip("highspy")
    asked = pieces_on_techniques(27, 60, seed, minutes)
    handed_on = smallest_cover(*asked, most=100)
    assert handed_on.steps == 100
    assert handed_on.proved
    assert handed_on.skills == smallest_cover(*asked).skills


def test_beyond_the_steps_without_a_solver_the_best_found_is_no_proof(monkeypatch):
    monkeypatch.setattr("readiness.judging.cover.find_spec", lambda name: None)
    asked = pieces_on_techniques(27, 60, 2)
    stopped, again = (smallest_cover(*asked, most=160) for _ in range(2))
    assert (stopped.proved, stopped.proof) == (False, None)
    assert stopped.skills == again.skills
    settled = {e for i in stopped.skills for e in bits(asked[0][i])}
    assert settled >= set(range(27))
    assert len(stopped.skills) >= len(smallest_cover(*asked).skills)


@given(questions())
@example(BY_SIZE)
def test_the_proof_confirms_the_size_and_no_other(asked):
    cover = smallest_cover(*asked)
    proof = json.loads(json.dumps(cover.proof))
    assert confirms(proof, cover)
    assert not confirms(proof, replace(cover, skills=(*cover.skills, 0)))


HARD = [(12, 20), (15, 30), (18, 40), (24, 55)]


@pytest.mark.parametrize("seed", range(6))
@pytest.mark.parametrize(("techniques", "pieces"), HARD)
def test_a_tree_confirms_the_size_of_hard_questions(techniques, pieces, seed):
    cover = smallest_cover(*pieces_on_techniques(techniques, pieces, seed))
    assert confirms(cover.proof, cover)


def fewer_tried(node):
    return node and [node[0], node[1][:-1], node[2]]


def spoilt(proof):
    """Yield proofs with one thing changed that was needed."""
    for number, part in enumerate(proof["parts"]):
        more = [*proof["parts"]]
        for change in (
            {"at_least": part["at_least"] + 1},
            {"nodes": [None, *part["nodes"][1:]]},
            {"nodes": part["nodes"][:-1]},
            {"nodes": [fewer_tried(part["nodes"][0]), *part["nodes"][1:]]},
        ):
            more[number] = part | change
            if more[number] != part:
                yield proof | {"parts": [*more]}


def test_a_changed_tree_confirms_nothing():
    forks = 0
    for seed in range(12):
        cover = smallest_cover(*pieces_on_techniques(15, 24, seed))
        if cover.proof["kind"] == "tree" and len(cover.proof["parts"][0]["nodes"]) > 1:
            forks += 1
            for other in spoilt(cover.proof):
                assert not confirms(other, cover)
    assert forks
