"""Blocks of a student file, and names within a lesson, may stand in any order.

With one exception: of two ``unit_start`` (or two ``band_choice``, or two ``decision``) on one
day the later in the file holds, so blocks of these kinds keep their order within a day.
"""

from __future__ import annotations

from dataclasses import replace
from datetime import date
from random import Random
from typing import Any

from by_hand import small
from drawn import situations
from hypothesis import example, given
from hypothesis import strategies as st

from readiness.judging.findings import SettledOn
from readiness.testing import Situation, ask, without_places

ORDER_COUNTS_WITHIN_A_DAY = ("unit_start", "band_choice", "decision")

ON = date(2024, 3, 8)
TWO_OF_ONE_DAY = small(
    {"unit-1": {"stop": {"asks_pain": True, "always_look": True}}, "unit-2": {"on": {"stands_on": ["stop"]}}},
    {
        "unit_start": [{"unit": "unit-1", "on": date(2024, 1, 1)}],
        "settled": [{"through": unit, "on": date(2024, 1, 1)} for unit in ("unit-1", "unit-2")],
        "hold": [{"opened": date(2024, 3, 1), "words": "Sore.", "part": part} for part in ("hand", "all")],
        "lesson": [{"on": date(2024, 3, 1)}],
    },
    ON,
)
"""Two settled blocks of one day are one, of the furthest unit; two holds opened on one day are both told."""


@example(TWO_OF_ONE_DAY, Random(1))
@example(TWO_OF_ONE_DAY, Random(2))
@given(situations(), st.randoms(use_true_random=True))
def test_order_in_the_file_changes_nothing(situation: Situation, chance: Any) -> None:
    tables = list(situation.student.items())
    chance.shuffle(tables)
    mixed = {name: _mix(name, value, chance) for name, value in tables}
    plain = ask(situation)
    other = ask(replace(situation, student=mixed), plain.course)
    assert without_places(other.json) == without_places(plain.json)


def test_two_settled_blocks_of_one_day_are_one_of_the_furthest_unit() -> None:
    leaves = [leaf for finding in ask(TWO_OF_ONE_DAY).answer.findings for leaf in finding.because]
    assert {leaf.through for leaf in leaves if isinstance(leaf, SettledOn)} == {"unit-2"}


def _mix(name: str, value: Any, chance: Any) -> Any:
    if not isinstance(value, list):
        return value
    blocks = list(value)
    chance.shuffle(blocks)
    if name in ORDER_COUNTS_WITHIN_A_DAY:
        days = list(dict.fromkeys(block["on"] for block in blocks))
        return [block for day in days for block in value if block["on"] == day]
    return [_mix_lists(block, chance) for block in blocks]


def _mix_lists(block: dict[str, Any], chance: Any) -> dict[str, Any]:
    """Mix the lists of a lesson among themselves, and the names in each."""
    entries = list(block.items())
    chance.shuffle(entries)
    return {k: chance.sample(v, len(v)) if isinstance(v, list) else v for k, v in entries}
