"""How the minutes of a lesson are shared out."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from readiness.advice.lesson_work import Shares, pieces, share_out

# Usual shares by age band: opening, more review, new, make music or sing, home task, and the
# longest block. Common practice, no source.
USUAL = {
    "4-5": (30, (3, 15, 6, 4, 2), 4),
    "6-7": (30, (3, 12, 9, 4, 2), 6),
    "8-10": (40, (3, 13, 14, 7, 3), 9),
    "11-14": (45, (3, 13, 18, 8, 3), 13),
    "adult": (50, (3, 14, 20, 10, 3), 18),
}


@pytest.mark.parametrize("name", USUAL)
def test_each_band_has_its_usual_minutes(course, name):
    minutes, parts, longest = USUAL[name]
    band = course.band[name]
    assert band.whole("lesson_minutes") == minutes
    assert band.whole("activity_minutes") == longest
    assert share_out(band, minutes) == Shares(*parts)


@given(st.integers(1, 120), st.sampled_from(sorted(USUAL)), st.booleans(), st.booleans())
def test_they_add_up_whatever_the_length(course, minutes, name, begins, first):
    usual = share_out(course.band[name], minutes)
    shares = share_out(course.band[name], minutes, begins=begins, is_first=first)
    parts = (shares.opening, shares.review, shares.new, shares.music, shares.home)
    assert sum(parts) == minutes
    assert min(parts) >= 0
    assert shares.new == 0 or begins
    assert (shares.opening, shares.home) == (usual.opening, usual.home)
    if not begins:
        assert shares.review + shares.music == usual.review + usual.music + usual.new
        assert shares.music == usual.music or (first and 4 * (shares.music - 1) < minutes)
        assert not first or 4 * shares.music >= minutes or shares.review == usual.review


@given(st.integers(0, 90), st.integers(1, 20))
def test_pieces_add_up_are_short_enough_few_and_even(minutes, longest):
    cut = pieces(minutes, longest)
    assert sum(cut) == minutes
    assert all(0 < one <= longest for one in cut)
    assert len(cut) == -(-minutes // longest)
    assert not cut or max(cut) - min(cut) <= 1
