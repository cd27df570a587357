"""The words for a standstill: what waits for what, what gets better, what asks for another way.

The playing is described, not the child. Taking time is no fault; the weeks without a lesson
do not count; and it ends with one thing to do and a day to look again.
"""

from __future__ import annotations

from collections.abc import Iterator

from readiness.course.model import Course
from readiness.judging.answer import Answer
from readiness.judging.findings import Rule
from readiness.judging.reasons import pacing_rule
from readiness.planning.stuck import Pace, Standstill, Weak
from readiness.record.model import Record
from readiness.words.cautions import caution
from readiness.words.grammar import HELP_WORDS, capital, counted, date_words, tidy
from readiness.words.numbers import numbers_section
from readiness.words.page import Paragraph, Section, item, lay_out
from readiness.words.paused import hold_section
from readiness.words.phrases import Phrases

__all__ = ["tell_standstill"]


def tell_standstill(
    found: Standstill, answer: Answer, course: Course, record: Record, width: int = 80
) -> str:
    """Return what holds other things up, and whether it changes.

    Args:
        found: what was worked out.
        answer: the answer for the day.
        course: the course.
        record: the student's record.
        width: the widest line.
    """
    say = Phrases(answer, course, record)
    title = Section("", (Paragraph(_title(say)),))
    if answer.verdict == "paused":
        return lay_out([title, hold_section(record, answer.on)], width)
    return lay_out(
        [
            title,
            Section("What other things wait for", tuple(map(item, _waiting(found, say)))),
            Section("Stuck, or taking its time", tuple(map(item, _tries(found, say)))),
            Section("Time in this unit", tuple(map(item, _pace(found.pace, say)))),
            Section("What to do", tuple(map(item, _to_do(found, say)))),
            numbers_section(_rules(say), answer.band),
            Section("Cautions", (item(caution("C14")),)),
        ],
        width,
    )


def _title(say: Phrases) -> str:
    where = f" - {say.unit(say.answer.unit)}" if say.answer.unit else ""
    return f"{tidy(say.answer.name)}{where} - what holds it up - {date_words(say.answer.on)}"


def _waiting(found: Standstill, say: Phrases) -> Iterator[str]:
    if found.pace is None:
        yield "No unit has begun, so nothing waits for anything yet."
        return
    if not found.weak:
        yield "Nothing: no skill so far is a gap, and none had an off day. What is open asks for looks only."
    for at, one in enumerate(found.weak):
        others = [skill for skill in one.waiting if skill != one.skill]
        if not others:
            yield f"{say.titled(one.skill)}: nothing else of this or the next unit waits for it."
            continue
        wait = counted(len(others), "other thing waits", "other things wait")
        names = f": {say.of_units(others)}" if at == 0 else ""
        yield f"{say.titled(one.skill)}: {wait} for it{names}."


def _tries(found: Standstill, say: Phrases) -> Iterator[str]:
    for one in found.weak:
        if one.tries:
            yield f"{say.titled(one.skill)}: {_row(one, say)}. {_verdict(one, say)}"


def _row(one: Weak, say: Phrases) -> str:
    days = f"{counted(one.tries, 'day')} {{}}that {'does' if one.tries == 1 else 'do'} not count yet"
    assert one.first is not None
    assert one.last is not None
    assert one.late is not None
    when = f"on {say.day(one.last)}" if one.tries == 1 else f"{say.day(one.first)} to {say.day(one.last)}"
    if one.early is None:
        return f"tried on {days.format('')}, {when}, at best {HELP_WORDS[one.late]}"
    return (
        f"tried on {days.format('in a row ')}, {when}; at best {HELP_WORDS[one.early]} at first, "
        f"{HELP_WORDS[one.late]} in the latest three"
    )


def _verdict(one: Weak, say: Phrases) -> str:
    if one.stuck:
        return "No change for a while: it asks for another way, not for more of the same."
    if one.improves:
        return "It gets better, so it is not stuck; it takes its time."
    if one.state == "wobbling":
        return "One off day after it was settled; look on another day before concluding anything."
    tries = say.course.band[say.answer.band].whole("stuck_tries")
    return f"Too few tries to call it stuck; {counted(tries, 'day')} in a row without a change would be one."


def _pace(pace: Pace | None, say: Phrases) -> Iterator[str]:
    if pace is None:
        return
    without = ""
    if pace.without:
        weeks = counted(pace.without, "week")
        without = f" {capital(weeks)} without a lesson {'is' if pace.without == 1 else 'are'} not counted."
    yield (
        f"{counted(pace.lessons, 'lesson')} so far; it usually takes {pace.usual}, fewer than {pace.least} "
        f"is quick, more than {pace.most} is long.{without}"
    )
    if pace.lessons > pace.most:
        yield "That is long, which is a note and no fault: look at the unit and at the way, too."
    elif pace.lessons < pace.least:
        yield "That is early in the unit: a note to look at days as well as at skill, and no bar."
    if pace.short:
        yield f"Shown well, on too few days so far: {say.names(pace.short)}."


def _to_do(found: Standstill, say: Phrases) -> Iterator[str]:
    answer = say.answer
    stuck = [one for one in found.weak if one.stuck]
    if answer.one_thing is not None:
        skill = say.course.skill[answer.one_thing]
        weak = {one.skill for one in found.weak}
        lowest = "The lowest weak link" if answer.one_thing in weak else "The one thing to work on"
        yield f"{lowest}: {say.name(answer.one_thing)}, about {counted(skill.minutes, 'minute')} of teaching."
        yield from (f"To try: {tidy(remedy)}" for remedy in skill.remedies)
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
