"""The last resort for a cover beyond the steps of our own search: the solver HiGHS, if it is installed.

It is asked for the same answer, exactly: the size, then the minutes, then the ids, a few at a time
so that every number stays small enough for floating point. With the extra ``exact`` left out
nothing but the proof is missing, and that only in questions far larger than a course asks.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from importlib.util import find_spec
from typing import Any, Final

from readiness.course.plan import bits
from readiness.judging.cover_search import Found, Part

__all__ = ["solved"]

_AT_ONCE: Final = 8


def solved(part: Part) -> Found | None:
    """Return the best cover, proved; None where the solver is not installed or gives up."""
    if find_spec("highspy") is None:
        return None
    model = _Model(part)
    count = len(part.reach)
    goals: list[Mapping[int, int]] = [dict.fromkeys(range(count), 1), dict(enumerate(part.minutes))]
    for first in range(0, count, _AT_ONCE):
        some = range(first, min(first + _AT_ONCE, count))
        goals.append({i: -(1 << (some[-1] - i)) for i in some})
    for goal in goals:
        if not model.reach(goal):
            return None
    return Found(model.cover(), proved=True)


class _Model:
    """The question as a whole-number program, with one goal after the other held."""

    def __init__(self, part: Part) -> None:
        from highspy import HighsModelStatus, HighsVarType
        from highspy._core import _Highs  # what stands above it announces itself on the screen

        self.solver: Any = _Highs()
        self.solver.setOptionValue("output_flag", False)
        for option in ("mip_rel_gap", "mip_abs_gap"):
            self.solver.setOptionValue(option, 0.0)
        self.solver.setOptionValue("threads", 1)
        self.optimal, self.whole = HighsModelStatus.kOptimal, HighsVarType.kInteger
        self.count = len(part.reach)
        self.columns = 0
        self.taken = [self._binary() for _ in part.reach]
        for e in bits(part.singles):
            self._row(self._helpers(part, e), 1)
        for members, at_least in part.groups:
            settled = [(e, self._binary()) for e in bits(members)]
            for e, one in settled:
                self._row([*self._helpers(part, e), (one, -1)], 0)
            self._row([(one, 1) for _, one in settled], at_least)

    def _binary(self) -> int:
        """Return a new variable that is 0 or 1."""
        self.solver.addVar(0.0, 1.0)
        self.columns += 1
        self.solver.changeColIntegrality(self.columns - 1, self.whole)
        return self.columns - 1

    def _helpers(self, part: Part, thing: int) -> list[tuple[int, int]]:
        return [(self.taken[i], 1) for i, mask in enumerate(part.reach) if mask >> thing & 1]

    def _row(self, terms: Sequence[tuple[int, int]], at_least: int) -> None:
        indices, values = [column for column, _ in terms], [float(times) for _, times in terms]
        self.solver.addRow(float(at_least), float("inf"), len(terms), indices, values)

    def reach(self, goal: Mapping[int, int]) -> bool:
        """Make a goal as small as can be and hold it so; return whether that was possible."""
        for i in range(self.count):
            self.solver.changeColCost(self.taken[i], float(goal.get(i, 0)))
        self.solver.run()
        if self.solver.getModelStatus() != self.optimal:
            return False
        best = sum(goal[i] for i in self.cover() if i in goal)
        self._row([(self.taken[i], -cost) for i, cost in goal.items()], -best)
        return True

    def cover(self) -> tuple[int, ...]:
        """Return the skills taken in the last answer."""
        values = self.solver.getSolution().col_value
        return tuple(i for i in range(self.count) if values[self.taken[i]] > 0.5)
