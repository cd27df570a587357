"""The library's answer is the one that a naive second reading of the rules gives, key by key."""

from __future__ import annotations

from collections import Counter

from hypothesis import given, settings
from laws.asking import ask
from laws.reached import OFTEN, reached
from second_reading.reading import why
from strategies import Situation, situations

NOT_READ_AGAIN = ("findings", "cautions")
"""The tree of reasons is checked by the laws about blockers, cautions by the golden texts.

They are the last two keys.
"""


def test_agrees_with_a_second_reading() -> None:
    """Each example agrees, and the fixed ones reach everything often enough."""
    often: Counter[str] = Counter()

    @given(situations())
    def agrees(situation: Situation) -> None:
        asked = ask(situation)
        often.update(reached(asked))
        said = asked.json
        assert tuple(said)[-2:] == NOT_READ_AGAIN
        for key in NOT_READ_AGAIN:
            said.pop(key)
        expected = why(
            situation.graph, situation.pacing, "somebody", situation.student, situation.on, situation.studio
        )
        assert list(said) == list(expected)
        for key, value in expected.items():
            assert said[key] == value, key
            if isinstance(value, dict):
                assert list(said[key]) == list(value), f"order of {key}"

    agrees()
    if settings.default is not None and settings.default.derandomize:
        short = {name: (often[name], least) for name, least in OFTEN.items() if often[name] < least}
        assert not short, dict(often)
