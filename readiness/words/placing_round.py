"""A placing round in words: the next look and why, and where the student starts so far.

There is one start, that of rule R10. Keeps apart what was seen, what is implied by it and what is
only taken as there, each skill in one list; where all looks together would fit another unit it
says why, and what to ask for. No word about the other teacher, no number about the child.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from typing import Final

from readiness.course.model import Course
from readiness.judging.answer import Answer
from readiness.planning.placing.choosing import Look
from readiness.planning.placing.round import PlacingRound
from readiness.record.model import Record
from readiness.words.brief import glance_words
from readiness.words.cautions import caution
from readiness.words.grammar import capital, date_words, listed, quoted, tidy, wrap
from readiness.words.page import Paragraph, Section, item, lay_out, under
from readiness.words.paused import hold_section
from readiness.words.phrases import Phrases
from readiness.words.placing import open_section

__all__ = ["LOOK_BRIEF", "next_look_words", "tell_round"]

LOOK_BRIEF: Final = {
    "always-look": "every check",
    "easy-first": "an easy one to begin with",
    "halves": "shows most about where to start",
    "must-be-seen": "nothing else can stand for it",
    "confirm": "brings the start furthest on",
}
"""Why something is asked, in a few words."""

_WHY: Final = {
    "always-look": "Looked at in every check of every unit, so it comes first; one glance is enough.",
    "easy-first": "It tells much about where to start and will most likely come out well: a good beginning.",
    "halves": "Of all that can be asked now it tells most about where to start.",
    "must-be-seen": "It tells much about where to start, and nothing that stands on it can stand for it.",
    "confirm": "Shown without help, it brings the start furthest on, because much is under it.",
}
_STOP: Final = {
    "settled": "Enough asked: where to start is clear, give or take a unit.",
    "lesson-full": "Enough for today; a second lesson goes on from here.",
    "two-lessons": "Enough asked: placing never takes more than two lessons. Begin, and watch.",
    "nothing-left": "Nothing is left to ask that would tell more.",
    "paused": "Paused for care: nothing is played or sung, so nothing is asked.",
}


def next_look_words(now: PlacingRound, course: Course, width: int = 80) -> str:
    """Return the next look and why it is asked, or why nothing more is."""
    lines: list[str] = []
    for one in _next(now, course):
        lines += wrap(one.text, width, indent=one.indent, lead=one.lead)
    return "".join(f"{line}\n" for line in lines)


def tell_round(now: PlacingRound, answer: Answer, course: Course, record: Record, width: int = 80) -> str:
    """Return where a placing round stands, as a text for the teacher.

    Args:
        now: the round; answer: the answer of the same day.
        course, record: what is taught, and what was seen.
        width: the widest line.
    """
    say = Phrases(answer, course, record)
    is_paused = now.stop == "paused"
    told = () if is_paused else tuple(_told(now, say))
    sections = (
        Section("", (Paragraph(f"Where does {tidy(record.name)} start? - {date_words(answer.on)}"),)),
        hold_section(record, answer.on),
        Section("Next look" if now.next else "", tuple(_next(now, course))),
        *told,
        Section("Cautions", tuple(item(caution(one)) for one in ("C2", "C14"))),
    )
    return lay_out(sections, width)


def _next(now: PlacingRound, course: Course) -> Iterator[Paragraph]:
    if now.next is None:
        yield Paragraph(_STOP[now.stop])
        if now.seat_unseen and now.stop != "paused":
            yield Paragraph(f"{_seat(now, course)} Look there first of all next time.")
        return
    yield item(f"{look_title(now.next, course)}.")
    if len(now.next.skills) == 1:
        yield under(f"Shown when: {tidy(course.skill[now.next.skills[0]].shown_when)}")
    yield under(_WHY[now.next.why])


def _seat(now: PlacingRound, course: Course) -> str:
    """Return what is looked at in every check and was not asked for."""
    return f"Not looked at yet: {listed([quoted(course.skill[skill].name) for skill in now.seat_unseen])}."


def look_title(look: Look, course: Course) -> str:
    """Return what is asked for."""
    if len(look.skills) > 1:
        return capital(glance_words([tidy(course.skill[skill].name) for skill in look.skills]))
    return f"{tidy(course.skill[look.skills[0]].name)} ({look.skills[0]})"


def _told(now: PlacingRound, say: Phrases) -> Iterator[Section]:
    """Yield where it starts and what that rests on; nothing before the first real look."""
    if not now.looks:
        return
    yield Section("Start here, for now", tuple(map(Paragraph, _start(now, say))))
    poor = [skill for skill in now.result.always_look_open if skill not in now.seat_unseen]
    yield open_section(say, "To look at right away, in every check", poor)
    yield Section("To strengthen on the way (patches)", tuple(_patches(now, say)))
    taken = [skill for skill in now.taken if skill not in now.result.patches]
    yield Section("Probably there, but not seen here yet", tuple(_by_unit(taken, say)))
    limit = max(say.course.unit[one].number for one in (now.fits_best, now.result.start_unit))
    implied = [
        one for one in now.result.implied if say.course.unit[say.course.skill[one].unit].number < limit
    ]
    yield Section("Implied, because something that stands on it was shown", tuple(_by_unit(implied, say)))
    yield Section("Seen here", tuple(_by_unit(now.seen, say)))
    yield Section("Left alone today", tuple(map(item, _closed(now, say))))


def _start(now: PlacingRound, say: Phrases) -> Iterator[str]:
    """Yield the start by the notes, as every other answer gives it, and what would move it."""
    unit = say.course.unit[now.result.start_unit]
    aim = f" Its aim: {tidy(unit.aim)}" if unit.aim else ""
    yield f"{capital(say.unit(unit.id))}.{aim}"
    beyond = say.course.unit[now.fits_best].number - unit.number
    if beyond > 0:
        yield from _later(now, say)
    elif beyond < 0:
        yield (
            f"All that was seen would fit an earlier unit too, {_span(now, say)}. Begin here and watch; if "
            "it is too much, going back is no shame."
        )
    else:
        yield "All that was seen fits it best."
    if now.result.provisional:
        yield "Provisional: one lesson was seen; a second one confirms it or moves it."


def _later(now: PlacingRound, say: Phrases) -> Iterator[str]:
    """Yield why a later unit would fit all looks, why it is not begun there, and what to ask for."""
    following = say.course.unit[now.result.start_unit].number + 1
    yield (
        f"It counts only what was seen here, and what that stands on. Unit {following} would also ask for "
        f"{say.names(now.result.stopped_by)}."
    )
    yield (
        f"Somebody who shows what was seen here can often begin later, in {_span(now, say)}, because the "
        "rest is mostly there too. As long as it was not seen, that is open."
    )
    if now.next is not None:
        yield "What is asked next tells more."
    elif now.raises:
        names = say.names(now.raises)
        yield f"To find out, ask next for {names}: shown without help, it brings the start furthest on."
    else:
        yield "Begin here and watch; what is there already will soon be seen."


def _span(now: PlacingRound, say: Phrases) -> str:
    """Return the units that fit all looks best or nearly as well."""
    numbers = [say.course.unit[one].number for one in now.fits]
    first, last = min(numbers), max(numbers)
    return f"unit {first}" if first == last else f"one of units {first} to {last}"


def _patches(now: PlacingRound, say: Phrases) -> Iterator[Paragraph]:
    for skill in now.result.patches:
        state = "not asked yet"
        if skill in now.taken:
            state += ", and probably there"
        elif skill in now.patches:
            state += ", and probably not there"
        told = say.with_note(skill) if say.standing(skill).evidence else f"{say.titled(skill)}: {state}"
        yield item(f"{told}.")


def _by_unit(skills: Sequence[str], say: Phrases) -> Iterator[Paragraph]:
    for unit in say.course.units:
        mine = [skill for skill in skills if say.course.skill[skill].unit == unit.id]
        if mine:
            yield item(f"Unit {unit.number}: {say.names(mine, len(mine))}.")


def _closed(now: PlacingRound, say: Phrases) -> Iterator[str]:
    names = {strand.id: tidy(strand.name) for strand in say.course.strands}
    for strand in now.strands_closed:
        yield f"{names[strand]}: two things in a row clearly did not come."
