"""A placing round in words: the next look and why, and where the student starts so far.

Keeps apart what was seen, what is implied by it and what is only taken as there, and says how
sure it is as a range of units. No word about the other teacher, no number about the child.
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
from readiness.words.grammar import capital, date_words, listed, tidy, wrap
from readiness.words.page import Paragraph, Section, item, lay_out, under
from readiness.words.paused import hold_section
from readiness.words.phrases import Phrases

__all__ = ["LOOK_BRIEF", "next_look_words", "tell_round"]

LOOK_BRIEF: Final = {
    "always-look": "every check",
    "easy-first": "an easy one to begin with",
    "halves": "shows most about where to start",
    "must-be-seen": "nothing else can stand for it",
    "confirm": "settles most of what was only taken as there",
}
"""Why something is asked, in a few words."""

_WHY: Final = {
    "always-look": "Looked at in every check of every unit, so it comes first; one glance is enough.",
    "easy-first": "It tells much about where to start and will most likely come out well: a good beginning.",
    "halves": "Of all that can be asked now it tells most about where to start.",
    "must-be-seen": "It tells much about where to start, and nothing that stands on it can stand for it.",
    "confirm": "Shown without help, it settles most of what was only taken as there in the first lesson.",
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
        return
    yield item(f"{look_title(now.next, course)}.")
    if len(now.next.skills) == 1:
        yield under(f"Shown when: {tidy(course.skill[now.next.skills[0]].shown_when)}")
    yield under(_WHY[now.next.why])


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
    yield Section("To strengthen on the way (patches)", tuple(_open(now.result.patches, say)))
    yield Section(
        "Taken as there: neither seen nor implied, only likely by all that was seen",
        tuple(_by_unit(now.taken, say)),
    )
    limit = max(say.course.unit[one].number for one in (now.fits_best, now.result.start_unit))
    implied = [
        one for one in now.result.implied if say.course.unit[say.course.skill[one].unit].number < limit
    ]
    yield Section("Implied, because something that stands on it was shown", tuple(_by_unit(implied, say)))
    yield Section("Seen here", tuple(_by_unit(now.seen, say)))
    yield Section("Left alone today", tuple(map(item, _closed(now, say))))


def _start(now: PlacingRound, say: Phrases) -> Iterator[str]:
    """Yield the start by the notes, as every other answer gives it, and how sure it is."""
    unit = say.course.unit[now.result.start_unit]
    aim = f" Its aim: {tidy(unit.aim)}" if unit.aim else ""
    yield f"{capital(say.unit(unit.id))}.{aim}"
    others = [f"unit {say.course.unit[one].number}" for one in now.fits if one != now.fits_best]
    nearly = f"{listed(others, 'or')} {'fits' if len(others) == 1 else 'fit'} them nearly as well"
    if now.fits_best != now.result.start_unit:
        also = f" ({nearly})" if others else ""
        yield (
            "That counts what was not asked as missing. All looks together fit "
            f"{say.unit(now.fits_best)} best{also}: in the second lesson, look at what is taken as there "
            "below before beginning that far on."
        )
    elif others:
        yield f"All looks together fit it best; {nearly}."
    else:
        yield "All looks together fit it best, and no other unit nearly as well."
    if now.result.provisional:
        yield "Provisional: one lesson was seen; a second one confirms it or moves it."


def _open(skills: Sequence[str], say: Phrases) -> Iterator[Paragraph]:
    for skill in skills:
        state = "not asked, and probably not there yet"
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
