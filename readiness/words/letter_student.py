"""What the letter to the student can say: a child hears two short sentences, an adult a few plain ones.

A child hears what is already there and what comes next, and never a verdict, a count or a rule. An adult may
hear all of that, without the tone for children.
"""

from __future__ import annotations

from collections.abc import Sequence
from itertools import groupby
from typing import Final

from readiness.advice.after_hold import closed_lately
from readiness.advice.letter import moved
from readiness.course.graph import first_needed
from readiness.judging.answer import GAP_STATES
from readiness.terms import State
from readiness.words.grammar import joined, listed, quoted, tidy
from readiness.words.letter_words import NAMED_AT_MOST, PARTS, LetterWords

__all__ = ["GROWN_TONE_AGE", "StudentWords"]

GROWN_TONE_AGE: Final = 13
"""From here on the tone for children is dropped."""

_GENTLY: Final = "Next time we begin with just a little, with pauses. Tell me at once if anything hurts."
_THEN: Final = {
    "staying": "Next time we go on with what we're playing now, because there's more in it.",
    "last unit": "Next time you choose what we play.",
    "finished": "Next time you choose what we play.",
    "first lesson": "Next time we try a few things, and then we know where we begin.",
    "placing": "Next time we try a few more things, and then we know where we begin.",
    "break": "We look at a few little things together, and then we go on.",
    "after pause": "We look at a few little things together, and then we go on.",
}


class StudentWords(LetterWords):
    """The names that a letter to the student may use."""

    @property
    def tone(self) -> str:
        """Whether a child or somebody grown, or nearly so, is spoken to."""
        return "adult" if self._answer.age >= GROWN_TONE_AGE else "child"

    # to a child

    def good(self) -> str:
        """Return to a child something good that was seen."""
        if not self._good:
            return self._welcome()
        how = self._you(self._good)
        if self._answer.away == "on-a-break":
            return f"I remember how {how}."
        if self._answer.away is not None:
            return f"I saw that {how}, also after the weeks away."
        if self._answer.placing is not None:
            return f"You showed me how {how}."
        alone = all(self._say.standing(skill).last_help == 0 for skill in self._good)
        return f"{how[:1].upper()}{how[1:]}{', all on your own' if alone else ' now'}."

    def _welcome(self) -> str:
        if self._answer.away == "on-a-break":
            return "I'm looking forward to seeing you again."
        if self._answer.away is not None:
            return "It's good to have you back."
        return "I'm looking forward to playing with you." if self._answer.last_lesson is None else ""

    def unit_name(self) -> str:
        """Return the name of the unit that begins."""
        ahead = self._answer.next_unit if self._case == "ready" else self._answer.unit
        return "" if ahead is None else quoted(self._course.unit[ahead].name)

    def then(self) -> str:
        """Return to a child what comes next time."""
        if closed_lately(self._say.record, self._answer.on) and self._case != "paused":
            return _GENTLY
        if self._case in ("moved", "begins"):
            return self._then_new()
        return self._onward() if self._case == "ready" else _THEN.get(self._case) or self._then_one()

    def _then_new(self) -> str:
        skill = self._answer.one_thing
        if skill is None:
            return "Next time we find out together what's in it."
        if self._state(skill) == State.UNTRIED:
            return f"Next time we find out together how {self._you((skill,))}."
        return f"Next time I'd like to see how {self._you((skill,))}."

    def _then_one(self) -> str:
        skill = self._answer.one_thing
        if skill is None:
            return "Next time we look at a few things together."
        if skill in self._good and self._state(skill) not in GAP_STATES:
            return "Next time I'd like to see that once more."
        if self._state(skill) in GAP_STATES:
            return f"Next time we start with one thing: {self._you((skill,))}."
        if self._state(skill) == State.UNTRIED:
            return f"Next time we find out together how {self._you((skill,))}."
        return f"Next time I'd like to see how {self._you((skill,))}."

    def _onward(self) -> str:
        words = f"Next time we begin something new, {self.unit_name()}"
        along = self._answer.taken_along
        if len(along) == 1:
            return f"{words}, and one thing comes with us: {self._you(along)}."
        return f"{words}, and a few things come with us." if along else f"{words}."

    def _you(self, skills: Sequence[str]) -> str:
        """Return skills as spoken to the student: "you lift your wrist"."""
        said = [tidy(self._course.skill[skill].you) for skill in skills]
        return self._with_names(skills, said, ("you do this", "you do these things", "you do {} more"))

    def resting(self) -> str:
        """Return what rests for another course, to a child as one says it."""
        resting = self._say.record.resting(self._answer.on)
        if self.tone == "adult" or not resting or self._case == "paused":
            return super().resting()
        parts = listed([PARTS[part] for part in dict.fromkeys(hold.part for hold in resting)])
        until = "and we use other things until a grown-up says that it's good again."
        return self._joined(f"Your {parts} can rest, {until}", self.rest_voice())

    # to an adult

    def well(self) -> str:
        """Return what goes well, as things."""
        return self._things(self._good) if self._good else ""

    def along(self) -> str:
        """Return what is finished on the way, each with the unit that it has to be there for."""
        move = moved(self._course, self._say.record, self._answer)
        if move is not None:
            return (
                f"Still to finish on the way: {self._things(move.along[:NAMED_AT_MOST])}."
                if move.along
                else ""
            )
        unit, along = self._answer.unit, self._answer.taken_along
        if self._case not in ("ready", "last unit") or unit is None:
            return ""
        needed = {skill: first_needed(self._course, skill, unit) for skill in along}
        due = {skill: later.number if later else 0 for skill, later in needed.items()}
        told = []
        for number, skills in groupby(
            sorted(along, key=lambda skill: due[skill] or len(self._course.units) + 1), due.get
        ):
            when = f"by unit {number}" if number else "in your own time"
            told.append(f"{self._things(list(skills)[:NAMED_AT_MOST])} {when}")
        return f"To finish on the way: {joined(told)}." if told else ""

    def one_thing(self) -> str:
        """Return the one thing to work on or look at next."""
        skill = self._answer.one_thing
        if skill is None or self._answer.placing is not None or self._case == "paused":
            return ""
        if self._state(skill) in GAP_STATES:
            return f"The one thing to work on: {self._things((skill,))}."
        if self._state(skill) == State.BUILDING:
            one = self._say.standing(skill)
            days = f"{one.have} of {one.need} days"
            return f"Next I'd like to see {self._things((skill,))} again: {days} so far."
        return f"Next I'd like to look at {self._things((skill,))}."

    def start(self) -> str:
        """Return where lessons start."""
        now = self._start()
        return self._joined(f"For now we start in {self._say.unit(now.start)}.", self._perhaps(now))

    def _can_move(self) -> str:
        return "you can move on"
