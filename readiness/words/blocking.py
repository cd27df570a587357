"""What is still needed before the next unit, what may be finished later, and what the next lesson may settle.

A line a thing, those that needed help first; the notes behind each line are shown on request. A safety
point is never folded away. What the next lesson may settle is worked out by judging it with those showings
supposed.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from typing import Final

from readiness.judging.answer import Answer, Blocker
from readiness.judging.what_if import SHOW, what_if
from readiness.terms import Help, State, Verdict
from readiness.words.english import ENGLISH
from readiness.words.grammar import capital, few_of, number_words
from readiness.words.layout import Heading, Page, Paragraph, Section, asked_for, columns, noted
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


def needed_section(p: Phrases) -> Page:
    """Yield what is still needed, a line each, and under it what may be finished later."""
    ahead, unfinished = p.answer.next_unit, p.answer.open_rest
    yield Heading(f"Still needed {f'for {p.unit(ahead)}' if ahead else 'to finish the course'}")
    safe = {skill.id for skill in p.course.skills if skill.safety}
    skills = [blocker for blocker in p.answer.blockers if blocker.skill is not None]
    skills.sort(key=lambda blocker: (not blocker.is_gap, blocker.skill not in safe))
    shown = [blocker for at, blocker in enumerate(skills) if at < LINES_AT_MOST or blocker.skill in safe]
    folded = [blocker for blocker in skills if blocker not in shown]
    yield from _rows(p, shown)
    any_of = f"Also {p.unfinished}." if p.answer.blockers else f"Any of these: {p.few(unfinished)}."
    more = f"And {number_words(len(folded))} more." if folded else ""
    yield " ".join(filter(None, (more, any_of if p.too_much_open else "")))
    yield from asked_for(_rows(p, folded))
    for group in (blocker.group for blocker in p.answer.blockers if blocker.group is not None):
        secure = [skill for skill in group.of if p.is_met(skill)]
        have = number_words(len(secure)) if secure else "none"
        many = f"At least {number_words(group.at_least)} of these {number_words(len(group.of))}"
        yield Paragraph(f"{many}, {have} secure so far: {p.few(group.of)}.", about=group.of[0])
        for skill in group.of:
            words = f"{p.titled(skill)}: secure" if skill in secure else p.with_note(skill)
            yield Paragraph(words, 4, more=True, about=skill)
        yield from noted(p.stands_on_it(group.of[0], group.needed_by), indent=4)
    if unfinished and not p.too_much_open:
        yield f"May be finished later: {p.few(unfinished)}."
    for skill in unfinished:
        yield Paragraph(p.open_line(skill), 4, more=True, about=skill)
        yield from noted(*p.advice(skill), indent=6)
    yield from brought_along_section(p).paragraphs


def _rows(p: Phrases, blockers: Sequence[Blocker]) -> Iterator[Paragraph]:
    """Yield a line for each, and under it the notes it rests on."""
    needed = {blocker.skill: blocker.needed_by for blocker in blockers if blocker.skill is not None}
    rows = [(p.plain_name(skill), f"{p.state_short(skill)}; {p.missing_short(skill)}") for skill in needed]
    stuck = {remark.skill: remark.days for remark in p.answer.remarks if remark.id == "stuck"}
    for line, (skill, by) in zip(columns(rows, 0, tuple(needed)), needed.items(), strict=True):
        yield line
        if days := stuck.get(skill):
            yield Paragraph(f"{capital(ENGLISH.tried(days))}: try another way in.", 4, about=skill)
        state = p.state(skill)
        more = "" if state == p.state_short(skill) else f" {capital(state)}."
        yield from noted(f"{p.titled(skill)}.{more}", indent=4)
        yield from asked_for(columns(p.seen(skill), 4))
        seen = f"{capital(p.last_seen(skill))}." if p.standing(skill).state == State.STALE else ""
        yield from noted(seen, p.missing(skill), p.stands_on_it(skill, by), *p.advice(skill), indent=4)


def brought_along_section(p: Phrases) -> Section:
    """Return what is unfinished from earlier units, and where it is first needed (rule R12)."""
    if p.answer.verdict == Verdict.PAUSED or not p.answer.brought_along:
        return Section("", ())
    told, more = [], []
    for before in p.answer.brought_along:
        unit = before.first_needed
        needed = "" if unit is None else f" (unit {p.course.unit[unit].number} builds on it)"
        told.append(f"{p.name(before.skill)}{needed}")
        text = f"{p.titled(before.skill)}: {p.state(before.skill)}{needed}."
        more.append(Paragraph(text, 4, more=True, about=before.skill))
    return Section("", (Paragraph(f"Unfinished from before: {few_of(told, NAMED)}."), *more))


def brought_along(p: Phrases) -> str:
    """Return the same in one sentence; empty where nothing is unfinished."""
    return next((told.text for told in brought_along_section(p).paragraphs), "")


def to_finish_section(p: Phrases) -> Page:
    """Yield what is finished on the way, and why the answer is a yes all the same."""
    if along := p.answer.taken_along:
        yield Heading("To finish on the way")
        rows = [(p.plain_name(one), f"{p.state_short(one)}; {p.needed_short(one)}") for one in along]
        for row, skill in zip(columns(rows, 0, along), along, strict=True):
            yield from (row, *noted(p.open_line(skill), *p.advice(skill), indent=4))
        things = "1 unfinished thing is" if p.carry_limit == 1 else f"{p.carry_limit} unfinished things are"
        needed = f" or needed straight away in unit {p.next_number}" if p.next_number else ""
        yield f"Why that is still a yes: {things} allowed at this age, and none is about safety{needed}."
    yield from brought_along_section(p).paragraphs


def secure_section(p: Phrases) -> Section:
    """Return, for a yes, what it rests on: everything that was needed, and when it was last seen."""
    rows = []
    for skill in p.answer.deciding:
        now = p.standing(skill)
        used = f" (used in {p.name(now.warmed_by)})" if now.warmed_by else ""
        rows.append((p.day(now.last_seen), p.seen_line(skill), f"{p.plain_name(skill)}{used}"))
    groups = (
        f"At least {number_words(group.at_least)} of a group, secure: "
        f"{p.inventory(skill for skill in group.of if p.is_met(skill))}."
        for group in p.answer.groups
    )
    return Section("Needed, and secure; last seen", (*columns(rows, 0), *map(Paragraph, groups)), more=True)


# What the next lesson may settle, in three lines: if all that is looked at first comes, if one, if none.


def ahead_lines(p: Phrases) -> Iterator[str]:
    """Yield what the next lesson may settle; nothing where what is looked at first does not end in a yes."""
    answer, look = p.answer, p.answer.look_first
    if answer.next_lesson is None or answer.verdict == Verdict.PAUSED or not ready_if_all_come(p):
        return
    few = {1: ("it comes", "it does not come"), 2: ("both come", "neither comes")}
    every, none = few.get(len(look), ("all come", ""))
    yield f"If {every}: ready {ENGLISH.onward(p.next_number)} that day."
    if len(look) > LOOKS_AT_MOST:
        return
    if len(look) == LOOKS_AT_MOST:
        days = [day for skill in look if (day := _supposed(p, [skill]).earliest) is not None]
        when = f"on {p.day(max(days))} at the earliest" if days else "in a later lesson"
        yield f"If one: the other {when}."
    skill = answer.one_thing
    second = skill is not None and len(p.to_try(skill)) > 1
    yield f"If {none}: stay in this unit, and try {'the second activity' if second else 'another way in'}."


def ready_if_all_come(p: Phrases) -> bool:
    """Return whether the next lesson ends with a yes if all that is looked at first comes."""
    return bool(p.answer.look_first) and _supposed(p, p.answer.look_first).is_ready


def _supposed(p: Phrases, shown: Sequence[str]) -> Answer:
    """Return the answer of the next lesson with some skills shown without help."""
    changes = {SHOW + skill: str(Help.ALONE) for skill in shown}
    return what_if(p.course, p.record, p.answer.on, changes, p.answer.calendar)[0]
