"""What a student may work on in a lesson, and what each thing is worth.

Which skills may be learnt or reviewed at all, why, and for how long. What is maximised over
them is said in ``planning.next_lesson``; the blocks are made in ``planning.lesson_blocks``.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from collections.abc import Set as AbstractSet
from functools import cached_property
from typing import Final

from readiness.course.model import Course, Skill
from readiness.judging.answer import GAP_STATES, Answer
from readiness.planning.after_hold import NO_REST, Rest
from readiness.planning.character import left_out, waiting_for
from readiness.planning.filling import Choice
from readiness.planning.known_things import soonest, teaching_order
from readiness.planning.lesson_ground import Ground
from readiness.planning.minutes import share_out

__all__ = ["LOOK", "Work"]

LOOK: Final = 3
"""The fewest minutes a look takes in a lesson. Common practice, no source."""
SOON: Final = 14
"""Days within which something is about to fade, as in rule R8."""


SHORT_ENOUGH: Final = 4
"""Minutes of one activity that need not be halved after a rest: shorter ones make a lesson a rush
(common practice, no source)."""


class Work(Ground):
    """What one student may work on in a lesson of some minutes.

    ``rest`` names what waits, because a part of the body is on hold elsewhere, and what works a
    part which rested until lately, where turns are half as long. ``looks``, empty until it is set, is what
    to look at next, as after a break (``planning.after_break``).
    """

    looks: tuple[str, ...] = ()

    def __init__(
        self,
        course: Course,
        answer: Answer,
        minutes: int,
        *,
        is_first_back: bool,
        may_begin: bool,
        rest: Rest = NO_REST,
        presumed: AbstractSet[str] = frozenset(),
    ) -> None:
        super().__init__(course, answer, presumed)
        self.resting, self.tender = rest.resting, rest.tender
        self.minutes = minutes
        self.is_first_back = is_first_back
        self.is_all_review = is_first_back or answer.placing is not None
        self.is_first = self.is_untouched and answer.placing is None
        self.may_begin = may_begin and not is_first_back and not self.is_first
        self.band = course.band[answer.band]
        usual = self.band.whole("activity_minutes")
        self.longest = max(self._gently(usual), min(usual, SHORT_ENOUGH))
        self.without_pause = self._gently(self.band.whole("play_without_pause_minutes"))
        self.shares = share_out(self.band, minutes, self._instead_of_new())

    def _gently(self, minutes: int) -> int:
        """Return minutes at a stretch: half of the usual ones where a part of the body rested lately."""
        return -(-minutes // 2) if self.tender else minutes

    def _instead_of_new(self) -> str:
        """Return what takes the minutes for new things where nothing is begun; empty where they stay."""
        if self.is_all_review:
            return "review"
        return "music" if self.is_first else ""

    @cached_property
    def deciding(self) -> frozenset[str]:
        """What keeps the student in the unit: the blockers and the open members of unmet groups."""
        found: set[str] = set()
        for one in self.answer.blockers:
            found.update([one.skill] if one.skill else one.group.of if one.group else ())
        return frozenset(found - self.met)

    def is_open(self, skill: str) -> bool:
        """Return whether a skill's unit is open: up to this one, and the next where the move has come."""
        number = self._unit(skill)
        return number <= self._here or (self.answer.may_move and number == self._here + 1)

    def _unit(self, skill: str) -> int:
        return self.course.unit[self.course.skill[skill].unit].number

    @property
    def _here(self) -> int:
        assert self.answer.unit is not None
        return self.course.unit[self.answer.unit].number

    def _asked(self) -> Iterator[Skill]:
        """Yield what may be worked on as far as units and age go, in the order of teaching."""
        for skill in sorted(self.course.skills, key=lambda one: teaching_order(self.course, one.id)):
            is_looked_at_anyway = skill.always_look and skill.id != self.answer.one_thing
            is_left_out = left_out(skill, self.answer) and skill.id not in self.named
            if is_looked_at_anyway or skill.id in self.resting or is_left_out:
                continue
            if self.is_open(skill.id):
                yield skill

    def outer_edge(self) -> tuple[str, ...]:
        """Return what was not shown enough yet and has all its footing, the nearest units first."""
        shown = ("stale", "wobbling")
        edge = [s.id for s in self._asked() if self.may_begin_now(s.id) and self.state(s.id) not in shown]
        return tuple(sorted(edge, key=lambda skill: abs(self._unit(skill) - self._here)))

    def never_asked(self) -> Iterator[str]:
        """Yield the untried skills of this unit, and of the next those that have their footing."""
        for skill in sorted(self.course.skills, key=lambda one: teaching_order(self.course, one.id)):
            is_near = skill.unit == self.answer.unit or (
                skill.unit == self.answer.next_unit and self.may_begin_now(skill.id)
            )
            is_asked = not skill.always_look and not left_out(skill, self.answer)
            if is_near and is_asked and self.state(skill.id) == "untried":
                yield skill.id

    def to_learn(self) -> list[str]:
        """Return what the new minutes may go to, what matters more first."""
        able = [skill.id for skill in self._asked() if self.may_be_taught(skill.id)]
        return sorted(able, key=lambda skill: (skill != self.answer.one_thing, skill not in self.deciding))

    def may_be_taught(self, skill: str) -> bool:
        """Return whether the new minutes may go to a skill."""
        state = self.state(skill)
        if state == "untried":
            return self.may_begin and self.may_begin_now(skill) and skill not in self.tender
        if skill == self.answer.one_thing:
            return True
        return (state in GAP_STATES or state == "building") and not self.has_shaky_ground(skill)

    def may_be_practised(self, skill: str) -> bool:
        """Return whether a skill may be a home task: nothing that rests, and nothing whose footing lacks."""
        is_early = self.state(skill) == "untried" and bool(self.lacking(skill))
        return not is_early and skill not in self.resting | self.tender

    def to_review(self, taken: Iterable[str]) -> list[str]:
        """Return what the review minutes may go to, what is due soonest first.

        What the use of ``taken``, of the look-first set or of the one thing keeps warm anyway
        (rule R5) is left to that; what is to be looked at first, and the one thing, never are.
        """
        done = {*taken}
        warm = self._warmed_by({*done, *self.named, *self.looks}).difference(self.beneath)
        able = [
            skill.id
            for skill in self._asked()
            if skill.id not in done and skill.id not in warm and self._may_be_reviewed(skill)
        ]
        return sorted(able, key=lambda skill: soonest(self.course, self.answer, skill))

    def _warmed_by(self, used: Iterable[str]) -> frozenset[str]:
        """Return what lies under these skills and is kept warm by their use (rule R5)."""
        plan = self.course.plan
        under = 0
        for skill in used:
            under |= plan.ancestors[plan.index[skill]]
        below = plan.names(under & ~plan.must_be_seen)
        return frozenset(
            skill
            for skill in below
            if self.state(skill) in ("secure", "stale") and skill not in (*self.named, *self.looks)
        )

    def _may_be_reviewed(self, skill: Skill) -> bool:
        state = self.state(skill.id)
        if skill.id in self.named or skill.id in self.beneath:
            return True
        if state == "untried":
            return self._may_be_asked(skill.id)
        if state == "secure":
            return skill.kind != "habit"
        return state in ("building", "wobbling", "stale")

    def _may_be_asked(self, skill: str) -> bool:
        """Return whether something never asked for is worth a look, without being taught.

        That is what settles most, what is probably there, and in the first lesson of all what decides.
        """
        if not self.may_be_asked(skill):
            return False
        if skill in self.unseen or skill in self.named:
            return True
        return self.is_first and (skill in self.deciding or skill in self.answer.open_rest)

    def why(self, skill: str) -> str:
        """Return why a skill is in the lesson."""
        if skill in (*self.named, *self.beneath):
            looked_at = "look-first" if skill in self.answer.look_first else "beneath"
            return "one-thing" if skill == self.answer.one_thing else looked_at
        if skill in self.deciding:
            return "blocker" if any(one.skill == skill for one in self.answer.blockers) else "group"
        state = self.state(skill)
        if state == "secure":
            return "fading" if self.fades_soon(skill) else "keep-warm"
        if state == "untried" and not self.may_be_taught(skill):
            return "in-passing" if skill in self.unseen else "rest"
        waits_alone = skill in self.answer.open_rest and waiting_for(self.course, self.answer, skill) == 1
        other = "rest" if waits_alone else "waited-for"
        return {"untried": "begin", "building": "in-the-making"}.get(state, other)

    def fades_soon(self, skill: str) -> bool:
        """Return whether something settled is due for a look soon after the lesson."""
        until, lesson = self.answer.standings[skill].fresh_until, self.answer.next_lesson or self.answer.on
        return self.state(skill) == "secure" and until is not None and until <= lesson + SOON

    def learning(self, skill: str) -> Choice:
        """Return a skill as a choice for the new minutes: half of what it takes to all of it."""
        usual = self.course.skill[skill].minutes
        return Choice(
            least=min(-(-usual // 2), self.longest),
            most=max(1, usual),
            worth=(
                int(skill == self.answer.one_thing),
                int(skill in self.deciding),
                waiting_for(self.course, self.answer, skill),
            ),
            begins=self.state(skill) == "untried",
        )

    def looking(self, skill: str) -> Choice:
        """Return a skill as a choice for the review minutes: a look, up to one block."""
        is_settled = self.state(skill) == "secure"
        return Choice(
            least=min(LOOK, self.longest),
            most=min(self.longest, max(LOOK, self.course.skill[skill].minutes)),
            worth=(
                int(skill in self.beneath),
                int(skill == self.answer.one_thing),
                int(skill in self.answer.look_first),
                int(skill in self.looks),
                int(skill in self.deciding),
                0 if is_settled else waiting_for(self.course, self.answer, skill),
                int(self.fades_soon(skill)),
            ),
        )
