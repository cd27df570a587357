"""What is still needed before the next unit, what may be finished later, and what the next lesson may settle.

A line a thing, those that needed help first; the notes behind each line are shown on request. A safety
point is never folded away. What the next lesson may settle is worked out by judging it with those showings
supposed.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import replace
from typing import Final

from readiness.judging.answer import Answer, Blocker
from readiness.judging.what_if import SHOW, what_if
from readiness.terms import Help, State, Verdict
from readiness.words.english import ENGLISH
from readiness.words.grammar import capital, few_of, number_words
from readiness.words.layout import Paragraph, Section, asked_for, columns, noted
from readiness.words.phrases import Phrases

__all__ = [
    "ahead_lines", "brought_along", "brought_along_section", "needed_section", "ready_if_all_come",
    "secure_section", "to_finish_section",
]  # fmt: skip

NAMED: Final = 2
"""So many things from before are named; more become a count."""
LINES_AT_MOST: Final = 4
"""So many blockers are shown at once; of a longer list the others are counted."""
LOOKS_AT_MOST: Final = 2
"""Of more looks only whether all come is told: which of them come has too many answers for three lines."""


def needed_section(phrases: Phrases) -> Section:
    """Return what is still needed, a line each, and under it what may be finished later."""
    next_unit = phrases.answer.next_unit
    title = f"Still needed {f'for {phrases.unit(next_unit)}' if next_unit else 'to finish the course'}"
    return Section(title, (*_blockers(phrases), *_groups(phrases), *_later(phrases), *_from_before(phrases)))


def _blockers(phrases: Phrases) -> Iterator[Paragraph]:
    skills = [blocker for blocker in phrases.answer.blockers if blocker.skill is not None]
    safe = {one for one in skills if one.skill and phrases.course.skill[one.skill].safety}
    skills.sort(key=lambda blocker: (not blocker.is_gap, blocker not in safe))
    shown = [blocker for at, blocker in enumerate(skills) if at < LINES_AT_MOST or blocker in safe]
    folded = [blocker for blocker in skills if blocker not in shown]
    yield from _rows(phrases, shown)
    more = f"And {number_words(len(folded))} more. " if folded else ""
    if words := f"{more}{_also_unfinished(phrases)}".strip():
        yield Paragraph(words)
    yield from asked_for(_rows(phrases, folded))


def _also_unfinished(phrases: Phrases) -> str:
    """Return that too much of the unit is unfinished; empty where it is not."""
    if not phrases.too_much_open:
        return ""
    also = "Also unfinished" if phrases.answer.blockers else "Unfinished"
    return f"{also}: {phrases.unfinished}."


def _rows(phrases: Phrases, blockers: Sequence[Blocker]) -> Iterator[Paragraph]:
    """Yield a line for each, and under it the notes it rests on."""
    skills = [(blocker.skill, blocker.needed_by) for blocker in blockers if blocker.skill is not None]
    rows = [
        (phrases.plain_name(skill), f"{phrases.state_short(skill)}; {phrases.missing_short(skill)}")
        for skill, _ in skills
    ]
    stuck = {remark.skill: remark.days for remark in phrases.answer.remarks if remark.id == "stuck"}
    for line, (skill, needed_by) in zip(columns(rows, 0), skills, strict=True):
        yield replace(line, about=skill)
        if days := stuck.get(skill):
            tried = f"{capital(ENGLISH.tried(days))}: try another way in."
            yield Paragraph(tried, 4, about=skill)
        yield from _behind(phrases, skill, phrases.stands_on_it(skill, needed_by))


def _behind(phrases: Phrases, skill: str, why: str) -> Iterator[Paragraph]:
    state = "" if phrases.state(skill) == phrases.state_short(skill) else f" {capital(phrases.state(skill))}."
    is_stale = phrases.standing(skill).state == State.STALE
    seen = f"{capital(phrases.last_seen(skill))}." if is_stale else ""
    yield from noted(f"{phrases.titled(skill)}.{state}", indent=4)
    yield from asked_for(columns(phrases.seen(skill), 4))
    yield from noted(seen, phrases.missing(skill), why, *phrases.advice(skill), indent=4)


def _groups(phrases: Phrases) -> Iterator[Paragraph]:
    for group in (blocker.group for blocker in phrases.answer.blockers if blocker.group is not None):
        secure = [skill for skill in group.of if phrases.is_met(skill)]
        have = number_words(len(secure)) if secure else "none"
        many = f"At least {number_words(group.at_least)} of these {number_words(len(group.of))}"
        yield Paragraph(f"{many}, {have} secure so far: {phrases.few(group.of)}.", about=group.of[0])
        for skill in group.of:
            words = f"{phrases.titled(skill)}: secure" if skill in secure else phrases.with_note(skill)
            yield Paragraph(words, 4, more=True, about=skill)
        yield from noted(phrases.stands_on_it(group.of[0], group.needed_by), indent=4)


def _later(phrases: Phrases) -> Iterator[Paragraph]:
    """Yield what of the unit is unfinished and would not hold the move up."""
    unfinished = phrases.answer.open_rest
    if unfinished and not phrases.too_much_open:
        yield Paragraph(f"May be finished later: {phrases.few(unfinished)}.")
    for skill in unfinished:
        yield Paragraph(phrases.open_line(skill), 4, more=True, about=skill)
        yield from noted(*phrases.advice(skill), indent=6)


def brought_along(phrases: Phrases) -> str:
    """Return what is unfinished from earlier units, and where it is first needed (rule R12)."""
    before = phrases.answer.brought_along
    if phrases.answer.verdict == Verdict.PAUSED or not before:
        return ""
    told = [f"{phrases.name(each.skill)}{_needed_from(phrases, each.first_needed)}" for each in before]
    return f"Unfinished from before: {few_of(told, NAMED)}."


def _needed_from(phrases: Phrases, unit: str | None) -> str:
    return "" if unit is None else f" (unit {phrases.course.unit[unit].number} builds on it)"


def brought_along_section(phrases: Phrases) -> Section:
    """Return the same as a section, with each of them on request; empty where nothing is unfinished."""
    return Section("", tuple(_from_before(phrases)))


def _from_before(phrases: Phrases) -> Iterator[Paragraph]:
    if told := brought_along(phrases):
        yield Paragraph(told)
        for before in phrases.answer.brought_along:
            words = f"{phrases.state(before.skill)}{_needed_from(phrases, before.first_needed)}"
            text = f"{phrases.titled(before.skill)}: {words}."
            yield Paragraph(text, 4, more=True, about=before.skill)


def to_finish_section(phrases: Phrases) -> Section:
    """Return what is finished on the way, and why the answer is a yes all the same."""
    along = phrases.answer.taken_along
    if not along:
        return brought_along_section(phrases)
    rows = [(phrases.plain_name(skill), f"{phrases.state_short(skill)}; {phrases.needed_short(skill)}")
            for skill in along]  # fmt: skip
    parts: list[Paragraph] = []
    for row, skill in zip(columns(rows, 0), along, strict=True):
        behind = noted(phrases.open_line(skill), *phrases.advice(skill), indent=4)
        parts += (replace(row, about=skill), *behind)
    limit = phrases.carry_limit
    things = "1 unfinished thing is" if limit == 1 else f"{limit} unfinished things are"
    needed = f" or needed straight away in unit {phrases.next_number}" if phrases.next_number else ""
    yes = f"Why that is still a yes: {things} allowed at this age, and none is about safety{needed}."
    return Section("To finish on the way", (*parts, Paragraph(yes), *_from_before(phrases)))


def secure_section(phrases: Phrases) -> Section:
    """Return, for a yes, what it rests on: everything that was needed, and when it was last seen."""
    rows = []
    for skill in phrases.answer.deciding:
        now = phrases.standing(skill)
        used = f" (used in {phrases.name(now.warmed_by)})" if now.warmed_by else ""
        name = f"{phrases.plain_name(skill)}{used}"
        rows.append((phrases.day(now.last_seen), phrases.seen_line(skill), name))
    groups = (
        f"At least {number_words(group.at_least)} of a group, secure: "
        f"{phrases.inventory(skill for skill in group.of if phrases.is_met(skill))}."
        for group in phrases.answer.groups
    )
    return Section("Needed, and secure; last seen", (*columns(rows, 0), *map(Paragraph, groups)), more=True)


# What the next lesson may settle, in three lines: if all that is looked at first comes, if one, if none.


def ahead_lines(phrases: Phrases) -> Iterator[str]:
    """Yield what the next lesson may settle; nothing where what is looked at first does not end in a yes."""
    answer, look = phrases.answer, phrases.answer.look_first
    if answer.next_lesson is None or answer.verdict == Verdict.PAUSED or not ready_if_all_come(phrases):
        return
    few = {1: ("it comes", "it does not come"), 2: ("both come", "neither comes")}
    every, none = few.get(len(look), ("all come", ""))
    yield f"If {every}: ready {ENGLISH.onward(phrases.next_number)} that day."
    if len(look) > LOOKS_AT_MOST:
        return
    if len(look) == LOOKS_AT_MOST:
        supposed = [_supposed(phrases, [skill]).earliest for skill in look]
        days = [day for day in supposed if day is not None]
        when = f"on {phrases.day(max(days))} at the earliest" if days else "in a later lesson"
        yield f"If one: the other {when}."
    skill = answer.one_thing
    second = skill is not None and len(phrases.to_try(skill)) > 1
    yield f"If {none}: stay in this unit, and try {'the second activity' if second else 'another way in'}."


def ready_if_all_come(phrases: Phrases) -> bool:
    """Return whether the next lesson ends with a yes if all that is looked at first comes."""
    look = phrases.answer.look_first
    return bool(look) and _supposed(phrases, look).is_ready


def _supposed(phrases: Phrases, shown: Sequence[str]) -> Answer:
    """Return the answer of the next lesson with some skills shown without help."""
    changes = {SHOW + skill: str(Help.ALONE) for skill in shown}
    answer = phrases.answer
    return what_if(phrases.course, phrases.record, answer.on, changes, answer.calendar)[0]
