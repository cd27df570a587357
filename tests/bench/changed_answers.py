"""Change one thing in very many answers, and count under which keys the checker lets a change pass.

    python tests/bench/changed_answers.py [answers] [changes under each key] [seed]

Answers are drawn as for the laws. It also says how often the look set was checked by a search of its own,
or not wholly, and how long a check takes.
"""

from __future__ import annotations

import sys
from collections import Counter
from pathlib import Path
from random import Random
from time import process_time

sys.path.insert(0, str(Path(__file__).parents[1]))

from hypothesis import HealthCheck, given, seed, settings
from laws.test_recheck_accepts_answers_and_rejects_changed_ones import (
    answer_of,
    is_let_pass,
    ready_ones,
    some_changes,
)

from readiness.judging.recheck import Rechecker
from readiness.testing import Situation, ask, situations


def main(many: int = 300, each: int = 5, number: int = 1) -> None:
    """Print the counts."""
    chance = Random(number)
    tried, passed, looks, refused = (Counter[object]() for _ in range(4))
    seconds = [0.0]

    @seed(number)
    @settings(max_examples=many, deadline=None, database=None, suppress_health_check=list(HealthCheck))
    @given(situations() | ready_ones())
    def run(situation: Situation) -> None:
        asked = ask(situation)
        said, checker = answer_of(asked), Rechecker(asked.course)
        before = process_time()
        found = checker.check(said, asked.record, asked.calendar)
        seconds[0] += process_time() - before
        refused.update(found.differ)
        proof = said["proof"] and said["proof"]["kind"]
        looks[len(said.get("look_first", ())), f"proof {proof}", dict(found.unchecked).get("look_first")] += 1
        for change in some_changes(asked, chance, each):
            key = change[0][0] if change[0] else change[1]
            tried[key] += 1
            passed[key] += is_let_pass(asked, checker, change)

    run()
    print(f"true answers: {looks.total()}, {1000 * seconds[0] / looks.total():.1f} ms each")
    print("refused though true, by key:", dict(refused) or "none")
    print("looks, proof, what was not checked:", *(f"\n  {kind}: {n}" for kind, n in looks.most_common()))
    print(f"changes tried: {tried.total()}, under", dict(tried))
    print("let pass, by key:", dict(+passed) or "none")


if __name__ == "__main__":
    main(*map(int, sys.argv[1:]))
