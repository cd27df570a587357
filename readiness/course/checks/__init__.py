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

from readiness.course.checks.lifetimes import (
    check_heirs_exist,
    check_heirs_in_time,
    check_lifetimes,
    check_own_heirs,
)
from readiness.course.checks.links import (
    check_double_entries,
    check_group_sizes,
    check_implied_groups,
    check_implied_links,
    check_later_units,
    check_loops,
    check_own_groups,
    check_self_links,
)
from readiness.course.checks.names import (
    check_bands_exist,
    check_rules_exist,
    check_skills_exist,
    check_strands_exist,
    check_units_exist,
)
from readiness.course.checks.safety import check_days, check_optional_safety, check_pain_is_asked
from readiness.course.checks.units import (
    check_ages,
    check_dead_ends,
    check_leaps,
    check_small_units,
    loose_ends,
)
from readiness.course.draft import Draft
from readiness.course.raw import Word, named_words
from readiness.days import iso
from readiness.toml.problems import Place, Problem, few

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
    check_optional_safety,
    check_pain_is_asked,
    check_days,
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
        check_optional_safety,
        check_pain_is_asked,
    }
)
"""The checks that look at what is written, whatever day it is."""


def check(draft: Draft) -> tuple[Problem, ...]:
    """Return all that the checks find."""
    if len(draft.eras) == 1:
        return tuple(problem for one in CHECKS for problem in few(one(draft)))
    written = [problem for one in CHECKS if one in AS_WRITTEN for problem in few(one(draft))]
    always = {_key(problem): problem for problem in _of_an_era(draft.eras[0])}
    found = {key: problem for key, problem in always.items() if problem.severity == "error"}
    for era in draft.eras[1:]:
        since = f", from {iso(era.first)} on"
        for problem in _of_an_era(era):
            told = problem if _key(problem) in always else replace(problem, message=problem.message + since)
            if problem.severity == "error" or era is draft.eras[-1]:
                found.setdefault(_key(problem), told)
    old_names = {word.place for skill in draft.skills for word in named_words(skill) if _is_over(draft, word)}
    return (*written, *(p for p in found.values() if p.id != "implied-link" or p.place not in old_names))


def _key(problem: Problem) -> tuple[str, Place, str]:
    return problem.id, problem.place, problem.message


def _is_over(draft: Draft, word: Word) -> bool:
    """Return whether a link names a skill that is retired: it is left as it is, for the days before."""
    named = draft.skill.get(word.text)
    return named is not None and named.retired is not None


def _of_an_era(era: Draft) -> Iterator[Problem]:
    """Yield what is found of one stretch of days."""
    return (problem for one in CHECKS if one not in AS_WRITTEN for problem in few(one(era)))
