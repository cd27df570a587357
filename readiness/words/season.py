"""The page of a big day or a long break ahead: what now, what is played, what waits.

A day of playing for people is a gift and not an exam: nobody has to, nothing hangs on it, and
there is always another way.
"""

from __future__ import annotations

from collections.abc import Iterator
from typing import Final

from readiness.advice.big_day import BigDay
from readiness.course.model import Course
from readiness.judging.answer import Answer
from readiness.record.model import Record
from readiness.terms import Verdict
from readiness.words.back import keep_warm_section
from readiness.words.cautions import caution, closing
from readiness.words.grammar import capital, counted, date_words, quoted, tidy
from readiness.words.layout import Paragraph, Section, item, lay_out, noted
from readiness.words.paused import resting_section
from readiness.words.phrases import Phrases

__all__ = ["tell_season"]

BASIS: Final = "These are customs of the trade, not research; you know the student and the day."


def tell_season(
    day: BigDay, answer: Answer, course: Course, record: Record, width: int = 80, *, full: bool = False
) -> str:
    """Return what to do before an event, with the answer for the day asked about."""
    return lay_out(_page(day, Phrases(answer, course, record), full=full), width, full=full)


def _page(day: BigDay, p: Phrases, *, full: bool) -> Iterator[Section]:
    where = noted(f"{capital(p.unit(p.answer.unit))}.") if p.answer.unit else ()
    yield Section("", (Paragraph(_title(day, p)), Paragraph(_when(day, p)), *where))
    if p.answer.verdict == Verdict.PAUSED:
        yield Section("What comes first", tuple(map(item, _paused(day, p))))
        return
    yield resting_section(p)
    more = (*_about_pieces(day, p), *_about_review(day, p), *_about_waiting(day, p))
    yield Section("", (*map(item, (_new(day), *_pieces(day, p), *_review(day, p))), *noted(*more)))
    yield keep_warm_section(day.warm, p)
    yield Section("Next", noted(*_next(day, p)))
    video = p.record.consents.get("video") or day.kind != "event"
    yield from closing((), ["C14"] if video else ["C7", "C14"], full=full)


def _title(day: BigDay, p: Phrases) -> str:
    event = quoted(day.event.name) if day.event.name else p.day(day.event.first)
    return f"{tidy(p.answer.name)} · before {event} · {date_words(p.answer.on)}"


def _when(day: BigDay, p: Phrases) -> str:
    first = f"On {p.day(day.event.first)}"
    if day.kind != "event":
        first = f"From {p.day(day.event.first)} to {p.day(day.event.last)}"
    last = f", the last on {p.day(day.lessons[-1])}" if day.lessons else ""
    return f"{first}, {counted(len(day.lessons), 'lesson')} before it{last}."


def _paused(day: BigDay, p: Phrases) -> Iterator[str]:
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
