"""Placing against published and brute-force values: counts, posteriors, bounds on the number of looks.

The structure of five items: Doignon and Falmagne (1999), Knowledge Spaces, chapter 7; its posteriors:
knowledgespaces 0.1.0 (PyPI) and Bayes' formula in fractions by hand, which agree to 1e-6. Chains and
posets: Shannon's bounds and exact sums over all question trees. The bound for every poset: Linial and
Saks (1985), "Every poset has a central element", J. Combin. Theory A 40:195-210.
"""

from __future__ import annotations

from functools import cache
from itertools import combinations, product
from math import ceil, comb, isclose, log2

import pytest
from hypothesis import given
from hypothesis import strategies as st

from readiness.planning.placing.belief import Belief, likelihoods
from readiness.planning.placing.states import closed_sets


def under(size, links):
    """Return all that lies under each of some items; links lead from lower to higher numbers."""
    below = dict.fromkeys(range(size), 0)
    for low, high in sorted(links, key=lambda link: link[1]):
        below[high] |= below[low] | 1 << low
    return below


def listed(below):
    """Return every closed set, by trying all sets."""
    return [s for s in range(1 << len(below)) if all(not below[i] & ~s for i in below if s >> i & 1)]


def plain(below):
    """Return the belief in which every closed set is equally likely."""
    return Belief.before(closed_sets(below), [dict.fromkeys(below, (1.0, 1.0))])


FIVE = under(5, [(0, 2), (1, 2), (0, 3), (1, 3), (2, 4)])  # a, b before c; a, b before d; c before e
N = under(4, [(0, 2), (1, 2), (1, 3)])
TREE = under(7, [(0, 1), (0, 2), (1, 3), (1, 4), (2, 5), (2, 6)])


def chain(size):
    return under(size, [(i, i + 1) for i in range(size - 1)])


def grid(a, b):
    at = {(x, y): x * b + y for x, y in product(range(a), range(b))}
    links = [(at[x, y], at[x + 1, y]) for x, y in at if (x + 1, y) in at]
    return under(a * b, links + [(at[x, y], at[x, y + 1]) for x, y in at if (x, y + 1) in at])


