"""What can be begun next: the upper edge of what is there.

Knowledge space theory calls it the outer fringe of a state (Doignon and Falmagne 1985,
International Journal of Man-Machine Studies 23:175-196). Only footings are asked about here: no
unit, no day and no band. Whether a skill should be begun in a lesson is decided elsewhere.
"""

from __future__ import annotations

from collections.abc import Set as AbstractSet

from readiness.course.model import Course, Skill

__all__ = ["outer_fringe"]


def outer_fringe(course: Course, met: AbstractSet[str]) -> tuple[str, ...]:
    """Return the skills that are not met and have all their footings, in graph order.

    Args:
        course: what is taught.
        met: the ids of the skills that are secure or set aside.
    """
    return tuple(skill.id for skill in course.skills if skill.id not in met and _has_footing(skill, met))


def _has_footing(skill: Skill, met: AbstractSet[str]) -> bool:
    """Return whether all that a skill stands on is met, its groups included."""
    return met >= set(skill.stands_on) and all(
        len(met & set(group.of)) >= group.at_least for group in skill.stands_on_some
    )
