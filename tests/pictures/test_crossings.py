"""Fewer crossing lines than a plain layered drawing (reference: networkx, multipartite_layout)."""

from __future__ import annotations

import pytest
from bench.crossings import by_chain, by_unit, crossings, networkx_lines, our_lines

from readiness.course.load import load_course


def test_the_counter_counts_a_crossing_once_and_a_common_end_never():
    cross = {("a", "b"): [(0, 0), (2, 2)], ("c", "d"): [(0, 2), (2, 0)]}
    fork = {("a", "b"): [(0, 0), (2, 2)], ("a", "d"): [(0, 0), (2, 0)]}
    apart = {("a", "b"): [(0, 0), (2, 0)], ("c", "d"): [(0, 1), (2, 1)]}
    assert crossings(cross) == (1, 1)
    assert crossings(fork) == crossings(apart) == (0, 0)


@pytest.mark.parametrize("name", ["first-two-years", "first-year-voice"])
def test_not_half_as_many_links_cross_as_with_networkx(name, course_folder):
    course = load_course(course_folder.parent / name).course
    ours = crossings(our_lines(course))
    for layers in (by_unit(course), by_chain(course)):
        theirs = crossings(networkx_lines(course, layers))
        assert 2 * ours[0] < theirs[0]
        assert 2 * ours[1] < theirs[1]
