"""What is said of a student in a unit of whom nothing is noted yet: what to look at, and little more.

There is nothing to weigh, so no skill is gone through one by one; all that decides is named once.
"""

from __future__ import annotations

from collections.abc import Iterator
from typing import Final

from readiness.judging.answer import Answer
from readiness.words.grammar import number_words, tidy
from readiness.words.page import Paragraph, Section, item, under
from readiness.words.phrases import Phrases

__all__ = ["NOTHING_NOTED", "first_lesson_sections", "is_blank"]

NOTHING_NOTED: Final = (
    "Not yet sure - look again. Nothing is noted yet, so there is nothing to weigh: the first lessons are "
    "for looking."
)


def is_blank(answer: Answer) -> bool:
    """Return whether nothing at all is known of a student who has a unit and may play."""
    return (
        answer.unit is not None
        and answer.verdict == "look-again"
        and not any(one.evidence or one.settled_on is not None for one in answer.standings.values())
        and all(one.state != "set-aside" for one in answer.standings.values())
    )


def first_lesson_sections(say: Phrases) -> Iterator[Section]:
    """Yield what to look at, what comes first, and where it stands in order."""
    answer, course = say.answer, say.course
    number = course.unit[answer.next_unit].number if answer.next_unit else 0
    glance = [skill for skill in answer.deciding if course.skill[skill].always_look]
    others = [one.skill for one in answer.blockers if one.skill is not None and one.skill not in glance]
    lines = []
    if glance:
        lines.append(f"In every check, at a glance: {say.names(glance, len(glance))}.")
    if others:
        what = f"Unit {number} stands on" if number else "What decides"
        lines.append(f"{what}{'' if number else ':'} {say.names(others, len(others))}.")
    groups = [one.group for one in answer.blockers if one.group is not None]
    lines += [f"Also {number_words(one.at_least)} of {say.names(one.of, len(one.of))}." for one in groups]
    if answer.open_rest:
        lines.append(f"May come along unfinished: {say.names(answer.open_rest, len(answer.open_rest))}.")
    yield Section("What to look at, bit by bit", tuple(map(item, lines)))
    yield Section("To begin with", tuple(_first(say)))
    yield Section(f"Next lesson, {say.day(answer.next_lesson)}", tuple(map(item, _next(say))))


def _first(say: Phrases) -> Iterator[Paragraph]:
    skill = say.answer.one_thing
    if skill is None:
        return
    one = say.course.skill[skill]
    yield item(f"{say.titled(skill)}.")
    yield under(f"Shown when: {tidy(one.shown_when)}")
    if one.remedies:
        yield under(f"To try: {tidy(one.remedies[0])}")
    if one.age_note and not say.is_adult:
        yield under(f"At this age: {tidy(one.age_note)}")
    yield from map(under, say.advice(skill))


def _next(say: Phrases) -> Iterator[str]:
    student = say.answer.student
    yield f"`readiness sheet {student}` has it in order, `readiness plan {student}` the lesson in minutes."
    if say.answer.earliest is not None:
        yield (
            "What is there already may be seen in a few lessons, and what is new is taught first: no move "
            f"before {say.day(say.answer.earliest)}, and usually later, which is fine."
        )
