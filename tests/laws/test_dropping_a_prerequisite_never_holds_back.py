"""Taking a prerequisite out of the course never makes a ready student unready.

It is not true of every link. A link also keeps warm: while the harder skill is shown, what it
stands on stays fresh (rule R5), and whoever cuts the link may find the easier skill stale. So
the law is tested where that cannot happen:

* any link, where nothing grows stale (windows of years);
* any link or group of a skill in the next unit, where that skill has not been shown. There it
  only asks and keeps nothing warm.
"""

from __future__ import annotations

import copy
from collections.abc import Iterator
from dataclasses import replace
from typing import Any

from drawn import situations
from hypothesis import given, settings
from laws.asking import settled_beforehand

from readiness.terms import READY
from readiness.testing import Asked, Situation, ask
from readiness.testing.strategies import FADES, HELP_LISTS

_FEWER = max(1, settings.default.max_examples // 2)
"""Every example judges once for each link of the course."""


@settings(max_examples=_FEWER)
@given(situations(most_units=3, most_skills=10, planned=False))
def test_dropping_any_link_where_nothing_grows_stale(situation: Situation) -> None:
    situation = _years_fresh(situation)
    for start in (situation, settled_beforehand(situation)):
        asked = ask(start)
        if asked.answer.verdict in READY:
            _stays_ready(asked, list(start.graph["skill"]))


@settings(max_examples=_FEWER)
@given(situations(most_units=3, most_skills=10, planned=False))
def test_dropping_a_link_from_an_unseen_skill_of_the_next_unit(situation: Situation) -> None:
    for start in (situation, settled_beforehand(situation)):
        asked = ask(start)
        if asked.answer.verdict in READY:
            coming = [n for n, s in start.graph["skill"].items() if s["unit"] == asked.answer.next_unit]
            _stays_ready(asked, [name for name in coming if not _noted(start, name)])


def _stays_ready(asked: Asked, skills: list[str]) -> None:
    for graph in _with_one_less(asked.situation.graph, skills):
        assert ask(replace(asked.situation, graph=graph)).answer.verdict in READY


def _with_one_less(graph: Any, skills: list[str]) -> Iterator[Any]:
    """Yield the course without one link or group of one of the skills, each in turn."""
    for name in skills:
        for key in ("stands_on", "stands_on_some"):
            for at in range(len(graph["skill"][name].get(key, []))):
                smaller = copy.deepcopy(graph)
                del smaller["skill"][name][key][at]
                yield smaller


def _noted(situation: Situation, skill: str) -> bool:
    return any(skill in lesson.get(h, []) for lesson in situation.student["lesson"] for h in HELP_LISTS)


def _years_fresh(situation: Situation) -> Situation:
    pacing = copy.deepcopy(dict(situation.pacing))
    for band in pacing["band"].values():
        band["fresh_weeks"] = dict.fromkeys(FADES, 500)
    return replace(situation, pacing=pacing)
