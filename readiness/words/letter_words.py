"""What any letter can say, by the names that a letter's text uses: ``$next_lesson``, ``$stop_now``, ...

Each name is a method that picks what is so and has the language of the letter say it (``letter_english``,
``spanish``); empty where it has nothing to say, and then the line that uses it is left out. Nothing repeats
what a family said about the body, guesses at a cause, names another student, or tells of a move while the
teacher's decision to stay is in force (rule R11).
"""

from __future__ import annotations

from collections.abc import Sequence
from typing import Final

from readiness.advice.after_hold import closed_lately, gentle_home
from readiness.advice.letter import HomeThing, good_things, moved
from readiness.advice.placing.round import PlacingRound, placing_round
from readiness.judging.answer import GAP_STATES
from readiness.record.consents import may_see
from readiness.terms import State, Verdict
from readiness.words.grammar import tidy
from readiness.words.letter_english import Letters
from readiness.words.phrases import Phrases

__all__ = ["MARK", "NAMED_AT_MOST", "LetterWords", "case_of"]

NAMED_AT_MOST: Final = 3
"""No more names than this in a sentence."""

MARK: Final = "\x1f"
"""Stands round the name of a skill that has no forms of its own; it goes on a line of its own."""


def case_of(say: Phrases) -> str:
    """Return which paragraph of a letter fits the answer."""
    answer = say.answer
    if answer.verdict == Verdict.PAUSED:
        return "paused"
    move = moved(say.course, say.record, answer)
    if move is not None:
        return "finished" if move.unit is None else "begins" if move.is_start else "moved"
    if answer.placing is not None:
        return "placing" if answer.last_lesson is not None else "first lesson"
    if answer.is_ready:
        return "staying" if answer.stays else "ready" if answer.next_unit else "last unit"
    if answer.away is not None:
        return "break"
    return "after pause" if answer.after_hold is not None and not answer.blockers else "waiting"


