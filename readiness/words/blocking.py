"""What is still needed before the next unit, and what of this one may be finished later.

A line a thing, those that needed help first; the notes behind each line are shown on request. A safety
point is never folded away.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import replace
from typing import Final

from readiness.judging.answer import Blocker, GroupStanding
from readiness.terms import State, Verdict
from readiness.words.grammar import capital, counted, listed, number_words, tidy
from readiness.words.layout import Paragraph, Section, columns, noted
from readiness.words.phrases import Phrases

__all__ = [
    "brought_along", "brought_along_section", "needed_section", "rest_is_too_open", "secure_section",
    "to_finish_section",
]  # fmt: skip

NAMED: Final = 2
"""So many things from before are named; more become a count."""
LINES_AT_MOST: Final = 4
"""So many blockers are shown at once; of a longer list the others are counted."""


def needed_section(say: Phrases) -> Section:
    """Return what is still needed, a line each, and under it what may be finished later."""
    skills = sorted(_skills(say), key=lambda one: (not one.is_gap, not _is_safety(say, one)))
    shown = skills[:LINES_AT_MOST] + [one for one in skills[LINES_AT_MOST:] if _is_safety(say, one)]
    folded = [one for one in skills if one not in shown]
    parts = [*_rows(say, shown)]
    if folded:
        parts += (
            Paragraph(f"And {number_words(len(folded))} more.{_also(say)}"), *_asked(_rows(say, folded)),
        )  # fmt: skip
    elif also := _also(say):
        parts.append(Paragraph(also.strip()))
    for one in say.answer.blockers:
        if one.group is not None:
            parts += _group(say, one.group)
    return Section(_title(say), (*parts, *_later(say), *_from_before(say)))


def _also(say: Phrases) -> str:
    """Return that too much of the unit is unfinished; empty where it is not."""
    if not rest_is_too_open(say):
        return ""
    also = "Also unfinished" if say.answer.blockers else "Unfinished"
    many, at_most = number_words(len(say.answer.open_rest)), number_words(say.carry_limit)
    return f" {also}: {many}, of which {at_most} may be finished later."


def _title(say: Phrases) -> str:
    if say.answer.next_unit is None:
        return "Still needed to finish the course"
    return f"Still needed for {say.unit(say.answer.next_unit)}"


def _skills(say: Phrases) -> list[Blocker]:
    return [one for one in say.answer.blockers if one.skill is not None]


def _is_safety(say: Phrases, one: Blocker) -> bool:
    return one.skill is not None and say.course.skill[one.skill].safety


def _asked(paragraphs: Iterator[Paragraph] | Sequence[Paragraph]) -> Iterator[Paragraph]:
    return (replace(one, more=True) for one in paragraphs)


def _rows(say: Phrases, blockers: Sequence[Blocker]) -> Iterator[Paragraph]:
    """Yield a line for each, and under it the notes it rests on."""
    skills = [one.skill for one in blockers if one.skill is not None]
    rows = [(_name(say, one), f"{say.state_short(one)}; {say.missing_short(one)}") for one in skills]
    stuck = {remark.skill: remark.days for remark in say.answer.remarks if remark.id == "stuck"}
    for line, one, skill in zip(columns(rows, 0), blockers, skills, strict=True):
        yield replace(line, about=skill)
        if days := stuck.get(skill):
            tried = counted(days, "day")
            yield Paragraph(f"Tried on {tried} without getting easier: try another way in.", 4, about=skill)
        yield from _behind(say, skill, say.stands_on_it(skill, one.needed_by))


def _behind(say: Phrases, skill: str, why: str) -> Iterator[Paragraph]:
    state = "" if say.state(skill) == say.state_short(skill) else f"{capital(say.state(skill))}."
    yield from noted(f"{say.titled(skill)}. {state}".strip(), indent=4)
    yield from _asked(columns(say.seen(skill), 4))
    seen = f"{capital(say.last_seen(skill))}." if say.standing(skill).state == State.STALE else ""
    yield from noted(seen, say.missing(skill), why, *say.advice(skill), indent=4)


def _name(say: Phrases, skill: str) -> str:
    return tidy(say.course.skill[skill].name)


def _group(say: Phrases, group: GroupStanding) -> Iterator[Paragraph]:
    secure = [skill for skill in group.of if say.is_met(skill)]
    have = f"{number_words(len(secure))} secure so far" if secure else "none secure so far"
    many = f"At least {number_words(group.at_least)} of these {number_words(len(group.of))}, {have}"
    yield Paragraph(f"{many}: {say.few(group.of)}.", about=group.of[0])
    for skill in group.of:
        words = f"{say.titled(skill)}: secure" if skill in secure else say.with_note(skill)
        yield Paragraph(words, 4, more=True, about=skill)
    yield from noted(say.stands_on_it(group.of[0], group.needed_by), indent=4)


def rest_is_too_open(say: Phrases) -> bool:
    """Return whether more of the unit is unfinished than may be finished later."""
    return len(say.answer.open_rest) > say.carry_limit


def _later(say: Phrases) -> Iterator[Paragraph]:
    """Yield what of the unit is unfinished and would not hold the move up."""
    unfinished = say.answer.open_rest
    if not unfinished:
        return
    if not rest_is_too_open(say):
        yield Paragraph(f"May be finished later: {say.few(unfinished)}.")
    for skill in unfinished:
        yield Paragraph(say.open_line(skill), 4, more=True, about=skill)
        yield from noted(*say.advice(skill), indent=6)


def brought_along(say: Phrases) -> str:
    """Return what is unfinished from earlier units, and where it is first needed (rule R12)."""
    before = say.answer.brought_along
    if say.answer.verdict == Verdict.PAUSED or not before:
        return ""
    told = [f"{say.name(one.skill)}{_needed_from(say, one.first_needed)}" for one in before]
    few = told if len(told) <= NAMED + 1 else [*told[:NAMED], f"{len(told) - NAMED} more"]
    return f"Unfinished from before: {listed(few)}."


def _needed_from(say: Phrases, unit: str | None) -> str:
    return "" if unit is None else f" (needed from unit {say.course.unit[unit].number})"


def brought_along_section(say: Phrases) -> Section:
    """Return the same as a section, with each of them on request; empty where nothing is unfinished."""
    return Section("", tuple(_from_before(say)))


def _from_before(say: Phrases) -> Iterator[Paragraph]:
    told = brought_along(say)
    if told:
        yield Paragraph(told)
        for one in say.answer.brought_along:
            text = f"{say.titled(one.skill)}: {say.state(one.skill)}{_needed_from(say, one.first_needed)}."
            yield Paragraph(text, 4, more=True, about=one.skill)


def to_finish_section(say: Phrases) -> Section:
    """Return what is finished on the way, and why the answer is a yes all the same."""
    along, before = say.answer.taken_along, tuple(_from_before(say))
    if not along:
        return Section("", before)
    parts: list[Paragraph] = []
    rows = [(_name(say, skill), f"{say.state_short(skill)}; {say.needed_short(skill)}") for skill in along]
    for row, skill in zip(columns(rows, 0), along, strict=True):
        parts += (replace(row, about=skill), *noted(say.open_line(skill), *say.advice(skill), indent=4))
    return Section("To finish on the way", (*parts, Paragraph(_still_a_yes(say)), *before))


def _still_a_yes(say: Phrases) -> str:
    limit = "1 unfinished thing is" if say.carry_limit == 1 else f"{say.carry_limit} unfinished things are"
    number = say.course.unit[say.answer.next_unit].number if say.answer.next_unit else 0
    needed = f" or needed straight away in unit {number}" if number else ""
    return f"Why that is still a yes: {limit} allowed at this age, and none is about safety{needed}."


def secure_section(say: Phrases) -> Section:
    """Return, for a yes, what it rests on: everything that was needed, and when it was last seen."""
    rows = []
    for skill in say.answer.deciding:
        one, line = say.standing(skill), say.seen_line(skill)
        used = f" (used in {say.name(one.warmed_by)})" if one.warmed_by else ""
        rows.append((say.day(one.last_seen), line, f"{_name(say, skill)}{used}"))
    groups = (
        f"At least {number_words(group.at_least)} of a group, secure: "
        f"{say.inventory([skill for skill in group.of if say.is_met(skill)])}."
        for group in say.answer.groups
    )
    return Section("Needed, and secure; last seen", (*columns(rows, 0), *map(Paragraph, groups)), more=True)
