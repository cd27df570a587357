"""What a student stands on: what is met, what is probably there, and so what may be asked for.

The check sheet, the round over it, the plan and what is left under a hold ask here, so that nothing is
asked of a student who was placed before what it builds on is there. Two things are looked at all
the same, because the rules name them: the one thing and the look set; what lies lowest under them is
looked at with them. Holds no minutes and chooses nothing; see ``planning.lesson_work``.
"""

from __future__ import annotations

from collections.abc import Iterator
from collections.abc import Set as AbstractSet
from functools import cached_property

from readiness.course.model import Course
from readiness.judging.answer import GAP_STATES, Answer
from readiness.planning.character import MET_STATES, left_out
from readiness.planning.startable import outer_fringe

__all__ = ["Ground"]


class Ground:
    """Where one student's skills stand. ``presumed`` is what is probably there (``planning.presumed``).

    ``disliked``, empty until it is set, is what the student was noted not to like.
    """

    disliked: frozenset[str] = frozenset()

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

    def may_begin_now(self, skill: str) -> bool:
        """Return whether a skill is not there yet, and all that has to come before it is."""
        return skill in self.fringe and not self.lacking(skill)

    def lacking(self, skill: str) -> str:
        """Return the first thing that has to come before a skill and is not there, empty where all is."""
        return next(self._lacks(skill), "")

    def _lacks(self, skill: str) -> Iterator[str]:
        """Yield what a skill builds on and is not there, then what is shaky anywhere under it."""
        if skill not in self.fringe:
            one = self.course.skill[skill]
            yield from (other for other in one.stands_on if other not in self.footing)
            for group in one.stands_on_some:
                if len(self.footing & set(group.of)) < group.at_least:
                    yield from (other for other in group.of if other not in self.footing)
        yield from self._shaky_under(skill)

    def _shaky_under(self, skill: str) -> tuple[str, ...]:
        """Return what is a gap or wobbles under a skill, over any number of links."""
        plan = self.course.plan
        return plan.names(plan.ancestors[plan.index[skill]] & self._shaky)

    @cached_property
    def _shaky(self) -> int:
        weak = {*GAP_STATES, "wobbling"}
        every = (skill.id for skill in self.course.skills if self.state(skill.id) in weak)
        return self.course.plan.set_of(skill for skill in every if skill not in self.met)

    def has_shaky_ground(self, skill: str) -> bool:
        """Return whether something under a skill is a gap or wobbles."""
        return bool(self._shaky_under(skill))

    @cached_property
    def named(self) -> tuple[str, ...]:
        """The look set and the one thing: looked at whatever lies under them."""
        return tuple(dict.fromkeys((*self.answer.look_first, *filter(None, [self.answer.one_thing]))))

    @cached_property
    def beneath(self) -> tuple[str, ...]:
        """What lies lowest under the look set and the one thing: looked at with them."""
        every = (one for skill in self.named for one in self.lowest_under(skill))
        return tuple(one for one in dict.fromkeys(every) if one not in self.named)

    def lowest_under(self, skill: str) -> tuple[str, ...]:
        """Return what lies lowest of all that is not there under a skill that was never asked for."""
        if self.state(skill) != "untried":
            return ()
        found: dict[str, None] = {}
        waiting = [*self._lacks(skill)]
        while waiting:
            one = waiting.pop(0)
            if one not in found:
                found[one] = None
                waiting.extend(self._lacks(one))
        return tuple(one for one in found if not self.lacking(one))

    def may_be_asked(self, skill: str) -> bool:
        """Return whether a skill may be asked for: it was before, or what it builds on is there."""
        return self.state(skill) != "untried" or skill in self.named or not self.lacking(skill)