class LetterWords:
    """The names that every letter may use."""

    def __init__(self, say: Phrases, named: str, language: Letters) -> None:
        """Speak about one answer, of a student called ``named``.

        The course of ``say`` names its skills in the language of the letter (``course.translated``).
        """
        self._say, self._answer, self._course, self._named = say, say.answer, say.course, named
        self._in, self._case = language, case_of(say)
        self._good = good_things(say.course, say.answer)
        self._holds = say.record.open_holds(say.answer.on)
        self._move = moved(say.course, say.record, say.answer)
        self._told: dict[str, None] = {}
        self._days: dict[int, None] = {}

    @property
    def case(self) -> str:
        """Which paragraph of a letter fits."""
        return self._case

    @property
    def is_paused(self) -> bool:
        """Whether nothing is played."""
        return self._case == "paused"

    def is_kept_from(self, reader: str) -> bool:
        """Return whether nothing of an adult may be told to this reader."""
        return reader == "family" and not may_see(self._say.record, "family", self._answer.on).sees

    @property
    def told(self) -> tuple[tuple[str, ...], tuple[int, ...]]:
        """The skills and the days that the letter has named so far."""
        return tuple(self._told), tuple(self._days)

    def name(self) -> str:
        """Return whom the letter is about."""
        return self._named

    def day(self) -> str:
        """Return the day that was asked about."""
        return self._in.day(self._answer.on, None)

    def unit(self) -> str:
        """Return the unit with its number."""
        return "" if self._answer.unit is None else self._unit(self._answer.unit)

    def next_unit(self) -> str:
        """Return the unit that may begin now."""
        ahead = self._answer.next_unit
        return self._unit(ahead) if ahead and self._case == "ready" else ""

    def next_lesson(self) -> str:
        """Return the day of the next lesson."""
        return "" if self._answer.next_lesson is None else self._day(self._answer.next_lesson)

    # where the body rests

    def paused_since(self) -> str:
        """Return since when nothing is played."""
        opened = [hold.opened for hold in self._say.record.holds if hold.is_open(self._answer.on)]
        return self._day(min(opened)) if opened else ""

    def what_hurts(self) -> str:
        """Return what hurts, by the part that the pause names and in nobody's words."""
        parts = {hold.part for hold in self._holds}
        return self._in.hurts(parts.pop() if len(parts) == 1 else None)

    def what_rests(self) -> str:
        """Return what is not done for now: playing, singing or both."""
        return self._in.doing(self._resting())

    def stop_now(self) -> str:
        """Return what to do while it hurts (C1); empty without a pause."""
        return self._in.stop_now(self._resting()) if self._case == "paused" else ""

    def _resting(self) -> str:
        parts = {hold.part for hold in self._holds}
        if parts == {"voice"} and self._course.uses == "voice":
            return "sing"
        return "both" if parts & {"voice", "all"} else "play"

    def rest_voice(self) -> str:
        """Return how a sore voice rests (C13)."""
        return self._in.rest_voice() if any(hold.part == "voice" for hold in self._holds) else ""

    def quiet_work(self) -> str:
        """Return what a lesson may hold in a pause."""
        return self._in.quiet_work(self._holds) if self._case == "paused" else ""

    def resting(self) -> str:
        """Return that a part of the body rests for another course, where this one goes on."""
        resting = self._say.record.resting(self._answer.on)
        if not resting or self._case == "paused":
            return ""
        parts = list(dict.fromkeys(hold.part for hold in resting))
        since = self._day(min(hold.opened for hold in resting))
        return self._joined(self._rests(parts, since), self.rest_voice())

    def _rests(self, parts: Sequence[str], since: str) -> str:
        return self._in.resting(parts, since)

    def gently(self) -> str:
        """Return how to begin again at home in the weeks after a pause."""
        return self._in.gently() if self._is_after_a_pause() else ""

    def _is_after_a_pause(self) -> bool:
        return bool(closed_lately(self._say.record, self._answer.on)) and self._case != "paused"

    # what several readers hear

    def at_home(self) -> str:
        """Return the one thing to do at home."""
        home = gentle_home(self._course, self._say.record, self._answer)
        if home is None:
            return ""
        activity = self._in.for_home(tidy(home.text), self._named) if home.text else ""
        away = self._answer.away == "on-a-break"
        if home.skill is not None and not home.minutes:
            return self._in.home_habit(self._things((home.skill,)), activity, on_a_break=away)
        return self._in.home(home.minutes, home.days, self._at_what(home), activity, on_a_break=away)

    def _at_what(self, home: HomeThing) -> str:
        if home.skill is None:
            return "fun"
        if self._answer.is_ready and not home.text:
            return "piece"
        return "" if home.text and home.skill in self._just_told() else self._things((home.skill,))

    def _just_told(self) -> Sequence[str]:
        """Return the skills that the letter has just spoken of as the thing to work on."""
        one = self._answer.one_thing
        is_told = self._case == "waiting" and one and self._state(one) in GAP_STATES
        return (one,) if is_told and one else self._answer.taken_along[:1]

    def before(self) -> str:
        """Return what is unfinished from earlier units (rule R12) and not named as something else here."""
        skills = self._from_before()
        units = {self._course.skill[skill].unit for skill in skills}
        here = self._course.unit[self._answer.unit].number if self._answer.unit else 0
        last = {self._course.unit[unit].number for unit in units} == {here - 1}
        few = skills[:NAMED_AT_MOST]
        return self._in.before(self._things(few), len(skills) - len(few), last_unit=last) if few else ""

    def _from_before(self) -> list[str]:
        if self._case in ("paused", "finished"):
            return []
        elsewhere = {self._answer.one_thing if self._names_one_thing() else None}
        elsewhere |= set(self._move.along[:NAMED_AT_MOST] if self._move else ())
        return [one.skill for one in self._answer.brought_along if one.skill not in elsewhere]

    def _names_one_thing(self) -> bool:
        """Return whether the letter names the one thing where it says what comes next."""
        return False

    def when(self) -> str:
        """Return when we look again, and the earliest day of a move where that may be told."""
        answer = self._answer
        if answer.next_lesson is None:
            return ""
        again = self._day(answer.next_lesson)
        if answer.earliest is None or answer.stays or answer.placing is not None or answer.next_unit is None:
            return self._in.when(again)
        if answer.earliest > answer.next_lesson:
            return self._in.when_later(again, self._day(answer.earliest))
        named = {one.skill for one in answer.blockers}
        comes = len(named) if named == {*answer.look_first} and len(named) < NAMED_AT_MOST else 0
        return self._in.when_then(again, comes, self._moves_on())

    def _moves_on(self) -> str:
        return self._named

    def young(self) -> str:
        """Return what holds for somebody younger than the course was made for (rule R8)."""
        is_young = any(one.id == "young" for one in self._answer.remarks)
        return self._in.young() if is_young and self._case != "paused" else ""

    def _start(self) -> PlacingRound:
        return placing_round(self._course, self._say.record, self._answer.on)

    def _perhaps(self, now: PlacingRound) -> str:
        """Return which other units the start may be, and that a second lesson confirms it."""
        here, first, last = (self._course.unit[one].number for one in (now.start, now.fits[0], now.fits[-1]))
        told = self._in.perhaps(first if first < here else None, last if last > here else None)
        placing = self._answer.placing
        is_so = placing is not None and placing.provisional
        return self._joined(told if now.looks else "", self._in.first_impression() if is_so else "")

    def _joined(self, *sentences: str) -> str:
        return " ".join(filter(None, sentences))

    # skills, units and days

    def _unit(self, unit: str) -> str:
        return self._in.unit(self._course.unit[unit].number, tidy(self._course.unit[unit].name))

    def _day(self, day: int) -> str:
        self._days[day] = None
        return self._in.day(day, self._answer.on)

    def _things(self, skills: Sequence[str], last: str = "and") -> str:
        """Return skills as things that can be worked on: "lifting the wrist"."""
        return self._with_names(skills, [tidy(self._course.skill[one].said) for one in skills], last)

    def _with_names(self, skills: Sequence[str], said: Sequence[str], last: str, *, you: bool = False) -> str:
        """Return the forms of skills as a list; those without any are counted, their names marked.

        Args:
            skills: their ids; said: their forms, empty where there is none.
            last: the word before the last.
            you: whether they are spoken to a child.
        """
        self._told |= dict.fromkeys(skills)
        known = [words for words in said if words]
        missing = [skill for skill, words in zip(skills, said, strict=True) if not words]
        if not missing:
            return self._in.joined(known) if last == "and" else self._in.listed(known, last)
        names = "".join(f"{MARK}{tidy(self._course.skill[skill].name)}{MARK}" for skill in missing)
        form = (self._in.unnamed_you if you else self._in.unnamed)(len(missing), beside=bool(known))
        return f"{self._in.joined([*known, form])}{names}"

    def _state(self, skill: str) -> State:
        return self._say.standing(skill).state
