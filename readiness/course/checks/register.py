"""The list of the checks of a course: each enters itself, with one of two decorators."""

from __future__ import annotations

from collections.abc import Callable, Iterable
from typing import Final

from readiness.course.draft import Draft
from readiness.toml.problems import Problem

__all__ = ["AS_WRITTEN", "OF_A_DAY", "Check", "as_written", "of_a_day"]

Check = Callable[[Draft], Iterable[Problem]]
"""Yields what is wrong in a course: errors or warnings, not both."""
AS_WRITTEN: Final[list[Check]] = []
"""The checks that look at what is written, whatever day it is."""
OF_A_DAY: Final[list[Check]] = []
"""The checks of a course as it is on a day, for skills come and go with the years."""


def as_written(check: Check) -> Check:
    """Enter a check that looks at what is written, whatever day it is."""
    AS_WRITTEN.append(check)
    return check


def of_a_day(check: Check) -> Check:
    """Enter a check that is made of every stretch of days between two changes."""
    OF_A_DAY.append(check)
    return check
