"""What any letter can say, by the names that a letter's text uses: ``$next_lesson``, ``$stop_now``, ...

Each name is a method that returns a phrase or whole sentences; empty where it has nothing to say, and then
the line that uses it is left out. Nothing repeats what a family said about the body, guesses at a cause,
names another student, or tells of a move while the teacher's decision to stay is in force (rule R11).
"""

from __future__ import annotations

from collections.abc import Sequence
from typing import Final

from readiness.advice.after_hold import closed_lately, gentle_home
from readiness.advice.letter import HomeThing, good_things, moved
from readiness.advice.placing.round import PlacingRound, placing_round
from readiness.judging.answer import GAP_STATES
from readiness.record.consents import ADULT_AGE
from readiness.record.model import Hold
from readiness.terms import State, Verdict
from readiness.words.cautions import caution
from readiness.words.grammar import counted, date_words, joined, listed, number_words, quoted, tidy
from readiness.words.paused import quiet_work
from readiness.words.phrases import Phrases
from readiness.words.placing_round import perhaps_words

__all__ = ["MARK", "NAMED_AT_MOST", "PARTS", "LetterWords", "case_of"]

NAMED_AT_MOST: Final = 3
"""No more names than this in a sentence."""

MARK: Final = "\x1f"
"""Stands round the name of a skill that has no forms of its own; it goes on a line of its own."""

