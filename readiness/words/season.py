"""The words of a big day or a long break ahead: what now, what is played, what waits.

A day of playing for people is a gift and no exam: nobody has to, nothing hangs on it, and
there is always another way. It ends with what to do in the next lesson.
"""

from __future__ import annotations

from collections.abc import Iterator
from typing import Final

from readiness.advice.big_day import BigDay, Piece
from readiness.course.model import Course
from readiness.judging.answer import Answer
from readiness.record.model import Record
from readiness.terms import Verdict
from readiness.words.back import keep_warm_section
from readiness.words.both import resting_section
from readiness.words.cautions import caution
from readiness.words.grammar import capital, counted, date_words, listed, number_words, quoted, tidy
from readiness.words.layout import Paragraph, Section, item, lay_out
from readiness.words.phrases import Phrases

__all__ = ["tell_season"]

BASIS: Final = "These are customs of the trade, not measured facts; you know the student and the day."


def tell_season(day: BigDay, answer: Answer, course: Course, record: Record, width: int = 80) -> str:
    """Return what to do before an event.

    Args:
        day: what was worked out.
        answer: the answer for the day asked about.
        course: the course.
        record: the student's record.
        width: the widest line.
    """
    say = Phrases(answer, course, record)
    title = Section("", (Paragraph(_title(day, say)), Paragraph(_when(day, say))))
    if answer.verdict == Verdict.PAUSED:
        return lay_out([title, Section("What comes first", tuple(map(item, _paused(day, say))))], width)
    cautions = ["C14"] if record.consents.get("video") or day.kind != "event" else ["C7", "C14"]
    return lay_out(
        [
            title,
            resting_section(say),
            Section("New things", tuple(map(item, _new(day, say)))),
            Section("What to play", tuple(map(item, _pieces(day, say)))),
            Section("Review that fits", tuple(map(item, _review(day, say)))),
            keep_warm_section(day.warm, say),
            Section("Waits until after", tuple(map(item, _waits(day, say)))),
            Section("Looked at all the same", tuple(map(item, _glance(day, say)))),
            Section("If playing for people is frightening", tuple(map(item, _fear(day, say)))),
            Section("Next", tuple(map(item, _next(day, say)))),
            Section("Cautions", tuple(item(caution(one)) for one in cautions)),
        ],
        width,
    )


def _title(day: BigDay, say: Phrases) -> str:
    where = f" - {say.unit(say.answer.unit)}" if say.answer.unit else ""
    event = quoted(day.event.name) if day.event.name else say.day(day.event.first)
    return f"{tidy(say.answer.name)}{where} - before {event} - {date_words(say.answer.on)}"


def _when(day: BigDay, say: Phrases) -> str:
    first = say.day(day.event.first)
    left = f"{counted(len(day.lessons), 'lesson')} before it"
    if day.lessons:
        left += f", the last on {say.day(day.lessons[-1])}"
    if day.kind == "event":
        return f"It is on {first}; {left}."
    return f"It is from {first} to {say.day(day.event.last)}; {left}."


def _paused(day: BigDay, say: Phrases) -> Iterator[str]:
    yield caution("C1")
    if day.kind == "event":
        yield "Nothing is prepared for it while the hold is open. Coming to listen is taking part."
    yield f"When an adult has closed the hold, ask again: readiness season {say.answer.student}"


def _new(day: BigDay, say: Phrases) -> Iterator[str]:
    if day.kind == "holidays":
        yield "Holidays of less than three weeks change nothing about what may be begun."
        return
    what = "before a day of playing" if day.kind == "event" else "before a break of three weeks or more"
    if day.last_new is None:
        yield f"No new unit and nothing new from now on: the last two lessons {what} begin nothing."
    else:
        yield (
            f"Something new may be begun up to {say.day(day.last_new)}. The two lessons after that are the "
            f"last two {what}: no new unit in them, and nothing new."
        )
    if say.answer.is_ready and day.last_new is None:
        yield "The move to the next unit waits until after; nothing is lost by it."


