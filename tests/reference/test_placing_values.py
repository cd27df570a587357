"""Placing against published and brute-force values: closed sets, posteriors, averages over slips.

Structures and posteriors: Doignon and Falmagne (1999), Knowledge Spaces, chapter 7 (the structure of
five items), the local independence model, recomputed here over the list of all closed sets. Averages
over how often somebody slips: the beta-binomial distribution (Johnson, Kemp and Kotz 2005, Univariate
Discrete Distributions, 6.2), by integrating the binomial numerically.
"""

from __future__ import annotations

from dataclasses import replace
from itertools import product
from math import exp, isclose

import pytest
from hypothesis import given
from hypothesis import strategies as st

from readiness.advice.placing_crowd import (
    ASSUMED,
    Belief,
    Crowd,
    Placed,
    _log_chance,
    _next_chance,
    at_most_missing,
    crowd_of,
)


def under(size, links):
    """Return all that lies under each of some items; links lead from lower to higher numbers."""
    below = dict.fromkeys(range(size), 0)
    for low, high in sorted(links, key=lambda link: link[1]):
        below[high] |= below[low] | 1 << low
    return below


def listed(below):
    """Return every closed set, by trying all sets."""
    return [s for s in range(1 << len(below)) if all(not below[i] & ~s for i in below if s >> i & 1)]


def crowd_with(states):
    """Return a crowd in which each of these sets of skills stands once."""
    skills = max(states).bit_length()
    having = {i: sum((s >> i & 1) << place for place, s in enumerate(states)) for i in range(skills)}
    return Crowd(len(states), having)


FIVE = under(5, [(0, 2), (1, 2), (0, 3), (1, 3), (2, 4)])  # a, b before c; a, b before d; c before e
SURE = replace(ASSUMED, slips=(10**8, 9 * 10**8), lucky=(10**8, 9 * 10**8))
"""Slips as good as fixed at one in ten, as in the published example."""

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
    crowd = crowd_with(listed(FIVE))
    assert crowd.size == 9
    for order in (seen, seen[::-1]):
        belief = Belief(crowd, {"abcde".index(i): shown for i, shown in order}, SURE)
        assert [belief.share(crowd.having[i]) for i in range(5)] == pytest.approx(shares, abs=1e-5)


def test_posterior_of_states():
    """After c right and e right: 81/185 each for abce and abcde, 9/185 for abc and abcd, 1/185 for others."""
    crowd = crowd_with(listed(FIVE))
    belief = Belief(crowd, {2: True, 4: True}, SURE)
    few = [belief.share(at_most_missing(crowd, [of], most)[0]) for of, most in
           ((0b11111, 0), (0b11111, 1), (0b10111, 0))]  # fmt: skip
    assert few == pytest.approx([81 / 185, 171 / 185, 162 / 185], abs=1e-5)


def integral(slips, held, at):
    """Return the chance of so many slips and showings where slip rates are spread as supposed."""
    one, other = at
    rates = [(n + 0.5) / 4000 for n in range(4000)]
    density = [rate ** (one - 1) * (1 - rate) ** (other - 1) for rate in rates]
    chance = [rate**slips * (1 - rate) ** held for rate in rates]
    return sum(d * c for d, c in zip(density, chance, strict=True)) / sum(density)


@pytest.mark.parametrize(("slips", "held"), list(product((0, 1, 3, 6), (0, 2, 9))))
def test_slips_are_averaged_over(slips, held):
    chance = exp(_log_chance((slips, held), ASSUMED.slips))
    assert chance == pytest.approx(integral(slips, held, ASSUMED.slips), rel=1e-3)
    next_slip = integral(slips + 1, held, ASSUMED.slips) / integral(slips, held, ASSUMED.slips)
    assert _next_chance((slips, held), ASSUMED.slips) == pytest.approx(next_slip, rel=1e-3)


@st.composite
def orders(draw, most=7):
    size = draw(st.integers(1, most))
    pairs = [(low, high) for high in range(size) for low in range(high)]
    return under(size, draw(st.lists(st.sampled_from(pairs), unique=True)) if pairs else [])


@given(orders(), st.data())
def test_sums_over_the_crowd_are_those_over_its_students(below, data):
    """What a few operations on long integers give is what one student after the other gives."""
    states = [*data.draw(st.lists(st.sampled_from(listed(below)), min_size=1, max_size=20)), 1 << len(below)]
    states = [s & (1 << len(below)) - 1 for s in states] + [(1 << len(below)) - 1]
    crowd = crowd_with(states)
    seen = data.draw(st.dictionaries(st.sampled_from(list(below)), st.booleans()))
    belief = Belief(crowd, seen, ASSUMED)

    def likely(state):
        slips = sum(not shown and state >> i & 1 for i, shown in seen.items())
        held = sum(shown and state >> i & 1 for i, shown in seen.items())
        luck = sum(shown and not state >> i & 1 for i, shown in seen.items())
        fair = len(seen) - slips - held - luck
        return integral(slips, held, ASSUMED.slips) * integral(luck, fair, ASSUMED.lucky)

    each = [likely(s) for s in states]
    for i in below:
        share = sum(w for w, s in zip(each, states, strict=True) if s >> i & 1) / sum(each)
        assert isclose(belief.share(crowd.having[i]), share, abs_tol=1e-3)
    of, most = data.draw(st.sampled_from(states)), data.draw(st.integers(0, 2))
    few = sum(w for w, s in zip(each, states, strict=True) if (of & ~s).bit_count() <= most) / sum(each)
    assert isclose(belief.share(at_most_missing(crowd, [of], most)[0]), few, abs_tol=1e-3)


@given(orders(), st.integers(1, 4), st.integers(1, 300))
def test_everybody_imagined_has_a_closed_set_and_further_on_there_is_more(below, units, size):
    """Under each skill somebody has lies nothing they lack; students stand in the crowd from less to more."""
    skills = {i: Placed(f"s{i % 2}", i * units // len(below), below[i]) for i in below}
    crowd = crowd_of(skills, units, size)
    assert crowd == crowd_of(dict(reversed(skills.items())), units, size)
    for i, under_it in below.items():
        assert not any(under_it >> j & 1 and crowd.having[i] & ~crowd.having[j] for j in below)
        assert crowd.having[i] < 1 << size


def test_the_crowd_is_spread_over_the_whole_course_and_strands_differ():
    """A quarter goes evenly through the units; of the others some are ahead in one strand only."""
    skills = {i: Placed("one" if i % 2 else "two", i // 2, 0) for i in range(20)}
    crowd = crowd_of(skills, 10, 4096)
    shares = [crowd.having[i].bit_count() / crowd.size for i in range(20)]
    assert shares[0] > 0.9
    assert 0.05 < shares[-1] < 0.3
    assert all(one > two for one, two in zip(shares, shares[4:], strict=False))
    ahead = crowd.having[11] & crowd.having[13] & crowd.having[15] & ~crowd.having[10] & ~crowd.having[12]
    assert ahead
