"""Nothing a reader outside sees gives a small count away, whatever the reader knows of the method."""

from __future__ import annotations

from itertools import product

import pytest
from hypothesis import given
from hypothesis import strategies as st

from readiness.school.counts import (
    FEW,
    Numbers,
    Stay,
    Where,
    hide_small,
    list_outside,
    numbers_outside,
    rows_outside,
    time_outside,
)

VERDICTS = ("ready", "look-again", "not-yet", "paused", "not-placed")


@pytest.mark.parametrize("parts, most", [(1, 30), (2, 40), (3, 22), (4, 14)])
def test_behind_every_hidden_count_there_could_be_another(parts, most):
    """Every table there can be is tried: those published alike differ in each hidden place.

    Where a table has so many counts that it could not be written out further, only its inner part
    is judged, because at the edge the tables that would look alike were not tried.
    """
    behind: dict[object, list[tuple[int, ...]]] = {}
    for counts in product(range(most + 1), repeat=parts):
        behind.setdefault(hide_small(counts), []).append(counts)
    for (shown, total), tables in behind.items():
        assert all(count is None or count >= FEW for count in shown)
        if total is not None and total > most:
            continue
        for place, count in enumerate(shown):
            if count is None:
                assert len({table[place] for table in tables}) > 1, (shown, total, tables)


@given(st.lists(st.integers(0, 40), min_size=1, max_size=16))
def test_what_is_shown_is_true(counts):
    shown, total = hide_small(counts)
    assert all(one in (None, count) for one, count in zip(shown, counts, strict=True))
    assert total in (None, sum(counts))
    hidden = [count for one, count in zip(shown, counts, strict=True) if one is None]
    assert not hidden or total is None or (len(hidden) > 1 and sum(hidden) >= FEW)
    if min(counts) >= FEW:
        assert (shown, total) == (tuple(counts), sum(counts))


@given(st.lists(st.integers(0, 12), min_size=5, max_size=5))
def test_the_lists_and_the_table_give_the_same_counts(counts):
    """Else one would be taken from the other."""
    found = Numbers(sum(counts), ((None, sum(counts)),), tuple(zip(VERDICTS, counts, strict=True)))
    table = dict(numbers_outside(found).verdicts)
    for verdict, count in zip(VERDICTS, counts, strict=True):
        assert list_outside(found, count, verdict).count == table[verdict]


@given(st.permutations(range(6)), st.lists(st.integers(0, 4), min_size=6, max_size=6))
def test_the_order_of_the_rows_tells_nothing_of_what_is_hidden(course, order, stuck):
    skills = [list(course.skill)[i * 9] for i in order]
    rows = [Where(skill, "u", few, 20) for skill, few in zip(skills, stuck, strict=True)]
    by_count = sorted(rows, key=lambda row: -row.stuck)
    assert rows_outside(by_count, course, 90) == rows_outside(rows, course, 90)


@given(st.lists(st.integers(0, 40), min_size=3, max_size=3), st.integers(0, 9), st.integers(0, 3))
def test_no_count_of_one_table_follows_from_the_other(units, unplaced, paused_unplaced):
    """Who is in no unit stands among the verdicts alone: the other table's hidden counts stay open."""
    placed = sum(units)
    verdicts = (0, placed, 0, paused_unplaced, unplaced)
    by_unit = (*zip("abc", units, strict=True), (None, unplaced + paused_unplaced))
    found = Numbers(sum(verdicts), by_unit, tuple(zip(VERDICTS, verdicts, strict=True)))
    shown = numbers_outside(found)
    assert None not in dict(shown.units)
    hidden = [count for (_, count), one in zip(by_unit, shown.units, strict=False) if one[1] is None]
    assert not hidden or placed < FEW or (len(hidden) > 1 and sum(hidden) >= FEW)


def test_a_count_of_nearly_all_gives_the_few_others_away():
    found = Numbers(60, ((None, 60),), tuple(zip(VERDICTS, (0, 0, 60, 0, 0), strict=True)))
    assert list_outside(found, 57).count is None
    assert list_outside(found, 50).count == 50


def test_rows_without_anything_to_show_are_left_out(course):
    a, b, c = list(course.skill)[:3]
    rows = (Where(a, "u", 2, 30), Where(b, "u", 1, 3), Where(c, "u", 0, 58))
    shown = rows_outside(rows, course, 60)
    assert [(row.skill, row.stuck, row.with_help) for row in shown] == [(a, None, 30)]
    stays = (Stay("u", "4-5", 4, 6, 5, 7, 5), Stay("u", "6-7", 5, 6, 5, 7, 5))
    assert time_outside(stays) == stays[1:]
