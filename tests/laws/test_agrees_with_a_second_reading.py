"""The library's answer is the one that a naive second reading of the rules gives, key by key.

Faults that ``mutants.py`` puts in and no test notices, for they change nothing that can be seen:

* ``judging.cover``: leaving out what only makes a question smaller, after which the same set is found.
* ``judging.lookahead``: counting a hold that is still open among those closed, where no move is asked about.
* ``judging.recheck``: the notes from day 1 on, instead of day 0, of somebody who began no unit; a
  lower bound below nothing where nothing may be shown.
* ``advice.estimates``: beginning with no note at all, of which nothing is secure; letting the lower end be
  the longest case, where there is no upper end either.
* ``advice.way``: returning nothing where no is meant, and only whether it is yes is asked.
* ``advice.min_cost``: taking all things into one lot, after which the same is found in one search.
* ``advice.lesson_work``: one length fewer of the sixty that are tried at most of one thing.
* ``advice.placing_crowd``: one step of twenty million, or one skill taken as two; climbing from
  below the first unit, which asks for nothing on entering.
* ``advice.placing_round``: more than, instead of at least, where numbers with a point would have to be
  equal; counting what is settled or taken instead of what is both, by which no two looks of 120 made-up
  students changed places.
"""

from __future__ import annotations

from collections import Counter

from hypothesis import settings
from laws.asking import for_each_leaning
from laws.reached import OFTEN, reached
from second_reading.reading import why

from readiness.testing import Asked, Situation, ask, situations

NOT_READ_AGAIN = ("proof", "findings", "cautions")
"""The proof is checked by recheck, the tree of reasons by the laws about blockers, cautions by the golden
texts. They are the last keys.
"""


def test_agrees_with_a_second_reading() -> None:
    """Every example agrees, and the fixed ones, as many of each leaning, reach everything often."""
    often: Counter[str] = Counter()

    def agrees(situation: Situation) -> None:
        asked = ask(situation)
        often.update(reached(asked))
        compare(asked)

    for_each_leaning(agrees, lambda lean: situations(lean=lean))
    seldom = {name: often[name] for least, names in OFTEN.items() for name in names if often[name] < least}
    assert not (seldom and settings().derandomize)


def compare(asked: Asked) -> None:
    """Assert that both readings say the same."""
    said, now = asked.json, asked.situation
    assert tuple(said)[-3:] == NOT_READ_AGAIN
    for key in NOT_READ_AGAIN:
        said.pop(key)
    expected = why(now.graph, now.pacing, "somebody", now.student, now.on, now.studio)
    assert list(said) == list(expected)
    for key, value in expected.items():
        assert said[key] == value, key
        if isinstance(value, dict):
            assert list(said[key]) == list(value), f"order of {key}"
