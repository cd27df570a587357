"""What the letter to the family can say: what was seen, what is needed, one thing to do at home.

The playing is described and never the child; there is no verdict word and no comparison.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from typing import Final

from readiness.judging.answer import GAP_STATES
from readiness.terms import State
from readiness.words.letter_words import NAMED_AT_MOST, LetterWords

__all__ = ["FamilyWords"]

DAYS_AT_MOST: Final = 3
_FEW: Final = 2


class FamilyWords(LetterWords):
    """The names that a letter to the family may use."""

    def good(self) -> str:
        """Return something good that was seen, with its days where more of them are waited for."""
        good = [one for one in self._good if one not in self._along()]
        if not good:
            is_new = self._case in ("moved", "begins", "finished")
            return "" if is_new else self._in.looking_forward(self._named)
        things = self._things(good)
        if self._answer.away is not None:
            how = "on-a-break" if self._answer.away == "on-a-break" else "away"
            return self._in.good(how, self._named, things, len(good))
        if any(self._say.standing(skill).last_help != 0 for skill in good):
            return self._in.good("with-help", self._named, things, len(good))
        how = "alone" if self._answer.placing is None else "placing"
        return self._joined(self._in.good(how, self._named, things, len(good)), self._seen_on(good))

    def _seen_on(self, good: Sequence[str]) -> str:
        """Return the days on which what is building was seen, where they are the same for all of it."""
        if self._answer.placing is not None or any(self._state(one) != State.BUILDING for one in good):
            return ""
        days = {
            tuple(note.day for note in self._say.standing(skill).evidence if note.counts)[-have:]
            for skill in good
            if (have := self._have(skill))
        }
        found = days.pop() if len(days) == 1 else ()
        told = 0 < len(found) <= DAYS_AT_MOST
        return self._in.seen_on([self._day(day) for day in found], len(good)) if told else ""

    def _have(self, skill: str) -> int:
        return self._say.standing(skill).have

    def needed(self) -> str:
        """Return what is waited for and why, in at most three sentences."""
        one = self._answer.one_thing
        if self._answer.is_ready or self._answer.placing is not None:
            return ""
        if one and self._names_one_thing():
            chain = self._answer.chain
            builds = self._things(chain[-1:]) if len(chain) > 1 else ""
            return self._in.first_now(self._things((one,)), self._state(one), builds)
        return " ".join(self._open_things())

    def _names_one_thing(self) -> bool:
        one = self._answer.one_thing
        is_weak = one is not None and self._state(one) in (*GAP_STATES, State.WOBBLING)
        return self._case == "waiting" and is_weak and not self._answer.is_ready

    def _open_things(self) -> Iterator[str]:
        """Yield why we look again where nothing needed more than another look."""
        answer = self._answer
        skills = [one.skill for one in answer.blockers if one.skill is not None]
        skills = skills if answer.blockers else list(answer.open_rest)
        by = {state: [one for one in skills if self._state(one) == state] for state in State}
        if by[State.BUILDING]:
            yield from self._more_days(by[State.BUILDING])
        if by[State.STALE]:
            yield self._in.not_lately()
        elif untried := by[State.UNTRIED]:
            yield self._in.no_turn_yet(self._few(untried), len(untried))
        elif off := by[State.WOBBLING]:
            yield self._in.off_day(self._few(off))
        for group in [one.group for one in answer.blockers if one.group is not None][:1]:
            yield self._in.some_of(group.at_least, self._things(group.of[:NAMED_AT_MOST], "or"))

    def _few(self, skills: Sequence[str]) -> str:
        return self._things(skills) if len(skills) <= _FEW else ""

    def _more_days(self, skills: Sequence[str]) -> Iterator[str]:
        """Yield how many days are asked for and why, and how many there are."""
        kinds = {self._course.skill[skill].kind for skill in skills}
        counts = {(self._have(skill), self._say.standing(skill).need) for skill in skills}
        ahead = self._answer.next_unit
        is_needed = any(one.skill in skills and one.needed_by for one in self._answer.blockers)
        unit = self._unit(ahead) if ahead is not None and is_needed else ""
        kind = kinds.pop() if len(kinds) == 1 else None
        most = max(need for _, need in counts)
        yield self._in.asks_days(self._answer.age, kind, most, unit, len(skills))
        yield self._in.so_far(*counts.pop()) if len(counts) == 1 else self._in.nearly()

    def _along(self) -> Sequence[str]:
        return self._answer.taken_along if self._move is None else self._move.along

    def along(self) -> str:
        """Return what is finished on the way after a move; empty where no move may be told."""
        along = self._along()
        if not along or self._case not in ("ready", "last unit", "moved", "begins"):
            return ""
        things = self._things(along[:NAMED_AT_MOST])
        return self._in.along(len(along), things, among=len(along) > NAMED_AT_MOST)

    def coming(self) -> str:
        """Return what comes first in a unit that has just begun."""
        skill = self._answer.one_thing
        if self._case not in ("moved", "begins") or self._along():
            return ""
        return self._in.coming("" if skill is None else self._things((skill,)))

    def start(self) -> str:
        """Return where lessons start, and what else is practised there."""
        now = self._start()
        patches = now.patches[:NAMED_AT_MOST]
        things = self._things(patches) if patches else ""
        return self._joined(self._in.start(self._unit(now.start), len(patches), things), self._perhaps(now))
