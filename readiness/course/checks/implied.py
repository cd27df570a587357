"""R9: what is already said by a longer way, with that way.

The reduction of a graph of thousands of skills is done on sets of bits; the way that
explains a single link is looked for only when there is such a link.
"""

from __future__ import annotations

from collections.abc import Iterator

from readiness.course.checks.say import chain
from readiness.course.draft import Draft, DraftGroup, DraftSkill
from readiness.course.graph import SkillGraph
from readiness.files.problems import Problem

__all__ = ["check_implied_groups", "check_implied_links", "implied_links"]


def implied_links(draft: Draft) -> tuple[tuple[str, str], ...]:
    """Return the links (skill, what it stands on) that a longer way already implies, in file order."""
    return tuple(
        (skill, before)
        for skill, needed in draft.sound_needs.items()
        for above in [_union(draft.above[other] for other in needed)]
        for before in needed
        if above & draft.bit[before]
    )


def _union(sets: Iterator[int]) -> int:
    found = 0
    for one in sets:
        found |= one
    return found


def check_implied_links(draft: Draft) -> Iterator[Problem]:
    """No link says what others already say."""
    implied = implied_links(draft)
    graph = SkillGraph(draft.sound_needs) if implied else None
    for skill_id, before in implied:
        assert graph is not None
        skill = draft.skill[skill_id]
        word = next(word for word in skill.stands_on if word.text == before)
        way = chain(_longer_way(draft, graph, skill_id, before))
        yield Problem(
            "implied-link",
            "warning",
            word.place,
            f'"{before}" comes before "{skill_id}" anyway: {way}',
            _advice(draft, skill, before),
        )


def _longer_way(draft: Draft, graph: SkillGraph, skill: str, before: str) -> tuple[str, ...]:
    """Return the shortest way round a link, of equals the one whose last step is named first."""
    ways = (
        (*graph.path(before, other), skill)
        for other in draft.sound_needs[skill]
        if draft.above[other] & draft.bit[before]
    )
    return min(ways, key=len)


def _advice(draft: Draft, skill: DraftSkill, before: str) -> str:
    own, other = draft.unit_of(skill), draft.unit_of(draft.skill[before])
    if own is None or own == other:
        return "take the name out: the longer way says it already"
    return f"take the name out, unless it is to be looked at again when unit {own.number} is entered"


def check_implied_groups(draft: Draft) -> Iterator[Problem]:
    """No group is met already by what the skill stands on."""
    for skill in draft.skills:
        for group in skill.groups:
            met = _already_before(draft, skill, group)
            if group.at_least is not None and 1 <= group.at_least <= len(met):
                yield Problem(
                    "implied-group",
                    "warning",
                    group.place,
                    f'this group is always met: {_both(met[: group.at_least])} before "{skill.id}" anyway',
                    "take the group out, or name skills in it that do not come before anyway",
                )


def _already_before(draft: Draft, skill: DraftSkill, group: DraftGroup) -> list[str]:
    above = draft.above[skill.id]
    names = dict.fromkeys(word.text for word in group.of)
    return [name for name in names if above & draft.bit.get(name, 0)]


def _both(names: list[str]) -> str:
    quoted = " and ".join(f'"{name}"' for name in names)
    return f"{quoted} {'comes' if len(names) == 1 else 'come'}"
