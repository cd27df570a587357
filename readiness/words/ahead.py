"""What lies ahead: after a break, before a big day, what needs a review, what a birthday changes.

"Not seen lately" says look again, so nothing here says that something was lost, and nobody is to blame
for a holiday. A day of playing for people is a gift and not an exam: nobody has to, nothing hangs on it, and
there is always another way.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import replace
from typing import Final

from readiness.advice.after_break import NO_BREAK, AfterBreak, Due
from readiness.advice.big_day import BigDay
from readiness.advice.birthday import Birthday, OneDay
from readiness.advice.review import KeepWarm, Review
from readiness.course.model import Course
from readiness.record.model import Record
from readiness.terms import Help, Verdict
from readiness.words.blocking import brought_along_section
from readiness.words.cautions import caution, closing
from readiness.words.editing import comparison_reasons
from readiness.words.english import VERDICT_BRIEF
from readiness.words.grammar import (
    capital,
    counted,
    date_words,
    few_of,
    listed,
    number_words,
    quoted,
    tidy,
    to_come,
    together,
)
from readiness.words.layout import Paragraph, Section, bullets, item, lay_out, noted, plain, under
from readiness.words.paused import after_hold, hold_section, resting_section
from readiness.words.phrases import Phrases
from readiness.words.reasons import numbers_section, plain_value, rule_value

__all__ = ["back_sections", "season_sections", "tell_birthday", "tell_review"]

_ROLES: Final = {"decides": "needed to move on", "rest": "of this unit", "older": "of earlier units"}


def back_sections(found: tuple[AfterBreak, KeepWarm | None], p: Phrases) -> Iterator[Section]:
    """Yield what to do after a break, or what was not seen lately without one.

    ``found``: that, and the list for a break to come, if there is one.
    """
    back, ahead = found
    if p.answer.verdict == Verdict.PAUSED:
        yield plain(p.title(), _head(back, p))
        again = f"When an adult has ended the pause, ask again: readiness back {p.answer.student}"
        yield bullets("What comes first", (caution("C1", of_age=p.of_age), again))
        return
    yield plain(p.title(), _head(back, p), *_cost(back, p))
    yield plain(*after_hold(p.course, p.record, p.answer.on))
    yield resting_section(p)
    yield Section(f"Look first, in the lesson on {p.to_come}", tuple(_looks(back, p)))
    yield bullets("How to go on", _onward(back, p))
    yield _keep_warm(ahead, p)
    yield brought_along_section(p)
    for role, title in _ROLES.items():
        due = [one for one in back.due if one.role == role and not one.again]
        last = "None of these holds anything up; most come back while playing."
        told = (*_by_day(due, p), last if due and role == "older" else "")
        yield Section(f"Not seen lately: {title}", noted(*told))
    yield Section("Seen again since the break", noted(*_by_day([one for one in back.due if one.again], p)))
    yield Section("Still count: no look is due", noted(p.inventory(back.kept)))
    rules = p.rules("break_weeks", "fresh_weeks.fast", "fresh_weeks.medium", "fresh_weeks.slow")
    yield numbers_section(rules, p.answer.band)
    glance = any(look.why == "always-look" for look in back.looks)
    yield from closing((), ["C5", "C14"] if glance else ["C14"])


def _head(back: AfterBreak, p: Phrases) -> str:
    if back.last_lesson is None:
        return "No lesson is noted yet, so there was no break."
    since = p.day(back.last_lesson)
    if back.kind == "first-lesson-back":
        return f"First lesson back after {counted(back.days, 'day')}, the last one on {since}."
    if back.kind == "on-a-break":
        return f"{counted(back.days, 'day')} without a lesson, since {since}."
    days = p.answer.calendar.break_days(p.course.band[p.answer.band].whole("break_weeks"))
    if (back.look_on or 0) - back.last_lesson >= days:
        ahead = f"the one on {p.day(back.look_on)} is the first after a break"
        return f"The last lesson was on {since}; {ahead}."
    return f"Not a break: the last lesson was on {since}. A break is {counted(days // 7, 'week')} or more."


def _cost(back: AfterBreak, p: Phrases) -> Iterator[str]:
    due, kept = len(back.due), len(back.kept)
    if p.answer.unit is None:
        yield "No unit has started yet, so the placing lesson looks at everything in any case."
    elif not due:
        still = f"All {kept} secure skills still count" if kept > 1 else "The one secure skill still counts"
        yield f"{still}: no look is due." if kept else "Nothing is secure yet."
    else:
        yield f"{due} of {counted(due + kept, 'secure skill')} not seen lately. That does not mean lost."
        if again := sum(one.again for one in back.due):
            yield f"{again} of these {'was' if again == 1 else 'were'} seen again since."
        if (before := sum(one.before for one in back.due)) and back.kind != NO_BREAK:
            yield f"{before} of these had not been seen lately before the break either."


def _looks(back: AfterBreak, p: Phrases) -> Iterator[Paragraph]:
    """Yield what to look at first, a line each, and that it is enough; what it settles besides on request."""
    looks = (*back.looks, *back.later)
    for number, look in enumerate(looks, 1):
        later = "In the lesson after: " if number > len(back.looks) else ""
        glance = look.why == "always-look"
        name = f"At a glance: {p.inventory(look.skills)}" if glance else p.plain_name(look.skills[0])
        yield Paragraph(f"{later}{name}", lead=f"{number:>2}. ")
        others = [skill for skill in look.clears if skill not in look.skills]
        also = f"Settles as well: {p.inventory(others)}." if others else ""
        yield from noted("" if glance else f"{look.skills[0]}.", also, indent=4)
    deciding = sum(look.why != "rest" for look in looks)
    which = "These are" if len(looks) > 1 else "That is"
    if 0 < deciding < len(looks):
        which = f"The first {number_words(deciding)} are" if deciding > 1 else "The first is"
    shortest = " No shorter list would do." if back.proved and deciding != 1 else ""
    if looks:
        yield Paragraph(f"{which} enough if shown without help.{shortest}")


def _onward(back: AfterBreak, p: Phrases) -> Iterator[str]:
    if back.kind != NO_BREAK and p.answer.unit is not None:
        lesson = "that one" if back.kind == "on-a-break" else "this one"
        yield "No move to a new unit in the first lesson back."
        yield f"About {counted(back.lessons, 'lesson')} of review, {lesson} included."
    if back.resting:
        yield f"Waits until the pause in the other course is over: {p.few(back.resting)}."
    due = {one.skill for one in back.due}
    other = [one.skill for one in p.answer.blockers if one.skill and one.skill not in due]
    if other and back.kind != NO_BREAK:
        yield f"Unfinished as before: {p.few(other)}."
    if back.looks or back.kind == NO_BREAK:
        yield f"Next: readiness {p.to_prepare if back.looks else f'plan {p.answer.student}'}"


def _by_day(due: Sequence[Due], p: Phrases) -> Iterator[str]:
    """Yield when skills were last seen before the break and how often to look, those alike together."""

    def seen(one: Due) -> str:
        is_latest = p.standing(one.skill).last_seen == one.last_seen
        where = f", {p.seen_line(one.skill)}" if is_latest else ""
        return f"Last seen {p.day(one.last_seen)}{where}, look every {counted(one.window // 7, 'week')}"

    alike = together((seen(one), one.skill) for one in due)
    return (f"{words}: {p.inventory(skills)}." for words, skills in alike.items())


def _keep_warm(warm: KeepWarm | None, p: Phrases) -> Section:
    """Return what to show before a break to come, and what that keeps; empty without one."""
    if warm is None or p.answer.verdict == Verdict.PAUSED or p.answer.unit is None:
        return plain()
    name = f" {quoted(warm.ahead.name)}" if warm.ahead.name else " the break"
    lesson = "at home" if warm.ahead.lesson is None else f"on {p.day(warm.ahead.lesson)} and at home"
    nothing = item("Nothing is secure yet that could be reviewed; take a piece or song the student likes.")
    told = (*(item(p.plain_name(skill)) for skill in warm.skills), *noted(*_kept(warm, p)))
    title = f"Review {lesson}, before{name} from {p.day(warm.ahead.first)}"
    return Section(title, told if warm.skills else (nothing,))


def _kept(warm: KeepWarm, p: Phrases) -> Iterator[str]:
    back = p.day(warm.ahead.back)
    if warm.kept:
        yield f"Keeps until {back}, and is needed to move on: {p.inventory(warm.kept)}."
    if warm.kept_more:
        yield f"Keeps until {back} as well: {p.inventory(warm.kept_more)}."
    if not warm.kept and not warm.kept_more:
        used = counted(len(warm.used), "skill")
        yield f"Nothing shown before the break lasts until {back}; these use the most, {used}."
    if warm.due:
        yield f"Not seen lately by then all the same, for the first lesson back: {p.inventory(warm.due)}."
    yield f"No other {number_words(len(warm.skills))} keep more of what is needed to move on, or more in all."


# Before a big day or a long break: what now, what is played, what waits.

BASIS: Final = "These are customs of the trade, not research; you know the student and the day."


def season_sections(day: BigDay, p: Phrases) -> Iterator[Section]:
    """Yield what to do before an event, with the answer for the day asked about."""
    event, student, is_event = day.event, p.answer.student, day.kind == "event"
    first = p.day(event.first)
    when = f"On {first}" if is_event else f"From {first} to {p.day(event.last)}"
    last = f", the last on {p.day(day.lessons[-1])}" if day.lessons else ""
    name = quoted(event.name) if event.name else first
    yield Section("", (
        Paragraph(f"{tidy(p.answer.name)} · before {name} · {date_words(p.answer.on)}"),
        Paragraph(f"{when}, {counted(len(day.lessons), 'lesson')} before it{last}."),
        *noted(f"{capital(p.unit(p.answer.unit))}." if p.answer.unit else ""),
    ))  # fmt: skip
    if p.answer.verdict == Verdict.PAUSED:
        listen = "Nothing is prepared for it during the pause. Coming to listen is taking part."
        again = f"When an adult has ended the pause, ask again: readiness season {student}"
        yield bullets("What comes first", (caution("C1", of_age=p.of_age), listen if is_event else "", again))
        return
    yield plain(*after_hold(p.course, p.record, p.answer.on))
    yield resting_section(p)
    told = (item(_new(day)), *(_pieces(day, p) if is_event else ()), *_review(day, p))
    yield Section("", tuple(sorted(told, key=lambda one: one.more)))
    yield _keep_warm(day.warm, p)
    after = f"After it: readiness {'back' if day.kind == 'break' else 'why'} {student}"
    minutes = f"The next lesson, minute by minute: readiness plan {student}"
    yield Section("Next", noted(minutes, after if day.kind != "holidays" else "", BASIS))
    yield from closing((), ["C14"] if p.record.consents.get("video") or not is_event else ["C7", "C14"])


def _new(day: BigDay) -> str:
    if day.kind == "holidays":
        return "Less than three weeks of holidays: start new things as usual."
    if day.last_new is None:
        return "Nothing new from now on; a move to the next unit waits until after it."
    return f"New things until {date_words(day.last_new, day.event.first)}, then not until after it."


def _pieces(day: BigDay, p: Phrases) -> Iterator[Paragraph]:
    """Yield when to choose the pieces of an event, and which."""
    first, last = day.choose
    if p.answer.on > last:
        yield item("Less than five weeks left: something that is played already.")
    else:
        start = f"between {p.day(first)} and" if p.answer.on < first else "now up to"
        yield item(f"Choose the pieces {start} {p.day(last)}.")
    if p.answer.unit is None:
        yield item("No unit has started here: a piece that was brought along and is liked.")
    elif not day.pieces:
        yield item("No piece is ready; share a song, a clapped rhythm or free playing with you instead.")
    else:
        yield item(f"Secure, and easy enough: {p.few([one.skill for one in day.pieces])}.")
    for one in day.pieces:
        by_then = ", not seen lately by then; play it in a lesson before" if one.due_by_then else ""
        yield from noted(f"{p.titled(one.skill)}, unit {p.course.unit[one.unit].number}{by_then}.")
    if day.pieces:
        yield from noted(
            "Best fit first, about one unit below this one; you and the student choose.",
            "One lesson in the real room, if possible.",
        )
    frightened = f"Nobody frightened is held up by {p.few(day.performing)}: another way counts as much."
    yield from noted(frightened if day.performing else "", "A student may say no on the day itself.")


def _review(day: BigDay, p: Phrases) -> Iterator[Paragraph]:
    """Yield what to review before it and what waits."""
    band, until, is_placed = p.course.band[p.answer.band], p.day(day.event.first), p.answer.unit is not None
    if is_placed and p.answer.on < day.choose[0]:
        yield item(f"It is a long way off. Ask again from {p.day(day.choose[0])}.")
    elif is_placed:
        yield from [item(f"Review in the last lessons before it: {p.few(day.review)}.")] if day.review else ()
        late = f"Not seen lately by {until}: {p.inventory(day.due)}." if day.due else ""
        least = f"The fewest looks that are enough for all of it: {p.inventory(day.review)}."
        yield from noted(late or f"All is seen lately enough until {until}.", least if day.review else "")
    if is_placed:
        usual = round(band.whole("lesson_minutes") * band.number("review_share"))
        yield item(f"Keep at least {-(-usual // 2)} of the {usual} review minutes for other things.")
    if day.kind == "event":
        whose = "the student" if p.of_age else "the family"
        agreed = "" if p.record.consents.get("video") else f", once {whose} agrees"
        yield item(f"Too frightening? A recording{agreed}, or one familiar listener, counts as much.")
    if day.going_on:
        yield from noted(f"Begun, so not new; go on with: {p.inventory(day.going_on)}.")
    if day.kind != "holidays" and day.waits:
        check = "A check waits, too: look at things as they come, and decide about the unit after it."
        yield from noted(f"Waits until after it: {p.inventory(day.waits)}.", check)
    if day.glance:
        yield from noted(f"At a glance in every lesson all the same: {p.inventory(day.glance)}.")


# What needs a review soon, and what a birthday changes.

SOON = 3
"""How many skills have room without asking for all."""


def tell_review(
    found: Review, back: AfterBreak, course: Course, record: Record, width: int = 80, *, full: bool = False
) -> str:
    """Return what needs a review soon, the least that is enough for it, and what was not seen lately.

    ``back``: what was not seen lately, of the same day.
    """
    until, soon = date_words(found.until, found.on), counted(len(found.skills), "skill")
    more = "" if all(one.again for one in back.due) else "more "
    head = f"Nothing {more}needs a review by {until}."
    if found.skills and found.play:
        names = few_of([quoted(course.skill[skill].name) for skill in found.play], 2)
        enough = "" if len(found.play) == len(found.skills) else f" Enough for all of it: {names}."
        head = f"{soon} to look at again.{enough}"
    elif found.skills:
        head = f"{soon} to look at again, after the pause."
    elif not back.due and not back.kept and back.last_lesson is None:
        head = "No lesson is noted yet and nothing is secure, so there is nothing to review."
    return lay_out((
        plain(f"Review · {tidy(record.name)} · {date_words(found.on)} to {until}", head),
        hold_section(record, found.on),
        plain(*after_hold(course, record, found.on)),
        Section("Look again", tuple(_soon(found, course))),
        bullets("Not seen lately", _late(found, back, course, record)),
    ), width, full=full)  # fmt: skip


def _soon(found: Review, course: Course) -> Iterator[Paragraph]:
    """Yield each skill with the day by which to look again, and on request what else is enough for it."""
    for number, one in enumerate(found.skills):
        needed = "; needed to move on" if one.decides else ""
        by = f"by {date_words(one.fresh_until, found.on)}{needed}"
        yield item(f"{tidy(course.skill[one.skill].name)}: {by}", more=number >= SOON)
        names = "; ".join(tidy(course.skill[other].name) for other in one.kept_by)
        look = f"Seen as well when one of these is shown: {names}." if names else "Look at it itself."
        look += " A home task for it is open." if one.task else ""
        if found.paused and not course.skill[one.skill].quiet:
            look = "It waits until the pause is over."
        yield under(f"{one.skill}, last seen {date_words(one.last_seen, found.on)}. {look}", more=True)
    if len(found.skills) > SOON:
        yield Paragraph(f"and {len(found.skills) - SOON} more", brief=True)
    play = found.play if len(found.play) < len(found.skills) else ()
    yield from noted(*(f"Enough for all: {tidy(course.skill[one].name)} ({one})." for one in play))


def _late(found: Review, back: AfterBreak, course: Course, record: Record) -> Iterator[str]:
    """Yield what was not seen lately, and what to look at for it in the next lesson."""
    due = [one.skill for one in back.due if not one.again]
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
        yield f"Next lesson, {to_come(back.look_on, found.on)}, {which} {names}."
    yield f"All of it, and what to look at first: `readiness back {record.id}`"


def tell_birthday(
    found: Birthday | None, near: OneDay | None, course: Course, record: Record, on: int, width: int = 80,
    *, full: bool = False,
) -> str:  # fmt: skip
    """Return what the next birthday that counts changes, and where one day of age decides.

    ``near``: somebody a day older or younger, where the verdict is another; ``on``: the day asked about.
    """
    told = "" if near is None else (
        f"Born one day {near.born} and with the same notes, {tidy(record.name)} would go by age "
        f"{near.answer.band} on {date_words(on)}: {VERDICT_BRIEF[near.answer.verdict]}."
    )  # fmt: skip
    choose = "You decide which age fits: a [[band_choice]] with a reason sets it." if told else ""
    one_day = bullets("One day of age decides now", (told, choose))
    return lay_out((*_birthday(found, course, record, on), one_day), width, full=full)


def _birthday(found: Birthday | None, course: Course, record: Record, on: int) -> Iterator[Section]:
    if found is None:
        chosen = any(choice.on <= on for choice in record.band_choices)
        why = "you chose the age" if chosen else "no older age begins"
        yield plain(f"No birthday of {tidy(record.name)} changes anything: {why}.")
        return
    day = date_words(found.day)
    ages = f"age {found.new} in place of age {found.old}"
    yield plain(f"{tidy(record.name)} turns {found.age} on {day}: {ages}.")
    yield Section("The verdict that day, with nothing new noted", tuple(_verdict(found, course)))
    for title, skills in (("Asked for from then on", found.due), ("Not asked for any more", found.skipped)):
        yield bullets(title, (f"{tidy(course.skill[skill].name)} ({skill})." for skill in skills))
    yield bullets("Rules that change", (f"{capital(_number(*one))}." for one in found.numbers), more=True)
    yield plain(f"With the age {len(found.numbers)} rules change (--full).")


def _number(rule: str, old: object, new: object) -> str:
    """Return how a number changes, in words."""
    if old is None or new is None:
        return f"{rule_value(rule, old if new is None else new)}, {'no more' if new is None else 'new'}"
    return f"{rule_value(rule, new)}, in place of {_AS_SAID.get(str(old)) or plain_value(old)}"


_TOLD_BELOW = frozenset({"other-band", "number-changed"})
_AS_SAID: Mapping[str, str] = {Help.ALONE: "without help alone", Help.CUE: "a reminder counting too"}


def _verdict(found: Birthday, course: Course) -> Iterator[Paragraph]:
    was, now = (VERDICT_BRIEF[one.verdict] for one in (found.change.before, found.change.after))
    same = f"The same by both ages: {now}."
    other = f"By age {found.old}: {was}; by age {found.new}: {now}. One day of age decides."
    yield item(other if found.one_day_decides else same)
    if found.change.is_decided:
        told = tuple(one for one in found.change.reasons if one.id not in _TOLD_BELOW)
        reasons = comparison_reasons(replace(found.change, reasons=told), course)
        yield from (under(f"{words}.") for words in reasons)
