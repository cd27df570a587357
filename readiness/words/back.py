"""The page after a break: how long it was, what to look at first and how to go on.

"Not seen lately" says look again, so nothing here says that something was lost, and nobody is to blame
for a holiday.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from typing import Final

from readiness.advice.after_break import NO_BREAK, AfterBreak, Due
from readiness.advice.review import KeepWarm
from readiness.course.model import Course
from readiness.judging.answer import Answer
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
    back: AfterBreak, ahead: KeepWarm | None, answer: Answer, course: Course, record: Record,
    width: int = 80, *, full: bool = False,
) -> str:  # fmt: skip
    """Return what to do after a break, or what was not seen lately without one.

    ``ahead``: the list for a break to come, if there is one; ``answer`` is of the same day.
    """
    p = Phrases(answer, course, record)
    page = _paused(back, p) if answer.verdict == Verdict.PAUSED else _page(back, ahead, p, full=full)
    return lay_out(page, width, full=full)


def _page(back: AfterBreak, ahead: KeepWarm | None, p: Phrases, *, full: bool) -> Iterator[Section]:
    yield Section("", tuple(map(Paragraph, (_title(p), _head(back, p), *_cost(back, p)))))
    yield resting_section(p)
    yield Section(f"Look first, in the lesson on {p.day(back.look_on)}", tuple(_looks(back, p)))
    yield Section("How to go on", tuple(map(item, _onward(back, p))))
    yield keep_warm_section(ahead, p)
    yield brought_along_section(p)
    for role, title in _ROLES.items():
        due = [one for one in back.due if one.role == role and not one.again]
        last = "None of these holds anything up; most come back while playing."
        yield Section(f"Not seen lately: {title}", noted(
            *_by_day(due, p), last if due and role == "older" else ""
        ))  # fmt: skip
    yield Section("Seen again since the break", noted(*_by_day([one for one in back.due if one.again], p)))
    yield Section("Seen lately enough", noted(p.inventory(back.kept)))
    band = p.course.band[p.answer.band]
    names = ("break_weeks", "fresh_weeks.fast", "fresh_weeks.medium", "fresh_weeks.slow")
    rules = numbers_section(tuple(pacing_rule(p.course, band, name) for name in names), p.answer.band)
    yield Section(rules.title, rules.paragraphs, more=True)
    glance = any(look.why == "always-look" for look in back.looks)
    yield from closing((), ["C5", "C14"] if glance else ["C14"], full=full)


def _paused(back: AfterBreak, p: Phrases) -> Iterator[Section]:
    yield Section("", (Paragraph(_title(p)), Paragraph(_head(back, p))))
    again = f"When an adult has ended the pause, ask again: readiness back {p.answer.student}"
    yield Section("What comes first", (item(caution("C1", of_age=p.of_age)), item(again)))


def _title(p: Phrases) -> str:
    where = f" · {p.unit(p.answer.unit)}" if p.answer.unit else ""
    return f"{tidy(p.answer.name)}{where} · {date_words(p.answer.on)}"


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
        yield f"All {counted(kept, 'secure skill')} were seen lately." if kept else "Nothing is secure yet."
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
        name = "At a glance, what every lesson looks at" if glance else p.plain_name(look.skills[0])
        yield Paragraph(f"{later}{name}", lead=f"{number:>2}. ")
        others = [skill for skill in look.clears if skill not in look.skills]
        also = f"Settles as well: {p.inventory(others)}." if others else ""
        yield from noted(f"{p.inventory(look.skills) if glance else look.skills[0]}.", also, indent=4)
    if back.looks or back.later:
        yield Paragraph(_enough(back))


def _enough(back: AfterBreak) -> str:
    """Return what the list settles, and that no shorter one does."""
    whys = [look.why for look in (*back.looks, *back.later)]
    deciding = len(whys) - whys.count("rest")
    which = "These are enough" if len(whys) > 1 else "That is enough"
    if 0 < deciding < len(whys):
        which = f"The first {number_words(deciding)} are enough" if deciding > 1 else "The first is enough"
    return f"{which}, shown without help{'; no shorter list is' if back.proved else ''}."


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
    words = {one.skill: _seen(one, p) for one in due}
    for told in dict.fromkeys(words.values()):
        yield f"{told}: {p.inventory([skill for skill, mine in words.items() if mine == told])}."


def _seen(due: Due, p: Phrases) -> str:
    """Return when a skill was last seen before the break, and how often a look is wanted."""
    is_latest = p.standing(due.skill).last_seen == due.last_seen
    where = f", {p.seen_line(due.skill)}" if is_latest else ""
    return f"Last seen {p.day(due.last_seen)}{where}, look every {counted(due.window // 7, 'week')}"


# Before a break to come: what to show in the last lesson, and what that keeps.


def keep_warm_section(warm: KeepWarm | None, p: Phrases) -> Section:
    """Return what to review before a break to come; empty without one."""
    if warm is None or p.answer.verdict == Verdict.PAUSED or p.answer.unit is None:
        return Section("", ())
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
