"""The checks of a course (rule R9): one function each, in one list.

A check reads a :class:`~readiness.course.draft.Draft` and yields problems. Adding a check is
writing a function and naming it in :data:`CHECKS`; nothing else changes. The shape of the
files is not asked here (``course.schema``), so that every check runs on every file that is
TOML at all.

Where skills come and go with the years, what is asked of the file as it is written is asked
once (:data:`AS_WRITTEN`) and everything else of every stretch of days, because each is a
course that somebody is judged by. Warnings are given of the last stretch alone: nobody mends
the past.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator
from dataclasses import replace
from typing import Final

from readiness.course.checks.bands import check_ages
from readiness.course.checks.groups import check_group_sizes, check_own_groups
from readiness.course.checks.implied import check_implied_groups, check_implied_links
from readiness.course.checks.leaps import check_leaps
from readiness.course.checks.lifetimes import (
    check_heirs_exist,
    check_heirs_in_time,
    check_lifetimes,
    check_own_heirs,
)
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
from readiness.days import iso
from readiness.files.problems import Place, Problem

__all__ = ["AS_WRITTEN", "CHECKS", "check", "loose_ends"]

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
    check_heirs_exist,
    check_lifetimes,
    check_heirs_in_time,
    check_own_heirs,
)

AS_WRITTEN: Final = frozenset(
    {
        check_skills_exist,
        check_units_exist,
        check_strands_exist,
        check_bands_exist,
        check_rules_exist,
        check_self_links,
        check_double_entries,
        check_ages,
        check_heirs_exist,
        check_lifetimes,
        check_heirs_in_time,
        check_own_heirs,
    }
)
"""The checks that look at what is written, whatever day it is."""


def check(draft: Draft) -> tuple[Problem, ...]:
    """Return all that the checks find."""
    if len(draft.eras) == 1:
        return tuple(problem for one in CHECKS for problem in one(draft))
    written = [problem for one in CHECKS if one in AS_WRITTEN for problem in one(draft)]
    first: dict[tuple[str, Place], Problem] = {}
    for era in draft.eras:
        for problem in _of_an_era(era, is_last=era is draft.eras[-1]):
            first.setdefault((problem.id, problem.place), problem)
    return (*written, *first.values())


def _of_an_era(era: Draft, *, is_last: bool) -> Iterator[Problem]:
    """Yield what is found of one stretch of days, with its first day."""
    since = "" if era.first is None else f", from {iso(era.first)} on"
    for one in CHECKS:
        for problem in one(era) if one not in AS_WRITTEN else ():
            if is_last or problem.severity == "error":
                yield replace(problem, message=f"{problem.message}{since}")
