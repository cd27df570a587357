"""Where a skill is first needed later in the course, and at which age it is asked for again.

A teacher who lets something come along unfinished wants to know where it will be missed.
Only what names the skill itself counts; what stands on it through other skills is left
out, because those other skills will be asked for on their own.
"""

from __future__ import annotations

from dataclasses import dataclass

from readiness.course.model import Course, Skill

__all__ = ["LaterUse", "asked_from", "first_needed"]


@dataclass(frozen=True, slots=True)
class LaterUse:
    """The first later unit that stands on a skill.

    Attributes:
        unit: the unit's id; number: counted from 1.
        skills: the skills of that unit that name it, in graph order.
        in_group: whether all of them name it only as one of a group.
    """

    unit: str
    number: int
    skills: tuple[str, ...]
    in_group: bool


def first_needed(course: Course, skill_id: str, after_unit: str) -> LaterUse | None:
    """Return the first unit after ``after_unit`` that stands on a skill, None if none does.

    Args:
        course: what is taught.
        skill_id: the skill that would come along.
        after_unit: the id of the unit the student is in; only later ones are looked at.
    """
    for unit in course.units[course.unit[after_unit].number :]:
        users = tuple(s for s in course.skills if s.unit == unit.id and _names(s, skill_id))
        if users:
            in_group = all(skill_id not in user.stands_on for user in users)
            return LaterUse(unit.id, unit.number, tuple(user.id for user in users), in_group)
    return None


def asked_from(course: Course, skill_id: str, after_band: str) -> str | None:
    """Return the first older band in which a skill is asked for, None if it is in none."""
    names = [band.name for band in course.bands]
    older = names[names.index(after_band) + 1 :]
    return next((band for band in older if band not in course.skill[skill_id].optional_in), None)


def _names(user: Skill, skill_id: str) -> bool:
    return skill_id in user.stands_on or any(skill_id in group.of for group in user.stands_on_some)
