"""R9: units of a sensible size that lead somewhere."""

from __future__ import annotations

from collections.abc import Iterator

from readiness.course.checks.say import count, unit_words
from readiness.course.draft import Draft
from readiness.course.model import Course, Skill
from readiness.course.written import DraftUnit
from readiness.files.problems import Problem

__all__ = ["check_dead_ends", "check_small_units", "loose_ends"]

FEWEST = 4


def check_small_units(draft: Draft) -> Iterator[Problem]:
    """A unit has at least four skills."""
    for unit in draft.units:
        members = len(draft.members[unit.id])
        if members < FEWEST:
            yield Problem(
                "small-unit",
                "warning",
                unit.place,
                f"{unit_words(unit)} has {count(members, 'skill')}, fewer than {FEWEST}",
                "add to it, or join it with a neighbour",
            )


def check_dead_ends(draft: Draft) -> Iterator[Problem]:
    """Something taught later stands on every unit but the last; an empty unit is said elsewhere."""
    for unit in draft.units[:-1]:
        if draft.members[unit.id] and not _leads_on(draft, unit):
            yield Problem(
                "dead-end-unit",
                "warning",
                unit.place,
                f"nothing taught later stands on {unit_words(unit)}",
                "let a skill of a later unit stand on one of its skills, or move the unit to the end",
            )


def _leads_on(draft: Draft, unit: DraftUnit) -> bool:
    """Say whether a skill of a later unit names one of this unit; a user in no unit may be later."""
    later = {other.id for other in draft.units[unit.number :]} | {None}
    users = (user for skill in draft.members[unit.id] for user in draft.named_by[skill.id])
    return any(draft.meant_unit.get(user.id) in later for user in users)


def loose_ends(course: Course) -> tuple[Skill, ...]:
    """Return the skills that no later skill names and that are not in the last unit.

    They are no mistake, so they are listed only when asked for (rule R9). Skills that are gone
    are not listed.
    """
    named = {
        name
        for skill in course.skills
        for name in (*skill.stands_on, *(member for group in skill.stands_on_some for member in group.of))
    }
    last = course.units[-1].id
    return tuple(s for s in course.skills if s.id not in named and s.unit != last and s.id not in course.gone)
