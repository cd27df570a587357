"""The last resort of the exact searches: the solver HiGHS for whole-number programs, if it is installed.

The searches count their steps and stop. Where they stop, the extra ``exact`` still finds and proves
the answer; without it nothing is missing but the proof, and that only in questions far larger than
a course asks. Coefficients are whole numbers small enough to be exact in floating point.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from importlib.util import find_spec
from typing import Any

__all__ = ["Program", "is_installed"]


def is_installed() -> bool:
    """Return whether there is a solver."""
    return find_spec("highspy") is not None


class Program:
    """Unknowns that are 0 or 1, by number, and what must hold of them."""

    def __init__(self, count: int) -> None:
        from highspy import HighsModelStatus, HighsVarType
        from highspy._core import _Highs  # what stands above it announces itself on the screen

        self._solver: Any = _Highs()
        self._solver.setOptionValue("output_flag", False)
        self._solver.setOptionValue("threads", 1)
        for gap in ("mip_rel_gap", "mip_abs_gap"):
            self._solver.setOptionValue(gap, 0.0)
        self._optimal, self.count = HighsModelStatus.kOptimal, count
        for i in range(count):
            self._solver.addVar(0.0, 1.0)
            self._solver.changeColIntegrality(i, HighsVarType.kInteger)

    def hold(self, terms: Mapping[int, int], at_least: int) -> None:
        """Ask that a sum of multiples of unknowns is no less than a number."""
        values: Sequence[float] = [float(times) for times in terms.values()]
        self._solver.addRow(float(at_least), float("inf"), len(terms), list(terms), values)

    def least(self, costs: Mapping[int, int]) -> tuple[int, ...] | None:
        """Return the unknowns that are 1 where the costs are least; None where it gives up."""
        for i in range(self.count):
            self._solver.changeColCost(i, float(costs.get(i, 0)))
        self._solver.run()
        if self._solver.getModelStatus() != self._optimal:
            return None
        values = self._solver.getSolution().col_value
        return tuple(i for i in range(self.count) if values[i] > 0.5)
