"""Whatever the names and the width: two columns of a row never touch, and no word is broken."""

from __future__ import annotations

import re

from hypothesis import example, given
from hypothesis import strategies as st

from readiness.words.layout import columns, lay_out

WORD = st.text("abdefghiklmnoprst", min_size=1, max_size=12)
NAME = st.lists(WORD, min_size=2, max_size=20).map(lambda words: " ".join(words)[:60].strip())
STATE = st.sampled_from(
    ["2 of 3 days; one more day without help", "not seen for 11 weeks; one look", "was secure; one day"]
)
LONG = "Plays the long and winding melody with both hands"


@given(st.lists(st.tuples(NAME, STATE), min_size=1, max_size=4), st.integers(40, 120), st.integers(0, 4))
@example([(LONG, "2 of 3 days; one more day without help"), ("Feet supported", "secure")], 60, 0)
@example([(LONG[:33], "2 of 3 days; one more day without help")], 40, 0)
def test_columns_never_touch(rows: list[tuple[str, str]], width: int, indent: int) -> None:
    text = "\n" + lay_out(columns(rows, indent), width)
    assert max(map(len, text.splitlines())) <= width
    told = iter(re.findall(r"(\s*)(\S+)", text))
    for row in rows:
        for cell in row:
            for at, word in enumerate(cell.split()):
                gap, found = next(told)
                assert found == word
                assert "\n" in gap or len(gap) >= 2 or (at and gap == " ")
    assert not list(told)
