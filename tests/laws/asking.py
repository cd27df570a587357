"""How the laws are tried: on as many examples of each leaning, and on students who are ready."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from datetime import timedelta
from typing import Any

from drawn import FRESH
from hypothesis import given, seed, settings
from hypothesis import strategies as st

from readiness.testing import LEANINGS, Leaning, Situation

__all__ = ["for_each_leaning", "settled_beforehand"]

def for_each_leaning(law: Callable[[Any], None], drawn: Callable[[Leaning], st.SearchStrategy[Any]]) -> None:
    """Try a law on as many examples of each leaning: fixed ones, where those of the profile are."""
    profile = settings()
    each = settings(profile, max_examples=max(FRESH, profile.max_examples // len(LEANINGS)))
    for number, lean in enumerate(LEANINGS.values()):
        one = given(drawn(lean))(law)
        each(seed(number)(one) if profile.derandomize else one)()


def settled_beforehand(situation: Situation) -> Situation:
    """Return the situation with all units settled a day before, so that most students are ready."""
    units = list(situation.graph["unit"])
    block = {"through": units[-1], "on": situation.on - timedelta(days=1)}
    return replace(situation, student={**situation.student, "settled": [block], "hold": []})
