"""A proof that no smaller look set will do is believed where it is one, and never beyond what is so.

The smallest size is found by trying all sets. Proofs are written down by the plainest search there is,
and then changed anywhere: what is still believed must still be so.
"""

from __future__ import annotations

import json
from collections.abc import Iterator
from itertools import combinations
from random import Random
from typing import Any

from hypothesis import given
from hypothesis import strategies as st
from laws.changing import changes

from readiness.judging.recheck_looks import proves

NAMES = tuple("abcdef")
NEXT = dict(zip(NAMES, NAMES[1:] + NAMES[:1], strict=True))
CHANGES = 60

Makes = dict[str, frozenset[str]]
Wants = list[tuple[frozenset[str], int]]


@st.composite
def questions(draw: st.DrawFn) -> tuple[Makes, Wants]:
    """Draw what each skill makes secure, and wants that all together meet."""
    some = st.frozensets(st.sampled_from(NAMES), max_size=3)
    makes = draw(st.dictionaries(st.sampled_from(NAMES), some, min_size=1))
    every = frozenset[str]().union(*makes.values())
    drawn = draw(st.lists(st.frozensets(st.sampled_from(NAMES), min_size=1, max_size=4), max_size=5))
    return makes, [(of, draw(st.integers(1, min(2, len(of & every))))) for of in drawn if of & every]


def smallest(makes: Makes, wants: Wants) -> int:
    """Return the size of the smallest set that meets all wants, by trying all."""
    for size in range(len(makes) + 1):
        for some in combinations(makes, size):
            secure = frozenset[str]().union(*(makes[skill] for skill in some))
            if all(len(of & secure) >= least for of, least in wants):
                return size
    raise AssertionError("all together meet the wants")


def tree(makes: Makes, wants: Wants, size: int) -> dict[str, Any]:
    """Return a proof without prices: every way to go on, until too few may be taken."""
    named = [{"of": sorted(of), "at_least": least} for of, least in wants]
    nodes = [*_nodes(makes, wants, size - 1, frozenset())]
    part = {
        "wants": [*range(len(wants))],
        "at_least": size,
        "unit": 1,
        "prices": [0] * len(wants),
        "nodes": nodes,
    }
    return {"kind": "tree", "proves": ["size"], "wants": named, "steps": [], "parts": [part]}


def _nodes(makes: Makes, wants: Wants, room: int, secure: frozenset[str]) -> Iterator[Any]:
    every = secure.union(*makes.values())
    unmet = [n for n, (of, least) in enumerate(wants) if len(of & secure) < least]
    if room <= 0 or any(len(wants[n][0] & every) < wants[n][1] for n in unmet):
        yield None
        return
    tried = [skill for skill, made in makes.items() if made & wants[unmet[0]][0] - secure]
    yield [unmet[0], tried, {}]
    for n, skill in enumerate(tried):
        left = {one: made for one, made in makes.items() if one not in tried[: n + 1]}
        yield from _nodes(left, wants, room - 1, secure | makes[skill])


@given(questions(), st.randoms(use_true_random=True))
def test_a_proof_is_believed_as_far_as_it_goes(question: tuple[Makes, Wants], chance: Random) -> None:
    makes, wants = question
    size = smallest(makes, wants)
    proof = json.loads(json.dumps(tree(makes, wants, size)))
    assert size == 0 or proves(proof, makes, wants, size)
    every = [changed for _, _, changed in changes(proof, NEXT)]
    for changed in (proof, *chance.sample(every, min(CHANGES, len(every)))):
        assert not any(proves(changed, makes, wants, more) for more in (size + 1, size + 2))


@given(questions())
def test_wants_that_share_no_helper_each_need_skills_of_their_own(question: tuple[Makes, Wants]) -> None:
    makes, wants = question
    named = [{"of": sorted(of), "at_least": least} for of, least in wants]
    size = smallest(makes, wants)
    proof = {"kind": "disjoint", "proves": ["size"], "wants": named}
    sizes = [n for n in range(9) if proves(proof, makes, wants, n)]
    helpers = [{skill for skill, made in makes.items() if made & of} for of, _ in wants]
    apart = all(one.isdisjoint(other) for one, other in combinations(helpers, 2))
    assert bool(sizes) == apart
    assert all(n <= size for n in sizes)


def test_dropping_for_one_that_does_as_much_and_taking_what_is_needed() -> None:
    makes = {"a": frozenset("xy"), "b": frozenset("x"), "c": frozenset("z")}
    wants = [(frozenset("x"), 1), (frozenset("z"), 1)]
    named = [{"of": ["x"], "at_least": 1}, {"of": ["z"], "at_least": 1}]
    proof = {"kind": "tree", "proves": ["size"], "wants": named, "parts": []}
    good = [["drop", "b", "a"], ["take", "a", 0], ["take", "c", 1]]
    assert proves({**proof, "steps": good}, makes, wants, 2)
    needless = [[["take", "a", 0], *good[2:]], [["leave", 1], *good], [["drop", "c", "a"], *good], good * 2]
    assert not any(proves({**proof, "steps": steps}, makes, wants, n) for steps in needless for n in range(6))
