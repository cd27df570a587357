"""What lies ahead: the way and its date, a break, a big day, what needs a review, what a birthday changes.

"Not seen lately" says look again, so nothing here says that something was lost, and nobody is to blame
for a holiday. A day of playing for people is a gift and not an exam. A date is the earliest possible, with
what it supposes, and no promise; a way is called the cheapest only where nothing cheaper exists.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import replace
from typing import Final

from readiness.advice.after_break import NO_BREAK, AfterBreak, Due, pain_noted
from readiness.advice.estimates import FEWEST, Estimate
from readiness.advice.review import BigDay, KeepWarm, Review
from readiness.advice.timeline import Birthday, OneDay, of_age_from
from readiness.advice.way import Way
from readiness.course.model import Course
from readiness.days import iso
from readiness.record.model import Record
from readiness.terms import Help, State, Verdict
from readiness.words.cautions import after_hold, closing, ends_words, hold_section, stop_first
from readiness.words.changes import comparison_reasons
from readiness.words.english import KIND_WORDS, VERDICT_BRIEF, move_words
from readiness.words.grammar import (
    birthday_words,
    capital,
    counted,
    date_words,
    few_of,
    number_words,
    quoted,
    tidy,
    to_come,
    together,
)
from readiness.words.layout import Heading, Page, Paragraph, bullets, columns, fit, item, items, noted, plain
from readiness.words.lesson import not_new, own_choice
from readiness.words.phrases import Phrases
from readiness.words.placing_round import what_is_left
from readiness.words.reasons import numbers_section, plain_value, rule_value
from readiness.words.why import brought_along_section

__all__ = [
    "back_sections", "birthday_sections", "review_sections", "season_sections", "way_sections",
    "when_sections",
]  # fmt: skip

_ROLES: Final = {"decides": "needed to move on", "rest": "of this unit", "older": "of earlier units"}


BACK_AT_MOST: Final = 24
"""So many lines has the answer after a break."""


def back_sections(found: tuple[AfterBreak, KeepWarm | None], p: Phrases) -> Page:
    """Yield what to do after a break, or what was not seen lately without one.

    ``found``: that, and the list for a break to come, if there is one. Of many looks those that are not
    enough for a move by then are counted.
    """
    looks = (*found[0].looks, *found[0].later)
    least = sum(look.why != "rest" for look in looks)
    return fit(lambda most: _back(found, p, most), range(len(looks), least - 1, -1), BACK_AT_MOST)


def _back(found: tuple[AfterBreak, KeepWarm | None], p: Phrases, most: int) -> Page:
    back, ahead = found
    yield from (p.title(), _head(back, p))
    if p.answer.verdict == Verdict.PAUSED:
        yield from _while_paused(p, f"back {p.answer.student}")
        return
    yield from _cost(back, p)
    yield plain(*after_hold(p.course, p.record, p.answer.on))
    yield hold_section(p.record, p.answer.on)
    yield Heading(f"Look first, in the next lesson, {p.to_come}")
    looks = (*back.looks, *back.later)
    for number, look in enumerate(looks, 1):
        later = "In the lesson after: " if number > len(back.looks) else ""
        glance = look.why == "always-look"
        name = f"At a glance: {p.inventory(look.skills)}" if glance else p.plain_name(look.skills[0])
        yield Paragraph(f"{later}{name}", lead=f"{number:>2}. ", more=number > most)
        also = p.listing("Settles as well", [skill for skill in look.clears if skill not in look.skills])
        yield from noted("" if glance else f"{look.skills[0]}.", also, indent=4)
    yield Paragraph(f"and {len(looks) - most} more", 4, brief=True) if len(looks) > most else ""
    deciding = sum(look.why != "rest" for look in looks)
    some = f"the first {number_words(deciding)}" if 0 < deciding < len(looks) else "all"
    yield f"Enough for that day: {some}, without help." if looks else ""
    yield bullets("How to go on", _onward(back, p))
    yield from _keep_warm(ahead, p)
    yield brought_along_section(p)
    for role, title in _ROLES.items():
        due = [one for one in back.due if one.role == role and not one.again]
        yield Heading(f"Not seen lately: {title}")
        yield from noted(*_by_day(due, p))
    yield Heading("Seen again since the break")
    yield from noted(*_by_day([one for one in back.due if one.again], p))
    yield Heading("Still count")
    yield from noted(p.inventory(back.kept))
    rules = p.rules("break_weeks", "fresh_weeks.fast", "fresh_weeks.medium", "fresh_weeks.slow")
    yield numbers_section(rules, p.age)
    glance = any(look.why == "always-look" for look in back.looks)
    yield from closing((), ["C5", "C14"] if glance and p.course.uses == "hand" else ["C14"])


def _while_paused(p: Phrases, command: str, beside: str = "") -> Page:
    again = f"When {ends_words(p.record, p.answer.on)}, ask again: `readiness {command}`"
    yield bullets("What comes first", (stop_first(p.record, p.answer.on), beside, again))


def _head(back: AfterBreak, p: Phrases) -> str:
    if back.last_lesson is None:
        return "No lesson is noted yet, so there was no break."
    since = p.day(back.last_lesson)
    if back.kind == "first-lesson-back":
        return f"{p.first_back}, after {counted(back.days, 'day')} without one since {since}."
    if back.kind == "on-a-break":
        return f"{counted(back.days, 'day')} without a lesson, since {since}."
    days = p.answer.calendar.break_days(p.course.band[p.answer.band].whole("break_weeks"))
    if (back.look_on or 0) - back.last_lesson >= days:
        ahead = f"the one on {p.day(back.look_on)} is the first after a break"
        return f"The last lesson was on {since}; {ahead}."
    return f"Not a break: the last lesson was on {since}. A break is {counted(days // 7, 'week')} or more."


def _cost(back: AfterBreak, p: Phrases) -> Iterator[str]:
    due, kept = len(back.due), len(back.kept)
    again = sum(one.again for one in back.due)
    if p.answer.unit is None:
        yield "No unit has started yet, so the placing lesson looks at everything in any case."
    elif not due:
        still = counted(kept, "secure skill still counts", "secure skills still count")
        first = p.day(min((p.standing(skill).fresh_until or 0 for skill in back.kept), default=None))
        yield f"{still}; look again at the first by {first}." if kept else "Nothing secure waits for a look."
    else:
        skills = counted(due + kept, "skill")
        yield f"Not seen lately: {due} of {skills} secure before. That does not mean lost."
        seen = f"{again} of these {'was' if again == 1 else 'were'} seen again since; {due - again} left."
        yield seen if again else ""


def _onward(back: AfterBreak, p: Phrases) -> Iterator[str]:
    is_break, due = back.kind != NO_BREAK, {one.skill for one in back.due}
    if is_break and p.answer.unit is not None:
        yield "No move to a new unit in the first lesson back."
        yield f"About {counted(back.lessons, 'lesson')} of review."
    yield f"Waits until the pause in the other course is over: {p.few(back.resting)}." if back.resting else ""
    other = [one.skill for one in p.answer.blockers if one.skill and one.skill not in due]
    yield f"Unfinished as before: {p.few(other)}." if other and is_break else ""
    if back.looks or not is_break:
        yield f"Next: `readiness {p.to_prepare if back.looks else f'plan {p.answer.student}'}`"


def _by_day(due: Sequence[Due], p: Phrases) -> Iterator[str]:
    def seen(look: Due) -> str:
        is_latest = p.standing(look.skill).last_seen == look.last_seen
        where = f", {p.seen_line(look.skill)}" if is_latest else ""
        return f"Last seen {p.day(look.last_seen)}{where}, look every {counted(look.window // 7, 'week')}"

    alike = together((seen(one), one.skill) for one in due)
    return (f"{words}: {p.inventory(skills)}." for words, skills in alike.items())


def _keep_warm(warm: KeepWarm | None, p: Phrases) -> Page:
    if warm is None or p.answer.verdict == Verdict.PAUSED or p.answer.unit is None:
        return
    is_dated = p.answer.is_day_known and warm.ahead.lesson is not None
    lesson = f"on {p.day(warm.ahead.lesson)} and at home" if is_dated else "at home"
    yield Heading(f"Review {lesson}, before {_break_words(warm, p.answer.on)}")
    if not warm.skills:
        liked = own_choice(p, "a piece or song the student likes")
        usual = f"Nothing is secure yet that could be reviewed. Instead: {liked}."
        rests = p.tender or pain_noted(p.record, p.answer.on)
        yield item("Nothing here is gentle enough just now; it can wait until after." if rests else usual)
        return
    yield from items(map(p.plain_name, warm.skills))
    back = p.day(warm.ahead.back) if p.answer.is_day_known else "the first lesson back"
    yield from noted(
        p.listing(f"Keeps until {back}, and is needed to move on", warm.kept),
        p.listing(f"Keeps until {back} as well", warm.kept_more),
        p.listing("Not seen lately by then all the same, for the first lesson back", warm.due),
    )


def _break_words(warm: KeepWarm, on: int) -> str:
    name = quoted(warm.ahead.name) if warm.ahead.name else "the break"
    return f"{name} from {date_words(warm.ahead.first, on)}"

def season_sections(day: BigDay, p: Phrases) -> Page:
    """Yield what to do before an event, with the answer for the day asked about."""
    event, student, is_event = day.event, p.answer.student, day.kind == "event"
    is_known = p.answer.is_day_known
    first = p.day(event.first)
    when = f"On {first}" if is_event else f"From {first} to {p.day(event.last)}"
    last = f", the last on {p.day(day.lessons[-1])}" if day.lessons else ""
    before = f", {counted(len(day.lessons), 'lesson')} before it{last}."
    name = quoted(event.name) if event.name else first
    name += "" if event in p.answer.calendar.events else ", which the plan does not know"
    yield f"{tidy(p.answer.name)} · before {name} · {date_words(p.answer.on)}"
    yield f"{when}{before if is_known else '. Nothing says when the lessons are.'}"
    if p.answer.verdict == Verdict.PAUSED:
        listen = "Nothing is prepared for it during the pause. Coming to listen is taking part."
        command = f"season {student} --event {iso(event.first)}"
        yield from _while_paused(p, command, listen if is_event else "")
        return
    yield plain(*after_hold(p.course, p.record, p.answer.on))
    yield hold_section(p.record, p.answer.on)
    move = "; a move to the next unit waits until after it" if p.answer.may_move and p.next_number else ""
    new = f"Nothing new from now on{move}."
    if day.kind == "holidays":
        new = _holidays(day, p)
    elif not is_known:
        new = "Nothing new in the last two lessons before it."
    elif day.last_new is not None:
        new = f"New things until {date_words(day.last_new, event.first)}, then not until after it."
    is_open = day.kind == "holidays" or (is_known and day.last_new is not None)
    limits = not_new(day.plan, p) if day.plan is not None and is_open else ()
    told = (*items((new, *limits)), *(_pieces(day, p) if is_event else ()), *_review(day, p))
    yield Heading("")
    yield from sorted(told, key=lambda one: one.more)
    yield from _keep_warm(day.warm, p)
    yield Heading("")
    yield from noted("These are customs of the trade, not research; you know the student and the day.")
    yield from closing((), ["C14"] if p.record.consents.get("video") or not is_event else ["C7", "C14"])


def _holidays(day: BigDay, p: Phrases) -> str:
    """Return from when new things begin before short holidays, and that the lesson after them may not."""
    start = "nothing waits for them"
    if day.for_new and day.plan is not None and not day.plan.lately:
        is_next = day.for_new[0] == day.lessons[0]
        start = f"start new things {'as usual' if is_next else f'from {p.day(day.for_new[0])}'}"
    told = f"Less than three weeks of holidays: {start}." if day.lessons else ""
    if (back := day.back) is None:
        return told
    weeks = f"{counted(back.days // 7, 'week')} after {p.day(back.last_lesson)}"
    return f"{told} The lesson of {p.day(back.last_lesson + back.days)}, {weeks}, is for looking.".strip()


def _pieces(day: BigDay, p: Phrases) -> Iterator[Paragraph]:
    first, last = day.choose
    if p.answer.on > last:
        yield item("Less than five weeks left: something that is played already.")
    else:
        start = f"between {p.day(first)} and" if p.answer.on < first else "now up to"
        yield item(f"Choose the pieces {start} {p.day(last)}.")
    if p.answer.unit is None:
        yield item("No unit has started here: a piece that was brought along and is liked.")
    elif not day.pieces:
        ways = own_choice(p, "a song, a clapped rhythm or free playing with you")
        yield item(f"No piece is ready. Instead: {ways}.")
    else:
        yield item(f"Secure, and easy enough: {p.few([one.skill for one in day.pieces])}.")
    for one in day.pieces:
        by_then = ", not seen lately by then; play it in a lesson before" if one.due_by_then else ""
        yield from noted(f"{p.with_unit(one.skill)}{by_then}.")
    best = "Best fit first; you and the student choose."
    yield from noted(
        *((best, "One lesson in the real room, if possible.") if day.pieces else ()),
        "A student may say no on the day itself.",
    )


def _review(day: BigDay, p: Phrases) -> Iterator[Paragraph]:
    until, is_placed = p.day(day.event.first), p.answer.unit is not None
    if is_placed and p.answer.on < day.choose[0]:
        yield item(f"It is a long way off. Ask again from {p.day(day.choose[0])}.")
    elif is_placed:
        few = f"Review in the last lessons before it: {p.few(day.review)}."
        yield from items([few] if day.review else ())
        yield from noted(
            p.listing(f"Not seen lately by {until}", day.due),
            p.listing("The fewest looks that are enough for all of it", day.review),
        )
    if day.plan is not None and day.review and day.kind != "holidays" and p.answer.on >= day.choose[0]:
        minutes = sum(block.minutes for block in day.plan.blocks if block.part == "review")
        kept = f"{-(-minutes // 2)} of the {minutes} review minutes"
        yield item(f"Next time keep at least {kept} for other things.")
    if day.kind == "event":
        whose = "the student" if p.of_age else "the family"
        agreed = "" if p.record.consents.get("video") else f", once {whose} agrees"
        yield item(f"Too frightening? A recording{agreed}, or one familiar listener, counts as much.")
    check = "A check waits, too: look at things as they come, and decide about the unit after it."
    waits, is_now = day.waits if day.kind != "holidays" else (), day.last_new is None
    wait = "Waits" if is_now else f"Not started by {p.day(day.last_new)}, waits"
    yield from noted(
        p.listing("Begun, so not new; go on with", day.going_on),
        p.listing(f"{wait} until after it", waits),
        check if waits and is_now else "",
    )


SOON = 3
"""How many skills have room without asking for all."""


def review_sections(
    found: Review, breaks: tuple[AfterBreak, KeepWarm | None], course: Course, record: Record
) -> Page:
    """Yield what needs a review soon, the least that is enough for it, and what was not seen lately.

    ``breaks``: what was not seen lately, of the same day, and the list for a break to come, if there is one.
    """
    back, warm = breaks
    yield f"Review · {tidy(record.name)} · {date_words(found.on)} to {date_words(found.until, found.on)}"
    yield _review_head(found, back, course)
    yield hold_section(record, found.on)
    yield plain(*after_hold(course, record, found.on))
    yield Heading("Look again")
    for number, one in enumerate(found.skills):
        needed = "; needed to move on" if one.decides else ""
        waits = found.paused and not course.skill[one.skill].quiet
        by = f"{'after the pause' if waits else f'by {date_words(one.fresh_until, found.on)}'}{needed}"
        yield item(f"{tidy(course.skill[one.skill].name)}: {by}", more=number >= SOON)
        names = "; ".join(tidy(course.skill[other].name) for other in one.kept_by)
        look = f" Seen as well when one of these is shown: {names}." if names and not waits else ""
        look += " A home task for it is open." if one.task and not waits else ""
        seen = f"{one.skill}, last seen {date_words(one.last_seen, found.on)}"
        yield Paragraph(f"{seen}.{look}", 4, more=True)
    if len(found.skills) > SOON:
        yield Paragraph(f"and {len(found.skills) - SOON} more", brief=True)
    play = found.play if len(found.play) < len(found.skills) else ()
    yield from noted(*(f"Enough for all: {tidy(course.skill[one].name)} ({one})." for one in play))
    if warm is not None and warm.skills:
        names = few_of([quoted(course.skill[skill].name) for skill in warm.skills], 2)
        yield bullets(f"Before {_break_words(warm, found.on)}", (f"{names}: `readiness back {record.id}`",))
    yield from _not_lately(found, back, record)


def _review_head(found: Review, back: AfterBreak, course: Course) -> str:
    soon = f"{counted(len(found.skills), 'skill')} to look at again"
    if found.skills and not found.play:
        return f"{soon}, after the pause."
    if found.skills:
        names = few_of([quoted(course.skill[skill].name) for skill in found.play], 2)
        return f"{soon}.{'' if len(found.play) == len(found.skills) else f' Enough for all of it: {names}.'}"
    if not back.due and not back.kept and back.last_lesson is None:
        return "No lesson is noted yet and nothing is secure, so there is nothing to review."
    more = "" if all(one.again for one in back.due) else "more "
    return f"Nothing {more}needs a review by {date_words(found.until, found.on)}."


def _not_lately(found: Review, back: AfterBreak, record: Record) -> Page:
    due = [one.skill for one in back.due if not one.again]
    if not due:
        return
    when = "after the pause" if found.paused else f"in the next lesson, {to_come(back.look_on, found.on)}"
    yield bullets("Not seen lately", (
        f"{counted(len(due), 'skill')} secure before. That does not mean lost.",
        f"What to look at first {when}: `readiness back {record.id}`"
        if back.looks or found.paused else f"All of them: `readiness back {record.id} --full`",
    ))  # fmt: skip


def birthday_sections(
    found: Birthday | None, near: OneDay | None, course: Course, record: Record, on: int
) -> Page:
    """Yield what the next birthday that counts changes, and where one day of age decides.

    ``near``: somebody a day older or younger, where the verdict is another; ``on``: the day asked about.
    """
    if grown := of_age_from(record, on, found):
        name, when = tidy(record.name), birthday_words(record.born, date_words(grown))
        says = f"from then on the family is told only what {name} agrees to (`readiness consent {record.id}`)"
        yield plain(f"{name} becomes an adult {when}: {says}.")
    if found is None:
        chosen = any(choice.on <= on for choice in record.band_choices)
        why = "you chose the age" if chosen else "no older age begins"
        yield plain(f"No birthday of {tidy(record.name)} changes the rules: {why}.")
    else:
        new, old = course.years(found.new), course.years(found.old)
        ages = f"age {new} in place of age {old}"
        when = birthday_words(record.born, date_words(found.day))
        yield plain(f"{tidy(record.name)} turns {found.age} {when}: {ages}.")
        yield Heading("The verdict that day, with nothing new noted")
        was, now = (VERDICT_BRIEF[one.verdict] for one in (found.change.before, found.change.after))
        other = f"By age {old}: {was}; by age {new}: {now}. One day of age decides."
        yield item(other if found.one_day_decides else f"The same by both ages: {now}.")
        if found.change.is_decided:
            told = tuple(one for one in found.change.reasons if one.id not in _TOLD_BELOW)
            reasons = comparison_reasons(replace(found.change, reasons=told), course)
            yield from (Paragraph(f"{words}.", 4) for words in reasons)
        for title, skills in (
            ("Asked for from then on", found.due), ("Not asked for any more", found.skipped),
        ):  # fmt: skip
            yield bullets(title, (f"{tidy(course.skill[skill].name)} ({skill})." for skill in skills))
        yield bullets("Rules that change", (f"{capital(_number(*one))}." for one in found.numbers), more=True)
        rules, verb = counted(len(found.numbers), "rule"), "changes" if len(found.numbers) == 1 else "change"
        yield Paragraph(f"{rules} {verb} with the new age (--full).", brief=True)
    if near is not None:
        age, then = course.years(near.answer.band), VERDICT_BRIEF[near.answer.verdict]
        by_age = f"by age {age} on {date_words(on)}: {then}."
        yield bullets("One day of age decides now", (
            f"Born one day {near.born} and with the same notes, {tidy(record.name)} would go {by_age}",
            "You decide which age fits: a [[band_choice]] with a reason sets it.",
        ))  # fmt: skip


def _number(rule: str, old: object, new: object) -> str:
    if old is None or new is None:
        return f"{rule_value(rule, old if new is None else new)}, {'no more' if new is None else 'new'}"
    return f"{rule_value(rule, new)}, in place of {_AS_SAID.get(str(old)) or plain_value(old)}"


_TOLD_BELOW = frozenset({"other-band", "number-changed"})
_AS_SAID: Mapping[str, str] = {Help.ALONE: "without help alone", Help.CUE: "a reminder counting too"}

STEPS = 18
"""How many skills of a way have room on a screen."""
WAY_AT_MOST: Final = 30
"""So many lines has a way."""


def way_sections(way: Way, p: Phrases) -> Page:
    """Yield a way: the date first, then what begins in which lesson."""
    return fit(lambda most: _way(way, p, most), range(STEPS, 0, -1), WAY_AT_MOST)


def _way(way: Way, p: Phrases, most: int) -> Page:
    goal = f"All of {p.unit(way.target)}" if way.is_unit else f"To {p.name(way.target)}"
    yield f"{goal} · {tidy(way.name)} · {date_words(way.on)}"
    if not way.steps:
        yield "Nothing is left to learn for it: it is secure, with all it builds on."
    elif way.is_paused:
        yield "Paused: no date yet, and no hurry."
    elif way.rests:
        yield f"No date until the pause in the other course is over: {p.few(way.rests)}."
    elif way.earliest is None:
        yield "Too far off for a date."
    else:
        day = f" {p.day(way.earliest)}," if p.answer.is_day_known else ""
        lessons = counted(way.lessons or 0, "lesson")
        longer = "It may take longer: lesson minutes and moves between units are not counted."
        yield f"At the earliest{day} in {lessons}. {longer}"
    minutes = f"about {counted(way.minutes, 'minute')} of teaching"
    steps = f"{counted(len(way.steps), 'skill')} to secure, {minutes}." if way.steps else ""
    unit = p.course.unit[way.target].number if way.is_unit else 0
    left = f"Not counted: {len(way.beside)} more of earlier units, which unit {unit} does not build on."
    yield f"{steps} {left if way.beside else ''}".strip()
    yield from noted(f"{p.inventory(way.beside)}." if way.beside else "", indent=4)
    sooner = f"If it is there already, a move could come sooner: {move_words(p.answer)}."
    yield sooner if _is_move_sooner(way, p) else ""
    unplaced = "No unit has started: what was not asked counts here as still to learn. Place first."
    yield "" if way.is_placed else unplaced
    yield hold_section(p.record, p.answer.on)
    yield plain(*after_hold(p.course, p.record, p.answer.on))
    yield Heading("")
    yield from _steps(way, p, most)
    yield Heading("What the date supposes")
    yield from noted(*_supposed(way, p))
    yield Heading("Where one of several is enough")
    for one in way.choices:
        some = f"{p.name(one.owner)} builds on {number_words(one.at_least)} of: {p.inventory(one.of)}."
        yield from noted(f"{some} Least teaching with: {p.inventory(one.taken)}.")
    least = f"A way with fewer minutes may exist; none takes under {counted(way.at_least, 'minute')}."
    yield Heading("The minutes")
    yield from noted(
        "What such skills usually take to teach; common practice, no source.",
        "" if way.proved else least,
    )
    yield from closing((), ["C14"])


def _steps(way: Way, p: Phrases, most: int) -> Iterator[Paragraph]:
    steps = sorted(way.steps, key=lambda step: step.lesson or 0)
    rows = []
    for step in steps:
        minutes = f"{'new, ' if step.state == State.UNTRIED else ''}{counted(step.minutes, 'minute')}"
        is_near = step.state in (State.BUILDING, State.WOBBLING, State.STALE) or step.probably_there
        price = counted(step.days, "more day") if is_near else minutes
        rows.append((f"Lesson {step.lesson}" if step.lesson else "-", price, p.plain_name(step.skill)))
    most = len(steps) if len(steps) <= most + 1 else most
    for number, (step, line) in enumerate(zip(steps, columns(rows, 0), strict=True)):
        yield replace(line, more=number >= most)
        unit = p.course.unit[p.course.skill[step.skill].unit].number
        yield from noted(f"{step.skill}, unit {unit}: {p.state(step.skill)}", indent=4)
    if most < len(steps):
        last = steps[-1].lesson
        words = f"and {len(steps) - most} more{f', the last in lesson {last}' if last else ''}"
        yield Paragraph(words, brief=True)


def _supposed(way: Way, p: Phrases) -> Iterator[str]:
    if way.earliest is None or not way.steps or way.is_paused:
        return
    if p.answer.is_day_known and way.not_before not in (None, way.earliest):
        yield f"In any order not before {p.day(way.not_before)}."
    begun = counted(way.begins, "new skill is", "new skills are")
    yield (
        f"In each lesson at most {begun} started, each once all it builds on is secure. Nothing starts in "
        "the first lesson after a break, or the last two before a big day or a long break. Everything is "
        "shown without help each time, and what is secure stays so."
    )


def _is_move_sooner(way: Way, p: Phrases) -> bool:
    groups = (skill for group in p.answer.groups for skill in group.of)
    is_near = way.target in {p.answer.unit, *p.answer.deciding, *p.answer.rest, *groups}
    return is_near and way.earliest is not None and (p.answer.earliest_told or way.earliest) < way.earliest


# When at the earliest, and apart from it what earlier cases took: two different things, said apart.
# The first follows from the rules and promises nothing. The second is an estimate from this studio's
# own records, for the teacher alone: no text for a child or a family has it.


def when_sections(found: Sequence[Estimate], p: Phrases) -> Page:
    """Yield when a student could move on, with the estimates for what keeps the student here."""
    answer, is_paused = p.answer, p.answer.verdict == Verdict.PAUSED
    yield from (p.title(), f"{p.verdict}.")
    if is_paused:
        yield "No date during the pause."
    elif answer.placing is not None:
        yield what_is_left(p.placing, p)
    elif answer.is_ready or answer.stays:
        yield p.move_waits or f"{p.day(answer.on)}: nothing stands in the way."
    elif answer.earliest_told is None:
        yield p.no_date
    else:
        all_come = "if everything is shown without help each time"
        yield f"At the earliest {move_words(answer)}, {all_come}{p.as_planned}."
        later = "What is not asked, or does not come that day, makes it a lesson later."
        yield from noted(*p.kept_back(), later)
    yield hold_section(p.record, answer.on)
    yield plain(*after_hold(p.course, p.record, answer.on))
    told = [] if is_paused else [one for one in found if one.cases or one.under_way]
    yield Heading("For you alone: what earlier cases here took")
    yield from _estimates(told, p)
    yield Heading("How that was counted")
    yield from noted(*(() if is_paused else _counting(found, told, p)))
    yield from closing((), ["C14"])


def _estimates(told: Sequence[Estimate], p: Phrases) -> Iterator[Paragraph]:
    if few := [found.skill for found in told if found.is_silent]:
        yield item(f"Fewer than {FEWEST} similar cases, too few to conclude anything: {p.inventory(few)}.")
    for found in sorted(told, key=lambda one: not one.is_silent):
        if found.low is not None and found.high is not None:
            right = f"{_range(found.low, found.high)}. That is right at least 8 times in 10."
            yield item(f"{p.plain_name(found.skill)}: {right}")
        elif not found.is_silent:
            took = f"{number_words(len(found.cases))} similar cases took"
            yield item(f"{p.plain_name(found.skill)}: {took} {_range(min(found.cases), max(found.cases))}.")
        so_far = f", beyond the {counted(found.so_far, 'lesson')} so far" if found.so_far else ""
        under_way = f"; {found.under_way} still under way" if found.under_way else ""
        often = sorted(Counter(found.cases).items())
        each = "; ".join(f"{times} took {counted(lessons, 'lesson')}" for lessons, times in often)
        yield from noted(
            f"{found.skill}: {p.state(found.skill)}. It rests on "
            f"{counted(len(found.cases), 'finished case')} of {KIND_WORDS[found.kind]} at age {p.age}"
            f"{f' ({each})' if each else ''}{so_far}{under_way}.",
            indent=4,
        )


def _range(low: int, high: int) -> str:
    return counted(low, "more lesson") if low == high else f"{low} to {high} more lessons"


def _counting(found: Sequence[Estimate], told: Sequence[Estimate], p: Phrases) -> Iterator[str]:
    if none := [one.skill for one in found if one not in told]:
        yield f"Not one earlier case here is like: {p.inventory(none)}."
    for unit in dict.fromkeys(p.course.skill[one.skill].unit for one in found if one.low is None):
        weeks = counted(p.course.unit[unit].lesson_weeks, "week")
        yield f"The course gives {weeks} for {p.unit(unit)}."
    if told:
        yield "Counted from the first lesson that asked for such a skill to the one that made it secure."
