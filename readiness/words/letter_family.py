"""What the letter to the family can say: what was seen, what is needed, one thing to do at home.

The playing is described and never the child; there is no verdict word and no comparison.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from typing import Final

from readiness.advice.letter import moved
from readiness.judging.answer import GAP_STATES
from readiness.terms import Kind, State
from readiness.words.grammar import capital, listed, number_words
from readiness.words.letter_words import NAMED_AT_MOST, LetterWords

__all__ = ["FamilyWords"]

DAYS_AT_MOST: Final = 3
SPOKEN_AGE: Final = 10

_KIND: Final = {
    Kind.MOTOR: "a new movement",
    Kind.KNOWLEDGE: "something like this",
    Kind.EAR: "a listening skill",
    Kind.READING: "something that is read",
    Kind.HABIT: "a habit",
}


class FamilyWords(LetterWords):
    """The names that a letter to the family may use."""

    def good(self) -> str:
        """Return something good that was seen, with its days where more of them are waited for."""
        good = [one for one in self._good if one not in self._along()]
        if not good:
            return "" if self._case in ("moved", "begins", "finished") else self._looking_forward()
        what = self._things(good)
        if self._answer.away == "on-a-break":
            return f"Before the break {self._named} was getting on well with {what}."
        if self._answer.away is not None:
            return f"After the weeks away {self._named} is still getting on well with {what}."
        if any(self._say.standing(skill).last_help != 0 for skill in good):
            return f"{self._named} is getting on well with {what}."
        if self._answer.placing is not None:
            return f"{self._named} needs no help with {what}."
        return f"{self._named} now needs no help with {what}{self._seen_on(good)}."

    def _looking_forward(self) -> str:
        return f"I'm looking forward to the lesson with {self._named}."

    def _seen_on(self, good: Sequence[str]) -> str:
        """Return the days on which what is building was seen, where they are the same for all of it."""
        days = {
            tuple(note.day for note in self._say.standing(skill).evidence if note.counts)[
                -self._have(skill) :
            ]
            for skill in good
            if self._state(skill) == State.BUILDING and self._have(skill)
        }
        found = days.pop() if len(days) == 1 else ()
        if not found or len(found) > DAYS_AT_MOST or any(self._state(one) != State.BUILDING for one in good):
            return ""
        what = {1: "it", 2: "both"}.get(len(good), "them")
        return f": we saw {what} on {listed([self._say.day(day) for day in found])}"

    def _have(self, skill: str) -> int:
        return self._say.standing(skill).have

    def needed(self) -> str:
        """Return what is waited for and why, in at most three sentences."""
        one = self._answer.one_thing
        if self._answer.is_ready or self._answer.placing is not None:
            return ""
        if self._case == "waiting" and one and self._state(one) in (*GAP_STATES, State.WOBBLING):
            return " ".join(self._one_thing(one))
        return " ".join(self._open_things())

    def _one_thing(self, skill: str) -> Iterator[str]:
        """Yield what comes first, and what builds on it."""
        yield f"One thing comes first now: {self._things((skill,))}."
        chain = self._answer.chain
        builds = f", and {self._things(chain[-1:])} builds on it" if len(chain) > 1 else ""
        match self._state(skill):
            case State.SLIPPED:
                yield f"It was secure and has come loose since, which is usual{builds}."
            case State.WOBBLING:
                yield f"It was secure, with one off day since{builds}; one day says little."
            case State.NOT_SHOWN:
                yield f"It hasn't been shown yet{builds}."
            case _:
                yield f"It comes with some help so far{builds}."

    def _open_things(self) -> Iterator[str]:
        """Yield why we look again where nothing needed more than another look."""
        answer = self._answer
        skills = [one.skill for one in answer.blockers if one.skill is not None]
        skills = skills if answer.blockers else list(answer.open_rest)
        by = {state: [one for one in skills if self._state(one) == state] for state in State}
        if by[State.BUILDING]:
            yield from self._more_days(by[State.BUILDING])
        if by[State.STALE]:
            yield "Some things haven't been seen for a while; a short look tells us whether they are there."
        elif by[State.UNTRIED]:
            yield f"{self._some(by[State.UNTRIED])} not had a turn yet, so we begin with that next."
        elif by[State.WOBBLING]:
            yield f"{self._some(by[State.WOBBLING])} had one off day, and one day says little."
        for group in [one.group for one in answer.blockers if one.group is not None][:1]:
            yield (
                f"Before the next unit we'd like to see {number_words(group.at_least)} of these: "
                f"{self._things(group.of[:NAMED_AT_MOST], 'or')}."
            )

    def _more_days(self, skills: Sequence[str]) -> Iterator[str]:
        """Yield how many days are asked for and why, and how many there are."""
        kinds = {self._course.skill[skill].kind for skill in skills}
        counts = {(self._have(skill), self._say.standing(skill).need) for skill in skills}
        what = _KIND[kinds.pop()] if len(kinds) == 1 else "such things"
        days = f"{number_words(max(need for _, need in counts))} different days"
        age = self._answer.age
        at = f"At {number_words(age)}" if age <= SPOKEN_AGE else "At this age"
        yield f"{at} we like to see {what} on {days} before we build on it{self._because(skills)}."
        if len(counts) > 1:
            yield "A day or two more is all we're waiting for, and nothing is wrong."
            return
        have, need = counts.pop()
        more = max(need - have, 1)
        of, is_are = "two" if need == 2 else f"the {number_words(need)}", "is" if more == 1 else "are"
        yield (
            f"So far it's {number_words(have)} of {of} days, so {self._count(more, 'more day')} {is_are} all "
            "we're waiting for, and nothing is wrong."
        )

    def _because(self, skills: Sequence[str]) -> str:
        ahead = self._answer.next_unit
        needed = [one for one in self._answer.blockers if one.skill in skills and one.needed_by]
        if ahead is None or not needed:
            return ""
        on = {1: "it", 2: "both"}.get(len(skills), "them")
        return f", and {self._say.unit(ahead)}, builds on {on}"

    def _some(self, skills: Sequence[str]) -> str:
        if len(skills) > 2:
            return "A few things have"
        words = self._things(skills)
        return f"{capital(words)} {'has' if len(skills) == 1 else 'have'}"

    def _along(self) -> Sequence[str]:
        move = moved(self._course, self._say.record, self._answer)
        return self._answer.taken_along if move is None else move.along

    def along(self) -> str:
        """Return what is finished on the way after a move; empty where no move may be told."""
        along = self._along()
        if not along or self._case not in ("ready", "last unit", "moved", "begins"):
            return ""
        count = f"{capital(self._count(len(along), 'thing'))} {'is' if len(along) == 1 else 'are'}"
        some = ", among them " if len(along) > NAMED_AT_MOST else ": "
        return f"{count} finished on the way{some}{self._things(along[:NAMED_AT_MOST])}."

    def coming(self) -> str:
        """Return what comes first in a unit that has just begun."""
        skill = self._answer.one_thing
        if self._case not in ("moved", "begins") or self._along():
            return ""
        if skill is None:
            return "What comes next is new, and we begin it bit by bit."
        return f"Next we look together at {self._things((skill,))}."

    def start(self) -> str:
        """Return where lessons start, and what else is practised there."""
        now = self._start()
        patches = now.patches[:NAMED_AT_MOST]
        extra = (
            f", with {self._count(len(patches), 'extra thing')}: {self._things(patches)}" if patches else ""
        )
        return self._joined(f"We start in {self._say.unit(now.start)}{extra}.", self._perhaps(now))
