"""What any letter can say, by the names that a letter's text uses: ``$next_lesson``, ``$stop_now``, ...

Each name is a method that picks what is so and has the language of the letter say it (``letter_english``,
``spanish``); empty where it has nothing to say, and then the line that uses it is left out. Nothing repeats
what a family said about the body, guesses at a cause, names another student, or tells of a move while the
teacher's decision to stay is in force (rule R11).
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from typing import TYPE_CHECKING, Final

from readiness.advice.after_break import closed_lately, is_unhurt, pain_day
from readiness.advice.letter import Moved, good_things, home_thing, is_lately, moved
from readiness.advice.plan import holidays_before
from readiness.advice.skill_traits import left_out
from readiness.judging.answer import GAP_STATES
from readiness.judging.reasons import rules_in
from readiness.record.consents import may_see
from readiness.record.model import Hold
from readiness.terms import State, Verdict
from readiness.words.cautions import at_rest, earlier_pause
from readiness.words.english import STATE_WORDS, verdict_words
from readiness.words.grammar import capital, counted, inside, listed, number_words, tidy, together
from readiness.words.letter_english import Letters
from readiness.words.phrases import Phrases
from readiness.words.placing_round import perhaps_words
from readiness.words.reasons import rules_together
from readiness.words.why import brought_along

if TYPE_CHECKING:
    from readiness.advice.placing_round import PlacingRound
    from readiness.record.rhythm import Season

__all__ = ["MARK", "NAMED_AT_MOST", "FamilyWords", "LetterWords", "SchoolWords", "StudentWords"]

NAMED_AT_MOST: Final = 3
"""No more names than this in a sentence."""

LOOKED_AT_WITHIN: Final = 14
"""So many days of a pause it is new. Common practice, no source."""

MARK: Final = "\x1f"
"""Stands round the name of a skill that has no forms of its own; it goes on a line of its own."""


def _case(p: Phrases, move: Moved | None) -> str:
    answer = p.answer
    if answer.verdict == Verdict.PAUSED:
        return Verdict.PAUSED
    if move is not None:
        return "finished" if move.unit is None else "begins" if move.is_start else "moved"
    if answer.placing is not None:
        return "placing" if answer.last_lesson is not None else "first lesson"
    if answer.is_ready and not (answer.lapses and not answer.stays):
        return "staying" if answer.stays else Verdict.READY if answer.next_unit else "last unit"
    is_all_there = not (answer.blockers or p.too_much_open)
    is_back = answer.away == "first-lesson-back" and is_all_there
    if is_back or answer.away == "on-a-break" or answer.holds_because == "no-lesson":
        return "break"
    waits = "after pause" if answer.after_hold is not None and not answer.blockers else "waiting"
    return "staying" if answer.stays else waits


class LetterWords:
    """The names that every letter may use."""

    reader = ""

    def __init__(self, p: Phrases, named: str, language: Letters) -> None:
        """Speak of a student called ``named``; the course names its skills in the language of the letter."""
        self._p, self._answer, self._course, self._named = p, p.answer, p.course, named
        self._in, self._move = language, moved(p.course, p.record, p.answer)
        self.case, self._good = _case(p, self._move), good_things(p.course, p.answer)
        self._is_now = all(is_lately(p.answer, one) for one in self._good)
        self._holds = p.record.open_holds(p.answer.on)
        self._told: dict[str, None] = {}
        self._last: tuple[str, ...] = ()
        self._days: dict[int, None] = {}

    @property
    def fits(self) -> tuple[str, ...]:
        """The paragraphs of a letter that fit, the best first."""
        return (self.case,)

    @property
    def is_kept(self) -> bool:
        """Whether nothing of an adult may be told to this reader."""
        return self.reader == "family" and not may_see(self._p.record, "family", self._answer.on).sees

    @property
    def told(self) -> tuple[tuple[str, ...], tuple[int, ...]]:
        """The skills and the days that the letter has named so far."""
        return tuple(self._told), tuple(self._days)

    def name(self) -> str:
        return self._named

    def day(self) -> str:
        return self._in.day(self._answer.on, None)

    def unit(self) -> str:
        return self._unit(self._answer.unit)

    def next_unit(self) -> str:
        return "" if self.after() or self.case != Verdict.READY else self._unit(self._answer.next_unit)

    def later_unit(self) -> str:
        """Return the next unit where it waits for a big day or a long break."""
        return self._unit(self._answer.next_unit) if self.after() else ""

    def after(self) -> str:
        """Return what the next unit waits for, and whether the answer will have ended by then."""
        if self._p.season is None or self.case != Verdict.READY:
            return ""
        look = self._in.look_back if self._answer.ends_before(self._p.for_new) else ""
        return self._behind(self._p.season) + look

    def _behind(self, season: Season | None) -> str:
        if season is None:
            return ""
        return self._in.after_season[bool(season.name)].format(self._in.quoted(season.name))

    def next_lesson(self) -> str:
        """Return the day of the next lesson, never as today; nothing where nobody knows when lessons are."""
        day, away = self._answer.lesson_told, holidays_before(self._p.record, self._answer)
        if day is None:
            return ""
        if away is None:
            return self._day(day)
        first, last = self._in.day(away.first, self._answer.on), self._in.day(away.last, day)
        return self._day(day) + self._in.after_holidays.format(first=first, last=last)

    # where the body rests

    def paused_since(self) -> str:
        opened = [hold.opened for hold in self._p.record.holds if hold.is_open(self._answer.on)]
        return self._day(min(opened)) if opened else ""

    def came_back(self) -> str:
        """Return that there was a pause of this before; empty where it is the first."""
        earlier = earlier_pause(self._p.record, self._answer.on)
        return "" if earlier is None else self._in.came_back.format(self._day(earlier.closed or 0))

    def by_when(self) -> str:
        """Return when a clinician is to look at it, if nobody has yet."""
        since = min((hold.opened for hold in self._holds), default=self._answer.on)
        return self._in.by_when[self._answer.on - since > LOOKED_AT_WITHIN]

    def what_hurts(self) -> str:
        """Return what hurts, by the part that the pause names and in nobody's words."""
        parts = {hold.part for hold in self._holds}
        return self._in.hurts[parts.pop() if len(parts) == 1 else "all"]

    @property
    def first_of_all(self) -> str:
        """What is told before all else where the notes of the latest lesson speak of something that hurts."""
        day = pain_day(self._p.record, self._answer.on)
        if day is None or self.case == Verdict.PAUSED:
            return ""
        if self._is_child:
            return self._in.ask_first
        is_of_lesson = any(one.on == day and one.pain for one in self._p.record.entire.lessons)
        noted = self._in.may_hurt[is_of_lesson].format(day=self._day(day) if is_of_lesson else "")
        return self._in.it_hurts[self.reader == "student"].format(named=self._named, noted=noted)

    @property
    def _is_child(self) -> bool:
        return self.reader == "student" and not self._p.is_grown

    def what_rests(self) -> str:
        return self._in.doing[self._resting()]

    def stop_now(self) -> str:
        """Return what to do while it hurts (C1); empty without a pause."""
        stop = self._in.stop_now[self._resting()].format(ends=self._in.ends[self._p.of_age])
        return stop if self.case == Verdict.PAUSED else ""

    def _resting(self) -> str:
        return at_rest(self._holds, sings=self._course.uses == "voice")

    def rest_voice(self) -> str:
        said = self._in.rest_voice_child if self._is_child else self._in.rest_voice
        return said if any(hold.part == "voice" for hold in self._holds) else ""

    def quiet_work(self) -> str:
        return self._in.quiet_work() if self.case == Verdict.PAUSED else ""

    def resting(self) -> str:
        """Return that a part of the body rests for another course, where this one goes on."""
        resting = self._p.record.resting(self._answer.on)
        if not resting or self.case == Verdict.PAUSED:
            return ""
        parts = dict.fromkeys(hold.part for hold in resting)
        rests = self._in.joined([self._in.parts[part] for part in parts])
        since = self._day(min(hold.opened for hold in resting))
        told = self._in.resting_child if self._is_child else self._in.resting
        ends, by_when = self._in.ends[self._p.of_age], self.by_when()
        told = told.format(rests=rests, since=since, ends=ends, by_when=by_when)
        return self._joined(told, self.rest_voice())

    def gently(self) -> str:
        """Return how to begin again at home after a pause, first in the words of who ended it."""
        told = self._in.ended_words([inside(hold.closed_words) for hold in self._after_a_pause])
        over = self._move.over if self._move is not None else ()
        early = self._in.moved_early if any(one.because == "after-a-hold" for one in over) else ""
        if told and self._is_child:
            return self._in.gently_child  # nothing of what the adults said
        return self._joined(told, self._in.gently, early) if told else ""

    @property
    def _after_a_pause(self) -> Sequence[Hold]:
        return closed_lately(self._course, self._p.record, self._answer.on)

    # what several readers hear

    def at_home(self) -> str:
        """Return the one thing to do at home."""
        home = home_thing(self._course, self._p.record, self._answer)
        if home is None:
            return ""
        is_away = self._answer.away == "on-a-break" and self._course.uses == "hand"
        say, where = self._in, self._in.where[is_away]
        activity = say.for_home(tidy(home.text), self._named) if home.text else ""
        is_told, is_last = activity and home.skill in self._told, self._last == (home.skill,)
        if home.skill is not None and not home.minutes:
            if is_told:
                return say.habit_then.format(where=where, activity=activity)
            things = "" if is_last else self._things((home.skill,))
            way = say.habit_way.format(activity) if activity else ""
            return f"{where}, {say.habit[bool(things)].format(things=things)}.{way}"
        what = say.at_what["fun" if home.skill is None else "piece" if self._answer.is_ready else ""]
        what = what.format(doing=say.doing["sing" if self._course.uses == "voice" else "play"])
        if home.skill is not None and (home.text or not self._answer.is_ready):
            things = say.it if is_last or is_told else self._things((home.skill,))
            what = "" if is_told else say.at_things.format(things)
        return say.home.format(
            where=where,
            minutes=say.by_count(say.minutes, home.minutes),
            often=say.by_count(say.a_week, home.days) if home.days else say.a_day,
            what=what,
            activity=say.with_activity.format(activity) if activity else ".",
        )

    def before(self) -> str:
        """Return what is unfinished from earlier units (rule R12) and not named as something else here."""
        if not (skills := self._from_before()):
            return ""
        units = {self._course.unit[self._course.skill[skill].unit].number for skill in skills}
        last = self._answer.unit is not None and units == {self._course.unit[self._answer.unit].number - 1}
        return self._in.before.format(since=self._in.since[last], few=self._things(skills))

    def _from_before(self) -> list[str]:
        if self.case in (Verdict.PAUSED, "finished"):
            return []
        elsewhere = {self._answer.one_thing if self._names_one_thing() else None}
        elsewhere |= {*self._good, *(self._move.along[:NAMED_AT_MOST] if self._move else ())}
        elsewhere |= {*self._told}
        return [one.skill for one in self._answer.brought_along if one.skill not in elsewhere]

    def _names_one_thing(self) -> bool:
        """Return whether the letter names the one thing where it says what comes next."""
        return False

    def when(self) -> str:
        """Return when we look again, and the earliest day of a move where that may be told."""
        answer, earliest, day = self._answer, self._earliest, self.next_lesson()
        if not day or answer.next_lesson is None:
            return ""
        when = self._in.when.format(day=day)
        is_ahead = not (answer.is_ready or answer.stays or answer.placing is not None)
        if earliest is None or not is_ahead or answer.next_unit is None:
            return when
        if earliest > answer.next_lesson:
            day, by_plan = self._day(earliest), self._p.planned_move is not None
            move = self._in.when_later[by_plan].format(earliest=day + self._behind(answer.move_after))
            return self._joined(when, move)
        named = {one.skill for one in answer.blockers}
        is_all = named == {*answer.look_first} and len(named) < NAMED_AT_MOST
        open_groups = [self._p.still_of(one.group) for one in answer.blockers if one.group is not None]
        some = any(still < len(of) for still, of in open_groups)
        some = some or (self._p.too_much_open and self._p.carry_limit > 0)
        what = self._in.enough_comes if some else self._in.it_comes[len(named) if is_all else 0]
        who = self._in.moves_on[self.reader != "student"].format(named=self._named)
        return self._in.when_then.format(day=day, what=what, who=who)

    @property
    def _earliest(self) -> int | None:
        """The earliest day of a move that may be told, by the plan of the next lesson where that is later.

        None that would slip from week to week because something it needs was never seen.
        """
        later = self._p.planned_move
        day = self._answer.earliest_told if later is None else later.move
        return day if day == self._answer.next_lesson or self._p.has_begun else None

    def young(self) -> str:
        """Return what holds for somebody younger than the course was made for (rule R8)."""
        return self._in.young if self._p.is_young and self.case != Verdict.PAUSED else ""

    def _start_in(self, words: str, now: PlacingRound) -> str:
        """Return words about the start, and that it may still move.

        No family is told a unit before it is clear; how far it may move is of use to a teacher alone.
        """
        if not now.is_clear:
            return self._in.start_open
        may_move = now.result.provisional or perhaps_words(now, self._course)
        return self._joined(words, self._in.will_show if may_move else "")

    def _joined(self, *sentences: str) -> str:
        return " ".join(filter(None, sentences))

    # skills, units and days

    def _unit(self, unit: str | None) -> str:
        known = self._course.unit.get(unit or "")
        return self._in.unit.format(number=known.number, name=tidy(known.name)) if known else ""

    def _day(self, day: int) -> str:
        self._days[day] = None
        return self._in.day(day, self._answer.on)

    def _things(self, skills: Sequence[str], last: str = "and") -> str:
        few = skills[:NAMED_AT_MOST]
        said, more = [inside(self._course.skill[one].said) for one in few], len(skills) - len(few)
        return self._with_names(few, said, last, more=more)

    def _with_names(
        self, skills: Sequence[str], said: Sequence[str], last: str, *, you: bool = False, more: int = 0
    ) -> str:
        """Return the forms of skills as a list; those without any (empty) are counted, their names marked.

        ``more``: so many are counted with them.
        """
        self._told, self._last = self._told | dict.fromkeys(skills), (*skills,)
        known = [words for words in said if words]
        missing = [skill for skill, words in zip(skills, said, strict=True) if not words]
        if not (missing or more):
            return self._in.joined(known) if last == "and" else self._in.listed(known, last)
        names = "".join(f"{MARK}{tidy(self._course.skill[skill].name)}{MARK}" for skill in missing)
        say = self._in
        forms = (say.unnamed_you, say.unnamed_you_more) if you else (say.unnamed, say.unnamed_more)
        return f"{say.joined([*known, say.by_count(forms[bool(known)], len(missing) + more)])}{names}"

    def _state(self, skill: str) -> State:
        return self._p.standing(skill).state


