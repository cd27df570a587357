"""R9: what keeps a child safe cannot be switched off."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from typing import Final

from readiness.course.checks.register import as_written, of_a_day
from readiness.course.draft import Draft, DraftSkill, tables
from readiness.course.schema import MARKS, shipped_marks
from readiness.toml.problems import Place, Problem

_WHY = "a child must be able to say that something hurts, in every unit and at every age"


@as_written()
def check_optional_safety(draft: Draft) -> Iterator[Problem]:
    """What is about safety, or looked at in every check, is optional at no age."""
    for skill in draft.skills:
        if skill.optional_in and (skill.safety or skill.always_look):
            beside = "safety" if skill.safety else "always_look"
            message = f'"{skill.id}" says {beside} = true, so it is optional at no age'
            hint = "take optional_in out; where a child needs it, write down another way as alternative"
            yield Problem("optional-safety", "error", skill.optional_in[0].place, message, hint)


@as_written("optional-everywhere")
def check_optional_everywhere(draft: Draft) -> Iterator[Problem]:
    """A skill is asked at some age."""
    ages = {band.name for band in draft.bands}
    for skill in draft.skills:
        everywhere = ages and ages <= {word.text for word in skill.optional_in}
        if everywhere and not (skill.safety or skill.always_look):
            message = f'"{skill.id}" is optional at every age, so nobody is ever asked for it'
            hint = "take an age out of optional_in; to end a skill, say from which day: retired = 2026-09-01"
            yield Problem("optional-everywhere", "warning", skill.optional_in[0].place, message, hint)


_IN_A_PAUSE: Final = "what is quiet may be done while something hurts: take {} out"


@as_written("quiet-movement")
def check_quiet_movement(draft: Draft) -> Iterator[Problem]:
    """What is a movement or a piece is done in a pause for care only if somebody means it."""
    for skill in draft.skills:
        kind, piece = (draft.graph.get("skill", skill.id, key) for key in ("kind", "piece"))
        key = "quiet" if skill.quiet else "uses"
        still = skill.quiet or draft.graph.get("skill", skill.id, "uses") == []
        if still and (kind == "motor" or piece is True):
            place = draft.graph.at("skill", skill.id, key)
            said, moves = "quiet = true", "piece = true" if piece is True else 'kind = "motor"'
            message = f'"{skill.id}" says {said if skill.quiet else "uses = []"}, and {moves}'
            yield Problem("quiet-movement", "warning", place, message, _IN_A_PAUSE.format(key))


@as_written()
def check_pain_is_asked(draft: Draft) -> Iterator[Problem]:
    """Some skill is the child saying that something hurts, from the first unit on and for good."""
    asking = [skill for skill in draft.skills if skill.asks_pain]
    if any(_fault(draft, skill) is None for skill in asking):
        return
    for skill in asking:
        fault = _fault(draft, skill)
        if fault is not None and not (skill.optional_in and skill.always_look):
            place, message, hint = fault
            told = f'"{skill.id}" says asks_pain = true: it {message}'
            yield Problem("pain-not-asked", "error", place, told, f"{hint}; {_WHY}")
    if not asking and draft.units:
        message = "no skill of the first unit is the child saying that something hurts"
        hint = f"give that skill asks_pain = true and always_look = true; {_WHY}"
        yield Problem("pain-not-asked", "error", draft.units[0].place, message, hint)


def _fault(draft: Draft, skill: DraftSkill) -> tuple[Place, str, str] | None:
    """Return what keeps a skill from being the sign for pain: where, what, and what to do."""
    unit = draft.unit_of(skill)
    if skill.retired_place is not None:
        return skill.retired_place, "cannot be retired", "take retired out"
    if skill.since_place is not None:
        return skill.since_place, "must be there from the first day", "take since out"
    if skill.optional_in:
        return skill.optional_in[0].place, "is optional at no age", "take optional_in out"
    if unit is not None and unit.number > 1 and skill.unit is not None:
        return skill.unit.place, "belongs in the first unit", "move it there"
    if not skill.always_look:
        return skill.place, "must be looked at in every check", "add always_look = true"
    return None


@as_written("safety-lost")
def check_marks_kept(draft: Draft) -> Iterator[Problem]:
    """What keeps a child safe in the course that was copied, or is built upon, does so here."""
    is_asked = not any(check_pain_is_asked(draft))
    marks = MARKS if is_asked else MARKS[:1]
    for id_, table in tables(draft.graph.data, "skill"):
        skill, before = draft.skill[id_], _marks_before(draft, id_, table)
        heirs = [draft.skill[one] for one in skill.replaced_by if one in draft.skill]
        here, key = ([skill], "") if skill.retired_place is None else (heirs, "retired")
        meant = {*before, *(mark for mark in MARKS if getattr(skill, mark))}
        lost = [mark for mark in marks if mark in meant and not any(getattr(one, mark) for one in here)]
        hint = f"put {_and(lost)} there"
        if lost and key:
            message = f'"{skill.id}" says {_and(lost)}; it is retired, and nothing like it takes its place'
            hint = f"take retired out, or put {_and(lost)} into what replaced_by names"
        elif lost:
            message = f'"{skill.id}" says {_and(lost)} in the course it comes from, and not here'
        elif is_asked and skill.asks_pain and not (skill.safety or skill.always_look):
            key, hint = "safety", "put safety = true there"
            message = f'"{skill.id}" says asks_pain = true, and may be left unfinished'
        else:
            continue
        hint += '; if it is meant, say so: allow = ["safety-lost"] and reason = "..."'
        yield Problem("safety-lost", "warning", draft.graph.at("skill", id_, key or lost[0]), message, hint)


def _marks_before(draft: Draft, skill: str, table: Mapping[str, object]) -> Sequence[str]:
    """Return the marks of a skill that was copied; of one that is inherited, those that are taken from it."""
    copied = shipped_marks().get((skill, str(table.get("shown_when"))), ())
    taken = [mark for mark in MARKS if table.get(mark) is False]
    file = draft.graph.at("skill", skill, "name").file if taken else None
    return (*copied, *(mark for mark in taken if draft.graph.at("skill", skill, mark).file != file))


def _and(marks: Sequence[str]) -> str:
    return " and ".join(f"{mark} = true" for mark in marks)


@of_a_day("days-beyond-unit")
def check_days(draft: Draft) -> Iterator[Problem]:
    """A skill does not need more days than its unit has lessons."""
    for skill in draft.skills:
        unit = draft.unit_of(skill)
        if unit is None or skill.days is None or unit.lesson_weeks is None:
            continue
        if skill.days > unit.lesson_weeks:
            message = (
                f'"{skill.id}" needs {skill.days} different days, and unit {unit.number} usually has '
                f"{unit.lesson_weeks} lessons"
            )
            hint = "ask for fewer days, or give the unit more lesson_weeks"
            here = skill.days_place or skill.place
            there = unit.weeks_place
            yield Problem("days-beyond-unit", "warning", here, message, hint, there, "the usual length")
