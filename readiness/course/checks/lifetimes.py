"""R9, for skills that come and go: a skill is retired before anything takes its place.

``since``, ``retired`` and ``replaced_by`` are our addition to the format (``course.schema``).
What a date does to links is asked of each stretch of days by the other checks.
"""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import suppress
from graphlib import CycleError, TopologicalSorter

from readiness.course.checks.register import as_written
from readiness.course.checks.wording import chain
from readiness.course.draft import Draft
from readiness.course.raw import DraftSkill
from readiness.days import iso
from readiness.toml.problems import Problem
from readiness.toml.suggest import did_you_mean


@as_written()
def check_heirs_exist(draft: Draft) -> Iterator[Problem]:
    """Every skill named in ``replaced_by`` has its table."""
    for skill in draft.skills:
        for word in skill.replaced_words:
            if word.text not in draft.skill:
                hint = did_you_mean(word.text, draft.skill) or f"add [skill.{word.text}]"
                yield Problem("unknown-skill", "error", word.place, f'there is no skill "{word.text}"', hint)


@as_written()
def check_lifetimes(draft: Draft) -> Iterator[Problem]:
    """What is replaced is retired, and what is retired was there."""
    for skill in draft.skills:
        if skill.replaced_words and skill.retired is None:
            message = f'"{skill.id}" is replaced, but not retired'
            hint = "say from which day: retired = 2026-09-01"
            here = skill.replaced_words[0].place
            yield Problem("replaced-not-retired", "error", here, message, hint)
        if skill.since is not None and skill.retired is not None and skill.since >= skill.retired:
            assert skill.retired_place is not None
            message = f'"{skill.id}" is retired on {iso(skill.retired)}, so it is never there'
            hint = "look at both days"
            here = skill.retired_place
            there = skill.since_place
            yield Problem("never-there", "error", here, message, hint, there, f"begins on {iso(skill.since)}")


@as_written()
def check_heirs_in_time(draft: Draft) -> Iterator[Problem]:
    """What takes a place is there on the day it is left."""
    for skill in draft.skills:
        for word in skill.replaced_words:
            heir = draft.skill.get(word.text)
            if heir is None or skill.retired is None or heir.since is None or heir.since <= skill.retired:
                continue
            message = (
                f'"{heir.id}" begins on {iso(heir.since)}, '
                f'after "{skill.id}" is retired, on {iso(skill.retired)}'
            )
            hint = f"let it begin on the day the other is retired: since = {iso(skill.retired)}"
            there = heir.since_place
            yield Problem("comes-too-late", "error", word.place, message, hint, there, "begins here")


@as_written()
def check_own_heirs(draft: Draft) -> Iterator[Problem]:
    """Nothing takes its own place, over any number of steps."""
    with suppress(CycleError):
        TopologicalSorter({s.id: s.replaced_by for s in draft.skills if s.replaced_words}).prepare()
        return
    for skill in draft.skills:
        way = _back_to(draft, skill)
        if way:
            message = f"these skills take each other's place: {chain(way)}"
            hint = "take one of the names out of replaced_by"
            here = next(word.place for word in skill.replaced_words if word.text == way[1])
            yield Problem("replaces-itself", "error", here, message, hint)


def _back_to(draft: Draft, skill: DraftSkill) -> tuple[str, ...]:
    """Return the way over ``replaced_by`` from a skill to itself; empty when there is none."""
    ways: list[tuple[str, ...]] = [(skill.id,)]
    met: set[str] = set()
    while ways:
        way = ways.pop()
        for name in draft.skill[way[-1]].replaced_by:
            if name == skill.id:
                return (*way, name)
            if name in draft.skill and name not in met:
                met.add(name)
                ways.append((*way, name))
    return ()
