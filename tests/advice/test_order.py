"""The order of a handful of things is the best of all orders."""

from __future__ import annotations

from itertools import pairwise, permutations

from hypothesis import given
from hypothesis import strategies as st

from readiness.advice.skill_traits import ANYWHERE, CAN_WAIT, DECIDES, Thing, best_order

things = st.builds(
    Thing,
    st.sampled_from([DECIDES, ANYWHERE, CAN_WAIT]),
    st.booleans(),
    st.booleans(),
    st.sampled_from(["", "", "piece"]),
)


def is_allowed(order, row):
    ranks = [row[place].rank for place in order]
    last = max((place for place, rank in enumerate(ranks) if rank == DECIDES), default=-1)
    return CAN_WAIT not in ranks[: last + 1]


def drawbacks(order, row, before, after):
    """Return what counts against an order, as the module says it: the least from left to right is best."""
    pairs = list(pairwise([before, *(row[place] for place in order), after]))
    pairs = [(one, two) for one, two in pairs if one and two]
    hard = sum((one.hard and two.hard) or "" != one.whole == two.whole for one, two in pairs)
    early = sum(place for place, i in enumerate(order) if row[i].rank == DECIDES)
    return hard, early, sum(one.quiet == two.quiet for one, two in pairs), order


@given(st.lists(things, max_size=6), st.none() | things, st.none() | things)
def test_no_other_order_has_fewer_drawbacks(row, before, after):
    found, proved = best_order(row, before, after)
    assert proved
    allowed = [order for order in permutations(range(len(row))) if is_allowed(order, row)]
    assert found in allowed
    assert drawbacks(found, row, before, after) == min(drawbacks(o, row, before, after) for o in allowed)


def test_what_decides_comes_early_even_if_the_turns_suffer():
    quiet_blocker, moving_rest = Thing(DECIDES, False, True), Thing(CAN_WAIT, False, False)
    assert best_order([moving_rest, quiet_blocker, quiet_blocker]).places == (1, 2, 0)


def test_a_breather_goes_between_two_hard_ones():
    hard, easy = Thing(DECIDES, True, False), Thing(ANYWHERE, False, False)
    assert best_order([hard, hard, easy]).places == (0, 2, 1)


def test_a_long_row_is_ordered_without_all_orders_and_that_is_said():
    """A row of thousands, in which little is alike, is answered; what must come first does so."""
    row = [Thing(n % 3, n % 5 == 0, n % 2 == 0, str(n // 2 % 80)) for n in range(2_000)]
    found, proved = best_order(row)
    assert sorted(found) == list(range(len(row)))
    assert is_allowed(found, row)
    assert not proved