def _pieces(day: BigDay, say: Phrases) -> Iterator[str]:
    if day.kind != "event":
        return
    yield _choose(day, say)
    if say.answer.unit is None:
        yield "No unit has begun here: a piece that was brought along and is liked."
        return
    if not day.pieces:
        yield "No piece is settled yet: a song, a clapped rhythm or free playing with you is sharing too."
        return
    yield (
        "Well inside what is settled, about one unit below this one, what fits best first: "
        f"{listed([_piece(one, say) for one in day.pieces])}."
    )
    late = [one for one in day.pieces if one.due_by_then]
    if late:
        yield (
            f"By then due for a look: {say.names([one.skill for one in late])}; play it in a lesson before."
        )
    yield "The pieces are yours and the student's to choose. One lesson in the real room, if possible."


def _piece(piece: Piece, say: Phrases) -> str:
    return f"{say.name(piece.skill)} (unit {say.course.unit[piece.unit].number})"


def _choose(day: BigDay, say: Phrases) -> str:
    first, last = day.choose
    if say.answer.on < first:
        return f"Choose the pieces between {say.day(first)} and {say.day(last)}, eight to five weeks ahead."
    if say.answer.on <= last:
        return f"Now is the time to choose the pieces: up to {say.day(last)}, five weeks ahead."
    return "Less than five weeks are left: something that is played already, nothing newly learnt for it."


def _review(day: BigDay, say: Phrases) -> Iterator[str]:
    if say.answer.unit is None:
        return
    if say.answer.on < day.choose[0]:
        yield f"It is far off, and windows end before it anyway: ask again from {say.day(day.choose[0])} on."
    elif day.due:
        yield from _due(day, say)
    else:
        until = say.day(day.event.first)
        yield f"Nothing of what decides, of this unit or under the pieces falls due by {until}."
    if day.going_on:
        yield f"Begun and open, so no new thing; go on with: {say.names(day.going_on)}."
    band = say.course.band[say.answer.band]
    usual = round(band.whole("lesson_minutes") * band.number("review_share"))
    yield (
        f"Preparing may not crowd out the rest: at least {-(-usual // 2)} of the usual {usual} minutes of "
        "review stay in each lesson."
    )


def _due(day: BigDay, say: Phrases) -> Iterator[str]:
    yield (
        f"Due for a look by {say.day(day.event.first)}, of what decides, of this unit and of what the pieces "
        f"stand on: {say.names(day.due)}."
    )
    when = f", in the last {number_words(min(2, len(day.lessons)))} before it" if day.lessons else ""
    yield f"The fewest looks that keep all of it fresh: {say.names(day.review, len(day.review))}{when}."


def _waits(day: BigDay, say: Phrases) -> Iterator[str]:
    if day.kind == "holidays" or not day.waits:
        return
    from_now = "from now on" if day.last_new is None else f"what is not begun by {say.day(day.last_new)}"
    yield f"{capital(from_now)}: {say.of_units(day.waits)}."
    yield "A check, too: look at things as they come, and decide about the unit after it."


def _glance(day: BigDay, say: Phrases) -> Iterator[str]:
    if day.glance:
        yield f"In the opening of every lesson, at a glance: {say.names(day.glance)}."


def _fear(day: BigDay, say: Phrases) -> Iterator[str]:
    if day.kind != "event":
        return
    if day.performing:
        yield f"Nobody frightened is held up by {say.names(day.performing)}: another way counts as much."
    consent = "for which consent is noted" if say.record.consents.get("video") else "once consent is noted"
    yield (
        f"Instead: a recording, {consent}, or one familiar listener in the usual room. It counts fully, and "
        "one may say no on the day itself."
    )


def _next(day: BigDay, say: Phrases) -> Iterator[str]:
    yield f"The next lesson, minute by minute: readiness plan {say.answer.student}"
    if day.kind != "holidays":
        yield f"After it: readiness {'back' if day.kind == 'break' else 'why'} {say.answer.student}"
    yield BASIS
