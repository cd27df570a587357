"""Ids mean nothing: renaming skills, units and bands renames the answer and changes nothing else.

Rule R8 breaks its last ties by the id of a skill, so the new names of skills keep the
alphabetical order of the old ones. Units and bands break no ties and are renamed freely.
"""

from __future__ import annotations

from typing import Any

from hypothesis import given
from hypothesis import strategies as st
from laws.asking import ask, without_places
from strategies import Situation, situations


@given(situations(), st.randoms(use_true_random=False))
def test_renaming_changes_only_names(situation: Situation, chance: Any) -> None:
    new = _new_names(situation, chance)
    renamed = Situation(
        _rename(situation.graph, new),
        _rename(situation.pacing, new),
        _rename(situation.student, new),
        situation.on,
        situation.studio,
    )
    plain, other = ask(situation), ask(renamed, name="another")
    assert without_places(other.json) == _rename(without_places(plain.json), {**new, "somebody": "another"})


def _new_names(situation: Situation, chance: Any) -> dict[str, str]:
    skills = sorted(situation.graph["skill"])
    numbers = sorted(chance.sample(range(1000), len(skills)))
    new = {skill: f"thing-{number:03}" for skill, number in zip(skills, numbers, strict=True)}
    for kind, names in (("part", situation.graph["unit"]), ("age", situation.pacing["band"])):
        numbers = chance.sample(range(1000), len(names))
        new |= {name: f"{kind}-{number}" for name, number in zip(names, numbers, strict=True)}
    return new


def _rename(value: Any, new: dict[str, str]) -> Any:
    """Rename every key and text that is exactly an old name; names shown to people may stay."""
    if isinstance(value, dict):
        return {new.get(k, k): _rename(v, new) for k, v in value.items()}
    if isinstance(value, (list, tuple)):
        return [_rename(item, new) for item in value]
    return new.get(value, value) if isinstance(value, str) else value