def fence(size):
    """A zigzag, its low items numbered first."""
    number = {i: (i // 2 if i % 2 == 0 else (size + 1) // 2 + i // 2) for i in range(size)}
    links = [(number[j], number[i]) for i in range(1, size, 2) for j in (i - 1, i + 1) if j < size]
    return under(size, links)


@pytest.mark.parametrize(
    ("below", "count"),
    [
        (FIVE, 9), (N, 8), (TREE, 26), (grid(3, 4), 35), (under(6, []), 64),
        *[(chain(n), n + 1) for n in (1, 5, 16, 63)],
        *[(fence(n), f) for n, f in zip(range(1, 10), (2, 3, 5, 8, 13, 21, 34, 55, 89), strict=True)],
        *[(grid(2, n), comb(n + 2, 2)) for n in (2, 3, 4, 5)],
    ],
)  # fmt: skip
def test_counts_of_states(below, count):
    assert closed_sets(below).count() == count


POSTERIORS = [  # what was seen, shares of a to e; slip and lucky 0.1, every state equally likely
    ([("c", True)], (0.95122, 0.95122, 0.878049, 0.463415, 0.439024)),
    ([("c", False)], (0.632653, 0.632653, 0.081633, 0.224490, 0.040816)),
    ([("c", True), ("e", True)], (0.989189, 0.989189, 0.972973, 0.491892, 0.875676)),
    (
        [("a", True), ("b", True), ("c", True), ("d", False), ("e", False)],
        (0.990089, 0.990089, 0.891972, 0.098117, 0.089197),
    ),
    ([("e", True), ("a", False)], (0.560976, 0.756098, 0.487805, 0.268293, 0.439024)),
]


@pytest.mark.parametrize(("seen", "shares"), POSTERIORS)
def test_posteriors_of_the_five_items(seen, shares):
    for order in (seen, seen[::-1]):
        belief = plain(FIVE).given({"abcde".index(i): likelihoods(shown, 0.1, 0.1) for i, shown in order})
        assert [belief.shares()[i] for i in range(5)] == pytest.approx(shares, abs=1e-6)


def test_posterior_of_states_and_draws():
    """After c right and e right: 81/185 each for abce and abcde, 9/185 for abc and abcd, 1/185 for others."""
    belief = plain(FIVE).given({2: likelihoods(True, 0.1, 0.1), 4: likelihoods(True, 0.1, 0.1)})
    assert belief.few_missing(0b11111, 0) == pytest.approx(81 / 185)
    assert belief.few_missing(0b11111, 1) == pytest.approx(171 / 185)
    assert belief.few_missing(0b10111, 0) == pytest.approx(162 / 185)
    drawn = belief.draws(4000, seed=3)
    assert drawn == belief.draws(4000, seed=3)
    assert drawn.count(0b10111) / 4000 == pytest.approx(81 / 185, abs=0.03)
    assert set(drawn) <= set(listed(FIVE))


@st.composite
def orders(draw, most=7):
    size = draw(st.integers(1, most))
    pairs = [(low, high) for high in range(size) for low in range(high)]
    return under(size, draw(st.lists(st.sampled_from(pairs), unique=True)) if pairs else [])


@given(orders(), st.data())
def test_sums_are_those_over_all_states(below, data):
    """Everything worked out without listing equals the sum over the list."""
    weight = st.floats(0.05, 1)
    kinds = [{i: (data.draw(weight), data.draw(weight)) for i in below} for _ in range(2)]
    seen = {
        i: likelihoods(data.draw(st.booleans()), 0.1, 0.05)
        for i in data.draw(st.sets(st.sampled_from(list(below))))
    }
    belief = Belief.before(closed_sets(below), kinds).given(seen)
    states = listed(below)
    assert belief.sets.count() == len(states)

    def mass(kind, state, looks):
        value = 1.0
        for i in below:
            here = state >> i & 1
            value *= kind[i][here] * (looks[i][here] if i in looks else 1)
        return value

    before = [sum(mass(kind, s, {}) for s in states) for kind in kinds]
    chance = {
        s: sum(mass(k, s, seen) / total for k, total in zip(kinds, before, strict=True)) for s in states
    }
    everything = sum(chance.values())
    for i, share in belief.shares().items():
        assert isclose(share, sum(c for s, c in chance.items() if s >> i & 1) / everything, abs_tol=1e-5)
    of, most = data.draw(st.sampled_from(states)), data.draw(st.integers(0, 2))
    few = sum(c for s, c in chance.items() if (of & ~s).bit_count() <= most) / everything
    assert isclose(belief.few_missing(of, most), few, abs_tol=1e-5)


def halving(below):
    """Return the worst and the total number of looks when each splits what is left most evenly.

    Looks are without error here; how many states are left follows from the shares.
    """

    @cache
    def looks(seen, left):
        shares = plain(below).given({i: (float(not shown), float(shown)) for i, shown in seen}).shares()
        open_ = [i for i, share in shares.items() if 1e-9 < share < 1 - 1e-9]
        if not open_:
            assert left == 1
            return 0, 0
        best = min(open_, key=lambda i: (round(abs(shares[i] - 0.5), 9), i))
        having = round(left * shares[best])
        sizes = ((True, having), (False, left - having))
        ends = [looks(seen | {(best, shown)}, size) for shown, size in sizes]
        return 1 + max(worst for worst, _ in ends), left + sum(total for _, total in ends)

    return looks(frozenset(), closed_sets(below).count())


@pytest.mark.parametrize("size", [1, 2, 3, 4, 5, 6, 7, 8, 9, 10, 12])
def test_a_chain_needs_no_more_looks_than_the_bound(size):
    states = size + 1
    total = states * int(log2(states)) + 2 * (states - 2 ** int(log2(states)))
    assert halving(chain(size)) == (ceil(log2(states)), total)


@pytest.mark.parametrize(
    ("below", "worst", "total"),
    [
        (FIVE, 4, 29), (N, 4, 25), (grid(2, 3), 4, 34), (grid(2, 4), 5, 60), (grid(3, 3), 5, 88),
        (fence(5), 5, 50), (TREE, 6, 126), (under(5, [(0, 1), (2, 3), (3, 4)]), 4, 44), (under(3, []), 3, 24),
    ],
)  # fmt: skip
def test_other_posets(below, worst, total):
    assert halving(below) == (worst, total)


@given(orders(most=8))
def test_every_poset_has_a_central_element(below):
    """Some item lies in between 0.1695 and 0.8305 of all closed sets (Linial and Saks 1985)."""
    least = (3 - log2(5)) / 4
    shares = plain(below).shares().values()
    assert any(least <= share <= 1 - least for share in shares)


def test_too_wide_a_course_keeps_what_it_can():
    """Sets that would make too many classes lose some skills, exactly: the rest is counted as ever."""
    pairs = list(combinations(range(8), 2))
    wide = under(8 + len(pairs), [(i, 8 + j) for j, pair in enumerate(pairs) for i in pair])
    found = closed_sets(wide, most=20)
    assert 0 < found.left_out.bit_count() < len(wide)
    kept = {i: wide[i] & ~found.left_out for i in found.skills}
    assert found.count() == closed_sets(kept).count()
