"""The words for a standstill: what waits for what, what gets better, what asks for another way.

The playing is described, not the child. Taking time is fine; the weeks without a lesson do not count; and
it ends with one thing to do and a day to look again.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace

from readiness.advice.stuck import Pace, Standstill, Weak
from readiness.course.model import Course
from readiness.judging.answer import Answer
from readiness.judging.remarks import cautions_for
from readiness.record.model import Record
from readiness.terms import State, Verdict
from readiness.words.cautions import closing
from readiness.words.english import HELP_WORDS
from readiness.words.grammar import capital, counted
from readiness.words.layout import Paragraph, Section, bullets, item, lay_out, plain
from readiness.words.paused import hold_section
from readiness.words.phrases import Phrases
from readiness.words.reasons import numbers_section

__all__ = ["tell_standstill"]


def tell_standstill(
    found: Standstill, answer: Answer, course: Course, record: Record, width: int = 80, *, full: bool = False
) -> str:
    """Return what holds other things up, and whether it changes, no line wider than ``width``.

    ``full``: with what other things wait for, the rules and the cautions.
    """
    return lay_out(_Standstill(answer, course, record).sections(found, full=full), width, full=full)


class _Standstill(Phrases):
    """The page."""

    def sections(self, found: Standstill, *, full: bool) -> Iterator[Section]:
        answer = self.answer
        title = self.title(lead="Stuck, or taking time?")
        if answer.verdict == Verdict.PAUSED:
            yield from (plain(title), hold_section(self.record, answer.on))
            return
        lasted = (Paragraph(_lasted(found.pace), more=True),) if found.pace else ()
        yield Section("", (Paragraph(title), *lasted))
        yield self.start()
        stuck = (item(self.weak(weak), more=not weak.stuck) for weak in found.weak if weak.tries)
        in_order = sorted(stuck, key=lambda paragraph: paragraph.more)
        yield Section("Stuck, or taking its time", (*in_order, *map(item, self.pace(found.pace))))
        yield bullets("Other things wait for", self.waiting(found), more=True)
        yield bullets("Next", self.to_do(found))
        rules = self.rules("stuck_tries", "min_unit_factor", "max_unit_factor")
        yield replace(numbers_section(rules, answer.band), more=True)
        shown = (answer.one_thing,) if answer.one_thing else ()
        cautions = cautions_for(self.course, self.record, answer.on, shown, (), paused=False, seat_open=False)
        yield from closing((), cautions, full=full, of_age=self.of_age)

    def start(self) -> Section:
        """Return the one thing, what waits for it, and what to try."""
        skill = self.answer.one_thing
        if skill is None:
            return plain()
        course_skill = self.course.skill[skill]
        told: list[Paragraph] = []
        if waiting := [other for other in self.answer.frees if other != skill]:
            told.append(item(f"{_wait(waiting)} for it: {self.few(waiting)}."))
            told.append(item(f"{self.inventory(waiting)}.", more=True))
        told += (item(f"To try: {way}", more=at > 0) for at, way in enumerate(self.to_try(skill)))
        minutes = counted(course_skill.minutes, "minute")
        return Section(f"Start here: {self.plain_name(skill)}, about {minutes} of teaching", tuple(told))

    def weak(self, weak: Weak) -> str:
        """Return on how many days something was tried, how it went, and what that comes to."""
        return f"{self.plain_name(weak.skill)}: {self.row(weak)}. {self.judged(weak)}"

    def row(self, weak: Weak) -> str:
        assert weak.late is not None
        days, late = counted(weak.tries, "day"), HELP_WORDS[weak.late]
        if weak.tries == 1:
            return f"{days} that does not count yet, {self.day(weak.last)}, at best {late}"
        when = f"{days} in a row, {self.day(weak.first)} to {self.day(weak.last)}"
        if weak.early is None or weak.early == weak.late:
            return f"{when}, at best {late}"
        return f"{when}, at best {HELP_WORDS[weak.early]} at first, {late} in the latest three"

    def judged(self, weak: Weak) -> str:
        if weak.stuck:
            return "No change for a while: try another way in."
        if weak.improves:
            return "It gets easier, so it is not stuck; it takes its time."
        if weak.state == State.WOBBLING:
            return "One off day after it was secure; look on another day before concluding anything."
        tries = counted(self.course.band[self.answer.band].whole("stuck_tries"), "day")
        return f"Too few tries to call it stuck; {tries} in a row without a change would be one."

    def pace(self, pace: Pace | None) -> Iterator[str]:
        if pace is None:
            return
        if pace.lessons > pace.most:
            yield "The unit has lasted long: look at the unit and at the way in, too."
        elif pace.lessons < pace.least:
            yield "That is early in the unit: just make sure it was not one good day."
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
        first = self.day(self.answer.next_lesson)
        look = f"Look again over the next three lessons, the first on {first}, and compare."
        yield look if found.weak else f"All reasons: readiness why {self.answer.student}"


def _wait(waiting: list[str]) -> str:
    return counted(len(waiting), "other thing waits", "other things wait")


def _lasted(pace: Pace) -> str:
    """Return how long the unit has lasted."""
    told = (
        f"{counted(pace.lessons, 'lesson')} in this unit; usual {pace.usual}, quick below {pace.least}, long "
        f"above {pace.most}."
    )
    if not pace.without:
        return told
    weeks = f"{capital(counted(pace.without, 'week'))} without a lesson"
    return f"{told} {weeks} {'is' if pace.without == 1 else 'are'} not counted."
