"""Retiring a skill changes no past day, and from its day on it is as if written anew.

Random courses with skills renamed, split, merged and dropped on random days around the day
asked about. The engine is held against the course without the change (before), against the
second reading, which writes course and file anew (after), and against the certificate check.
"""

from __future__ import annotations

import copy
import json
from dataclasses import replace
from datetime import date, timedelta
from typing import Any

from drawn import situations
from hypothesis import assume, given
from hypothesis import strategies as st
from second_reading.reading import why

from readiness.course.load import build_course
from readiness.judging.recheck import recheck
from readiness.testing import Situation, ask, without_places

FROM_THE_DAY = (0, -1, -8, -30)
AHEAD = (1, 7, 40)


@st.composite
def retirings(draw: st.DrawFn, days: tuple[int, ...]) -> tuple[Situation, Situation]:
    """Draw a situation, and the same with one or two skills retired so many days from its day."""
    plain = draw(situations())
    graph: dict[str, Any] = copy.deepcopy(dict(plain.graph))
    for number in range(draw(st.integers(1, 2))):
        old = draw(st.sampled_from([s for s, t in plain.graph["skill"].items() if not t.get("asks_pain")]))
        if "retired" in graph["skill"][old]:
            continue
        day = plain.on + timedelta(days=draw(st.sampled_from(days)))
        graph["skill"][old]["retired"] = day
        graph["skill"][old]["replaced_by"] = draw(_heirs(graph, old, day, number))
    return plain, replace(plain, graph=graph)


@st.composite
def _heirs(draw: st.DrawFn, graph: dict[str, Any], old: str, day: date, number: int) -> list[str]:
    """Draw nothing (dropped), a new name, two (a split), or a skill that is there (a merger)."""
    kind = draw(st.sampled_from(["renamed", "dropped", "split", "merged"]))
    if kind == "merged":
        return [draw(st.sampled_from([s for s in graph["skill"] if s != old]))]
    names = [f"new-{number}-{part}" for part in "ab"][: {"dropped": 0, "renamed": 1, "split": 2}[kind]]
    for name in names:
        new = {k: v for k, v in graph["skill"][old].items() if k not in ("retired", "replaced_by")}
        graph["skill"][name] = {**copy.deepcopy(new), "name": name, "since": day}
    return names


def valid(situation: Situation) -> bool:
    """Return whether the course is one; a merger can close a loop."""
    try:
        build_course(dict(situation.graph), dict(situation.pacing))
    except ValueError:
        return False
    return True


@given(retirings(AHEAD))
def test_before_its_day_nothing_is_different(pair: tuple[Situation, Situation]) -> None:
    plain, retired = pair
    assume(valid(retired))
    assert without_places(ask(retired).json) == without_places(ask(plain).json)


@given(retirings((*FROM_THE_DAY, *AHEAD)))
def test_from_its_day_on_it_is_as_if_written_anew(pair: tuple[Situation, Situation]) -> None:
    _, retired = pair
    assume(valid(retired))
    asked = ask(retired)
    said = asked.json
    expected = why(retired.graph, retired.pacing, "somebody", retired.student, retired.on, retired.studio)
    for key, value in expected.items():
        assert said[key] == value, key
    assert recheck(json.loads(json.dumps(said)), asked.course, asked.record, asked.calendar).differ == ()


@given(retirings(FROM_THE_DAY))
def test_it_is_neither_asked_for_nor_decides(pair: tuple[Situation, Situation]) -> None:
    _, retired = pair
    assume(valid(retired))
    said = json.dumps(ask(retired).json["findings"]) + json.dumps(
        {k: v for k, v in ask(retired).json.items() if k != "findings"}
    )
    for name, skill in retired.graph["skill"].items():
        assert "retired" not in skill or f'"{name}"' not in said


@given(retirings(FROM_THE_DAY))
def test_renaming_everything_keeps_the_verdict(pair: tuple[Situation, Situation]) -> None:
    """Skills get a new name on one day: what decides are the same things with new names.

    Each new one stands in the place of the old one, since the order of the file decides between two that
    fade on one day, and the names keep their order, which decides between two that free as much. Not the
    one by which pain is told, which stays as it is (R9).
    """
    plain, _ = pair
    graph: dict[str, Any] = copy.deepcopy(dict(plain.graph))
    before, graph["skill"] = graph["skill"], {}
    for name, skill in before.items():
        if skill.get("asks_pain"):
            graph["skill"][name] = skill
        else:
            graph["skill"][f"{name}-new"] = {**copy.deepcopy(skill), "since": plain.on}
    for name, skill in before.items():
        if not skill.get("asks_pain"):
            graph["skill"][name] = skill | {"retired": plain.on, "replaced_by": [f"{name}-new"]}
    renamed = json.dumps(ask(replace(plain, graph=graph)).json).replace("-new", "")
    said, expected = (without_places(one) for one in (json.loads(renamed), ask(plain).json))
    for key in expected:
        assert said[key] == expected[key], key
