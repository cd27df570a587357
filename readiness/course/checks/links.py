"""R9: links lead back to what is taught before, never round, and each is written once."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from itertools import pairwise

from readiness.course.checks.say import chain, unit_words
from readiness.course.draft import Draft
from readiness.course.written import DraftSkill, Word, named_words
from readiness.files.problems import Problem

__all__ = ["check_double_entries", "check_later_units", "check_loops", "check_self_links"]


def check_self_links(draft: Draft) -> Iterator[Problem]:
    """No skill stands on itself."""
    for skill in draft.skills:
        for word in skill.stands_on:
            if word.text == skill.id:
                yield Problem(
                    "self-link",
                    "error",
                    word.place,
                    f'"{skill.id}" stands on itself',
                    "take its own name out",
                )


def check_loops(draft: Draft) -> Iterator[Problem]:
    """No skills wait for each other in a ring; one problem for each link that leads back."""
    for skill, before in draft.links.in_loops:
        way = draft.links.graph.path(skill, before)
        yield Problem(
            "loop",
            "error",
            _word_for(draft.skill[skill], before).place,
            f"these skills wait for each other: {chain([*way, skill])}{_over_groups(draft, [*way, skill])}",
            "each comes before the next: take one of these links out, most likely this one, "
            "which names a skill that is taught later",
        )


def _over_groups(draft: Draft, ring: Sequence[str]) -> str:
    """Say which steps of a ring hang on a group only."""
    steps = [
        f"{upper} names {lower} in a group"
        for lower, upper in pairwise(ring)
        if lower not in draft.links.needs[upper]
    ]
    return f" (over stands_on_some: {'; '.join(steps)})" if steps else ""


def check_later_units(draft: Draft) -> Iterator[Problem]:
    """No skill stands on a skill of a later unit, in a group either."""
    for skill_id, before_id in draft.links.to_later:
        skill, before = draft.skill[skill_id], draft.skill[before_id]
        own, other = draft.unit_of(skill), draft.unit_of(before)
        assert own is not None
        assert other is not None
        assert before.unit is not None
        yield Problem(
            "later-unit",
            "error",
            _word_for(skill, before.id).place,
            f'"{skill.id}" of {unit_words(own)} stands on "{before.id}" of the later {unit_words(other)}',
            "what comes first is taught in the same unit or before: take the link out, or move a skill",
            before.unit.place,
            f'the unit of "{before.id}"',
        )


def _word_for(skill: DraftSkill, before: str) -> Word:
    """Return the first word by which a skill names another."""
    return next(word for word in named_words(skill) if word.text == before)


def check_double_entries(draft: Draft) -> Iterator[Problem]:
    """No list names the same thing twice."""
    for skill in draft.skills:
        for words in (skill.stands_on, *(group.of for group in skill.groups), skill.optional_in):
            yield from _twice(words)


def _twice(words: Sequence[Word]) -> Iterator[Problem]:
    first: dict[str, Word] = {}
    for word in words:
        earlier = first.setdefault(word.text, word)
        if earlier is not word:
            yield Problem(
                "double-entry",
                "warning",
                word.place,
                f'"{word.text}" is in this list twice',
                "take one of them out",
                earlier.place,
                "first written here",
            )
