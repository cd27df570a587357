"""Questions drawn once and asked by every law: to draw a course takes far longer than to ask something of it.

Each law takes others of them, as many as it would have of fresh ones. With a profile of Hypothesis whose
examples are not always the same, each law has fresh ones, drawn for it alone.
"""

from __future__ import annotations

from dataclasses import replace
from functools import cache
from typing import TypeVar

from hypothesis import HealthCheck, Phase, given, seed, settings
from hypothesis import strategies as st

from readiness import testing
from readiness.testing import Asked, Situation, ask

__all__ = ["FRESH", "drawn_once", "questions", "situations"]

T = TypeVar("T")

FRESH = 20
"""So many examples Hypothesis draws afresh; after them most are variations of the one before."""

_ROUND = settings(
    max_examples=FRESH,
    deadline=None,
    database=None,
    phases=[Phase.generate],
    suppress_health_check=list(HealthCheck),
)


def drawn_once(strategy: st.SearchStrategy[T], rounds: int = 10) -> st.SearchStrategy[T]:
    """Return a strategy that chooses among kept examples of another, which no law may change.

    Args:
        strategy: what is drawn from, when the first law asks.
        rounds: how often ``FRESH`` of them are drawn: more together than a law takes.
    """
    if not settings.default.derandomize:
        return strategy
    of_this_round: list[T] = []

    @_ROUND
    @given(strategy)
    def keep(one: T) -> None:
        of_this_round.append(one)

    @cache
    def kept() -> list[T]:
        """Draw the simplest example once, and as many others as there are in each round."""
        found: list[T] = []
        for number in range(rounds):
            of_this_round.clear()
            seed(number)(keep)()
            found += of_this_round[1 if found else 0 :]
        return found

    @st.composite
    def one_of_them(draw: st.DrawFn) -> T:
        return kept()[draw(st.integers(0, len(kept()) - 1))]

    return one_of_them()


@cache
def questions(most_units: int = 4, most_skills: int = 16, planned: bool = True) -> st.SearchStrategy[Asked]:
    """Draw a question with its answer; the arguments are those of :func:`readiness.testing.situations`."""
    if not planned:
        return questions(most_units, most_skills).map(lambda asked: ask(_unplanned(asked.situation)))
    return drawn_once(testing.situations(most_units, most_skills).map(ask))


def situations(
    most_units: int = 4, most_skills: int = 16, planned: bool = True
) -> st.SearchStrategy[Situation]:
    """Draw a question, its course built already; the arguments are the same."""
    drawn = questions(most_units, most_skills).map(lambda asked: asked.situation)
    return drawn if planned else drawn.map(_unplanned)


def _unplanned(situation: Situation) -> Situation:
    return replace(situation, studio={}).of_course(situation.course)
