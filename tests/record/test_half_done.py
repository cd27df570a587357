"""A half-entered lesson is kept as it is, offered again, and never trusted blindly."""

from __future__ import annotations

import pytest

from readiness.record import half_done
from readiness.record.noting import NewLesson

LESSON = NewLesson(
    739587, {"wrist-lift": 0, "feet-supported": 4}, ("sings-up-down",), "OB", "well", {"wrist-lift": "ü"}
)


def test_what_is_kept_is_offered(temwa):
    assert half_done.offered(temwa) is None
    assert half_done.keep(temwa, LESSON) is None
    assert half_done.offered(temwa) == LESSON
    assert half_done.keep(temwa, NewLesson(1)) is None
    assert half_done.offered(temwa) == NewLesson(1)
    half_done.drop(temwa)
    half_done.drop(temwa)
    assert half_done.offered(temwa) is None
    assert [path.name for path in temwa.parent.iterdir() if path.name.startswith(".")] == []


@pytest.mark.parametrize(
    "content",
    [
        b"", b"{", b"[]", b"\xff", b'{"on": "x"}', b'{"on": 1e400}',
        b'{"on": 1, "helps": {"a": 7}, "not_tried": [], "by": "", "note": "", "remarks": {}}',
        b'{"on": 0, "helps": {}, "not_tried": [], "by": "", "note": "", "remarks": {}}',
    ],
)  # fmt: skip
def test_a_file_that_is_not_ours_offers_nothing(content, temwa):
    half_done.half_done_path(temwa).write_bytes(content)
    assert half_done.offered(temwa) is None


def test_only_the_owner_may_read_it(temwa):
    half_done.keep(temwa, LESSON)
    assert half_done.half_done_path(temwa).stat().st_mode & 0o077 == 0
