"""One fact, one phrase.

A :class:`Phrases` turns single facts of one answer into a teacher's words: where a skill stands, what was
seen on which day and where that is written, what is missing. It knows no order and no layout, and decides
nothing.
"""

from __future__ import annotations

import re
from collections.abc import Collection, Iterable, Iterator, Mapping, Sequence
from collections.abc import Set as AbstractSet
from functools import cached_property
from typing import TYPE_CHECKING, Final

from readiness.advice.after_break import closed_lately, kept_back, pain_noted, tender_skills
from readiness.advice.ground import may_be_placed, presumed, start_of
from readiness.advice.plan import Later, lesson_for_new, season_ahead
from readiness.advice.skill_traits import activities, uses_part, without_resting
from readiness.course.graph import first_needed
from readiness.course.model import Course
from readiness.judging.answer import Answer, GroupStanding, Standing
from readiness.judging.findings import Rule
from readiness.judging.reasons import pacing_rule, rules_in
from readiness.lazy import dataclass
from readiness.record.consents import ADULT_AGE
from readiness.record.model import AGAIN, HELPS, Lesson, Record, Said
from readiness.record.rhythm import Season
from readiness.terms import State
from readiness.words.english import (
    HELP_WORDS,
    STATE_WORDS,
    VERDICT_BRIEF,
    needed_of,
    no_date_words,
    plain_verdict,
    season_words,
)
from readiness.words.grammar import (
    counted,
    date_words,
    ended,
    few_of,
    listed,
    number_words,
    quoted,
    tidy,
    to_come,
    unit_words,
)

if TYPE_CHECKING:
    from readiness.advice.placing_round import PlacingRound

__all__ = ["LIKELY", "RESTS", "SOFTLY", "Phrases", "done_in", "passed_over"]

NAMES_AT_MOST = 6
NOTES_AT_MOST: Final = 8
GROWN_TONE_AGE = 13
"""From here on the tone and the remarks for children are dropped."""

LIKELY: Final = "probably there, not seen here yet"
RESTS: Final = {
    "voice": "Here too: no singing, humming, whispering or counting aloud. Other work goes on.",
    "hand": "Here too: no playing, clapping or patting. Other work goes on.",
}
"""What is left alone while a part of the body rests for another course."""
SOFTLY: Final = "A turn or two, softly, then rest. Stop at the first sign of soreness."
"""Said of what is played and worked what rested until lately."""
_CHILD = re.compile(r"\b([Cc])hild\b")


