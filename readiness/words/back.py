"""The page after a break: how long it was, what to look at first and how to go on.

"Not seen lately" says look again, so nothing here says that something was lost, and nobody is to blame
for a holiday.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from typing import Final

from readiness.advice.after_break import NO_BREAK, AfterBreak, Due, ReviewLook
from readiness.advice.review import KeepWarm
from readiness.course.model import Course
from readiness.judging.answer import Answer
from readiness.judging.findings import Rule
from readiness.judging.reasons import pacing_rule
from readiness.record.model import Record
from readiness.terms import Verdict
from readiness.words.blocking import brought_along_section
from readiness.words.cautions import caution, closing
from readiness.words.grammar import counted, date_words, number_words, quoted, tidy
from readiness.words.layout import Paragraph, Section, item, lay_out, noted
from readiness.words.paused import resting_section
from readiness.words.phrases import Phrases
from readiness.words.reasons import numbers_section

__all__ = ["keep_warm_section", "tell_back"]


_ROLES: Final = {"decides": "needed to move on", "rest": "of this unit", "older": "of earlier units"}


def tell_back(
    back: AfterBreak,
    ahead: KeepWarm | None,
    answer: Answer,
    course: Course,
    record: Record,
    width: int = 80,
    *,
    full: bool = False,
) -> str:
    """Return what to do after a break, or what was not seen lately without one.

    Args:
        back: what was worked out.
        ahead: the list for a break to come, if there is one.
        answer: the answer for the same day.
        course: the course.
        record: the student's record.
        width: the widest line.
        full: whether all is told.
    """
    say = Phrases(answer, course, record)
    page = _paused(back, say) if answer.verdict == Verdict.PAUSED else _page(back, ahead, say, full=full)
    return lay_out(page, width, full=full)


def _page(back: AfterBreak, ahead: KeepWarm | None, say: Phrases, *, full: bool) -> Iterator[Section]:
    yield Section("", (Paragraph(_title(say)), *map(Paragraph, (_head(back, say), *_cost(back, say)))))
    yield resting_section(say)
    yield Section(f"Look first, in the lesson on {say.day(back.look_on)}", tuple(_looks(back, say)))
    yield Section("How to go on", tuple(map(item, _onward(back, say))))
    yield keep_warm_section(ahead, say)
    yield brought_along_section(say)
    for role, title in _ROLES.items():
        yield Section(f"Not seen lately: {title}", noted(*_due(back, role, say)))
    yield Section("Seen again since the break", noted(*_again(back, say)))
    yield Section("Seen lately enough", noted(say.inventory(back.kept)))
    rules = numbers_section(_rules(say), say.answer.band)
    yield Section(rules.title, rules.paragraphs, more=True)
    glance = any(look.why == "always-look" for look in back.looks)
    yield from closing((), ["C5", "C14"] if glance else ["C14"], full=full)


def _paused(back: AfterBreak, say: Phrases) -> Iterator[Section]:
    yield Section("", (Paragraph(_title(say)), Paragraph(_head(back, say))))
    again = f"When an adult has ended the pause, ask again: readiness back {say.answer.student}"
    yield Section("What comes first", (item(caution("C1", of_age=say.of_age)), item(again)))


def _title(say: Phrases) -> str:
    where = f" · {say.unit(say.answer.unit)}" if say.answer.unit else ""
    return f"{tidy(say.answer.name)}{where} · {date_words(say.answer.on)}"


def _head(back: AfterBreak, say: Phrases) -> str:
    if back.last_lesson is None:
        return "No lesson is noted yet, so there was no break."
    since = say.day(back.last_lesson)
    if back.kind == "first-lesson-back":
        return f"First lesson back after {counted(back.days, 'day')}, the last one on {since}."
    if back.kind == "on-a-break":
        return f"{counted(back.days, 'day')} without a lesson, since {since}."
    weeks = say.course.band[say.answer.band].whole("break_weeks")
    return f"Not a break: the last lesson was on {since}. A break is {counted(weeks, 'week')} or more."


def _cost(back: AfterBreak, say: Phrases) -> Iterator[str]:
    if say.answer.unit is None:
        yield "No unit has begun, so the placing lesson looks at everything in any case."
        return
    due, kept = len(back.due), len(back.kept)
    if not due:
        yield f"All {counted(kept, 'secure skill')} were seen lately." if kept else "Nothing is secure yet."
        return
    yield f"{due} of {counted(due + kept, 'secure skill')} not seen lately. That does not mean lost."
    if again := sum(one.again for one in back.due):
        yield f"{again} of these {'was' if again == 1 else 'were'} seen again since."
    if (before := sum(one.before for one in back.due)) and back.kind != NO_BREAK:
        yield f"{before} of these had not been seen lately before the break either."


# What to look at first: one line each. What it settles besides is shown on request.


def _looks(back: AfterBreak, say: Phrases) -> Iterator[Paragraph]:
    for number, look in enumerate((*back.looks, *back.later), 1):
        later = "In the lesson after: " if number > len(back.looks) else ""
        yield Paragraph(f"{later}{_look(look, say)}", lead=f"{number:>2}. ")
        others = [skill for skill in look.clears if skill not in look.skills]
        yield from noted(*_about(look, others, say), indent=4)
    if back.looks or back.later:
        yield Paragraph(_enough(back))


def _look(look: ReviewLook, say: Phrases) -> str:
    if look.why == "always-look":
        return "The looks of every lesson, at a glance"
    return tidy(say.course.skill[look.skills[0]].name)


def _about(look: ReviewLook, others: Sequence[str], say: Phrases) -> Iterator[str]:
    yield f"{say.inventory(look.skills)}." if look.why == "always-look" else f"{look.skills[0]}."
    if others:
        yield f"Settles as well: {say.inventory(others)}."


def _enough(back: AfterBreak) -> str:
    """Return what the list settles, and that no shorter one does."""
    whys = [look.why for look in (*back.looks, *back.later)]
    deciding = len(whys) - whys.count("rest")
    which = "These are enough" if len(whys) > 1 else "That is enough"
    if 0 < deciding < len(whys):
        which = f"The first {number_words(deciding)} are enough" if deciding > 1 else "The first is enough"
    return f"{which}, shown without help{'; no shorter list is' if back.proved else ''}."


def _onward(back: AfterBreak, say: Phrases) -> Iterator[str]:
    if back.kind != NO_BREAK:
        lesson = "that one" if back.kind == "on-a-break" else "this one"
        yield "No move to a new unit in the first lesson back."
        yield f"About {counted(back.lessons, 'lesson')} of review, {lesson} included."
    if back.resting:
        yield f"Waits until the pause in the other course is over: {say.few(back.resting)}."
    due = {one.skill for one in back.due}
    other = [one.skill for one in say.answer.blockers if one.skill and one.skill not in due]
    if other and back.kind != NO_BREAK:
        yield f"Unfinished as before: {say.few(other)}."
    next_ = "sheet" if back.looks else "plan"
    if back.looks or back.kind == NO_BREAK:
        yield f"Next: readiness {next_} {say.answer.student}"


# Everything that was not seen lately, on request: those of one day and one time limit together.


def _due(back: AfterBreak, role: str, say: Phrases) -> Iterator[str]:
    yield from _by_day([one for one in back.due if one.role == role and not one.again], say)
    if role == "older" and any(one.role == role and not one.again for one in back.due):
        yield "None of these holds anything up; most come back while playing."


def _again(back: AfterBreak, say: Phrases) -> Iterator[str]:
    yield from _by_day([one for one in back.due if one.again], say)


def _by_day(due: Sequence[Due], say: Phrases) -> Iterator[str]:
    words = {one.skill: _seen(one, say) for one in due}
    for told in dict.fromkeys(words.values()):
        yield f"{told}: {say.inventory([skill for skill, mine in words.items() if mine == told])}."


def _seen(one: Due, say: Phrases) -> str:
    """Return when a skill was last seen before the break, and how often a look is wanted."""
    where = ""
    if say.standing(one.skill).last_seen == one.last_seen:
        where = f", {say.seen_line(one.skill)}"
    return f"Last seen {say.day(one.last_seen)}{where}, look every {counted(one.window // 7, 'week')}"


def _rules(say: Phrases) -> tuple[Rule, ...]:
    band = say.course.band[say.answer.band]
    names = ("break_weeks", "fresh_weeks.fast", "fresh_weeks.medium", "fresh_weeks.slow")
    return tuple(pacing_rule(say.course, band, name) for name in names)


# Before a break to come: what to show in the last lesson, and what that keeps.


def keep_warm_section(warm: KeepWarm | None, say: Phrases) -> Section:
    """Return what to review before a break to come; empty without one."""
    if warm is None or say.answer.verdict == Verdict.PAUSED or say.answer.unit is None:
        return Section("", ())
    name = f" {quoted(warm.ahead.name)}" if warm.ahead.name else " the break"
    lesson = "at home" if warm.ahead.lesson is None else f"on {say.day(warm.ahead.lesson)} and at home"
    title = f"Review {lesson}, before{name} from {say.day(warm.ahead.first)}"
    return Section(title, tuple(_warm(warm, say)))


def _warm(warm: KeepWarm, say: Phrases) -> Iterator[Paragraph]:
    if not warm.skills:
        yield item("Nothing is secure yet that could be reviewed; take a piece or song the student likes.")
        return
    yield from (item(tidy(say.course.skill[skill].name)) for skill in warm.skills)
    yield from noted(*_warm_details(warm, say))


def _warm_details(warm: KeepWarm, say: Phrases) -> Iterator[str]:
    back = say.day(warm.ahead.back)
    if warm.kept:
        yield f"Keeps until {back}, and is needed to move on: {say.inventory(warm.kept)}."
    if warm.kept_more:
        yield f"Keeps until {back} as well: {say.inventory(warm.kept_more)}."
    if not warm.kept and not warm.kept_more:
        used = counted(len(warm.used), "skill")
        yield f"Nothing shown before the break lasts until {back}; these use the most, {used}."
    if warm.due:
        yield f"Not seen lately by then all the same, for the first lesson back: {say.inventory(warm.due)}."
    yield f"No other {number_words(len(warm.skills))} keep more of what is needed to move on, or more in all."
