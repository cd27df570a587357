"""The smallest cover is the smallest: all sets on small questions, an exact solver on large ones."""

from __future__ import annotations

import random
from itertools import combinations
from types import SimpleNamespace

import numpy as np
import pytest
from hypothesis import example, given
from hypothesis import strategies as st
from scipy.optimize import Bounds, LinearConstraint, milp

from readiness.course.plan import bits
from readiness.judging.cover import Want, smallest_cover


def question(settles, wants, minutes, ids=None):
    """Return a question: what each skill settles, as sets of numbers, and (skills, how many) wanted."""
    ids = ids or [f"skill-{i:03d}" for i in range(len(minutes))]
    return (
        {i: sum(1 << e for e in some) for i, some in settles.items()},
        tuple(Want(sum(1 << e for e in some), at_least) for some, at_least in wants),
        SimpleNamespace(minutes=tuple(minutes), ids=tuple(ids)),
    )


@st.composite
def questions(draw):
    count = draw(st.integers(1, 8))
    things = st.sets(st.integers(0, count + 1), max_size=4)
    settles = {i: draw(things) for i in draw(st.sets(st.integers(0, count - 1), min_size=1))}
    reached = set().union(*settles.values())
    wants = []
    for some in draw(st.lists(st.sets(st.integers(0, count + 1), min_size=1, max_size=5), max_size=6)):
        if some & reached:
            wants.append((some, draw(st.integers(1, min(3, len(some & reached))))))
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
# All is equal but the ids: {0, 1} and {2, 3}, the second has the first id.
BY_ID = question(
    {0: [0, 1], 1: [2, 3], 2: [0, 2], 3: [1, 3]}, [([e], 1) for e in range(4)], [5] * 4, ["b", "c", "d", "a"]
)


@given(questions())
@example(BY_SIZE)
@example(BY_MINUTES)
@example(BY_ID)
def test_of_all_sets_it_is_the_best(asked):
    cover = smallest_cover(*asked)
    assert cover.proved
    assert key_of(cover) == best_of_all(*asked)
