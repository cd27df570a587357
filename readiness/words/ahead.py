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
from readiness.advice.review import KeepWarm, Review, ReviewSkill
from readiness.course.model import Course
from readiness.judging.answer import Answer
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
    together,
)
from readiness.words.layout import Paragraph, Section, bullets, item, lay_out, noted, plain, under
from readiness.words.paused import hold_section, resting_section
from readiness.words.phrases import Phrases
from readiness.words.reasons import numbers_section, plain_value, rule_value

__all__ = ["keep_warm_section", "tell_back", "tell_birthday", "tell_review", "tell_season"]

_ROLES: Final = {"decides": "needed to move on", "rest": "of this unit", "older": "of earlier units"}


def tell_back(
    back: AfterBreak, ahead: KeepWarm | None, answer: Answer, course: Course, record: Record,
    width: int = 80, *, full: bool = False,
) -> str:  # fmt: skip
    """Return what to do after a break, or what was not seen lately without one.

    ``ahead``: the list for a break to come, if there is one; ``answer`` is of the same day.
    """
    p = Phrases(answer, course, record)
    return lay_out(_after_break(back, ahead, p), width, full=full)


def _after_break(back: AfterBreak, ahead: KeepWarm | None, p: Phrases) -> Iterator[Section]:
    if p.answer.verdict == Verdict.PAUSED:
        yield plain(p.title(), _head(back, p))
        again = f"When an adult has ended the pause, ask again: readiness back {p.answer.student}"
        yield bullets("What comes first", (caution("C1", of_age=p.of_age), again))
        return
    yield plain(p.title(), _head(back, p), *_cost(back, p))
    yield resting_section(p)
    yield Section(f"Look first, in the lesson on {p.day(back.look_on)}", tuple(_looks(back, p)))
    yield bullets("How to go on", _onward(back, p))
    yield keep_warm_section(ahead, p)
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
    weeks = p.course.band[p.answer.band].whole("break_weeks")
    return f"Not a break: the last lesson was on {since}. A break is {counted(weeks, 'week')} or more."


def _cost(back: AfterBreak, p: Phrases) -> Iterator[str]:
    if p.answer.unit is None:
        yield "No unit has started yet, so the placing lesson looks at everything in any case."
        return
    due, kept = len(back.due), len(back.kept)
    if not due:
        still = f"All {kept} secure skills still count" if kept > 1 else "The one secure skill still counts"
        yield f"{still}: no look is due." if kept else "Nothing is secure yet."
        return
    yield f"{due} of {counted(due + kept, 'secure skill')} not seen lately. That does not mean lost."
    if again := sum(one.again for one in back.due):
        yield f"{again} of these {'was' if again == 1 else 'were'} seen again since."
    if (before := sum(one.before for one in back.due)) and back.kind != NO_BREAK:
        yield f"{before} of these had not been seen lately before the break either."


# What to look at first: one line each. What it settles besides is shown on request.


def _looks(back: AfterBreak, p: Phrases) -> Iterator[Paragraph]:
    for number, look in enumerate((*back.looks, *back.later), 1):
        later = "In the lesson after: " if number > len(back.looks) else ""
        glance = look.why == "always-look"
        name = f"At a glance: {p.inventory(look.skills)}" if glance else p.plain_name(look.skills[0])
        yield Paragraph(f"{later}{name}", lead=f"{number:>2}. ")
        others = [skill for skill in look.clears if skill not in look.skills]
        also = f"Settles as well: {p.inventory(others)}." if others else ""
        yield from noted("" if glance else f"{look.skills[0]}.", also, indent=4)
    if back.looks or back.later:
        yield Paragraph(_enough(back))


def _enough(back: AfterBreak) -> str:
    """Return what the list settles, and that no shorter one does."""
    whys = [look.why for look in (*back.looks, *back.later)]
    deciding = len(whys) - whys.count("rest")
    which = "These are" if len(whys) > 1 else "That is"
    if 0 < deciding < len(whys):
        which = f"The first {number_words(deciding)} are" if deciding > 1 else "The first is"
    shortest = " No shorter list would do." if back.proved and deciding != 1 else ""
    return f"{which} enough if shown without help.{shortest}"


def _onward(back: AfterBreak, p: Phrases) -> Iterator[str]:
    if back.kind != NO_BREAK:
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
        yield f"Next: readiness {'sheet' if back.looks else 'plan'} {p.answer.student}"


# Everything that was not seen lately, on request: those of one day and one time limit together.


def _by_day(due: Sequence[Due], p: Phrases) -> Iterator[str]:
    for words, skills in together((_seen(one, p), one.skill) for one in due).items():
        yield f"{words}: {p.inventory(skills)}."


def _seen(due: Due, p: Phrases) -> str:
    """Return when a skill was last seen before the break, and how often a look is wanted."""
    is_latest = p.standing(due.skill).last_seen == due.last_seen
    where = f", {p.seen_line(due.skill)}" if is_latest else ""
    return f"Last seen {p.day(due.last_seen)}{where}, look every {counted(due.window // 7, 'week')}"


# Before a break to come: what to show in the last lesson, and what that keeps.


