"""What the letter to the student can say: a child hears two short sentences, an adult a few plain ones.

A child hears what is already there and what comes next, and never a verdict, a count or a rule. An adult may
hear all of that, without the tone for children.
"""

from __future__ import annotations

from collections.abc import Sequence
from itertools import groupby
from typing import Final

from readiness.course.graph import first_needed
from readiness.judging.answer import GAP_STATES
from readiness.terms import State
from readiness.words.grammar import tidy
from readiness.words.letter_words import NAMED_AT_MOST, LetterWords

__all__ = ["StudentWords"]

_DONE: Final = ("paused", "ready", "last unit", "staying", "finished")
_LONGEST: Final = 28
"""So many words a child can listen to at once; what comes along is then said shorter."""


class StudentWords(LetterWords):
    """The names that a letter to the student may use."""

    @property
    def tone(self) -> str:
        """Whether a child or somebody grown, or nearly so, is spoken to."""
        return "adult" if self._say.is_grown else "child"

    # to a child

    def good(self) -> str:
        """Return to a child something good that was seen."""
        away = self._answer.away and ("on-a-break" if self._answer.away == "on-a-break" else "away")
        if not self._good:
            is_new = away or self._answer.last_lesson is None
            return self._in.welcome(away or "new") if is_new else ""
        if away or self._answer.placing is not None:
            return self._in.child_good(self._you(self._good), away or "placing")
        alone = all(self._say.standing(skill).last_help == 0 for skill in self._good)
        return self._in.child_good(self._you(self._good), "alone" if alone else "other")

    def unit_name(self) -> str:
        """Return the name of the unit that begins."""
        ahead = self._answer.next_unit if self._case == "ready" else self._answer.unit
        return "" if ahead is None else self._in.quoted(tidy(self._course.unit[ahead].name))

    def then(self) -> str:
        """Return to a child what comes next time, and what comes along from before (rule R12)."""
        if self._is_after_a_pause():
            return self._and_before(self._in.gently_child())
        return self._and_before(self._then_alone())

    def _then_alone(self) -> str:
        if self._case == "ready":
            along = self._answer.taken_along
            how = self._you(along) if len(along) == 1 else ""
            return self._in.onward(self.unit_name(), how, len(along))
        skill = self._answer.one_thing
        if self._case in ("moved", "begins"):
            return self._one(skill) if skill else self._in.then("new")
        return self._in.then(self._case) or (self._one(skill) if skill else self._in.then("look"))

    def _and_before(self, then: str) -> str:
        skills = self._from_before()
        if not skills:
            return then
        few = self._in.before("", len(skills), last_unit=False, child=True)
        named = few
        if len(skills) == 1:
            named = self._in.before(self._you(skills), 0, last_unit=False, child=True)
        return self._joined(then, few if len(f"{then} {named}".split()) > _LONGEST else named)

    def _names_one_thing(self) -> bool:
        if self.tone == "child":
            is_then = not self._in.then(self._case) and self._case != "ready"
            return is_then and not self._is_after_a_pause()
        return bool(self.one_thing())

    def _one(self, skill: str) -> str:
        """Return what comes next, of one skill."""
        self._told[skill] = None
        is_new = self._case in ("moved", "begins")
        if not is_new and skill in self._good and self._state(skill) not in GAP_STATES:
            return self._in.then("again")
        if not is_new and self._state(skill) in GAP_STATES:
            return self._in.then_one(self._you((skill,)), "start")
        state = "new" if self._state(skill) == State.UNTRIED else "see"
        return self._in.then_one(self._you((skill,)), state)

    def _you(self, skills: Sequence[str]) -> str:
        """Return skills as spoken to the student: "you lift your wrist"."""
        said = [tidy(self._course.skill[one].you) for one in skills]
        return self._with_names(skills, said, "and", you=True)

    def _rests(self, parts: Sequence[str], since: str) -> str:
        """Return what rests for another course, to a child as one says it."""
        return self._in.resting_child(parts) if self.tone == "child" else super()._rests(parts, since)

    # to an adult

    def well(self) -> str:
        """Return what goes well, as things."""
        return self._things(self._good) if self._good else ""

    def along(self) -> str:
        """Return what is finished on the way, each with the unit that it has to be there for."""
        if self._move is not None:
            few = self._move.along[:NAMED_AT_MOST]
            return self._in.still_along(self._things(few)) if few else ""
        unit, along = self._answer.unit, self._answer.taken_along
        if self._case not in ("ready", "last unit") or unit is None or not along:
            return ""
        needed = {skill: first_needed(self._course, skill, unit) for skill in along}
        due = {skill: later.number if later else 0 for skill, later in needed.items()}
        by_unit = sorted(along, key=lambda skill: due[skill] or len(self._course.units) + 1)
        return self._in.to_finish([
            (self._things(list(skills)[:NAMED_AT_MOST]), number)
            for number, skills in groupby(by_unit, due.__getitem__)
        ])

    def one_thing(self) -> str:
        """Return the one thing to work on or look at next."""
        skill = self._answer.one_thing
        if skill is None or self._answer.placing is not None or self._case in _DONE:
            return ""
        things, one = self._things((skill,)), self._say.standing(skill)
        if one.state in GAP_STATES:
            return self._in.work_on(things)
        return self._in.look_at(things, one.have, one.need if one.state == State.BUILDING else 0)

    def start(self) -> str:
        """Return where lessons start."""
        now = self._start()
        return self._joined(self._in.start_for_now(self._unit(now.start)), self._perhaps(now))

    def _moves_on(self) -> str:
        return ""
