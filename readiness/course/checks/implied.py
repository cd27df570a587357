"""R9: what is already said by a longer way, with that way.

The reduction of a graph of thousands of skills is done on sets of bits; the way that
explains a single link is looked for only when there is such a link.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence, Set
from dataclasses import replace

from readiness.course.checks.say import chain
from readiness.course.draft import Draft
from readiness.course.graph import SkillGraph
from readiness.course.written import DraftGroup, DraftSkill
from readiness.files.problems import Problem

__all__ = ["check_implied_groups", "check_implied_links", "implied_links"]


def implied_links(draft: Draft) -> tuple[tuple[str, str], ...]:
    """Return the links (skill, what it stands on) that a longer way already implies, in file order."""
    return tuple(
        (skill, before)
        for skill, needed in draft.links.sound.items()
        for above in [_union(draft.links.above[other] for other in needed)]
        for before in needed
        if above & draft.links.bit[before]
    )


def _union(sets: Iterator[int]) -> int:
    found = 0
    for one in sets:
        found |= one
    return found


def check_implied_links(draft: Draft) -> Iterator[Problem]:
    """No link says what others already say."""
    implied = implied_links(draft)
    graph = SkillGraph(draft.links.sound) if implied else None
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
        for other in draft.links.sound[skill]
        if draft.links.above[other] & draft.links.bit[before]
    )
    return min(ways, key=len)


def _advice(draft: Draft, skill: DraftSkill, before: str) -> str:
    own, other = draft.unit_of(skill), draft.unit_of(draft.skill[before])
    if own is None or own == other:
        return "take the name out: the longer way says it already"
    return f"take the name out, unless it is to be looked at again when unit {own.number} is entered"


def check_implied_groups(draft: Draft) -> Iterator[Problem]:
    """No group is met already by what the skill stands on, or by another group before it."""
    owners = [skill for skill in draft.skills if skill.groups]
    for skill in owners:
        for at, group in enumerate(skill.groups):
            before = [
                g
                for other in owners
                if draft.links.above[skill.id] & draft.links.bit[other.id]
                for g in other.groups
            ]
            yield from _implied_group(draft, skill, group, [*before, *skill.groups[:at]])


def _implied_group(
    draft: Draft, skill: DraftSkill, group: DraftGroup, earlier: Sequence[DraftGroup]
) -> Iterator[Problem]:
    """Yield a problem where a group asks for nothing new; sizes that cannot be are said elsewhere."""
    members = dict.fromkeys(word.text for word in group.of)
    if group.at_least is None or not 1 <= group.at_least <= len(members):
        return
    met = [name for name in members if draft.links.above[skill.id] & draft.links.bit.get(name, 0)]
    lacking = group.at_least - len(met)
    other = next((g for g in earlier if _surely_met(g, members.keys() - met) >= lacking), None)
    if lacking <= 0:
        why = f'{_both(met[: group.at_least])} before "{skill.id}" anyway'
        yield _needless(group, why)
    elif other is not None:
        yield replace(
            _needless(group, "another group asks for as much"),
            other=other.place,
            other_label="the other group",
        )


def _surely_met(group: DraftGroup, members: Set[str]) -> int:
    """Return how many of these members are met whichever way a group is met."""
    own = {word.text for word in group.of}
    return (group.at_least or 0) - len(own - members)


def _needless(group: DraftGroup, why: str) -> Problem:
    return Problem(
        "implied-group",
        "warning",
        group.place,
        f"this group is always met: {why}",
        "take the group out, or name skills in it that are not sure to come before",
    )


def _both(names: list[str]) -> str:
    quoted = " and ".join(f'"{name}"' for name in names)
    return f"{quoted} {'comes' if len(names) == 1 else 'come'}"
