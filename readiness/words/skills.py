"""One skill of the course in a few lines: what it is, when it is shown, what it stands on.

For the card beside the map. With a student's answer, also where the student stands in it.
"""

from __future__ import annotations

from collections.abc import Iterator

from readiness.course.model import Course, Skill
from readiness.course.plan import bits
from readiness.judging.answer import Answer
from readiness.record.model import Record
from readiness.words.brief import STATE_LETTERS
from readiness.words.grammar import capital, counted, listed, quoted, tidy
from readiness.words.phrases import Phrases

__all__ = ["skill_lines"]

NAMES_AT_MOST = 6


def skill_lines(course: Course, skill: str, answer: Answer | None, record: Record | None) -> tuple[str, ...]:
    """Return the lines about a skill, the name first."""
    one = course.skill[skill]
    return (f"{tidy(one.name)} ({skill})", *_lines(course, one, answer, record))


def _lines(course: Course, one: Skill, answer: Answer | None, record: Record | None) -> Iterator[str]:
    unit, strands = course.unit[one.unit], {strand.id: strand.name for strand in course.strands}
    yield f"Unit {unit.number}, {tidy(unit.name)} · {tidy(strands[one.strand])}"
    if answer is not None and record is not None:
        say = Phrases(answer, course, record)
        letter, note = STATE_LETTERS[say.standing(one.id).state], say.last_note(one.id)
        yield f"{letter}  {capital(say.state(one.id))}{f' ({note})' if note else ''}."
    yield f"Shown when: {tidy(one.shown_when)}"
    yield f"Stands on: {_footings(course, one)}."
    yield f"Under: {_above(course, one)}."
    if one.remedies:
        yield "To try:"
        yield from (f"  - {tidy(remedy)}" for remedy in one.remedies)
    if one.age_note:
        yield f"Age: {tidy(one.age_note)}"
    if one.alternative:
        yield f"Another way, where agreed: {tidy(one.alternative)}"
    if one.advice:
        yield tidy(one.advice)
    if one.place is not None:
        yield f"{one.place.file.name}:{one.place.line}"


def _footings(course: Course, one: Skill) -> str:
    parts = [quoted(course.skill[other].name) for other in one.stands_on]
    parts += [
        f"at least {group.at_least} of {listed([quoted(course.skill[member].name) for member in group.of])}"
        for group in one.stands_on_some
    ]
    return "; ".join(parts) or "nothing before it"


def _above(course: Course, one: Skill) -> str:
    """Return what names a skill directly, and how much stands on it in all."""
    plan = course.plan
    mine = plan.index[one.id]
    direct = [i for i in bits(plan.descendants[mine]) if plan.needs[i] >> mine & 1]
    if not direct:
        return "nothing later stands on it"
    names = [quoted(course.skills[i].name) for i in direct[:NAMES_AT_MOST]]
    if len(direct) > NAMES_AT_MOST:
        names.append(f"{len(direct) - NAMES_AT_MOST} more")
    further = plan.descendants[mine].bit_count() - len(direct)
    return listed(names) + (f"; through them {counted(further, 'skill')} more" if further else "")