_HURTS: Final = {"hand": "a hand or an arm hurts", "voice": "the voice or the throat hurts"}
_NAMED: Final = ("it comes", "both come")
PARTS: Final = {"hand": "hands and arms", "voice": "voice", "all": "part that hurts"}


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

    def __init__(self, say: Phrases, named: str) -> None:
        """Speak about one answer, of a student called ``named``."""
        self._say, self._answer, self._course, self._named = say, say.answer, say.course, named
        self._case = case_of(say)
        self._good = good_things(say.course, say.answer)
        self._holds: Sequence[Hold] = say.record.open_holds(say.answer.on)

    def name(self) -> str:
        """Return whom the letter is about."""
        return self._named

    def day(self) -> str:
        """Return the day that was asked about."""
        return date_words(self._answer.on)

    def unit(self) -> str:
        """Return the unit with its number."""
        return "" if self._answer.unit is None else self._say.unit(self._answer.unit)

    def next_unit(self) -> str:
        """Return the unit that may begin now."""
        ahead = self._answer.next_unit
        return self._say.unit(ahead) if ahead and self._case == "ready" else ""

    def next_lesson(self) -> str:
        """Return the day of the next lesson."""
        return "" if self._answer.next_lesson is None else self._say.day(self._answer.next_lesson)

    # where the body rests

    def paused_since(self) -> str:
        """Return since when nothing is played."""
        opened = [hold.opened for hold in self._say.record.holds if hold.is_open(self._answer.on)]
        return self._say.day(min(opened)) if opened else ""

    def what_hurts(self) -> str:
        """Return what hurts, by the part that the pause names and in nobody's words."""
        parts = {hold.part for hold in self._holds}
        return _HURTS.get(parts.pop(), "something hurts") if len(parts) == 1 else "something hurts"

    def what_rests(self) -> str:
        """Return what is not done for now: playing, singing or both."""
        parts = {hold.part for hold in self._holds}
        if parts == {"voice"} and self._course.uses == "voice":
            return "singing"
        return "playing or singing" if parts & {"voice", "all"} else "playing"

    def stop_now(self) -> str:
        """Return what to do while it hurts (C1); empty without a pause."""
        doing = self.what_rests()
        do = doing.replace("playing", "play").replace("singing", "sing")
        stop = f"Stop {doing.replace(' or ', ' and ')} now. Do not {do} through pain."
        return stop if self._case == "paused" else ""

    def rest_voice(self) -> str:
        """Return how a sore voice rests (C13)."""
        return caution("C13") if any(hold.part == "voice" for hold in self._holds) else ""

    def quiet_work(self) -> str:
        """Return what a lesson may hold in a pause."""
        return listed(quiet_work(self._holds)) if self._case == "paused" else ""

    def resting(self) -> str:
        """Return that a part of the body rests for another course, where this one goes on."""
        resting = self._say.record.resting(self._answer.on)
        if not resting or self._case == "paused":
            return ""
        parts = listed([PARTS[part] for part in dict.fromkeys(hold.part for hold in resting)])
        since = self._say.day(min(hold.opened for hold in resting))
        until = f"Nothing here or at home uses the {parts} until an adult ends the pause."
        return self._joined(f"Another course is paused since {since}.", until, self.rest_voice())

    def gently(self) -> str:
        """Return how to begin again at home in the weeks after a pause."""
        if not closed_lately(self._say.record, self._answer.on) or self._case == "paused":
            return ""
        return (
            "After the rest, please keep to small amounts at home, with pauses, and a little more each week. "
            "If anything hurts, stop and ask the doctor or clinician again."
        )

    # what several readers hear

    def at_home(self) -> str:
        """Return the one thing to do at home."""
        home = gentle_home(self._course, self._say.record, self._answer)
        if home is None:
            return ""
        where = "At home, where there is an instrument," if self._answer.away == "on-a-break" else "At home,"
        activity = f": {self._for_home(home.text)}" if home.text else "."
        if home.skill is not None and not home.minutes:
            return f"{where} please see to {self._things((home.skill,))} each time before playing{activity}"
        return f"{where} {self._how_long(home)} plenty{self._at_what(home)}{activity}"

    def _at_what(self, home: HomeThing) -> str:
        if home.skill is None:
            return ", playing whatever is fun"
        if self._answer.is_ready and not home.text:
            return ", with a piece that goes well"
        return "" if home.text and home.skill in self._told() else f" for {self._things((home.skill,))}"

    def _told(self) -> Sequence[str]:
        """Return the skills that the letter has just spoken of as the thing to work on."""
        one = self._answer.one_thing
        is_told = self._case == "waiting" and one and self._say.standing(one).state in GAP_STATES
        return (one,) if is_told and one else self._answer.taken_along[:1]

    def _how_long(self, home: HomeThing) -> str:
        minutes = "one minute" if home.minutes == 1 else f"{number_words(home.minutes)} minutes"
        days = f" on {number_words(home.days)} day{'s' if home.days > 1 else ''} a week" if home.days else ""
        return f"{minutes}{days or ' a day'} is"

    def _for_home(self, text: str) -> str:
        """Return an activity with the student's name where it says "the child"."""
        words = tidy(text)
        for general in ("The child", "the child", "Child"):
            words = words.replace(general, self._named)
        return quoted(words)

    def when(self) -> str:
        """Return when we look again, and the earliest day of a move where that may be told."""
        answer = self._answer
        if answer.next_lesson is None:
            return ""
        again = f"We'll look again on {self._say.day(answer.next_lesson)}"
        if answer.earliest is None or answer.stays or answer.placing is not None or answer.next_unit is None:
            return f"{again}."
        if answer.earliest > answer.next_lesson:
            day = self._say.day(answer.earliest)
            return f"{again}. The earliest day to move on is {day}, and it may take longer."
        return f"{again}; if {self._what_comes()} that day without help, {self._can_move()}."

    def _what_comes(self) -> str:
        """Return what has to come: what the letter has named, or all that is looked at then."""
        named = {one.skill for one in self._answer.blockers}
        if named != {*self._answer.look_first} or len(named) > len(_NAMED):
            return "everything we look at comes"
        return _NAMED[len(named) - 1]

    def _can_move(self) -> str:
        return f"{self._named} can move on"

    def young(self) -> str:
        """Return what holds for somebody younger than the course was made for (rule R8)."""
        is_young = any(one.id == "young" for one in self._answer.remarks)
        return (
            "At this age everything stays short and playful." if is_young and self._case != "paused" else ""
        )

    def _start(self) -> PlacingRound:
        return placing_round(self._course, self._say.record, self._answer.on)

    def _perhaps(self, now: PlacingRound) -> str:
        """Return which other units the start may be, and that a second lesson confirms it."""
        placing = self._answer.placing
        is_so = placing is not None and placing.provisional
        first = "That is a first impression; a second lesson confirms it or moves it." if is_so else ""
        return self._joined(perhaps_words(now, self._course), first)

    def _joined(self, *sentences: str) -> str:
        return " ".join(filter(None, sentences))

    # skills

    def _things(self, skills: Sequence[str], last: str = "and") -> str:
        """Return skills as things that can be worked on: "lifting the wrist"."""
        said = [tidy(self._course.skill[skill].said) for skill in skills]
        return self._with_names(skills, said, ("one skill", "{} skills", "{} more"), last)

    def _with_names(
        self, skills: Sequence[str], said: Sequence[str], unnamed: tuple[str, str, str], last: str = "and"
    ) -> str:
        """Return the forms of skills as a list; those without any are counted, their names marked.

        Args:
            skills: their ids; said: their forms, empty where there is none.
            unnamed: what is said of one without a form, of several, and of more beside others.
            last: the word before the last.
        """
        known = [words for words in said if words]
        missing = [skill for skill, words in zip(skills, said, strict=True) if not words]
        if not missing:
            return joined(known) if last == "and" else listed(known, last)
        names = "".join(f"{MARK}{tidy(self._course.skill[skill].name)}{MARK}" for skill in missing)
        form = unnamed[2] if known else unnamed[len(missing) > 1]
        return f"{joined([*known, form.format(number_words(len(missing)))])}{names}"

    def _state(self, skill: str) -> State:
        return self._say.standing(skill).state

    def _is_adult(self) -> bool:
        return self._answer.age >= ADULT_AGE

    def _count(self, count: int, noun: str) -> str:
        return (
            f"{number_words(count)} {noun}{'' if count == 1 else 's'}"
            if count <= 10
            else counted(count, noun)
        )
