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
    """Return what to do before an event.

    Args:
        day: what was worked out.
        answer: the answer for the day asked about.
        course: the course.
        record: the student's record.
        width: the widest line.
        full: whether all is told.
    """
    say = Phrases(answer, course, record)
    return lay_out(_page(day, say, full=full), width, full=full)


def _page(day: BigDay, say: Phrases, *, full: bool) -> Iterator[Section]:
    where = noted(f"{capital(say.unit(say.answer.unit))}.") if say.answer.unit else ()
    yield Section("", (Paragraph(_title(day, say)), Paragraph(_when(day, say)), *where))
    if say.answer.verdict == Verdict.PAUSED:
        yield Section("What comes first", tuple(map(item, _paused(day, say))))
        return
    yield resting_section(say)
    yield Section("", (*map(item, (*_new(day), *_pieces(day, say), *_review(day, say))), *_details(day, say)))
    yield keep_warm_section(day.warm, say)
    yield Section("Next", noted(*_next(day, say)))
    video = say.record.consents.get("video") or day.kind != "event"
    yield from closing((), ["C14"] if video else ["C7", "C14"], full=full)


def _title(day: BigDay, say: Phrases) -> str:
    event = quoted(day.event.name) if day.event.name else say.day(day.event.first)
    return f"{tidy(say.answer.name)} · before {event} · {date_words(say.answer.on)}"


def _when(day: BigDay, say: Phrases) -> str:
    first = f"On {say.day(day.event.first)}"
    if day.kind != "event":
        first = f"From {say.day(day.event.first)} to {say.day(day.event.last)}"
    last = f", the last on {say.day(day.lessons[-1])}" if day.lessons else ""
    return f"{first}, {counted(len(day.lessons), 'lesson')} before it{last}."


def _paused(day: BigDay, say: Phrases) -> Iterator[str]:
    yield caution("C1")
    if day.kind == "event":
        yield "Nothing is prepared for it during the pause. Coming to listen is taking part."
    yield f"When an adult has ended the pause, ask again: readiness season {say.answer.student}"


# What to do, a line each.


def _new(day: BigDay) -> Iterator[str]:
    if day.kind == "holidays":
        yield "Less than three weeks of holidays: start new things as usual."
    elif day.last_new is None:
        yield "Nothing new from now on; a move to the next unit waits until after it."
    else:
        yield f"New things until {date_words(day.last_new, day.event.first)}, then not until after it."


def _pieces(day: BigDay, say: Phrases) -> Iterator[str]:
    if day.kind != "event":
        return
    first, last = day.choose
    if say.answer.on > last:
        yield "Less than five weeks left: something that is played already."
    else:
        start = "now" if say.answer.on >= first else f"between {say.day(first)}"
        yield f"Choose the pieces {start} {'and' if say.answer.on < first else 'up to'} {say.day(last)}."
    if say.answer.unit is None:
        yield "No unit has begun here: a piece that was brought along and is liked."
    elif not day.pieces:
        yield "No piece is ready; share a song, a clapped rhythm or free playing with you instead."
    else:
        yield f"Secure, and easy enough: {say.few([one.skill for one in day.pieces])}."


def _review(day: BigDay, say: Phrases) -> Iterator[str]:
    if say.answer.unit is not None and say.answer.on < day.choose[0]:
        yield f"It is a long way off. Ask again from {say.day(day.choose[0])}."
    elif say.answer.unit is not None and day.review:
        yield f"Review in the last lessons before it: {say.few(day.review)}."
    band = say.course.band[say.answer.band]
    usual = round(band.whole("lesson_minutes") * band.number("review_share"))
    if say.answer.unit is not None:
        yield f"Keep at least {-(-usual // 2)} of the {usual} review minutes for other things."
    if day.kind == "event":
        agreed = "" if say.record.consents.get("video") else ", once the family agrees"
        yield f"Too frightening? A recording{agreed}, or one familiar listener, counts as much."


# What stands behind it, on request.


def _details(day: BigDay, say: Phrases) -> tuple[Paragraph, ...]:
    return noted(*_about_pieces(day, say), *_about_review(day, say), *_about_waiting(day, say))


def _about_pieces(day: BigDay, say: Phrases) -> Iterator[str]:
    for one in day.pieces:
        by_then = ", not seen lately by then; play it in a lesson before" if one.due_by_then else ""
        yield f"{say.titled(one.skill)}, unit {say.course.unit[one.unit].number}{by_then}."
    if day.pieces:
        yield "Best fit first, about one unit below this one; you and the student choose."
        yield "One lesson in the real room, if possible."
    if day.kind == "event" and day.performing:
        yield f"Nobody frightened is held up by {say.few(day.performing)}: another way counts as much."
    if day.kind == "event":
        yield "A student may say no on the day itself."


def _about_review(day: BigDay, say: Phrases) -> Iterator[str]:
    until = say.day(day.event.first)
    if say.answer.unit is not None and say.answer.on >= day.choose[0]:
        late = f"Not seen lately by {until}: {say.inventory(day.due)}." if day.due else ""
        yield late or f"All is seen lately enough until {until}."
        if day.review:
            yield f"The fewest looks that are enough for all of it: {say.inventory(day.review)}."
    if day.going_on:
        yield f"Begun, so not new; go on with: {say.inventory(day.going_on)}."


def _about_waiting(day: BigDay, say: Phrases) -> Iterator[str]:
    if day.kind != "holidays" and day.waits:
        yield f"Waits until after it: {say.inventory(day.waits)}."
        yield "A check waits, too: look at things as they come, and decide about the unit after it."
    if day.glance:
        yield f"At a glance in every lesson all the same: {say.inventory(day.glance)}."


def _next(day: BigDay, say: Phrases) -> Iterator[str]:
    yield f"The next lesson, minute by minute: readiness plan {say.answer.student}"
    if day.kind != "holidays":
        yield f"After it: readiness {'back' if day.kind == 'break' else 'why'} {say.answer.student}"
    yield BASIS
