"""The words of a break: what is due and since when, what to look at first, how to go on.

A window that has ended says "look again", so nothing here says that something was lost, and
nobody is to blame for a holiday. It ends with what to do in the next lesson.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from readiness.advice.after_break import AfterBreak, Due, Look
from readiness.advice.fading import KeepWarm
from readiness.course.model import Course
from readiness.judging.answer import Answer
from readiness.judging.findings import Rule
from readiness.judging.reasons import pacing_rule
from readiness.record.model import Record
from readiness.terms import Verdict
from readiness.words.both import resting_section
from readiness.words.cautions import caution
from readiness.words.grammar import capital, counted, date_words, number_words, quoted, tidy
from readiness.words.layout import Paragraph, Section, item, lay_out
from readiness.words.phrases import Phrases
from readiness.words.reasons import numbers_section
from readiness.words.why import brought_along_section

__all__ = ["keep_warm_section", "tell_back"]

NAMES_OF_OLDER = 8


def tell_back(
    back: AfterBreak,
    ahead: KeepWarm | None,
    answer: Answer,
    course: Course,
    record: Record,
    width: int = 80,
) -> str:
    """Return what a break cost, or what is due without one.

    Args:
        back: what was worked out.
        ahead: the list for a break to come, if there is one.
        answer: the answer for the same day.
        course: the course.
        record: the student's record.
        width: the widest line.
    """
    say = Phrases(answer, course, record)
    title = Section("", (Paragraph(_title(say)), Paragraph(_head(back, say))))
    if answer.verdict == Verdict.PAUSED:
        again = f"When an adult has closed the hold, ask again: readiness back {answer.student}"
        return lay_out([title, Section("What comes first", (item(caution("C1")), item(again)))], width)
    cautions = [caution(one) for one in (*(["C5"] if _has_glance(back) else []), "C14")]
    return lay_out(
        [
            title,
            resting_section(say),
            Section(_cost_title(back), tuple(map(item, _cost(back, say)))),
            Section(_looks_title(back, say), tuple(_looks(back, say))),
            brought_along_section(say),
            Section("Due for a look, and it decides", tuple(map(item, _due(back, "decides", say)))),
            Section("Due for a look, of this unit", tuple(map(item, _due(back, "rest", say)))),
            Section("Due too, of earlier units", tuple(map(item, _due(back, "older", say)))),
            Section("Had been due, and is settled again", tuple(map(item, _again(back, say)))),
            Section("Not due", tuple(map(item, _kept(back, say)))),
            Section("How to go on", tuple(map(item, _onward(back, say)))),
            keep_warm_section(ahead, say),
            numbers_section(_rules(say), answer.band),
            Section("Cautions", tuple(map(item, cautions))),
        ],
        width,
    )


def _title(say: Phrases) -> str:
    where = f" - {say.unit(say.answer.unit)}" if say.answer.unit else ""
    return f"{tidy(say.answer.name)}{where} - {date_words(say.answer.on)}"


def _head(back: AfterBreak, say: Phrases) -> str:
    if back.last_lesson is None:
        return "No lesson is noted yet, so there is nothing to be away from."
    since = say.day(back.last_lesson)
    if back.kind == "first-lesson-back":
        return f"The first lesson back, {counted(back.days, 'day')} after the one before it on {since}."
    if back.kind == "on-a-break":
        return f"{counted(back.days, 'day')} without a lesson, since {since}."
    weeks = say.course.band[say.answer.band].whole("break_weeks")
    when = f"{counted(back.days, 'day')} since the latest lesson on" if back.days else "a lesson on"
    limit = f"{capital(number_words(weeks))} weeks"
    return f"No break: {when} {since}. {limit} or more without a lesson would be one."


def _cost_title(back: AfterBreak) -> str:
    return "What is due all the same" if back.kind == "no-break" else "What the break cost"


def _cost(back: AfterBreak, say: Phrases) -> Iterator[str]:
    if say.answer.unit is None:
        yield "No unit has begun, so the placing lesson looks at everything in any case."
        return
    due, kept = len(back.due), len(back.kept)
    if not due:
        every = f"all {counted(kept, 'settled thing')} of the units so far are inside their windows"
        yield f"Nothing: {every}." if kept else "Nothing yet, because nothing of the units so far is settled."
        return
    one, more = ("was", "were") if back.kind == "first-lesson-back" else ("is", "are")
    yield (
        f"{counted(due, f'settled thing {one}', f'settled things {more}')} due for a look; {kept} "
        f"{one if kept == 1 else more} not. Due means not seen for a while; it does not mean lost."
    )
    before = sum(one.before for one in back.due)
    if before and back.kind != "no-break":
        yield f"{capital(number_words(before))} of them had been due at the last lesson before it already."
    again = sum(one.again for one in back.due)
    if again:
        have = "has" if again == 1 else "have"
        yield f"{capital(number_words(again))} of them {have} been seen again since."


def _due(back: AfterBreak, role: str, say: Phrases) -> Iterator[str]:
    """Yield what is due, those of one day and one window together."""
    most = NAMES_OF_OLDER if role == "older" else len(back.due)
    mine = [one for one in back.due if one.role == role and not one.again]
    for words in dict.fromkeys(_seen(one, say) for one in mine):
        yield f"{words}: {say.names([one.skill for one in mine if _seen(one, say) == words], most)}."
    if role == "older" and mine:
        yield (
            "Nothing decides by these now; most come back by use, when what stands on them is played. "
            "All of them by id: --json"
        )


def _seen(one: Due, say: Phrases) -> str:
    """Return when a skill was seen before the break, and when its window ended."""
    window = f"window of {counted(one.window // 7, 'week')} ended {say.day(one.last_seen + one.window)}"
    if say.standing(one.skill).last_seen == one.last_seen:
        return f"{capital(say.last_seen(one.skill))}, {window}"
    return _before(one, say)


def _again(back: AfterBreak, say: Phrases) -> Iterator[str]:
    """Yield what was due and has been seen or used since, by its day before the break."""
    mine = [one for one in back.due if one.again]
    for words in dict.fromkeys(_before(one, say) for one in mine):
        names = [one.skill for one in mine if _before(one, say) == words]
        yield f"{words}: {say.names(names, NAMES_OF_OLDER)}."


def _before(one: Due, say: Phrases) -> str:
    window = f"window of {counted(one.window // 7, 'week')} ended {say.day(one.last_seen + one.window)}"
    return f"Last seen before the break {say.day(one.last_seen)}, {window}"


def _kept(back: AfterBreak, say: Phrases) -> Iterator[str]:
    asked = [skill for skill in back.kept if skill in (*say.answer.deciding, *say.answer.rest)]
    others = len(back.kept) - len(asked)
    if asked:
        yield f"Of what decides and of this unit: {say.names(asked, len(asked))}."
    if others:
        yield f"{capital(counted(others, 'other thing', 'other things'))} of the units so far."


def _looks_title(back: AfterBreak, say: Phrases) -> str:
    return f"What to look at first, next lesson on {say.day(back.look_on)}"


def _looks(back: AfterBreak, say: Phrases) -> Iterator[Paragraph]:
    number = 0
    for number, look in enumerate(back.looks, 1):
        yield Paragraph(_look(look, say), lead=f"{number}. ")
    for later, look in enumerate(back.later, number + 1):
        yield Paragraph(f"In the lesson after: {_look(look, say)}", lead=f"{later}. ")
    if number or back.later:
        yield item(_enough(back))


def _enough(back: AfterBreak) -> str:
    """Return what the list settles, and that no smaller one does."""
    whys = [look.why for look in (*back.looks, *back.later)]
    deciding, one = len(whys) - whys.count("rest"), len(whys) == 1
    fewest = "and no smaller set does" if back.proved else "but a smaller set may do the same"
    all_ = f"Shown without help, {'it settles' if one else 'they settle'} all that one lesson can"
    if not 0 < deciding < len(whys):
        return f"{all_}, {fewest}."
    those = "first alone settles" if deciding == 1 else f"first {number_words(deciding)} settle"
    return f"{all_}. The {those} what decides, {fewest}; the rest settles what else is due in the unit."


def _look(look: Look, say: Phrases) -> str:
    if look.why == "always-look":
        return f"The seat and what else is looked at every time, in one glance: {say.names(look.skills)}."
    name = say.titled(look.skills[0])
    others = [skill for skill in look.clears if skill not in look.skills]
    also = f" It brings along {say.names(others, len(others))}." if others else ""
    return f"{name}.{also}"


def _has_glance(back: AfterBreak) -> bool:
    return any(look.why == "always-look" for look in back.looks)


def _onward(back: AfterBreak, say: Phrases) -> Iterator[str]:
    if back.kind != "no-break":
        yield "First lesson back: no move to a new unit that day, whatever is shown. It is for finding out."
        yield (
            f"About {counted(back.lessons, 'lesson')} of review, "
            f"{'that one' if back.kind == 'on-a-break' else 'this one'} included: one for every four weeks "
            "away, at least one, at most three (common practice, no source)."
        )
    if back.resting:
        yield f"Waits until the hold in the other course is closed: {say.names(back.resting)}."
    due = {one.skill for one in back.due}
    other = [one.skill for one in say.answer.blockers if one.skill and one.skill not in due]
    if other and back.kind != "no-break":
        yield f"No matter of the break, and open as before: {say.names(other)}."
    if not back.looks and back.kind == "no-break":
        yield f"Go on as planned: readiness plan {say.answer.student}"
    elif back.looks:
        yield f"The sheet for it, in the order of a check: readiness sheet {say.answer.student}"


def keep_warm_section(warm: KeepWarm | None, say: Phrases) -> Section:
    """Return the list for a break to come, and what it was chosen for; empty without one."""
    if warm is None or say.answer.verdict == Verdict.PAUSED or say.answer.unit is None:
        return Section("", ())
    name = f" {quoted(warm.ahead.name)}" if warm.ahead.name else " the break"
    return Section(
        f"To keep warm before{name}, from {say.day(warm.ahead.first)}", tuple(map(item, _warm(warm, say)))
    )


def _warm(warm: KeepWarm, say: Phrases) -> Iterator[str]:
    back = say.day(warm.ahead.back)
    if not warm.skills:
        yield "Nothing is settled yet that a list could keep warm; take a piece or song the student likes."
        return
    if warm.ahead.lesson is None:
        yield "No lesson is left before it, so these are for home; only what is seen in a lesson is noted."
    else:
        yield f"In the last lesson before it, {say.day(warm.ahead.lesson)}, look at these and give them home:"
    for skill in warm.skills:
        yield f"{say.titled(skill)}."
    if warm.kept:
        yield f"Thanks to them fresh on the day back, {back}, and deciding: {_all(say, warm.kept)}."
    if warm.kept_more:
        yield f"Thanks to them fresh that day as well: {_all(say, warm.kept_more)}."
    if not warm.kept and not warm.kept_more:
        yield (
            f"By {back} no showing before the break makes a difference to what is inside its window; these "
            f"use the most things at once: {counted(len(warm.used), 'skill')}."
        )
    if warm.due:
        names = say.names(warm.due)
        yield f"Due on the day back all the same: {names}. That is what a first lesson back is for."
    yield (
        f"No other {number_words(len(warm.skills))} keep more of what decides fresh until then, and of those "
        "that keep as much none keeps more in all."
    )


def _all(say: Phrases, skills: Sequence[str]) -> str:
    return say.names(skills, len(skills))


def _rules(say: Phrases) -> tuple[Rule, ...]:
    band = say.course.band[say.answer.band]
    names = ("break_weeks", "fresh_weeks.fast", "fresh_weeks.medium", "fresh_weeks.slow")
    return tuple(pacing_rule(say.course, band, name) for name in names)
