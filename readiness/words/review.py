"""What needs a review soon, and what a birthday changes: two looks ahead, in words."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from dataclasses import replace

from readiness.advice.after_break import NO_BREAK, AfterBreak
from readiness.advice.birthday import Birthday, OneDay
from readiness.advice.review import Review, ReviewSkill
from readiness.course.model import Course
from readiness.record.model import Record
from readiness.terms import Help
from readiness.words.editing import comparison_reasons
from readiness.words.english import VERDICT_BRIEF
from readiness.words.grammar import capital, counted, date_words, listed, quoted, tidy
from readiness.words.layout import Paragraph, Section, item, lay_out, noted, under
from readiness.words.paused import hold_section
from readiness.words.reasons import plain_value, rule_value

__all__ = ["tell_birthday", "tell_review"]

SOON = 3
"""How many skills have room without asking for all."""


def tell_review(
    found: Review, back: AfterBreak, course: Course, record: Record, width: int = 80, *, full: bool = False
) -> str:
    """Return what needs a review soon, the least that is enough for it, and what was not seen lately.

    ``back``: what was not seen lately, of the same day.
    """
    title = f"Review · {tidy(record.name)} · {date_words(found.on)} to {date_words(found.until, found.on)}"
    sections = (
        Section("", (Paragraph(title), Paragraph(_head(found, back, course)))),
        hold_section(record, found.on),
        Section("Look again", tuple(_soon(found, course, full=full))),
        Section("Not seen lately", tuple(map(item, _late(found, back, course, record)))),
    )
    return lay_out(sections, width, full=full)


def _head(found: Review, back: AfterBreak, course: Course) -> str:
    """Return how much it is and the least that is enough, or that there is nothing."""
    soon = counted(len(found.skills), "skill")
    if found.skills and found.play:
        names = [quoted(course.skill[skill].name) for skill in found.play]
        names = names if len(names) <= 3 else [*names[:2], f"{len(names) - 2} more"]
        return f"{soon} to look at again. Enough for all of it: {listed(names)}."
    if found.skills:
        return f"{soon} to look at again, after the pause."
    if back.due or back.kept or back.last_lesson is not None:
        more = "more " if _is_due(back) else ""
        return f"Nothing {more}needs a review by {date_words(found.until, found.on)}."
    return "No lesson is noted yet and nothing is secure, so there is nothing to review."


def _soon(found: Review, course: Course, *, full: bool) -> Iterator[Paragraph]:
    """Yield each skill with the day by which to look again, and on request what else is enough for it."""
    for number, one in enumerate(found.skills):
        needed = "; needed to move on" if one.decides else ""
        by = f"by {date_words(one.fresh_until, found.on)}{needed}"
        yield item(f"{tidy(course.skill[one.skill].name)}: {by}", more=number >= SOON)
        seen = f"{one.skill}, last seen {date_words(one.last_seen, found.on)}."
        yield replace(under(f"{seen} {_kept(course, one, paused=found.paused)}"), more=True)
    if len(found.skills) > SOON and not full:
        yield Paragraph(f"and {len(found.skills) - SOON} more")
    yield from noted(*(f"Enough for all: {tidy(course.skill[one].name)} ({one})." for one in found.play))


def _kept(course: Course, skill: ReviewSkill, *, paused: bool) -> str:
    task = " A home task for it is open." if skill.task else ""
    if paused and not course.skill[skill.skill].quiet:
        return "It waits until the pause is over."
    if not skill.kept_by:
        return f"Look at it itself.{task}"
    names = "; ".join(tidy(course.skill[one].name) for one in skill.kept_by)
    return f"Seen as well when one of these is shown: {names}.{task}"


def _is_due(back: AfterBreak) -> tuple[str, ...]:
    """Return what was not seen lately and not again since."""
    return tuple(one.skill for one in back.due if not one.again)


def _late(found: Review, back: AfterBreak, course: Course, record: Record) -> Iterator[str]:
    """Yield what was not seen lately, and what to look at for it in the next lesson."""
    due = _is_due(back)
    if not due:
        return
    since = "" if back.kind == NO_BREAK else f" after {counted(back.days, 'day')} without a lesson"
    yield f"{counted(len(due), 'secure skill')}{since}. That does not mean lost."
    if found.paused:
        yield f"After the pause, `readiness back {record.id}` says what comes first."
        return
    if back.kind == NO_BREAK:
        looks = [skill for look in back.looks for skill in look.skills]
        some = [quoted(course.skill[skill].name) for skill in (looks or due)[:2]]
        names = listed(some, "and" if looks else "or")
        which = "look first at" if looks else "one look where it fits, such as"
        yield f"Next lesson, {date_words(back.look_on, found.on)}, {which} {names}."
    yield f"All of it, and what to look at first: `readiness back {record.id}`"


def tell_birthday(
    found: Birthday | None, near: OneDay | None, course: Course, record: Record, on: int, width: int = 80,
    *, full: bool = False,
) -> str:  # fmt: skip
    """Return what the next birthday that counts changes, and where one day of age decides.

    ``near``: somebody a day older or younger, where the verdict is another; ``on``: the day asked about.
    """
    return lay_out((*_birthday(found, course, record, on), _near(near, record, on)), width, full=full)


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
        why = "you chose the age" if chosen else "no older age begins"
        yield Section("", (Paragraph(f"No birthday of {tidy(record.name)} changes anything: {why}."),))
        return
    day = date_words(found.day)
    yield Section("", (Paragraph(
        f"{tidy(record.name)} turns {found.age} on {day}: age {found.new} in place of age {found.old}."
    ),))  # fmt: skip
    yield Section("The verdict that day, with nothing new noted", tuple(_verdict(found, course)))
    yield Section("Asked for from then on", _list(found.due, course))
    yield Section("Not asked for any more", _list(found.skipped, course))
    rows = tuple(item(f"{capital(_number(*one))}.") for one in found.numbers)
    yield Section("Rules that change", rows, more=True)
    yield Section("", (Paragraph(f"With the age {len(rows)} rules change (--full)."),))


def _list(skills: Iterable[str], course: Course) -> tuple[Paragraph, ...]:
    return tuple(item(f"{tidy(course.skill[skill].name)} ({skill}).") for skill in skills)


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
        yield item(f"The same by both ages: {now}.")
    else:
        yield item(f"By age {found.old}: {was}; by age {found.new}: {now}. One day of age decides.")
    if found.change.is_decided:
        told = [one for one in found.change.reasons if one.id not in _TOLD_BELOW]
        for words in comparison_reasons(replace(found.change, reasons=tuple(told)), course):
            yield under(f"{words.replace(' > ', ', then ')}.")