@dataclass(frozen=True)
class Phrases:
    """The words for the facts of one answer."""

    given: Answer
    course: Course
    record: Record

    @cached_property
    def answer(self) -> Answer:
        """The answer as it is told: nothing of it asks for what rests."""
        return without_resting(self.course, self.record, self.given)

    @property
    def no_date(self) -> str:
        """Why no earliest date can be given."""
        if self.answer.move_on is None and self.given.move_on is not None:
            return "No date until the pause in the other course is over."
        return no_date_words(self.answer)

    @cached_property
    def numbers(self) -> Mapping[str, object]:
        """The pacing numbers of the band, as this answer used them."""
        used = {rule.rule: rule.value for rule in rules_in(self.answer.findings)}
        return {**self.course.band[self.answer.band].numbers, **used}

    def _whole(self, rule: str) -> int:
        number = self.numbers[rule]
        assert isinstance(number, int)
        return number

    @property
    def carry_limit(self) -> int:
        """How many open things may come along."""
        return self._whole("carry_limit")

    def rules(self, *names: str) -> tuple[Rule, ...]:
        """Return rules of the student's age by their names in the pacing file."""
        band = self.course.band[self.answer.band]
        return tuple(pacing_rule(self.course, band, name) for name in names)

    @property
    def others(self) -> str:
        """The names of the other courses of the studio."""
        return listed([quoted(one.name) for one in self.course.beside])

    @property
    def is_grown(self) -> bool:
        """Whether the tone for children is dropped."""
        return self.answer.age >= GROWN_TONE_AGE

    @property
    def of_age(self) -> bool:
        """Whether the student speaks for herself, and no family is told or asked."""
        return self.answer.age >= ADULT_AGE

    @property
    def to_tell(self) -> str:
        """The command for the letter about an answer: to an adult it goes to nobody else."""
        return f"tell {self.answer.student} {'student' if self.of_age else 'family'}"

    @property
    def to_prepare(self) -> str:
        """The command for the next lesson: a check sheet, and soon after a pause a plan without a check."""
        lately = closed_lately(self.course, self.record, self.answer.on)
        return f"{'plan' if lately else 'sheet'} {self.answer.student}"

    @property
    def age(self) -> str:
        """The years of the age whose rules are used."""
        return self.course.years(self.answer.band)

    @property
    def is_young(self) -> bool:
        """Whether no rules here were made for somebody as young (rule R8)."""
        return any(one.id == "young" for one in self.answer.remarks)

    @property
    def too_much_open(self) -> bool:
        """Whether more of the unit is unfinished than may be finished later."""
        return len(self.answer.open_rest) > self.carry_limit

    @property
    def unfinished(self) -> str:
        """How much of what is unfinished in the unit is needed, and how much may be finished later."""
        return needed_of(len(self.answer.open_rest), self.carry_limit)

    @property
    def has_begun(self) -> bool:
        """Whether all that a move needs was seen once; else its earliest day slips until it is."""

        def new(skills: Iterable[str]) -> int:
            return sum(self.standing(skill).state == State.UNTRIED for skill in skills)

        blockers = self.answer.blockers
        groups = [self.still_of(one.group) for one in blockers if one.group is not None]
        is_short = any(len(of) - new(of) < more for more, of in groups)
        asked = new(one.skill for one in blockers if one.skill is not None)
        return not (asked or is_short or new(self.answer.open_rest) > self.carry_limit)

    @property
    def is_new(self) -> bool:
        """Whether a unit has begun and nothing was noted or taken as known at all."""
        return self.answer.is_unseen and self.answer.last_lesson is None

    @property
    def any_secure(self) -> bool:
        """Whether anything at all is secure."""
        return any(one.state == State.SECURE for one in self.answer.standings.values())

    @property
    def any_seen(self) -> bool:
        """Whether anything at all was ever seen; else a lesson is for looking."""
        return any(one.state != State.UNTRIED for one in self.answer.standings.values())

    @property
    def in_few_looks(self) -> str:
        """How to find where a student starts."""
        return f"To find the start in few looks: `readiness place {self.answer.student}`"

    @cached_property
    def placing(self) -> PlacingRound | None:
        """The placing round of who has no starting unit yet, None for everybody else."""
        return start_of(self.course, self.record, self.answer)

    def how_long(self) -> str:
        """Return until when a decision to stay is in force, or that it is time for a new one (rule R11)."""
        now = self.answer.decision
        if now is None or not now.in_force:
            return " It no longer holds, so please decide again."
        until = f"until {self.day(now.until)}" if now.until else "for the four lessons after it"
        return f" Your decision holds {until}."

    @cached_property
    def season(self) -> Season | None:
        """The big day or long break that the next lesson is among the last two before."""
        return season_ahead(self.record, self.answer)

    @property
    def move_waits(self) -> str:
        """Why a ready student does not move on in the next lesson; empty where nothing stands in the way."""
        if self.answer.stays:
            return f"Go on in this unit.{self.how_long()}"
        either = "decide today or look again first"
        if self.answer.lapses:
            return f"This answer does not last until that lesson, so {either}."
        if self.answer.next_unit is None:
            return ""
        until = self.day(self.answer.holds_until)
        ends = f"; with nothing more noted this answer holds until {until}, so {either}"
        ends = ends if self.ends_first else ""
        return self.new_waits(", so a move to the next unit waits until after it", ends)

    @property
    def ends_first(self) -> bool:
        """Whether a move waits for a big day or a break, and the answer ends before something new begins."""
        ends = self.season is not None and self.answer.ends_before(self.for_new)
        return ends and not (self.answer.stays or self.answer.lapses)

    def new_waits(self, so: str = "", ends: str = "") -> str:
        """Return what nothing new begins before, what follows, and when it does; empty with none near."""
        if self.season is None:
            return ""
        when = f"Nothing new begins before {season_words(self.season, self.answer.on)}{so}."
        first = f" The next lesson for new things is on {self.day(self.for_new)}{ends}."
        return when if self.for_new is None else when + first

    @cached_property
    def planned_move(self) -> Later | None:
        """What the plan of the next lesson leaves for later and the day of a move then; None if nothing."""
        from readiness.advice.lesson import left_for_later

        is_told = self.answer.earliest_told is not None
        return left_for_later(self.course, self.record, self.given) if is_told else None

    @property
    def as_planned(self) -> str:
        """When a move comes where the plan of the next lesson leaves some of what it needs for later."""
        if (later := self.planned_move) is None:
            return ""
        day = ", no move is in sight" if later.move is None else f" from {self.day(later.move)}"
        return f"; by the plan{day}"

    @cached_property
    def for_new(self) -> int | None:
        """The first lesson in which something new may begin, None where nobody knows when lessons are."""
        return lesson_for_new(self.course, self.record, self.answer) if self.answer.is_day_known else None

    @property
    def new_age(self) -> str:
        """That the next lesson goes by the rules of another age, and the answer then; else empty."""
        from readiness.advice.timeline import birthday_ahead

        then = birthday_ahead(self.course, self.record, self.given)
        if then is None:
            return ""
        rules = f"A birthday comes first: by then the rules of age {then.band} are used"
        return f"{rules}, and with nothing new noted the answer is: {VERDICT_BRIEF[then.verdict]}."

    @property
    def start_unseen(self) -> str:
        """That a unit far on was said to be the start, and how to look; empty where that is not so."""
        number = self.course.unit[self.answer.unit].number if self.answer.unit else 1
        may = may_be_placed(self.record, self.answer)
        look = self.in_few_looks if may else "Look first at what it builds on."
        is_said = number > 1 and self.is_new
        return f"Whether unit {number} is right was not seen yet. {look}" if is_said else ""

    # names and places

    @property
    def verdict(self) -> str:
        """The verdict in a sentence."""
        return plain_verdict(self.answer, self.course)

    def title(self, *middle: str, lead: str = "") -> str:
        """Return the head of a page: whom it is about, where the student is, and the day."""
        where = middle or ((self.unit(self.answer.unit),) if self.answer.unit else ())
        return " · ".join(filter(None, (lead, tidy(self.answer.name), *where, date_words(self.answer.on))))

    def name(self, skill: str) -> str:
        """Return a skill's name for a sentence."""
        return f'"{self.plain_name(skill)}"'

    def plain_name(self, skill: str) -> str:
        """Return a skill's name for a line of its own."""
        return tidy(self.course.skill[skill].name)

    def titled(self, skill: str) -> str:
        """Return a skill's name with the id that stands in the files."""
        return f"{self.plain_name(skill)} ({skill})"

    def names(self, skills: Sequence[str], at_most: int = NAMES_AT_MOST) -> str:
        """Return skills as a list in a sentence, the last ones of a long list only counted."""
        return few_of([self.name(skill) for skill in skills], at_most)

    def few(self, skills: Sequence[str]) -> str:
        """Return up to three skills in a sentence, the others counted."""
        return self.names(skills, 2)

    def inventory(self, skills: Iterable[str]) -> str:
        """Return all of some skills, as a list that is no sentence."""
        return "; ".join(map(self.plain_name, skills))

    def listing(self, words: str, skills: Collection[str]) -> str:
        """Return all of some skills behind what is said of them; empty where there are none."""
        return f"{words}: {self.inventory(skills)}." if skills else ""

    def with_unit(self, skill: str) -> str:
        """Return a skill with its id and the number of its unit."""
        return f"{self.titled(skill)}, unit {self.course.unit[self.course.skill[skill].unit].number}"

    def unit(self, unit: str) -> str:
        """Return a unit with its number."""
        return unit_words(self.course, unit)

    @property
    def next_number(self) -> int | None:
        """The number of the next unit, None in the last one."""
        return self.course.unit[self.answer.next_unit].number if self.answer.next_unit else None

    def day(self, day: int | None) -> str:
        """Return a day, with the year when it is not that of the day asked about."""
        return date_words(day, self.answer.on)

    @property
    def to_come(self) -> str:
        """The day of the next lesson."""
        return to_come(self.answer.lesson_told, self.answer.on)

    def line(self, line: int) -> str:
        """Return a line of the student's file, or that there is none."""
        return f"{self.record.file}:{line}" if line else "supposed, not noted"

    # where a skill stands

    def standing(self, skill: str) -> Standing:
        """Return where a skill stands in this answer."""
        return self.answer.standings[skill]

    def still_of(self, group: GroupStanding) -> tuple[int, tuple[str, ...]]:
        """Return how many more members of an entry group are needed, and of which."""
        of = tuple(skill for skill in group.of if not self.is_met(skill))
        return group.at_least - (len(group.of) - len(of)), of

    def is_met(self, skill: str) -> bool:
        """Return whether a skill counts as met where it is asked for."""
        return self.standing(skill).state in (State.SECURE, State.SET_ASIDE)

    def state(self, skill: str) -> str:
        """Return the state of a skill in a few words."""
        now = self.standing(skill)
        if now.state == State.BUILDING:
            close = now.have >= now.need
            return f"{counted(now.have, 'day')}, too close together" if close else _days(now)
        if now.state == State.WITH_HELP and now.last_help is not None:
            how = HELP_WORDS[now.last_help]
            return f"{_days(now)}, last {how}" if now.have else f"{how} so far"
        if now.state == State.STALE and now.last_seen is not None and now.fresh_until is not None:
            return f"{self.state_short(skill)}, look every {(now.fresh_until - now.last_seen) // 7}"
        return STATE_WORDS[now.state] if now.state != State.UNTRIED else self._untried(skill)

    def _untried(self, skill: str) -> str:
        """Return what is known of what was never asked for: that words were noted, or that it is likely.

        Where pain is asked after, what may speak of it anywhere in the last lesson is meant, too.
        """
        on, record = self.answer.on, self.record
        told = [hold.opened for hold in record.holds if hold.opened <= on]
        if self.course.skill[skill].asks_pain and told:
            return f"told on {self.day(max(told))} (pause)"
        remarked = [one.on for one in record.said(on, (skill,))]
        if self.course.skill[skill].asks_pain and pain_noted(record, on):
            remarked.append(self.answer.last_lesson or on)
        if remarked:
            return f"words noted on {self.day(max(remarked))}"
        return LIKELY if skill in self.presumed else STATE_WORDS[State.UNTRIED]

    def is_unasked(self, skill: str) -> bool:
        """Return whether nothing at all is known of a skill."""
        return self.state(skill) == STATE_WORDS[State.UNTRIED]

    @cached_property
    def presumed(self) -> AbstractSet[str]:
        """What was not seen here and is probably there all the same."""
        return presumed(self.course, self.record, self.answer)

    def state_short(self, skill: str) -> str:
        """Return the state of a skill in the few words that a column has room for."""
        now = self.standing(skill)
        if now.state == State.STALE and now.last_seen is not None:
            return f"not seen for {counted((self.answer.on - now.last_seen) // 7, 'week')}"
        if now.state == State.WITH_HELP and now.last_help is not None:
            return HELP_WORDS[now.last_help]
        return _SHORT.get(now.state) or self.state(skill)

    def missing_short(self, skill: str) -> str:
        """Return what would make a skill secure, in the few words that a column has room for."""
        if self.standing(skill).state in (State.STALE, State.WOBBLING):
            return "one look"
        now, how = self.standing(skill), self._how(skill)
        counts = f" {how}" if how == HELP_WORDS[0] else ", reminders count" if now.have else ""
        return f"{_missing_days(now)}{counts}"

    def missing(self, skill: str) -> str:
        """Return what would make a skill secure."""
        return f"Missing: {self.missing_short(skill)}{self.apart(skill)}."

    def apart(self, skill: str) -> str:
        """Return how far apart the missing days must be, where the next lesson would be too soon."""
        now, spread, lesson = self.standing(skill), self._whole("spread_days"), self.answer.next_lesson
        if now.state in (State.STALE, State.WOBBLING) or now.need < 2 or not spread:
            return ""
        counting = [note.day for note in now.evidence if note.counts][-now.have :] if now.have else []
        if not counting:
            return f", the first and the last at least {counted(spread, 'day')} apart"
        is_apart = lesson is not None and lesson - counting[0] >= spread
        return "" if is_apart else f", on {self.day(counting[0] + spread)} or later"

    def _how(self, skill: str) -> str:
        """Return which help still counts for a skill: "without help or with a reminder"."""
        most = HELPS.index(str(self.numbers[f"accepts.{self.course.skill[skill].kind}"]))
        return listed(HELP_WORDS[: most + 1], "or")

    # what was seen

    def seen(self, skill: str) -> tuple[tuple[str, str, str], ...]:
        """Return the notes on a skill as rows: day, how, line of the student's file.

        Older notes of a long list are folded into its first row.
        """
        now = self.standing(skill)
        rows = [(self.day(note.day), HELP_WORDS[note.help], self.line(note.line)) for note in now.evidence]
        if (older := len(rows) - NOTES_AT_MOST) > 1:
            day, _, line = rows[0]
            rows = [(day, f"the first of {older} earlier days", line), *rows[older:]]
        if now.settled_on is not None:
            rows.insert(0, (self.day(now.settled_on), "noted as secure", self.line(now.settled_line)))
        return tuple(rows)

    def last_note(self, skill: str) -> str:
        """Return the latest note on a skill with its line, empty without a note."""
        now = self.standing(skill)
        if now.state == State.UNTRIED or not (now.evidence or now.settled_on):
            return ""
        if not now.evidence:
            return f"noted as secure on {self.day(now.settled_on)}, {self.line(now.settled_line)}"
        last = now.evidence[-1]
        where = f"{self.day(last.day)}, {self.line(last.line)}"
        if now.state in (State.WITH_HELP, State.NOT_SHOWN):
            return where
        return f"last {HELP_WORDS[last.help]} on {where}"

    def last_seen(self, skill: str) -> str:
        """Return when a skill was last seen, or used in what, with the line."""
        now = self.standing(skill)
        if now.last_seen is None:
            return "not seen yet"
        used = f" in {self.name(now.warmed_by)}" if now.warmed_by else ""
        return f"last seen {self.day(now.last_seen)}{used}, {self.seen_line(skill)}"

    def seen_line(self, skill: str) -> str:
        """Return the line of the student's file that says when a skill was last seen."""
        now = self.standing(skill)
        notes = self.standing(now.warmed_by).evidence if now.warmed_by else now.evidence
        lines = (note.line for note in notes if note.day == now.last_seen and note.counts)
        return self.line(next(lines, now.settled_line))

    def with_note(self, skill: str) -> str:
        """Return a skill with its state and the latest note."""
        words = f"{self.titled(skill)}: {self.state(skill)}"
        if self.standing(skill).state == State.STALE:
            return f"{words}, {self.last_seen(skill)}"
        last = self.last_note(skill)
        return f"{words} ({last})" if last else words

    def remarks(self, said: Iterable[Said], skills: Iterable[str]) -> Iterator[str]:
        """Yield the latest remark on each of some skills, or how it was tried again, with its day."""
        wanted = frozenset(skills)
        for told in (remark for remark in said if remark.skill in wanted):
            own = (one.remarks.get(told.skill) for one in self.record.lessons if one.on == told.on)
            is_on_it = told.again or told.text in own  # else it is of the whole lesson
            of = f" on {self.plain_name(told.skill)}" if len(wanted) > 1 and is_on_it else ""
            again = f"Tried again{of} {AGAIN[told.again]}, {self.day(told.on)}" if told.again else ""
            yield again or f'Noted {self.day(told.on)}{of}: "{tidy(told.text)}"'

    def beside(self, lesson: Lesson) -> Iterator[tuple[str, str]]:
        """Yield what a lesson says of skills beside how they were shown, that needs no words of its own."""
        yield from ((skill, "not liked") for skill in lesson.disliked)
        yield from ((skill, "liked again") for skill in lesson.liked_again)
        yield from ((skill, f"tried again {AGAIN[how]}") for skill, how in lesson.tried_again.items())

    @property
    def first_back(self) -> str:
        """That the latest lesson is the first one after a break."""
        last = self.answer.last_lesson
        is_today = last == self.answer.on
        return "This is the first lesson back" if is_today else f"First lesson back on {self.day(last)}"

    # what builds on it

    def stands_on_it(self, skill: str, needed_by: Sequence[str]) -> str:
        """Return why a skill is needed."""
        if needed_by and self.next_number is not None:
            return f"Unit {self.next_number} builds on it: {self.inventory(needed_by)}."
        if self.course.skill[skill].always_look:
            return "It is looked at in every check of every unit."
        return "It is a safety point of this unit and is never left unfinished."

    def kept_back(self, told: int | None = None) -> Iterator[str]:
        """Yield why the earliest possible date is later than all could be there; nothing where it is not.

        ``told``: a lesson of which that was said already.
        """
        kept = [day for day in self.answer.kept_back if day.on != told]
        for because in dict.fromkeys(day.because for day in kept):
            days = [self.day(day.on) for day in kept if day.because == because]
            yield _KEPT_BACK[because].format(listed(days), done_in(self.course))

    def open_line(self, skill: str) -> str:
        """Return an open skill of the rest in one sentence."""
        later = first_needed(self.course, skill, self.answer.unit or "")
        needed = "no later unit needs it" if later is None else f"first needed in {self.unit(later.unit)}"
        return f"{self.with_note(skill)}; {needed}."

    def advice(self, skill: str) -> tuple[str, ...]:
        """Return the teacher's own sentence about a skill, if there is one."""
        words = tidy(self.course.skill[skill].advice)
        return (f"Your own advice: {words}",) if words else ()

    def to_try(self, skill: str) -> tuple[str, ...]:
        """Return what may be tried for a skill, without what is made for children where nobody is one."""
        ways = self.course.skill[skill].remedies
        fit = activities(self.course.skill[skill], self.record, self.answer)
        return tuple(self.activity(ways[number - 1]) for number in fit)

    @cached_property
    def tender(self) -> AbstractSet[str]:
        """What is played and works what rested until lately, so that it begins gently."""
        tender = tender_skills(self.course, self.record, self.answer.on)
        return {skill for skill in tender if not self.course.skill[skill].quiet}

    def gently(self, words: str, skill: str) -> str:
        """Return what to do for a skill, and how softly where that works what rested until lately."""
        lately = closed_lately(self.course, self.record, self.answer.on)
        is_soft = skill in self.tender or any(uses_part(words, hold.part) for hold in lately)
        return f"{ended(words)} {SOFTLY}" if is_soft else words

    def activity(self, text: str) -> str:
        """Return an activity as it is said of somebody of this age: a student is no child."""
        grown = _CHILD.sub(lambda found: "Student" if found[1] == "C" else "student", tidy(text))
        return grown if self.is_grown else tidy(text)


def _days(now: Standing) -> str:
    return f"{min(now.have, now.need)} of {counted(now.need, 'day')}"


def _missing_days(now: Standing) -> str:
    return f"{number_words(now.missing)}{' more' if now.have else ''} {'day' if now.missing == 1 else 'days'}"


_KEPT_BACK = {
    "on-a-break": "After the weeks away there is no move on {}.",
    "first-lesson-back": "First lesson back on {}: no move before the next one.",
    "after-a-hold": "Two lessons with {1} after the pause come first: no move on {0} yet.",
}
"""Why there is no move in a lesson although all could be there (rule R7)."""


def done_in(course: Course) -> str:
    """Return what is done in the lessons of a course: playing, or singing."""
    return "singing" if course.uses == "voice" else "playing"


def passed_over(course: Course, record: Record, day: int) -> str:
    """Return which rule a move on a day passes over, whatever was shown; empty where none."""
    kept = kept_back(course, record, day)
    rules = " ".join(_KEPT_BACK[one.because].format(date_words(one.on, day), done_in(course)) for one in kept)
    return f" This move passes over a rule. {rules}" if rules else ""


_SHORT = {State.SLIPPED: "was secure", State.SET_ASIDE: "set aside"}
