"""One era of a course as a course of its own.

Skills that are gone keep their ids and their places, so that a map, a plan and a student's
notes speak of the same things in every era; but nothing is asked of them, nothing stands on
them and they stand on nothing. Judging leaves them out as it does what was set aside.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace

from readiness.course.eras import Era, era_from
from readiness.course.model import Course, Group, Skill
from readiness.files.problems import Place

__all__ = ["course_in", "group_in"]


def course_in(course: Course, first: int | None) -> Course:
    """Return a course as it is from a day on (None: before all its dates)."""
    era = era_from(first, course.skill)
    return replace(
        course,
        skills=tuple(
            _there(era, skill) if skill.id in era.active else _gone(skill) for skill in course.skills
        ),
        link_places=_places(course, era),
        era=era,
        entire=course,
    )


def _there(era: Era, skill: Skill) -> Skill:
    groups = (group_in(era, skill.id, group.at_least, group.of) for group in skill.stands_on_some)
    return replace(
        skill,
        stands_on=tuple(meant for meant, _ in era.links(skill.id, skill.stands_on)),
        stands_on_some=tuple(Group(least, tuple(of)) for least, of in groups if of),
    )


def group_in(era: Era, own: str, at_least: int, of: tuple[str, ...]) -> tuple[int, Mapping[str, str]]:
    """Return what a group means in an era: how many, of whom, each with the name as written.

    Of fewer members than before no more are asked for than there are.
    """
    meant = dict(era.links(own, of))
    return min(at_least, len(meant)) if len(meant) < len(set(of)) else at_least, meant


def _gone(skill: Skill) -> Skill:
    return replace(
        skill, stands_on=(), stands_on_some=(), optional_in=(),
        always_look=False, safety=False, must_be_seen=False,
    )  # fmt: skip


def _places(course: Course, era: Era) -> Mapping[tuple[str, str], Place]:
    """Return where each link is written: that to a replacement at the name it took over."""
    found: dict[tuple[str, str], Place] = {}
    for (skill, named), place in course.link_places.items():
        for meant, _ in era.links(skill, (named,)):
            found.setdefault((skill, meant), place)
    return found
