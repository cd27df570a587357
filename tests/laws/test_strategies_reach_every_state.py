"""The drawn situations reach every verdict, every state and every odd case often enough.

A law that is never tried proves nothing. What one seed draws hangs together, and it also depends
on the modules that happen to be loaded, so several seeds are counted; the limits leave room.
"""

from __future__ import annotations

from collections import Counter

from hypothesis import HealthCheck, Phase, given, seed, settings
from second_reading.reading import reckon, why
from strategies import Situation, situations

SEEDS = 30
EXAMPLES = 30

REACHED_AT_LEAST = {
    "verdict ready": 12,
    "verdict ready-taking-along": 6,
    "verdict look-again": 20,
    "verdict not-yet": 20,
    "verdict paused": 3,
    "verdict not-placed": 6,
    "state secure": 100,
    "state wobbling": 12,
    "state stale": 12,
    "state untried": 8,
    "state building": 12,
    "state slipped": 12,
    "state not-shown": 8,
    "state with-help": 8,
    "group met": 10,
    "group open": 4,
    "group gap": 4,
    "note fast": 12,
    "note long": 12,
    "note stuck": 8,
    "note footing": 8,
    "note fade-soon": 12,
    "on-a-break": 6,
    "first-lesson-back": 6,
    "last unit": 12,
    "skill set aside": 6,
    "band chosen": 6,
    "planned dates": 12,
    "look first of two or more": 8,
    "earliest later than the next lesson": 8,
    "earliest never": 4,
    "holds until a day": 12,
    "patches": 2,
    "placing stopped": 1,
}


def test_strategies_reach_every_state() -> None:
    reached: Counter[str] = Counter()

    @settings(
        max_examples=EXAMPLES,
        derandomize=False,
        database=None,
        deadline=None,
        phases=[Phase.generate],
        suppress_health_check=list(HealthCheck),
    )
    @given(situations())
    def count(situation: Situation) -> None:
        reached.update(_reached(situation))

    for number in range(SEEDS):
        seed(number)(count)()
    short = {name: reached[name] for name, least in REACHED_AT_LEAST.items() if reached[name] < least}
    assert not short


def _reached(situation: Situation) -> set[str]:
    now = reckon(situation.graph, situation.pacing, situation.student, situation.on)
    said = why(
        situation.graph, situation.pacing, "somebody", situation.student, situation.on, situation.studio
    )
    names = {f"verdict {said['verdict']}"}
    names |= {"planned dates"} if situation.planned else set()
    names |= {"skill set aside"} if "set_aside" in situation.student else set()
    names |= {"band chosen"} if "band_choice" in situation.student else set()
    if now.unit is None:
        names |= {"patches"} if said["placing"]["patches"] else set()
        return names | ({"placing stopped"} if said["placing"]["stopped_by"] else set())
    names |= {f"state {state}" for state in [*said["deciding"].values(), *said["rest"].values()]}
    names |= {f"note {note['id']}" for note in said["notes"]}
    names |= {f"group {'met' if g['met'] else 'gap' if g['gap'] else 'open'}" for g in said["groups"]}
    names |= {now.away() or "not away"}
    return names | _reached_by_advice(said)


def _reached_by_advice(said: dict) -> set[str]:
    never = said["earliest"] is None and said["verdict"] in ("not-yet", "look-again")
    found = {
        "last unit": said["next_unit"] is None,
        "look first of two or more": len(said["look_first"]) >= 2,
        "earliest later than the next lesson": (said["earliest"] or "") > said["on"],
        "earliest never": never,
        "holds until a day": said["holds_until"] is not None,
    }
    return {name for name, true in found.items() if true}