# To the family: the playing is described and never the child; there is no verdict word and no comparison.

DAYS_AT_MOST: Final = 3
SPOKEN_AGE: Final = 10


class FamilyWords(LetterWords):
    """The names that a letter to the family may use."""

    reader = "family"

    def good(self) -> str:
        """Return something good that was seen, with its days where more of them are waited for."""
        good = [one for one in self._good if one not in self._along()]
        if not good:
            is_new = self.case in ("moved", "begins", "finished")
            return "" if is_new else self._in.looking_forward.format(named=self._named)
        alone = {skill for skill, one in self._answer.standings.items() if one.last_help == 0}
        how = "alone"
        if self._answer.away is not None:
            how = "away" if self._is_now else "on-a-break"
        elif not self._is_now:
            how = "earlier"
        elif not alone >= {*good}:
            how = "with-help"
        told = self._in.good[how].format(named=self._named, things=self._things(good))
        return self._joined(told, self._seen_on(good) if how in ("alone", "earlier") else "")

    def _seen_on(self, good: Sequence[str]) -> str:
        """Return the days on which what is building was seen, where they are the same for all of it."""
        if any(self._state(one) != State.BUILDING for one in good):
            return ""
        days = {
            tuple(note.day for note in self._p.standing(skill).evidence if note.counts)[-have:]
            for skill in good
            if (have := self._p.standing(skill).have)
        }
        found = days.pop() if len(days) == 1 else ()
        if not 0 < len(found) <= DAYS_AT_MOST:
            return ""
        days_told = self._in.listed([self._in.on_day.format(self._day(day)) for day in found])
        return self._in.seen_on.format(days_told)

    def needed(self) -> str:
        """Return what is waited for and why, in at most three sentences."""
        answer, say, one = self._answer, self._in, self._answer.one_thing
        if answer.is_ready or answer.placing is not None:
            return ""
        if one and self._names_one_thing():
            state, things = self._state(one), self._things((one,))
            builds = say.builds.format(self._things(answer.chain[-1:])) if len(answer.chain) > 1 else ""
            before = any(note.counts for note in self._p.standing(one).evidence)
            stands = say.came_before if before and state == State.NOT_SHOWN else say.stands[state]
            return say.first_now.format(things=things, stands=stands, builds=builds)
        return self._joined(*self._open_things())

    def _names_one_thing(self) -> bool:
        one = self._answer.one_thing
        if self.case != "waiting" or one is None or self._course.skill[one].asks_pain:
            return False  # whether a child says that it hurts is nothing to be asked for by letter
        return self._state(one) in (*GAP_STATES, State.WOBBLING) and not self._answer.is_ready

    def _open_things(self) -> Iterator[str]:
        """Yield why we look again where nothing needed more than another look."""
        answer, say = self._answer, self._in
        skills = [one.skill for one in answer.blockers if one.skill is not None]
        skills = skills if answer.blockers else list(answer.open_rest)
        told = [one for one in skills if not self._course.skill[one].asks_pain]  # that is never counted
        by = {state: [one for one in told if self._state(one) == state] for state in State}
        if by[State.BUILDING]:
            is_more = any(one.group for one in answer.blockers) or (answer.blockers and self._p.too_much_open)
            is_all = skills == by[State.BUILDING] and not is_more and answer.after_hold is None
            yield from self._more_days(by[State.BUILDING], is_all=is_all)
        new = [one for one in by[State.UNTRIED] if self._p.is_unasked(one) or one in self._p.presumed]
        if by[State.STALE]:
            yield say.not_lately
        elif new and self._p.is_new and self._course.unit[answer.unit or ""].number == 1:
            yield say.from_the_start
        elif new:
            yield say.no_turn_yet.format(self._things(new))
        elif off := by[State.WOBBLING]:
            yield say.off_day.format(self._things(off))
        yield say.after_pause if answer.after_hold is not None else ""
        for group in [one.group for one in answer.blockers if one.group is not None][:1]:
            more, of = self._p.still_of(group)
            yield say.by_count(say.some_of, more, things=self._things(of[:NAMED_AT_MOST], "or"))

    def _more_days(self, skills: Sequence[str], *, is_all: bool) -> Iterator[str]:
        """Yield how many days are asked for and why, and how many there are; of the good things if of any.

        ``is_all``: whether nothing else is waited for.
        """
        good = [skill for skill in skills if skill in self._good]
        about = good or skills
        if not good:
            yield self._in.under_way.format(self._things(skills))
        needs = sorted({self._p.standing(skill).need for skill in about})
        is_needed = {*about} <= {one.skill for one in self._answer.blockers if one.needed_by}
        say, age = self._in, self._answer.age
        often = say.listed([say.number(need) for need in needs], "or")
        unit = self._unit(self._answer.next_unit) if is_needed else ""
        at = say.at_age.format(say.number(age)) if 1 < age <= SPOKEN_AGE else say.at_this_age
        is_chosen = any(choice.on <= self._answer.on for choice in self._p.record.band_choices)
        yield say.asks_days.format(
            at=say.for_now if is_chosen or self._p.is_young else at,
            what=say.something_new,
            days=often,
            because=say.because.format(unit) if unit else "",
        )
        counts = {((now := self._p.standing(skill)).have, now.need) for skill in skills}
        more = max(self._p.standing(skill).missing for skill in skills)
        well = say.well if is_unhurt(self._course, self._p.record, self._answer.on) else ""
        if len(counts) == 1:
            yield say.so_far(*counts.pop(), is_all=is_all, well=well)
        elif is_all:
            yield say.by_count(say.nearly, more, well=well)

    def _along(self) -> Sequence[str]:
        return self._answer.taken_along if self._move is None else self._move.along

    def along(self) -> str:
        """Return what is finished on the way after a move; empty where no move may be told."""
        along = self._along()
        if not along or self.case not in (Verdict.READY, "last unit", "moved", "begins"):
            return ""
        return self._in.along.format(self._things(along))

    def coming(self) -> str:
        """Return what comes first in a unit that has just begun."""
        skill = self._answer.one_thing
        if self.case not in ("moved", "begins") or self._along() or skill is None:
            return ""
        return self._in.coming.format(self._things((skill,)))

    def start(self) -> str:
        if (now := self._p.placing) is None:
            return ""
        extra = self._in.extra.format(self._things(now.patches)) if now.patches else ""
        return self._start_in(self._in.start.format(unit=self._unit(now.start), extra=extra), now)


