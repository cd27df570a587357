"""The checker of certificates accepts every answer of the library and no answer that was changed.

Only changes that must make an answer untrue are tried: the same answer on another day may well
be true.
"""

from __future__ import annotations

import copy
import json
from collections.abc import Callable
from datetime import date, timedelta
from typing import Any

import pytest
from hypothesis import given, settings
from laws.asking import ask
from strategies import Situation, situations

from readiness.judging import recheck

Claim = dict[str, Any]
VERDICTS = ("paused", "not-yet", "look-again", "ready-taking-along", "ready", "not-placed")


def other_verdict(claim: Claim) -> None:
    claim["verdict"] = VERDICTS[VERDICTS.index(claim["verdict"]) - 1]


def ready_after_all(claim: Claim) -> None:
    claim["verdict"] = "ready"


def a_day_that_is_none(claim: Claim) -> None:
    claim["on"] = "2025-02-30"


def another_band(claim: Claim) -> None:
    claim["band"] += "x"


def another_unit(claim: Claim) -> None:
    claim["unit"], claim["next_unit"] = claim["next_unit"], claim["unit"]


def deciding_skill_made_secure(claim: Claim) -> None:
    _change_first(claim.get("deciding", {}), lambda state: state != "secure", "secure")


def secure_skill_made_a_gap(claim: Claim) -> None:
    _change_first(claim.get("deciding", {}), lambda state: state == "secure", "slipped")


def rest_made_secure(claim: Claim) -> None:
    _change_first(claim.get("rest", {}), lambda state: state != "secure", "secure")


def deciding_skill_left_out(claim: Claim) -> None:
    _drop_first(claim.get("deciding", {}))


def rest_skill_left_out(claim: Claim) -> None:
    _drop_first(claim.get("rest", {}))


def deciding_skill_put_with_the_rest(claim: Claim) -> None:
    for skill, state in list(claim.get("deciding", {}).items())[:1]:
        claim["rest"][skill] = state
        del claim["deciding"][skill]


def blocker_left_out(claim: Claim) -> None:
    del claim.get("blockers", [])[:1]


def blocker_invented(claim: Claim) -> None:
    for skill, state in claim.get("deciding", {}).items():
        if state == "secure":
            claim["blockers"].append({"skill": skill, "state": "building", "needed_by": []})
            return


def group_turned(claim: Claim) -> None:
    for group in claim.get("groups", [])[:1]:
        group["met"] = not group["met"]


def something_more_taken_along(claim: Claim) -> None:
    if "rest" in claim:
        claim["taken_along"].append(next(iter(claim["deciding"] | claim["rest"]), "skill-01"))


def one_day_more(claim: Claim) -> None:
    for detail in list(claim.get("details", {}).values())[:1]:
        detail["have"] += 1


def fresher_than_it_is(claim: Claim) -> None:
    for detail in claim.get("details", {}).values():
        if detail["fresh_until"]:
            longer = date.fromisoformat(detail["fresh_until"]) + timedelta(days=1)
            detail["fresh_until"] = longer.isoformat()
            return


def less_help(claim: Claim) -> None:
    for detail in claim.get("details", {}).values():
        if detail["last_help"] not in (None, "alone"):
            detail["last_help"] = "alone"
            return


CHANGES: tuple[Callable[[Claim], None], ...] = (
    other_verdict,
    ready_after_all,
    a_day_that_is_none,
    another_band,
    another_unit,
    deciding_skill_made_secure,
    secure_skill_made_a_gap,
    rest_made_secure,
    deciding_skill_left_out,
    rest_skill_left_out,
    deciding_skill_put_with_the_rest,
    blocker_left_out,
    blocker_invented,
    group_turned,
    something_more_taken_along,
    one_day_more,
    fresher_than_it_is,
    less_help,
)


@given(situations())
def test_recheck_accepts_answers_and_rejects_changed_ones(situation: Situation) -> None:
    asked = ask(situation)
    claim = json.loads(json.dumps(asked.json))
    assert recheck(claim, asked.course, asked.record) == ()
    for change in CHANGES:
        changed = copy.deepcopy(claim)
        change(changed)
        if changed != claim:
            assert recheck(changed, asked.course, asked.record) != (), change.__name__


@pytest.mark.parametrize("claim", [{}, {"verdict": "ready"}, {"verdict": 3, "on": "soon"}], ids=str)
@given(situation=situations(most_units=2, most_skills=3, planned=False))
@settings(max_examples=5)
def test_recheck_says_no_to_what_is_no_claim(claim: Claim, situation: Situation) -> None:
    asked = ask(situation)
    assert recheck(claim, asked.course, asked.record) != ()


def _change_first(states: dict[str, str], fits: Callable[[str], bool], new: str) -> None:
    for skill, state in states.items():
        if fits(state):
            states[skill] = new
            return


def _drop_first(states: dict[str, str]) -> None:
    for skill in list(states)[:1]:
        del states[skill]
