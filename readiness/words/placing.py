"""Where a student who comes from another teacher would start, in words.

Says what was seen here and what was only taken as there, and marks a first impression as
one. No word about the other teacher or how things were called there.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from readiness.judging.answer import PlacingResult
from readiness.words.grammar import VERDICT_WORDS, capital, counted, date_words, tidy
from readiness.words.onward import one_thing_section
from readiness.words.page import Paragraph, Section, item, under
from readiness.words.phrases import Phrases

__all__ = ["open_section", "placing_sections"]


def placing_sections(say: Phrases) -> Iterator[Section]:
    """Return the sections for a student who has not begun a unit."""
    answer, placing = say.answer, say.answer.placing
    assert placing is not None
    verdict = VERDICT_WORDS[answer.verdict]
    yield Section("", (
        Paragraph(f"{tidy(answer.name)} - {date_words(answer.on)}"),
        Paragraph(f"{capital(verdict)}."),
    ))
    yield Section("Start here, for now", tuple(map(Paragraph, _start(say, placing))))
    yield open_section(say, "To look at right away, in every check", placing.always_look_open)
    yield open_section(say, "To strengthen on the way (patches)", placing.patches)
    yield _stopped(say, placing)
    yield _implied(say, placing)
    yield one_thing_section(say)
    yield Section(f"Next lesson, {say.day(answer.next_lesson)}", tuple(map(item, _next(say, placing))))


def _start(say: Phrases, placing: PlacingResult) -> Iterator[str]:
    unit = say.course.unit[placing.start_unit]
    aim = f" Its aim: {tidy(unit.aim)}" if unit.aim else ""
    yield f"{capital(say.unit(placing.start_unit))}.{aim}"
    if say.answer.last_lesson is None:
        yield "No lesson is noted yet, so this is only where everybody starts."
    elif placing.provisional:
        yield "Provisional: one lesson was seen; a second one confirms it or moves it."


def open_section(say: Phrases, title: str, skills: Sequence[str]) -> Section:
    """Return skills with what was seen of them, those not asked yet in one sentence."""
    untried = [skill for skill in skills if say.standing(skill).state == "untried"]
    lines: list[Paragraph] = []
    for skill in skills:
        if skill not in untried:
            lines += (item(f"{say.with_note(skill)}."), *map(under, say.advice(skill)))
    if untried:
        names = say.names(untried, len(untried))
        lines.append(item(f"Not asked yet, so nothing is known about it: {names}."))
    return Section(title, tuple(lines))


def _stopped(say: Phrases, placing: PlacingResult) -> Section:
    number = say.course.unit[placing.start_unit].number
    if not placing.stopped_by:
        return Section("", ())
    title = f"What stopped the climb: unit {number + 1} would also ask for"
    return open_section(say, title, placing.stopped_by)


def _implied(say: Phrases, placing: PlacingResult) -> Section:
    """Return what was taken as there on the way up to the start unit, by unit."""
    lines = []
    for unit in say.course.units[: say.course.unit[placing.start_unit].number]:
        mine = [skill for skill in placing.implied if say.course.skill[skill].unit == unit.id]
        if mine:
            lines.append(item(f"Unit {unit.number}: {say.names(mine, len(mine))}."))
    return Section("Taken as there, because something that stands on it was shown", tuple(lines))


def _next(say: Phrases, placing: PlacingResult) -> Iterator[str]:
    first = placing.always_look_open
    asked = (*placing.patches, *placing.stopped_by)
    untried = [skill for skill in asked if say.standing(skill).state == "untried"]
    if first:
        yield "Begin with what is looked at in every check."
    if untried:
        yield f"Then ask for what was not asked yet ({counted(len(untried), 'thing')})."
    if len(asked) > len(untried):
        others = counted(len(asked) - len(untried), "other thing")
        yield f"See the {others} above once more, first without help."
    if untried:
        yield f"In few looks, one question at a time: `readiness place {say.answer.student}`"
    if not first and not asked:
        yield "Look once more at a few things of the start unit, and then begin it."
