"""What turns stale soon, and what a birthday changes: two looks ahead, in words."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import replace

from readiness.advice.after_break import NO_BREAK, AfterBreak
from readiness.advice.birthday import Birthday, OneDay
from readiness.advice.fading import Fading, FadingSkill
from readiness.course.model import Course
from readiness.record.model import Record
from readiness.terms import Help
from readiness.words.cautions import caution
from readiness.words.editing import comparison_reasons
from readiness.words.english import VERDICT_BRIEF
from readiness.words.grammar import (
    capital,
    counted,
    date_words,
    listed,
    number_words,
    quoted,
    tidy,
)
from readiness.words.layout import Paragraph, Section, item, lay_out, under
from readiness.words.paused import hold_notice
from readiness.words.reasons import plain_value, rule_value

__all__ = ["tell_birthday", "tell_fading"]

SOME_OF_THEM = 3


def tell_fading(found: Fading, back: AfterBreak, course: Course, record: Record, width: int = 80) -> str:
    """Return what turns stale soon, what keeps it fresh, and what is due already.

    Args:
        found: what turns stale; back: what is due already, of the same day.
        course: what is taught; record: the student's record; width: the widest line.
    """
    return lay_out(_fading(found, back, course, record), width)


def _fading(found: Fading, back: AfterBreak, course: Course, record: Record) -> Iterator[Section]:
    until = date_words(found.until, found.on)
    yield Section("", (Paragraph(f"{tidy(record.name)} - what fades - {date_words(found.on)} to {until}"),))
    if not found.skills:
        yield Section("", tuple(map(Paragraph, _nothing_soon(found, back, record))))
    else:
        yield from _soon(found, course)
    yield Section("Due for a look already", tuple(map(item, _already(found, back, course, record))))


def _nothing_soon(found: Fading, back: AfterBreak, record: Record) -> Iterator[str]:
    """Yield that nothing turns due, or why nothing could, and what to do."""
    if back.due or back.kept or back.last_lesson is not None:
        nothing = "Nothing more" if _is_due(back) else "Nothing"
        yield f"{nothing} that is settled turns due for a look before {date_words(found.until, found.on)}."
        return
    yield "No lesson is noted yet and nothing is settled, so nothing can fade."
    if found.paused:
        yield hold_notice(record, found.on)
    else:
        yield f"What to look at first, and how to note it: `readiness sheet {record.id}`"


def _is_due(back: AfterBreak) -> tuple[str, ...]:
    """Return what is due already and was not seen again since."""
    return tuple(one.skill for one in back.due if not one.again)


def _already(found: Fading, back: AfterBreak, course: Course, record: Record) -> Iterator[str]:
    """Yield what is due already, and what to look at for it in the next lesson."""
    due = len(_is_due(back))
    if not due:
        return
    since = "" if back.kind == NO_BREAK else f" after {counted(back.days, 'day')} without a lesson"
    yield (f"{counted(due, 'settled skill')}{since}. That means not seen for a while; it does not mean lost.")
    if found.paused:
        yield f"No look while the hold is open; after it, `readiness back {record.id}` says what comes first."
        return
    if back.kind == NO_BREAK:
        yield from _in_the_next_lesson(found, back, course)
        yield f"All that is due: `readiness back {record.id}`"
    else:
        yield f"What to look at first, and all that is due: `readiness back {record.id}`"


def _in_the_next_lesson(found: Fading, back: AfterBreak, course: Course) -> Iterator[str]:
    """Yield what to look at for what is due, where no break is the reason."""
    next_lesson = f"Next lesson, {date_words(back.look_on, found.on)}"
    if looks := [_name(course, skill) for look in back.looks for skill in look.skills]:
        yield f"{next_lesson}, look first at {listed(looks)}."
        return
    names = [quoted(course.skill[skill].name) for skill in _is_due(back)[:SOME_OF_THEM]]
    yield "Nothing decides by them now; most come back by use, when what stands on them is played."
    yield f"{next_lesson}, one look where it fits, such as at {listed(names, 'or')}."


def _soon(found: Fading, course: Course) -> Iterator[Section]:
    """Yield what turns due in these days, and the fewest things that keep it fresh."""
    lines: list[Paragraph] = []
    for one in found.skills:
        decides = "; it decides about the next unit" if one.decides else ""
        seen, last = (date_words(day, found.on) for day in (one.last_seen, one.fresh_until))
        lines.append(item(f"{_name(course, one.skill)}: last seen {seen}, fresh until {last}{decides}."))
        lines.append(under(_kept(course, one, paused=found.paused)))
    yield Section(f"Due for a look soon: {counted(len(found.skills), 'skill')}", tuple(lines))
    if found.paused:
        yield Section(
            "Cautions",
            (item(caution("C1")), item("While the hold is open nothing is to be played for this.")),
        )
    elif found.play:
        things = tuple(item(f"{_name(course, skill)}.") for skill in found.play)
        words = f"The fewest things that keep all of it fresh: {number_words(len(things))}"
        yield Section(words, things)


def _name(course: Course, skill: str) -> str:
    return f"{tidy(course.skill[skill].name)} ({skill})"


def _kept(course: Course, fading_skill: FadingSkill, *, paused: bool) -> str:
    task = " A home task for it is open." if fading_skill.task else ""
    if paused and not course.skill[fading_skill.skill].quiet:
        return "It waits until the hold is closed."
    if not fading_skill.kept_by:
        return f"Nothing else keeps it fresh: one look at it.{task}"
    names = listed([quoted(course.skill[skill].name) for skill in fading_skill.kept_by], "or")
    return f"Kept fresh by {names}.{task}"


def tell_birthday(
    found: Birthday | None, near: OneDay | None, course: Course, record: Record, on: int, width: int = 80
) -> str:
    """Return what the next birthday that counts changes, and where one day of age decides.

    Args:
        found: the birthday, if there is one; near: the same for somebody a day older or
            younger, where the verdict is another.
        course: what is taught; record: the student's record; on: the day asked about.
        width: the widest line.
    """
    return lay_out((*_birthday(found, course, record, on), _near(near, record, on)), width)


def _near(near: OneDay | None, record: Record, on: int) -> Section:
    """Return that one day of age decides on the day asked about, where it does."""
    if near is None:
        return Section("", ())
    told = (
        f"Born one day {near.born} and with the same notes, {tidy(record.name)} would go by age "
        f"{near.answer.band} on {date_words(on)}: {VERDICT_BRIEF[near.answer.verdict]}."
    )
    choose = "You decide which age fits: a [[band_choice]] with a reason sets it."
    return Section("One day of age decides now", (item(told), item(choose)))


def _birthday(found: Birthday | None, course: Course, record: Record, on: int) -> Iterator[Section]:
    if found is None:
        chosen = any(choice.on <= on for choice in record.band_choices)
        why = "the band was set by the teacher" if chosen else "no older band begins"
        yield Section("", (Paragraph(f"No birthday of {tidy(record.name)} changes anything: {why}."),))
        return
    day = date_words(found.day)
    yield Section("", (Paragraph(
        f"{tidy(record.name)} turns {found.age} on {day}: band {found.new} in place of band {found.old}."
    ),))  # fmt: skip
    yield Section("The verdict that day, with nothing new noted", tuple(_verdict(found, course)))
    yield Section("Asked for from then on", tuple(item(f"{_name(course, skill)}.") for skill in found.due))
    yield Section(
        "Not asked for any more", tuple(item(f"{_name(course, skill)}.") for skill in found.skipped)
    )
    rows = tuple(item(f"{capital(_number(*one))}.") for one in found.numbers)
    yield Section("Numbers that change", rows)


def _number(rule: str, old: object, new: object) -> str:
    """Return how a number changes, in words."""
    if old is None or new is None:
        return f"{rule_value(rule, old if new is None else new)}, {'no more' if new is None else 'new'}"
    return f"{rule_value(rule, new)}, in place of {_AS_SAID.get(str(old)) or plain_value(old)}"


_TOLD_BELOW = frozenset({"other-band", "number-changed"})
_AS_SAID: Mapping[str, str] = {Help.ALONE: "without help alone", Help.CUE: "a reminder counting too"}


def _verdict(found: Birthday, course: Course) -> Iterator[Paragraph]:
    before, after = found.change.before, found.change.after
    was, now = VERDICT_BRIEF[before.verdict], VERDICT_BRIEF[after.verdict]
    if not found.one_day_decides:
        yield item(f"The same by both bands: {now}.")
    else:
        yield item(f"By band {found.old}: {was}; by band {found.new}: {now}. One day of age decides.")
    if found.change.is_decided:
        told = [one for one in found.change.reasons if one.id not in _TOLD_BELOW]
        for words in comparison_reasons(replace(found.change, reasons=tuple(told)), course):
            yield under(f"{words.replace(' > ', ', then ')}.")
