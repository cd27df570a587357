"""The list of the checks of a course: each enters itself, with the warnings it gives."""

from __future__ import annotations

from collections.abc import Callable, Iterable
from typing import Final

from readiness.course.draft import Draft
from readiness.toml.problems import Problem

__all__ = ["AS_WRITTEN", "OF_A_DAY", "WARNINGS", "Check", "as_written", "of_a_day"]

Check = Callable[[Draft], Iterable[Problem]]
"""Yields what is wrong in a course: errors or warnings, not both."""
AS_WRITTEN: Final[list[Check]] = []
"""The checks that look at what is written, whatever day it is."""
OF_A_DAY: Final[list[Check]] = []
"""The checks of a course as it is on a day, for skills come and go with the years."""
WARNINGS: Final[set[str]] = set()
"""Every warning there is of a course; a course may allow it."""


def as_written(*warnings: str) -> Callable[[Check], Check]:
    """Enter a check that looks at what is written, whatever day it is; ``warnings``: the ids it gives."""
    return _entered(AS_WRITTEN, warnings)


def of_a_day(*warnings: str) -> Callable[[Check], Check]:
    """Enter a check that is made of every stretch of days between two changes; ``warnings`` as there."""
    return _entered(OF_A_DAY, warnings)


def _entered(checks: list[Check], warnings: Iterable[str]) -> Callable[[Check], Check]:
    def enter(check: Check) -> Check:
        checks.append(check)
        return check

    WARNINGS.update(warnings)
    return enter
