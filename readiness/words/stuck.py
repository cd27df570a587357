"""The words for a standstill: what waits for what, what gets better, what asks for another way.

The playing is described, not the child. Taking time is fine; the weeks without a lesson
do not count; and it ends with one thing to do and a day to look again.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import replace

from readiness.advice.stuck import Pace, Standstill, Weak
from readiness.course.model import Course
from readiness.judging.answer import Answer
from readiness.judging.findings import Rule
from readiness.judging.reasons import pacing_rule
from readiness.judging.remarks import cautions_for
from readiness.record.model import Record
from readiness.terms import State, Verdict
from readiness.words.cautions import closing
from readiness.words.english import HELP_WORDS
from readiness.words.grammar import capital, counted, date_words, tidy
from readiness.words.layout import Paragraph, Section, item, lay_out
from readiness.words.paused import hold_section
from readiness.words.phrases import Phrases
from readiness.words.reasons import numbers_section

__all__ = ["tell_standstill"]


def tell_standstill(
    found: Standstill, answer: Answer, course: Course, record: Record, width: int = 80, *, full: bool = False
) -> str:
    """Return what holds other things up, and whether it changes.

    Args:
        found: what was worked out.
        answer: the answer for the day.
        course: the course.
        record: the student's record.
        width: the widest line.
        full: with what other things wait for, the rules and the cautions.
    """
    say = Phrases(answer, course, record)
    title = Paragraph(_title(say))
    if answer.verdict == Verdict.PAUSED:
        return lay_out([Section("", (title,)), hold_section(record, answer.on)], width, full=full)
    return lay_out(
        [
            Section("", (title, *(Paragraph(words, more=True) for words in _lasted(found.pace)))),
            _start(say),
            Section("Stuck, or taking its time", tuple(_standstill(found, say))),
            Section("Other things wait for", tuple(map(item, _waiting(found, say))), more=True),
            Section("Next", tuple(map(item, _to_do(found, say)))),
            replace(numbers_section(_rules(say), answer.band), more=True),
            *closing((), _cautions(say), full=full, of_age=say.of_age),
        ],
        width,
        full=full,
    )


def _cautions(say: Phrases) -> tuple[str, ...]:
    """Return the cautions for the skill to start with."""
    answer = say.answer
    shown = () if answer.one_thing is None else (answer.one_thing,)
    return cautions_for(say.course, say.record, answer.on, shown, (), paused=False, seat_open=False)


def _title(say: Phrases) -> str:
    where = (say.unit(say.answer.unit),) if say.answer.unit else ()
    name, day = tidy(say.answer.name), date_words(say.answer.on)
    return " · ".join(("Stuck, or taking time?", name, *where, day))


def _start(say: Phrases) -> Section:
    """Return the one thing, what waits for it, and what to try."""
    skill = say.answer.one_thing
    if skill is None:
        return Section("", ())
    one = say.course.skill[skill]
    waiting = [other for other in say.answer.frees if other != skill]
    tries = (item(f"To try: {remedy}", more=i > 0) for i, remedy in enumerate(say.to_try(skill)))
    told = [item(_for_it(waiting, say)), item(f"{say.inventory(waiting)}.", more=True)] if waiting else []
    title = f"Start here: {tidy(one.name)}, about {counted(one.minutes, 'minute')} of teaching"
    return Section(title, (*told, *tries))


def _for_it(waiting: Sequence[str], say: Phrases) -> str:
    wait = counted(len(waiting), "other thing waits", "other things wait")
    return f"{wait} for it: {say.few(waiting)}."


def _standstill(found: Standstill, say: Phrases) -> Iterator[Paragraph]:
    """Yield what is stuck, then what takes its time, and what of the unit's time is worth a word."""
    for one in sorted((one for one in found.weak if one.tries), key=lambda one: not one.stuck):
        words = f"{tidy(say.course.skill[one.skill].name)}: {_row(one, say)}. {_verdict(one, say)}"
        yield item(words, more=not one.stuck)
    yield from map(item, _pace(found.pace, say))


def _waiting(found: Standstill, say: Phrases) -> Iterator[str]:
    if found.pace is None:
        yield "No unit has started, so nothing waits for anything yet."
        return
    if not found.weak:
        yield "Nothing: no skill so far is a gap, and none had an off day. What is open asks for looks only."
    for one in found.weak:
        others = [skill for skill in one.waiting if skill != one.skill]
        if one.skill == say.answer.one_thing:
            continue
        if not others:
            yield f"{say.titled(one.skill)}: nothing else of this or the next unit waits for it."
            continue
        wait = counted(len(others), "other thing waits", "other things wait")
        yield f"{say.titled(one.skill)}: {wait} for it."


def _row(weak: Weak, say: Phrases) -> str:
    days = counted(weak.tries, "day")
    assert weak.first is not None
    assert weak.last is not None
    assert weak.late is not None
    if weak.tries == 1:
        return f"{days} that does not count yet, {say.day(weak.last)}, {_best(weak.late)}"
    when = f"{days} in a row, {say.day(weak.first)} to {say.day(weak.last)}"
    if weak.early is None or weak.early == weak.late:
        return f"{when}, {_best(weak.late)}"
    return f"{when}, {_best(weak.early)} at first, {HELP_WORDS[weak.late]} in the latest three"


def _best(help_: int) -> str:
    return f"at best {HELP_WORDS[help_]}"


def _verdict(one: Weak, say: Phrases) -> str:
    if one.stuck:
        return "No change for a while: try another way in."
    if one.improves:
        return "It gets easier, so it is not stuck; it takes its time."
    if one.state == State.WOBBLING:
        return "One off day after it was secure; look on another day before concluding anything."
    tries = say.course.band[say.answer.band].whole("stuck_tries")
    return f"Too few tries to call it stuck; {counted(tries, 'day')} in a row without a change would be one."


def _lasted(pace: Pace | None) -> Iterator[str]:
    """Yield how long the unit has lasted."""
    if pace is None:
        return
    without = ""
    if pace.without:
        weeks = counted(pace.without, "week")
        without = f" {capital(weeks)} without a lesson {'is' if pace.without == 1 else 'are'} not counted."
    yield (
        f"{counted(pace.lessons, 'lesson')} in this unit; usual {pace.usual}, quick below {pace.least}, long "
        f"above {pace.most}.{without}"
    )


def _pace(pace: Pace | None, say: Phrases) -> Iterator[str]:
    if pace is None:
        return
    if pace.lessons > pace.most:
        yield "The unit has lasted long: look at the unit and at the way in, too."
    elif pace.lessons < pace.least:
        yield "That is early in the unit: just make sure it was not one good day."
    if pace.short:
        yield f"Shown well, on too few days so far: {say.names(pace.short)}."


def _to_do(found: Standstill, say: Phrases) -> Iterator[str]:
    answer = say.answer
    stuck = [one for one in found.weak if one.stuck]
    if stuck:
        yield (
            f"Change the way for {say.names([one.skill for one in stuck])}: another place, another sense, a "
            "smaller step, or the step under it."
        )
    yield (
        f"Look again over the next three lessons, the first on {say.day(answer.next_lesson)}, and compare."
        if found.weak
        else f"All reasons: readiness why {answer.student}"
    )


def _rules(say: Phrases) -> tuple[Rule, ...]:
    band = say.course.band[say.answer.band]
    names = ("stuck_tries", "min_unit_factor", "max_unit_factor")
    return tuple(pacing_rule(say.course, band, name) for name in names)
