"""The library's answer is the one that a naive second reading of the rules gives, key by key."""

from __future__ import annotations

from hypothesis import given
from laws.asking import ask
from second_reading.reading import why
from strategies import Situation, situations

NOT_READ_AGAIN = ("findings", "cautions")
"""The tree of reasons is checked by the laws about blockers, cautions by the golden texts.

They are the last two keys.
"""


@given(situations())
def test_agrees_with_a_second_reading(situation: Situation) -> None:
    said = ask(situation).json
    assert tuple(said)[-2:] == NOT_READ_AGAIN
    for key in NOT_READ_AGAIN:
        said.pop(key)
    studio = {"lesson_dates": {"all": list(situation.planned)}}
    expected = why(situation.graph, situation.pacing, "somebody", situation.student, situation.on, studio)
    assert list(said) == list(expected)
    for key, value in expected.items():
        assert said[key] == value, key
        if isinstance(value, dict):
            assert list(said[key]) == list(value), f"order of {key}"