def keep_warm_section(warm: KeepWarm | None, p: Phrases) -> Section:
    """Return what to review before a break to come; empty without one."""
    if warm is None or p.answer.verdict == Verdict.PAUSED or p.answer.unit is None:
        return plain()
    name = f" {quoted(warm.ahead.name)}" if warm.ahead.name else " the break"
    lesson = "at home" if warm.ahead.lesson is None else f"on {p.day(warm.ahead.lesson)} and at home"
    title = f"Review {lesson}, before{name} from {p.day(warm.ahead.first)}"
    return Section(title, tuple(_warm(warm, p)))


def _warm(warm: KeepWarm, p: Phrases) -> Iterator[Paragraph]:
    if not warm.skills:
        yield item("Nothing is secure yet that could be reviewed; take a piece or song the student likes.")
        return
    yield from (item(p.plain_name(skill)) for skill in warm.skills)
    yield from noted(*_warm_details(warm, p))


def _warm_details(warm: KeepWarm, p: Phrases) -> Iterator[str]:
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


def tell_season(
    day: BigDay, answer: Answer, course: Course, record: Record, width: int = 80, *, full: bool = False
) -> str:
    """Return what to do before an event, with the answer for the day asked about."""
    return lay_out(_big_day(day, Phrases(answer, course, record)), width, full=full)


def _big_day(day: BigDay, p: Phrases) -> Iterator[Section]:
    where = noted(f"{capital(p.unit(p.answer.unit))}.") if p.answer.unit else ()
    yield Section("", (Paragraph(_day_title(day, p)), Paragraph(_when(day, p)), *where))
    if p.answer.verdict == Verdict.PAUSED:
        yield bullets("What comes first", _paused_before(day, p))
        return
    yield resting_section(p)
    more = (*_about_pieces(day, p), *_about_review(day, p), *_about_waiting(day, p))
    yield Section("", (*map(item, (_new(day), *_pieces(day, p), *_review(day, p))), *noted(*more)))
    yield keep_warm_section(day.warm, p)
    yield Section("Next", noted(*_next(day, p)))
    video = p.record.consents.get("video") or day.kind != "event"
    yield from closing((), ["C14"] if video else ["C7", "C14"])


def _day_title(day: BigDay, p: Phrases) -> str:
    event = quoted(day.event.name) if day.event.name else p.day(day.event.first)
    return f"{tidy(p.answer.name)} · before {event} · {date_words(p.answer.on)}"


def _when(day: BigDay, p: Phrases) -> str:
    first = f"On {p.day(day.event.first)}"
    if day.kind != "event":
        first = f"From {p.day(day.event.first)} to {p.day(day.event.last)}"
    last = f", the last on {p.day(day.lessons[-1])}" if day.lessons else ""
    return f"{first}, {counted(len(day.lessons), 'lesson')} before it{last}."


def _paused_before(day: BigDay, p: Phrases) -> Iterator[str]:
    yield caution("C1", of_age=p.of_age)
    if day.kind == "event":
        yield "Nothing is prepared for it during the pause. Coming to listen is taking part."
    yield f"When an adult has ended the pause, ask again: readiness season {p.answer.student}"


# What to do, a line each.


def _new(day: BigDay) -> str:
    if day.kind == "holidays":
        return "Less than three weeks of holidays: start new things as usual."
    if day.last_new is None:
        return "Nothing new from now on; a move to the next unit waits until after it."
    return f"New things until {date_words(day.last_new, day.event.first)}, then not until after it."


def _pieces(day: BigDay, p: Phrases) -> Iterator[str]:
    if day.kind != "event":
        return
    first, last = day.choose
    if p.answer.on > last:
        yield "Less than five weeks left: something that is played already."
    else:
        start = "now" if p.answer.on >= first else f"between {p.day(first)}"
        yield f"Choose the pieces {start} {'and' if p.answer.on < first else 'up to'} {p.day(last)}."
    if p.answer.unit is None:
        yield "No unit has started here: a piece that was brought along and is liked."
    elif not day.pieces:
        yield "No piece is ready; share a song, a clapped rhythm or free playing with you instead."
    else:
        yield f"Secure, and easy enough: {p.few([one.skill for one in day.pieces])}."


def _review(day: BigDay, p: Phrases) -> Iterator[str]:
    if p.answer.unit is not None and p.answer.on < day.choose[0]:
        yield f"It is a long way off. Ask again from {p.day(day.choose[0])}."
    elif p.answer.unit is not None and day.review:
        yield f"Review in the last lessons before it: {p.few(day.review)}."
    band = p.course.band[p.answer.band]
    usual = round(band.whole("lesson_minutes") * band.number("review_share"))
    if p.answer.unit is not None:
        yield f"Keep at least {-(-usual // 2)} of the {usual} review minutes for other things."
    if day.kind == "event":
        whose = "the student" if p.of_age else "the family"
        agreed = "" if p.record.consents.get("video") else f", once {whose} agrees"
        yield f"Too frightening? A recording{agreed}, or one familiar listener, counts as much."


# What stands behind it, on request.


