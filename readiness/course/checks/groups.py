"""R9: a group can be met, and not by the skill itself."""

from __future__ import annotations

from collections.abc import Iterator

from readiness.course.checks.say import count
from readiness.course.draft import Draft
from readiness.files.problems import Problem

__all__ = ["check_group_sizes", "check_own_groups"]


def check_group_sizes(draft: Draft) -> Iterator[Problem]:
    """``at_least`` is between 1 and the number of different members."""
    for skill in draft.skills:
        for group in skill.groups:
            members = len({word.text for word in group.of})
            if group.at_least is not None and not 1 <= group.at_least <= members:
                yield Problem(
                    "group-size",
                    "error",
                    group.at_least_place,
                    f"at_least is {group.at_least}, but the group has {count(members, 'member')}",
                    f"write a number from 1 to {members}" if members else "name the skills in of = [...]",
                )


def check_own_groups(draft: Draft) -> Iterator[Problem]:
    """No skill is a member of its own group."""
    for skill in draft.skills:
        for word in (word for group in skill.groups for word in group.of):
            if word.text == skill.id:
                yield Problem(
                    "own-group",
                    "error",
                    word.place,
                    f'"{skill.id}" is in its own group',
                    "a skill cannot come before itself: take its name out of the group",
                )
