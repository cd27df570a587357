"""Answers to what a teacher asks beside the verdict: about one skill, and about what lies around a student.

Was that a one-off? It was there last week and not today: is it lost? When will it be there? Why look at the
seat again? It was shown in another way: does that count? Each answer names the days, the numbers with their
lines and what it means for the move; none is a promise.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from typing import Final

from readiness.advice.ground import AroundHere
from readiness.advice.stuck import Pace, Standstill, Weak
from readiness.course.graph import first_needed
from readiness.course.model import Course
from readiness.judging.answer import Answer
from readiness.judging.remarks import cautions_for
from readiness.record.model import Record, latest
from readiness.record.multi_course import care_elsewhere
from readiness.terms import State, Verdict
from readiness.words.cautions import closing
from readiness.words.english import ENGLISH, HELP_WORDS
from readiness.words.grammar import capital, counted, joined, listed, number_words, quoted, tidy
from readiness.words.layout import Paragraph, Section, bullets, columns, item, lay_out, plain, under
from readiness.words.noting import noted_twice
from readiness.words.paused import hold_section
from readiness.words.phrases import Phrases
from readiness.words.reasons import numbers_section

__all__ = ["tell_around", "tell_skill", "tell_standstill"]


def tell_skill(
    answer: Answer, course: Course, record: Record, skill: str, width: int = 80, *, full: bool = False
) -> str:
    """Return all about one skill of one student."""
    return lay_out(_Skill(answer, course, record).sections(skill), width, full=full)


class _Skill(Phrases):
    """The page about one skill."""

    def sections(self, skill: str) -> Iterator[Section]:
        answer, record, course_skill = self.answer, self.record, self.course.skill[skill]
        title = self.title(self.titled(skill), self.unit(course_skill.unit))
        yield plain(title, f"{capital(self.state(skill))}.")
        yield hold_section(record, answer.on)
        seen = (*columns(self.seen(skill), 0), *map(item, noted_twice(record, skill, answer.on)))
        yield Section("Seen", (*seen, *map(item, self.counting(skill))))
        yield bullets("Agreed", self.agreed(skill))
        if answer.verdict != Verdict.PAUSED:
            yield bullets("What that means", self.means(skill))
            when = enumerate(self.when(skill))
            yield Section("When", tuple(item(words, more=at != 1) for at, words in when))
        yield bullets("What builds on it", self.above(skill), more=True)
        yield bullets("Looked at again and again", self.looked_at(skill), more=True)
        yield bullets("Shown in another way", self.another_way(skill), more=True)
        yield bullets("Remarks", self.said(skill), more=True)
        kind, fade = course_skill.kind, course_skill.fade
        rules = self.rules(f"days_needed.{kind}", "spread_days", f"accepts.{kind}", f"fresh_weeks.{fade}")
        yield numbers_section(rules, answer.band)
        shown = (skill,)
        cautions = cautions_for(self.course, record, answer.on, shown, (), paused=False, seat_open=False)
        yield from closing((), cautions, of_age=self.of_age)

    def counting(self, skill: str) -> Iterator[str]:
        now = self.standing(skill)
        if now.settled_on is not None:
            day = self.day(now.settled_on)
            yield f"Secure with its unit on {day}; days before that are not counted again."
        if now.state == State.SET_ASIDE:
            return
        if now.settled_on is None and now.secure_since is not None:
            yield f"Secure since {self.day(now.secure_since)}."
        if now.settled_on is None or now.secure_since is None:
            yield self.counted_days(skill)
        if now.last_seen is not None and now.fresh_until is not None:
            yield f"{capital(self.last_seen(skill))}; look again by {self.day(now.fresh_until)}."

    def counted_days(self, skill: str) -> str:
        """Return how many days count, the first and the last, and whether they are far enough apart."""
        now = self.standing(skill)
        days = [note.day for note in now.evidence if note.counts]
        if now.secure_since is None:
            days = days[-now.have :] if now.have else []
        if not days:
            since = "since it was lost" if now.slipped else "so far"
            return f"No day counts {since}; {counted(now.need, 'day is', 'days are')} needed."
        first, last = days[0], days[-1]
        told = f"{counted(len(days), 'day counts', 'days count')}, {now.need} needed"
        if len(days) == 1:
            may_be_luck = now.need > 1 and now.secure_since is None
            return f"{told}: {self.day(first)}.{' One day alone may be a one-off.' if may_be_luck else ''}"
        apart = f"{counted(last - first, 'day')} apart"
        spread = self.course.band[self.answer.band].whole("spread_days")
        asked = f", and at least {spread} are asked" if now.need > 1 else ""
        return f"{told}: first {self.day(first)}, last {self.day(last)}, {apart}{asked}."

    def agreed(self, skill: str) -> Iterator[str]:
        """Yield what was agreed about a skill: set aside, or shown in another way."""
        on, may_know = self.answer.on, "That is for those alone who may know."
        if block := latest(one for one in self.record.set_aside if one.skill == skill and one.on <= on):
            who = f" with {tidy(block.agreed_with)}" if block.agreed_with else ""
            where = f"on {self.day(block.on)} ({self.line(block.line)})"
            yield f"Set aside by agreement{who} {where}: neither asked for nor counted. {may_know}"
        if way := self.record.alternative(skill, on):
            where = f"agreed with {tidy(way.agreed_with)} on {self.day(way.on)} ({self.line(way.line)})"
            same = f"It counts like the usual one. {may_know}"
            yield f"Shown in another way, {where}: {tidy(way.text)}. {same}"

    def means(self, skill: str) -> Iterator[str]:
        yield _STATE_MEANS.get(self.standing(skill).state, "")
        nothing = "No unit has started, so nothing waits for it yet."
        yield nothing if self.answer.unit is None else self.for_the_move(skill)
        yield "" if self.is_met(skill) else self.missing(skill)

    def for_the_move(self, skill: str) -> str:
        answer = self.answer
        blocking = next((blocker for blocker in answer.blockers if blocker.skill == skill), None)
        if blocking is not None:
            how = "holds the move up" if blocking.is_gap else "needs a look before the move"
            return f"It {how}. {self.stands_on_it(skill, blocking.needed_by)}"
        if skill in answer.deciding:
            return "It is needed for the move, and it is there."
        if any(not group.met and skill in group.of for group in answer.groups):
            return "It is one of several, some of which are needed."
        if skill in answer.chain[:-1]:
            return f"{self.name(answer.chain[-1])} builds on it, and that is needed for the move."
        if skill in answer.open_rest:
            at_most = number_words(self.carry_limit)
            return f"It may be finished later; {at_most} such things are allowed at most."
        return "It is of this unit, and there." if skill in answer.rest else "The move does not need it now."

    def when(self, skill: str) -> Iterator[str]:
        """Yield the earliest possible date, and what would make it later."""
        answer = self.answer
        if self.is_met(skill) or answer.unit is None or skill not in (*answer.deciding, *answer.rest):
            return
        yield f"Next lesson: {self.to_come}."
        if answer.earliest_told is None:
            yield ENGLISH.no_date(unseen=answer.is_unseen)
            return
        shown = "if everything open is shown without help each time"
        yield f"Earliest possible move, {shown}: {self.day(answer.earliest_told)}."
        yield from self.kept_back()
        weeks = counted(self.course.band[answer.band].whole("break_weeks"), "week")
        yield (
            "It gets later with a lesson missed or with a day that needs more help than counts. So it does "
            f"with something else not seen for too long, or with {weeks} or more without a lesson."
        )

    def above(self, skill: str) -> Iterator[str]:
        answer, course = self.answer, self.course
        if users := [user.id for user in course.skills if skill in user.stands_on]:
            yield f"Directly: {self.names(users)}."
        if answer.unit is None:
            return
        later = first_needed(course, skill, answer.unit)
        if later is None:
            yield "No later unit names it."
        else:
            yield f"First needed after this unit by {self.names(later.skills)}, {self.unit(later.unit)}."

    def looked_at(self, skill: str) -> Iterator[str]:
        course_skill = self.course.skill[skill]
        if course_skill.always_look:
            yield "It is looked at in every check of every unit, at a glance."
        if course_skill.safety:
            yield "It is a safety point and is never left unfinished."
        if course_skill.must_be_seen:
            weeks = self.course.band[self.answer.band].whole(f"fresh_weeks.{course_skill.fade}")
            after = f"after {counted(weeks, 'week')} at the latest"
            yield f"Playing other things does not show it: it has to be seen itself, {after}."

    def another_way(self, skill: str) -> Iterator[str]:
        """Yield what else would count where it is agreed on; nothing where something was."""
        if self.record.alternative(skill, self.answer.on) is not None:
            return
        course_skill = self.course.skill[skill]
        if words := course_skill.alternative or self.course.alternatives_by_kind.get(course_skill.kind, ""):
            yield f"Another way, where agreed: {tidy(words)}"
        yield (
            "An agreed way counts like the usual one. What was agreed, with whom and when is in the "
            "student's file as [[alternative]]; it is named only to those who may know."
        )

    def said(self, skill: str) -> Iterator[str]:
        for lesson in (lesson for lesson in self.record.lessons if lesson.on <= self.answer.on):
            day, line = self.day(lesson.on), self.line(lesson.line)
            if skill in lesson.remarks:
                yield f"{day}: {tidy(lesson.remarks[skill])} ({line})"
            told = (words for about, words in self.beside(lesson) if about == skill)
            yield from (f"{capital(words)} on {day} ({line})." for words in told)


_STATE_MEANS: Final = {
    State.WOBBLING: (
        "One off day after it was secure. That does not undo what was there; it asks for one more look."
    ),
    State.SLIPPED: (
        "Two days in a row that do not count, after it was secure: it is lost for now, and its days are "
        "counted again from the start. That is usual. Look on another day before concluding anything."
    ),
    State.STALE: "It is not lost; it has only not been seen for a while.",
    State.UNTRIED: "Nothing is known about it yet.",
    State.BUILDING: "What was shown is good; it is the number of days that is short.",
}


# What lies around a student: optional, untried, startable, carries over.


def tell_around(
    found: AroundHere, which: str, answer: Answer, course: Course, record: Record, width: int = 80
) -> str:
    """Return one list of what lies around a student: optional, untried, startable or carries-over."""
    phrases, told = Phrases(answer, course, record), hold_section(record, answer.on)
    waits = which in _IN_PLAY and (answer.verdict == Verdict.PAUSED or answer.unit is None)
    if waits and answer.verdict != Verdict.PAUSED:
        told = plain(f"No starting unit yet. First: `readiness place {answer.student}`")
    found_here = () if waits else _AROUND[which](phrases, found)
    return lay_out((plain(phrases.title()), told, *found_here), width)


def _optional(phrases: Phrases, found: AroundHere) -> Iterator[Section]:
    lines = []
    for skill, band in found.optional:
        back = f"asked for from age {band}" if band else "not asked for later either"
        note = tidy(phrases.course.skill[skill].age_note) or "The course does not say why."
        lines += [item(f"{_with_unit(phrases, skill)}: {back}."), under(note)]
    title = f"May be left out at age {phrases.answer.band}"
    yield Section(title, tuple(lines) or (item("Nothing: all is asked for."),))


def _untried(phrases: Phrases, found: AroundHere) -> Iterator[Section]:
    never, missed = ([f"{phrases.titled(skill)}." for skill in some]
                     for some in (found.untried, found.not_shown))  # fmt: skip
    yield bullets("Never tried, so nothing is known", never or ["Nothing: all was asked at least once."])
    yield bullets("Asked, and not shown yet", missed or ["Nothing."])


def _startable(phrases: Phrases, found: AroundHere) -> Iterator[Section]:
    def told(skills: Sequence[str]) -> list[str]:
        return [f"{_with_unit(phrases, skill)}." for skill in skills]

    at_most = counted(found.at_most, "new skill")
    new = told(found.startable) or ["Nothing new."]
    yield bullets(f"Could be started now, at most {at_most} a lesson", new)
    yield bullets("Started and not there yet", told(found.going_on))
    yield bullets("Ready to start, but part of the next unit", told(found.after_the_move))


def _carries_over(phrases: Phrases, found: AroundHere) -> Iterator[Section]:
    others = joined([quoted(other.name) for other in phrases.course.beside])
    same = f"The same in {others}: {counted(len(found.shared), 'skill')}; a note counts in both"
    lines = tuple(_carried(phrases, found)) or ("There is one course only.",)
    yield bullets(same if others else "Carries over", lines)


def _carried(phrases: Phrases, found: AroundHere) -> Iterator[str]:
    for part, since in found.rests:
        yield f"The {part} rests since {phrases.day(since)}: nothing here uses it."
    for words, is_there in (("Not secure here yet", False), ("Secure here", True)):
        if skills := [skill for skill, state in found.shared if (state == State.SECURE) is is_there]:
            yield f"{words}: {phrases.names(skills, len(skills))}."
    if found.care:
        beside = {skill.id: skill for skill in care_elsewhere(phrases.course)}
        yield f"Looked after there alone: {listed([quoted(beside[skill].name) for skill in found.care])}."


def _with_unit(phrases: Phrases, skill: str) -> str:
    return f"{phrases.titled(skill)}, unit {phrases.course.unit[phrases.course.skill[skill].unit].number}"


_IN_PLAY: Final = ("untried", "startable")
_AROUND: Final[dict[str, Callable[[Phrases, AroundHere], Iterator[Section]]]] = {
    "optional": _optional, "untried": _untried, "startable": _startable, "carries-over": _carries_over,
}  # fmt: skip


# The words for a standstill: what waits for what, what gets better, what asks for another way.
#
# The playing is described, not the child. Taking time is fine; the weeks without a lesson do not count; and
# it ends with one thing to do and a day to look again.


def tell_standstill(
    found: Standstill, answer: Answer, course: Course, record: Record, width: int = 80, *, full: bool = False
) -> str:
    """Return what holds other things up, and whether it changes."""
    return lay_out(_Standstill(answer, course, record).sections(found), width, full=full)


class _Standstill(Phrases):
    """The page."""

    def sections(self, found: Standstill) -> Iterator[Section]:
        answer = self.answer
        title = self.title(lead="Stuck, or taking time?")
        if answer.verdict == Verdict.PAUSED:
            yield from (plain(title), hold_section(self.record, answer.on))
            return
        yield plain(title, _lasted(found.pace) if found.pace else "")
        stuck = (item(self.weak(weak), more=not weak.stuck) for weak in found.weak if weak.tries)
        in_order = sorted(stuck, key=lambda paragraph: paragraph.more)
        yield Section("Stuck, or taking its time", (*in_order, *map(item, self.pace(found.pace))))
        yield self.start()
        yield bullets("Other things wait for", self.waiting(found), more=True)
        yield bullets("Next", self.to_do(found))
        rules = self.rules("stuck_tries", "min_unit_factor", "max_unit_factor")
        yield numbers_section(rules, answer.band)
        shown = (answer.one_thing,) if answer.one_thing else ()
        cautions = cautions_for(self.course, self.record, answer.on, shown, (), paused=False, seat_open=False)
        yield from closing((), cautions, of_age=self.of_age)

    def start(self) -> Section:
        skill = self.answer.one_thing
        if skill is None:
            return plain()
        course_skill = self.course.skill[skill]
        told: list[Paragraph] = []
        if waiting := [other for other in self.answer.frees if other != skill]:
            told.append(item(f"{_wait(waiting)} for it: {self.inventory(waiting)}."))
        told += (item(f"To try: {way}") for way in self.to_try(skill))
        minutes = counted(course_skill.minutes, "minute")
        return Section(f"Start here: {self.plain_name(skill)}, about {minutes} of teaching", tuple(told))

    def weak(self, weak: Weak) -> str:
        """Return on how many days something was tried, how it went, and what that comes to."""
        return f"{self.plain_name(weak.skill)}: {self.row(weak)}. {_judged(weak)}"

    def row(self, weak: Weak) -> str:
        assert weak.late is not None
        days, late = counted(weak.tries, "day"), HELP_WORDS[weak.late]
        if weak.tries == 1:
            return f"{days} that does not count yet, {self.day(weak.last)}, at best {late}"
        when = f"{days} in a row, {self.day(weak.first)} to {self.day(weak.last)}"
        if weak.early is None or weak.early == weak.late:
            return f"{when}, at best {late}"
        return f"{when}, at best {HELP_WORDS[weak.early]} at first, {late} in the latest three"

    def pace(self, pace: Pace | None) -> Iterator[str]:
        if pace is None:
            return
        if pace.lessons > pace.most:
            yield "The unit has lasted long: look at the unit and at the way in, too."
        elif pace.lessons < pace.least:
            yield "Early in the unit: make sure it was not one good day."
        if pace.short:
            yield f"Shown well, on too few days so far: {self.names(pace.short)}."

    def waiting(self, found: Standstill) -> Iterator[str]:
        if found.pace is None:
            yield "No unit has started, so nothing waits for anything yet."
            return
        if not found.weak:
            yield "Nothing: no skill is a gap, and none had an off day. What is open asks for looks only."
        for weak in (weak for weak in found.weak if weak.skill != self.answer.one_thing):
            others = [skill for skill in weak.waiting if skill != weak.skill]
            wait = _wait(others) if others else "nothing else of this or the next unit waits"
            yield f"{self.titled(weak.skill)}: {wait} for it."

    def to_do(self, found: Standstill) -> Iterator[str]:
        if stuck := [weak.skill for weak in found.weak if weak.stuck]:
            ways = "another place, another sense, a smaller step, or the step under it"
            yield f"Change the way for {self.names(stuck)}: {ways}."
        look = f"Look again over the next three lessons, the first on {self.to_come}, and compare."
        yield look if found.weak else f"All reasons: readiness why {self.answer.student}"


def _wait(waiting: list[str]) -> str:
    return counted(len(waiting), "other thing waits", "other things wait")


def _judged(weak: Weak) -> str:
    if weak.stuck:
        return "No change for a while: try another way in."
    if weak.improves:
        return "It gets easier, so it is not stuck; it takes its time."
    if weak.state == State.WOBBLING:
        return "One off day after it was secure; look on another day before concluding anything."
    return "Too few tries to call it stuck."


def _lasted(pace: Pace) -> str:
    """Return how long the unit has lasted."""
    without = f" {counted(pace.without, 'week')} had none." if pace.without else ""
    usual = f"usually {pace.usual}, and {pace.least} to {pace.most} are fine"
    return f"{counted(pace.lessons, 'lesson')} in this unit; {usual}.{without}"
