"""What a student stands on in a lesson: what is met, what is probably there, what has its footing.

Holds no minutes and chooses nothing; see ``planning.lesson_work``.
"""

from __future__ import annotations

from collections.abc import Set as AbstractSet
from functools import cached_property

from readiness.course.model import Course
from readiness.judging.answer import GAP_STATES, Answer
from readiness.planning.character import MET_STATES, left_out
from readiness.planning.startable import outer_fringe

__all__ = ["Ground"]


class Ground:
    """Where one student's skills stand. ``presumed`` is what is probably there (``planning.presumed``)."""

    def __init__(self, course: Course, answer: Answer, presumed: AbstractSet[str] = frozenset()) -> None:
        self.course = course
        self.answer = answer
        self.presumed = presumed

    def state(self, skill: str) -> str:
        """Return the state of a skill."""
        return self.answer.standings[skill].state

    @cached_property
    def met(self) -> frozenset[str]:
        """What is secure, set aside or not asked for at this age."""
        return frozenset(
            skill.id
            for skill in self.course.skills
            if self.state(skill.id) in MET_STATES or left_out(skill, self.answer)
        )

    @cached_property
    def footing(self) -> frozenset[str]:
        """What may be built on: what is met, and what is probably there."""
        return self.met | self.presumed

    @cached_property
    def unseen(self) -> frozenset[str]:
        """What is probably there and was never asked for: to be looked at, not taught."""
        return frozenset(skill for skill in self.presumed if self.state(skill) == "untried")

    @cached_property
    def fringe(self) -> frozenset[str]:
        """What has all its footing and is not there yet."""
        in_the_making = self.presumed - self.unseen - self.met
        return frozenset(outer_fringe(self.course, self.footing)) | in_the_making

    @cached_property
    def is_untouched(self) -> bool:
        """Whether nothing was ever noted: the first lesson is yet to come."""
        return self.answer.last_lesson is None and all(
            self.state(skill.id) in ("untried", "set-aside") for skill in self.course.skills
        )

    def lacking(self, skill: str) -> str:
        """Return the first footing a skill lacks, empty where it has all."""
        if skill in self.fringe:
            return ""
        one = self.course.skill[skill]
        below = (*one.stands_on, *(member for group in one.stands_on_some for member in group.of))
        return next((other for other in below if other not in self.footing), "")

    def has_shaky_ground(self, skill: str) -> bool:
        """Return whether something under a skill is a gap or wobbles."""
        plan = self.course.plan
        under = plan.names(plan.ancestors[plan.index[skill]])
        return any(
            other not in self.met and (self.state(other) in GAP_STATES or self.state(other) == "wobbling")
            for other in under
        )