# What the letter to the school can say: facts, the rule with its number, whose number it is, and dates.
# Skills that were set aside by agreement are not named and not counted. Under a hold the school hears
# "no playing" and nothing about the body or about where the student stands.


class SchoolWords(LetterWords):
    """The names that a letter to the school may use."""

    reader = "school"

    @property
    def fits(self) -> tuple[str, ...]:
        return (self.case, "report")

    def last_lesson(self) -> str:
        return "" if self._answer.last_lesson is None else self._day(self._answer.last_lesson)

    def lessons(self) -> str:
        return counted(self._answer.lesson_days or 0, "lesson day")

    def usual(self) -> str:
        return str(self._course.unit[self._answer.unit].lesson_weeks) if self._answer.unit else ""

    def secure(self) -> str:
        """Return how much of the unit is secure, what waits for a look, what is unfinished."""
        asked = [one for one in self._course.skills if one.unit == self._answer.unit]
        asked = [one for one in asked if not left_out(one, self._answer)]
        states = [self._state(skill.id) for skill in asked]
        there = states.count(State.SECURE)
        due = states.count(State.STALE) + states.count(State.WOBBLING)
        unseen = sum(one.id in self._p.presumed and self._state(one.id) == State.UNTRIED for one in asked)
        new = states.count(State.UNTRIED) - unseen
        rest = len(asked) - there - due - unseen - new
        total = counted(len(asked), "skill")
        first = f"{there or 'Not one'} of the {total} of this unit {'are' if there > 1 else 'is'} secure."
        others = (
            (due, "was secure before and needs", "were secure before and need", "another look."),
            (unseen, "was", "were", "not seen here yet but probably there."),
            (rest, "is", "are", "still being learnt."),
            (new, "was", "were", "not looked at yet."),
        )
        told = (f"{counted(count, one, more)} {what}" for count, one, more, what in others if count)
        return " ".join((first, *told))

    def result(self) -> str:
        answer, move = self._answer, self._move
        if self.case == Verdict.PAUSED:
            return "Result: paused, until the pause ends."
        if move is not None:
            step = "to begin with" if move.is_start else "to move on to"
            what = f"{step} this unit" if move.unit else "that the course is finished"
            early = ", earlier than by the rules" if move.is_early else ""
            return f"On {self._day(move.on)} the teacher decided {what}{early}."
        stays = ""
        if answer.stays and answer.decision is not None:
            day = self._day(answer.decision.on)
            stays = f"On {day} the teacher decided to stay with this unit for now."
        if answer.waits_by_decision:
            return stays
        words = verdict_words(answer.verdict, self._p.next_number, len(answer.taken_along))
        names = f": {self._names(answer.taken_along)}" if answer.taken_along else ""
        if answer.lapses:
            return f"Result until {self._day(answer.holds_until or 0)}: {words}{names}."
        is_rested = answer.after_hold is not None and not answer.blockers and not self._p.too_much_open
        looks = ", and two lessons of looking come before the next unit" if is_rested else ""
        later = f"Unit {self._p.next_number} begins later{after}." if (after := self.after()) else ""
        return self._joined(f"Result: {words}{looks}{names}.", later, stays)

    def away(self) -> str:
        if self._answer.away is None or self._answer.away_days is None:
            return ""
        weeks = counted(self._answer.away_days // 7, "week")
        return f"{weeks} without a lesson; no new unit in the first lesson back."

    def needed(self) -> str:
        """Return what is needed for the next unit, those in one state together, the rest counted."""
        skills = [one.skill for one in self._answer.blockers if one.skill is not None]
        skills.sort(key=lambda skill: (skill != self._answer.one_thing, skill in self._p.presumed))
        states = {self._state_told(one) for one in skills[:NAMED_AT_MOST]}
        most = NAMED_AT_MOST - (len(states) == NAMED_AT_MOST < len(skills))  # in one breath
        alike = together((self._state_told(one), self._p.name(one)) for one in skills[:most])
        shown = [f"{listed(names)} ({state})" for state, names in alike.items()]
        self._told |= dict.fromkeys(skills[:most])
        shown += _further(skills, most)
        for_what = f"for unit {self._p.next_number}" if self._p.next_number else "at the end"
        told = [f"Needed {for_what}: {listed(shown)}." if shown else ""]
        groups = [self._p.still_of(one.group) for one in self._answer.blockers if one.group is not None]
        for more, of in groups:
            told.append(f"Also needed: {number_words(more)} of {self._names(of)}.")
            self._told |= dict.fromkeys(of[:NAMED_AT_MOST])
        if self._answer.open_rest and not self._answer.is_ready:
            told.append(f"{capital(f'also {self._p.unfinished}' if any(told) else self._p.unfinished)}.")
        return self._joined(*told)

    def _state_told(self, skill: str) -> str:
        """Return where a skill stands; whether words about the body were noted is nothing for a school."""
        if self._course.skill[skill].asks_pain:
            return "asked in every lesson"  # whether it hurts is never counted
        if self._state(skill) != State.UNTRIED:
            return self._p.state_short(skill)
        return "not seen here yet" if skill in self._p.presumed else STATE_WORDS[State.UNTRIED]

    def before(self) -> str:
        named = tuple(self._told)
        self._told |= dict.fromkeys(one.skill for one in self._answer.brought_along)
        return brought_along(self._p, named=named)

    def rule(self) -> str:
        """Return the rules about finishing later and, where something is open, about days and freshness.

        Those of one family stand together, with where they come from.
        """
        is_open = self._answer.blockers or self._answer.open_rest
        wanted = ("days_needed", "fresh_weeks", "carry_limit") if is_open else ("carry_limit",)
        found = [rule for rule in rules_in(self._answer.findings) if rule.rule.partition(".")[0] in wanted]
        rules = tuple({rule.rule: rule for rule in found}.values())
        parts = []
        for words, (first, *_) in rules_together(rules):
            by = f" by {first.changed_by}" if first.changed_by else ""
            default = "" if first.default is None else f"; the default is {first.default}"
            parts.append(f"{capital(words)}{f' (changed{by}{default})' if first.changed else ''}")
        usual = all(rule.basis.startswith("common practice") for rule in rules)
        whose = f"{'made for ' * self._p.is_young}age {self._p.age}"
        return f"Rule ({whose}{', common practice' if usual else ''}): {'. '.join(parts)}." if parts else ""

    def when(self) -> str:
        """Return when it is looked at again, and the earliest move where that may be told."""
        answer, earliest, day = self._answer, self._earliest, self.next_lesson()
        if not day:
            return ""
        if answer.is_ready or earliest is None or answer.stays:
            return f"Next look {day}."
        move = "earliest possible move" if self._p.planned_move is None else "earliest move by the plan"
        return f"Next look {day}; {move} {self._day(earliest)}{self._behind(answer.move_after)}."

    def start(self) -> str:
        if self._answer.last_lesson is None:
            return "New here, no lesson noted yet."
        now = self._p.placing
        if now is None or not now.is_clear:
            return self._in.start_open if now else ""
        told = [f"New here; start in {self._unit(now.start)}.", perhaps_words(now, self._course)]
        if now.result.provisional:
            told.append("That is a first impression; a second lesson confirms it or moves it.")
        if now.patches:
            told.append(f"To catch up on the way: {self._names(now.patches)}.")
        return self._joined(*told)

    def start_rule(self) -> str:
        limit = self._p.carry_limit
        most = f"more than {number_words(limit)} {'skill is' if limit == 1 else 'skills are'} missing"
        return f"We start where probably no {most if limit else 'skill is missing'}."

    def resting(self) -> str:
        """Return that another course is paused; the school hears nothing of the body."""
        resting = self._p.record.resting(self._answer.on)
        if not resting or self.case == Verdict.PAUSED:
            return ""
        since = self._day(min(hold.opened for hold in resting))
        said = self._in.doing[at_rest(resting, sings=self._course.uses == "hand")]
        return f"Another course has been paused for care since {since}: no {said}, until that pause ends."

    def goes_on(self) -> str:
        """Return what goes on in another course while this one is paused."""
        rests = {hold.part for hold in self._holds}
        others = {one.uses for one in self._course.beside} - {self._course.uses, *rests}
        is_so = self.case == Verdict.PAUSED and "all" not in rests
        return f"{'Playing' if 'hand' in others else 'Singing'} goes on." if others and is_so else ""

    def gently(self) -> str:
        """Return nothing: the school hears nothing of the body, whatever a teacher's own letter names."""
        return ""

    came_back = by_when = what_hurts = stop_now = rest_voice = gently
    first_of_all = ""

    def unit(self) -> str:
        return capital(super().unit())

    def _names(self, skills: Sequence[str]) -> str:
        return listed([*map(self._p.name, skills[:NAMED_AT_MOST]), *_further(skills)])


def _further(skills: Sequence[str], most: int = NAMED_AT_MOST) -> list[str]:
    return [f"{len(skills) - most} more"] if len(skills) > most else []


# What the letter to the student can say: a child hears two short sentences, an adult a few plain ones.
# A child hears what is already there and what comes next, and never a verdict, a count or a rule. An adult
# may hear all of that, without the tone for children.

_DONE: Final = ("paused", "ready", "last unit", "staying", "finished")
_LONGEST: Final = 28
"""So many words a child can listen to at once; what comes along is then said shorter."""


class StudentWords(LetterWords):
    """The names that a letter to the student may use: to a child, or to somebody grown, or nearly so."""

    reader = "student"

    @property
    def fits(self) -> tuple[str, ...]:
        tone = "adult" if self._p.is_grown else "child"
        return (f"{tone} {self.case}", tone)

    # to a child

    def good(self) -> str:
        """Return to a child something good that was seen."""
        away = self._answer.away and ("on-a-break" if self._answer.away == "on-a-break" else "away")
        if not self._good:
            is_new = away or self._answer.last_lesson is None
            return self._in.welcome if is_new else ""
        alone = all(self._p.standing(skill).last_help == 0 for skill in self._good)
        how = (away or ("alone" if alone else "other")) if self._is_now else "earlier"
        return capital(self._in.child_good[how].format(how=self._you(self._good, self._in.how.get(how, ""))))

    def unit_name(self) -> str:
        unit = self._answer.next_unit if self.case == Verdict.READY else self._answer.unit
        return self._in.quoted(tidy(self._course.unit[unit].name)) if unit else ""

    def then(self) -> str:
        """Return to a child what comes next time, and what comes along from before (rule R12)."""
        if self.first_of_all:
            return ""
        then, skills = self._then_alone(), self._from_before()
        few = named = self._in.before_child[False] if skills else ""
        if len(skills) == 1:
            named = self._in.before_child[True].format(how=self._you(skills))
        return self._joined(then, few if len(f"{then} {named}".split()) > _LONGEST else named)

    def _then_alone(self) -> str:
        say, skill, is_new = self._in, self._answer.one_thing, self.case in ("moved", "begins")
        if self._after_a_pause or (after := self.after()):
            later = "" if self._after_a_pause else say.later_child.format(unit=self.unit_name(), after=after)
            return later or say.gently_child
        if is_new and self._p.season is not None:
            return say.then["look"]  # nothing is begun before a big day or a long break
        if self.case == Verdict.READY:
            along = self._answer.taken_along
            how = self._you(along) if len(along) == 1 else ""
            return say.onward[min(len(along), 2)].format(unit=self.unit_name(), how=how)
        placed = self._p.placing if self.case == "placing" else None
        case = "placed" if placed and placed.is_over else self.case
        if case in say.then or not skill:
            return say.then.get(case) or say.then["new" if is_new else "look"]
        self._told[skill] = None
        is_gap = self._state(skill) in GAP_STATES
        if not is_new and skill in self._good and not is_gap:
            return say.then["again"]
        form = "new" if self._state(skill) == State.UNTRIED else "see"
        return say.then_one["start" if not is_new and is_gap else form].format(how=self._you((skill,)))

    def _names_one_thing(self) -> bool:
        if not self._p.is_grown:
            is_then = self.case not in self._in.then and self.case != Verdict.READY
            return is_then and not self._after_a_pause
        return bool(self.one_thing())

    def _you(self, skills: Sequence[str], how: str = "") -> str:
        """Return skills as spoken to the student: "you lift your wrist"; ``how`` before each further one."""
        said = [inside(self._course.skill[one].you) for one in skills]
        said = [words and f"{how if at else ''}{words}" for at, words in enumerate(said)]
        return self._with_names(skills, said, "and", you=True)

    # to an adult

    def well(self) -> str:
        """Return what goes well, as things; what was not seen lately with its day."""
        good = self._well
        things = self._things(good) if good else ""
        older = [self._p.standing(one).last_seen or 0 for one in good if not is_lately(self._answer, one)]
        return self._in.well_earlier.format(things=things, day=self._day(max(older))) if older else things

    @property
    def _well(self) -> Sequence[str]:
        """What goes well and is not asked for next, where there is anything else."""
        return good_things(self._course, self._answer, self._answer.one_thing) or self._good

    def along(self) -> str:
        """Return what is finished on the way."""
        along = self._answer.taken_along if self.case in (Verdict.READY, "last unit") else ()
        along = along if self._move is None else self._move.along
        return self._in.to_finish.format(self._things(along)) if along else ""

    def one_thing(self) -> str:
        """Return the one thing to work on or look at next."""
        skill = self._answer.one_thing
        if skill is None or self._answer.placing is not None or self.case in _DONE:
            return ""
        one = self._p.standing(skill)
        is_told = skill in self._told and skill in self._well
        things = self._in.it if is_told else self._things((skill,))
        if one.state in GAP_STATES:
            return self._in.work_on.format(things=things)
        days, need = self._in.by_count(self._in.so_many_days, one.have), self._in.number(one.need)
        is_short = one.have < one.need and not self._course.skill[skill].asks_pain
        return self._in.look_at[one.state == State.BUILDING and is_short].format(
            things=things, have=one.have, need=one.need, days=days, need_words=need
        )

    def start(self) -> str:
        now = self._p.placing
        return self._start_in(self._in.start_for_now.format(unit=self._unit(now.start)), now) if now else ""
