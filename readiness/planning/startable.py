"""What can be begun next, and what could be left out again: the two edges of what is there.

Knowledge space theory calls them the outer and the inner fringe of a state (Doignon and
Falmagne 1985, International Journal of Man-Machine Studies 23:175-196). Only footings are
asked about here: no unit, no day and no band. Whether a skill should be begun in a lesson
is decided elsewhere.
"""

from __future__ import annotations

from collections.abc import Set as AbstractSet

from readiness.course.model import Course, Skill

__all__ = ["inner_fringe", "outer_fringe"]


def outer_fringe(course: Course, met: AbstractSet[str]) -> tuple[str, ...]:
    """Return the skills that are not met and have all their footings, in graph order.

    Args:
        course: what is taught.
        met: the ids of the skills that are secure or set aside.
    """
    return tuple(skill.id for skill in course.skills if skill.id not in met and _has_footing(skill, met))


def inner_fringe(course: Course, met: AbstractSet[str]) -> tuple[str, ...]:
    """Return the met skills under which nothing met would lose its footing, in graph order.

    A met skill without all its footings has none to lose.
    """
    standing = [skill for skill in course.skills if skill.id in met and _has_footing(skill, met)]
    return tuple(
        skill.id
        for skill in course.skills
        if skill.id in met and all(_has_footing(user, met - {skill.id}) for user in standing)
    )


def _has_footing(skill: Skill, met: AbstractSet[str]) -> bool:
    """Return whether all that a skill stands on is met, its groups included."""
    return met >= set(skill.stands_on) and all(
        len(met & set(group.of)) >= group.at_least for group in skill.stands_on_some
    )
