"""Blocks of a student file, and names within a lesson, may stand in any order.

With one exception that the rules make: of two ``unit_start`` (or two ``band_choice``) on one
day the later in the file holds, so blocks of these kinds keep their order within a day.
"""

from __future__ import annotations

from dataclasses import replace
from typing import Any

from hypothesis import given
from hypothesis import strategies as st
from laws.asking import ask, without_places
from strategies import Situation, situations

ORDER_COUNTS_WITHIN_A_DAY = ("unit_start", "band_choice")


@given(situations(), st.randoms(use_true_random=False))
def test_order_in_the_file_changes_nothing(situation: Situation, chance: Any) -> None:
    tables = list(situation.student.items())
    chance.shuffle(tables)
    mixed = {name: _mix(name, value, chance) for name, value in tables}
    plain = ask(situation)
    other = ask(replace(situation, student=mixed), plain.course)
    assert without_places(other.json) == without_places(plain.json)


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