def _about_pieces(day: BigDay, p: Phrases) -> Iterator[str]:
    for one in day.pieces:
        by_then = ", not seen lately by then; play it in a lesson before" if one.due_by_then else ""
        yield f"{p.titled(one.skill)}, unit {p.course.unit[one.unit].number}{by_then}."
    if day.pieces:
        yield "Best fit first, about one unit below this one; you and the student choose."
        yield "One lesson in the real room, if possible."
    if day.kind == "event" and day.performing:
        yield f"Nobody frightened is held up by {p.few(day.performing)}: another way counts as much."
    if day.kind == "event":
        yield "A student may say no on the day itself."


def _about_review(day: BigDay, p: Phrases) -> Iterator[str]:
    until = p.day(day.event.first)
    if p.answer.unit is not None and p.answer.on >= day.choose[0]:
        late = f"Not seen lately by {until}: {p.inventory(day.due)}." if day.due else ""
        yield late or f"All is seen lately enough until {until}."
        if day.review:
            yield f"The fewest looks that are enough for all of it: {p.inventory(day.review)}."
    if day.going_on:
        yield f"Begun, so not new; go on with: {p.inventory(day.going_on)}."


def _about_waiting(day: BigDay, p: Phrases) -> Iterator[str]:
    if day.kind != "holidays" and day.waits:
        yield f"Waits until after it: {p.inventory(day.waits)}."
        yield "A check waits, too: look at things as they come, and decide about the unit after it."
    if day.glance:
        yield f"At a glance in every lesson all the same: {p.inventory(day.glance)}."


def _next(day: BigDay, p: Phrases) -> Iterator[str]:
    yield f"The next lesson, minute by minute: readiness plan {p.answer.student}"
    if day.kind != "holidays":
        yield f"After it: readiness {'back' if day.kind == 'break' else 'why'} {p.answer.student}"
    yield BASIS


# What needs a review soon, and what a birthday changes.

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
        plain(title, _review_head(found, back, course)),
        hold_section(record, found.on),
        Section("Look again", tuple(_soon(found, course))),
        bullets("Not seen lately", _late(found, back, course, record)),
    )
    return lay_out(sections, width, full=full)


def _review_head(found: Review, back: AfterBreak, course: Course) -> str:
    """Return how much it is and the least that is enough, or that there is nothing."""
    soon = counted(len(found.skills), "skill")
    if found.skills and found.play:
        names = few_of([quoted(course.skill[skill].name) for skill in found.play], 2)
        return f"{soon} to look at again. Enough for all of it: {names}."
    if found.skills:
        return f"{soon} to look at again, after the pause."
    if back.due or back.kept or back.last_lesson is not None:
        more = "" if all(one.again for one in back.due) else "more "
        return f"Nothing {more}needs a review by {date_words(found.until, found.on)}."
    return "No lesson is noted yet and nothing is secure, so there is nothing to review."


def _soon(found: Review, course: Course) -> Iterator[Paragraph]:
    """Yield each skill with the day by which to look again, and on request what else is enough for it."""
    for number, one in enumerate(found.skills):
        needed = "; needed to move on" if one.decides else ""
        by = f"by {date_words(one.fresh_until, found.on)}{needed}"
        yield item(f"{tidy(course.skill[one.skill].name)}: {by}", more=number >= SOON)
        seen = f"{one.skill}, last seen {date_words(one.last_seen, found.on)}."
        yield under(f"{seen} {_kept(course, one, paused=found.paused)}", more=True)
    if len(found.skills) > SOON:
        yield Paragraph(f"and {len(found.skills) - SOON} more", brief=True)
    yield from noted(*(f"Enough for all: {tidy(course.skill[one].name)} ({one})." for one in found.play))


def _kept(course: Course, skill: ReviewSkill, *, paused: bool) -> str:
    task = " A home task for it is open." if skill.task else ""
    if paused and not course.skill[skill.skill].quiet:
        return "It waits until the pause is over."
    if not skill.kept_by:
        return f"Look at it itself.{task}"
    names = "; ".join(tidy(course.skill[one].name) for one in skill.kept_by)
    return f"Seen as well when one of these is shown: {names}.{task}"


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
        return plain()
    told = (
        f"Born one day {near.born} and with the same notes, {tidy(record.name)} would go by age "
        f"{near.answer.band} on {date_words(on)}: {VERDICT_BRIEF[near.answer.verdict]}."
    )
    choose = "You decide which age fits: a [[band_choice]] with a reason sets it."
    return bullets("One day of age decides now", (told, choose))


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
    before, after = found.change.before, found.change.after
    was, now = VERDICT_BRIEF[before.verdict], VERDICT_BRIEF[after.verdict]
    if not found.one_day_decides:
        yield item(f"The same by both ages: {now}.")
    else:
        yield item(f"By age {found.old}: {was}; by age {found.new}: {now}. One day of age decides.")
    if found.change.is_decided:
        told = [one for one in found.change.reasons if one.id not in _TOLD_BELOW]
        for words in comparison_reasons(replace(found.change, reasons=tuple(told)), course):
            yield under(f"{words}.")
