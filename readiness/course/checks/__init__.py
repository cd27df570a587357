"""The checks of a course (rule R9): one function each, in one list.

A check reads a :class:`~readiness.course.draft.Draft` and yields problems. Adding a check is
writing a function and naming it in :data:`CHECKS`; nothing else changes. The shape of the
files is not asked here (``course.schema``), so that every check runs on every file that is
TOML at all.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable
from typing import Final

from readiness.course.checks.bands import check_ages
from readiness.course.checks.groups import check_group_sizes, check_own_groups
from readiness.course.checks.implied import check_implied_groups, check_implied_links
from readiness.course.checks.leaps import check_leaps
from readiness.course.checks.links import (
    check_double_entries,
    check_later_units,
    check_loops,
    check_self_links,
)
from readiness.course.checks.names import (
    check_bands_exist,
    check_rules_exist,
    check_skills_exist,
    check_strands_exist,
    check_units_exist,
)
from readiness.course.checks.units import check_dead_ends, check_small_units, loose_ends
from readiness.course.draft import Draft
from readiness.files.problems import Problem

__all__ = ["CHECKS", "check", "loose_ends"]

CHECKS: Final[tuple[Callable[[Draft], Iterable[Problem]], ...]] = (
    check_skills_exist,
    check_units_exist,
    check_strands_exist,
    check_bands_exist,
    check_rules_exist,
    check_self_links,
    check_loops,
    check_later_units,
    check_double_entries,
    check_group_sizes,
    check_own_groups,
    check_ages,
    check_implied_links,
    check_implied_groups,
    check_small_units,
    check_dead_ends,
    check_leaps,
)


def check(draft: Draft) -> tuple[Problem, ...]:
    """Return all that the checks find, in their order."""
    return tuple(problem for one in CHECKS for problem in one(draft))
