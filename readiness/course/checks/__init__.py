"""The checks of a course (rule R9): one function each, which enters itself in the list.

A check reads a :class:`~readiness.course.draft.Draft` and yields problems. The shape of the files is not
asked here (``course.schema``), so that every check runs on every file that is TOML at all.

Where skills come and go with the years, what is asked of the file as it is written is asked once
(``as_written``) and everything else of every stretch of days (``of_a_day``), because each is a course that
somebody is judged by. Warnings are given of the last stretch alone: nobody mends the past.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from typing import Final

from readiness.course.checks import criteria, links, units  # noqa: F401
from readiness.course.checks.register import AS_WRITTEN, OF_A_DAY
from readiness.course.draft import Draft, named_words
from readiness.days import iso
from readiness.toml.problems import Place, Problem, few

__all__ = ["CHECKS", "check"]

CHECKS: Final = (*AS_WRITTEN, *OF_A_DAY)
"""Every check there is: they have entered themselves when their modules were imported above."""


def check(draft: Draft) -> tuple[Problem, ...]:
    """Return all that the checks find."""
    if len(draft.eras) == 1:
        return tuple(problem for one in CHECKS for problem in few(one(draft)))
    written = [problem for one in AS_WRITTEN for problem in few(one(draft))]
    always = {_key(problem): problem for problem in _of_an_era(draft.eras[0])}
    found = {key: problem for key, problem in always.items() if problem.severity == "error"}
    for era in draft.eras[1:]:
        since = f", from {iso(era.first)} on"
        for problem in _of_an_era(era):
            told = problem if _key(problem) in always else replace(problem, message=problem.message + since)
            if problem.severity == "error" or era is draft.eras[-1]:
                found.setdefault(_key(problem), told)
    over = {skill.id for skill in draft.skills if skill.retired is not None}  # named for the days before
    old_names = {word.place for skill in draft.skills for word in named_words(skill) if word.text in over}
    return (*written, *(p for p in found.values() if p.id != "implied-link" or p.place not in old_names))


def _key(problem: Problem) -> tuple[str, Place, str]:
    return problem.id, problem.place, problem.message


def _of_an_era(era: Draft) -> Iterator[Problem]:
    """Yield what is found of one stretch of days."""
    return (problem for one in OF_A_DAY for problem in few(one(era)))
