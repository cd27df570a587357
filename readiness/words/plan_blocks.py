"""The blocks of a planned lesson in words: what to do in each, minute by minute."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from types import MappingProxyType
from typing import Final

from readiness.planning.after_hold import closed_lately, tender_skills
from readiness.planning.lesson_values import LessonBlock, LessonPlan
from readiness.words.grammar import counted, listed, tidy
from readiness.words.page import Paragraph
from readiness.words.phrases import Phrases
from readiness.words.remarked import remark_lines

__all__ = ["block_rows"]


def block_rows(plan: LessonPlan, say: Phrases) -> Iterator[Paragraph]:
    """Yield every block with its minutes."""
    start = 0
    told: set[str] = set()
    for block in plan.blocks:
        end = start + block.minutes
        if block.pause_before:
            yield Paragraph("Hands rest for a breath or two.", indent=10)
        yield Paragraph(block_words(block, plan, say), lead=f"{f'{start}-{end}':<7}".rjust(8) + "  ")
        lines = remark_lines(say, plan.said, set(block.skills) - told)
        yield from (Paragraph(line, indent=10) for line in lines)
        told.update(block.skills)
        start = end


def block_words(block: LessonBlock, plan: LessonPlan, say: Phrases) -> str:
    """Return what to do in a block."""
    if block.part in _UNPLAYED:
        return _UNPLAYED[block.part]
    if block.part == "opening":
        return _opening(block, plan, say)
    if block.part == "music":
        return _music(block, say)
    return _home(block, say) if block.part == "home" else _skill(block, plan, say)


def _skill(block: LessonBlock, plan: LessonPlan, say: Phrases) -> str:
    skill = block.skills[0]
    verb = "Work on" if block.part == "new" else "Look at"
    state = _state(block, plan, say)
    lead = f"{_WHY[block.why].format(verb=verb, name=say.name(skill))}: {state}."
    if skill in tender_skills(say.course, say.record, say.answer.on):
        lead += " A turn or two, softly, then rest; leave it at the first sign of soreness."
    remedies = say.course.skill[skill].remedies
    if block.remedy is not None:
        return f"{lead} Try: {tidy(remedies[block.remedy])}"
    is_asked = block.is_review and say.standing(skill).state == "untried"
    if block.begins or is_asked or block.why in ("placing", "look-first", "blocker", "group"):
        return f"{lead} Shown when: {tidy(say.course.skill[skill].shown_when)}"
    return lead


def _state(block: LessonBlock, plan: LessonPlan, say: Phrases) -> str:
    skill = block.skills[0]
    if skill in plan.presumed:
        return "not seen here yet, but probably there"
    if block.begins:
        return f"about {counted(say.course.skill[skill].minutes, 'minute')} of teaching in all"
    until = say.standing(skill).fresh_until
    if block.why == "fading" and until is not None:
        return f"fresh until {say.day(until)}"
    return "not asked yet" if say.standing(skill).state == "untried" else say.state(skill)


def _opening(block: LessonBlock, plan: LessonPlan, say: Phrases) -> str:
    if plan.is_paused:
        return "Opening: ask how it is today, and stop at any time. Listen to something together."
    names = say.names(block.skills) if block.skills else "sitting well"
    then = "something quiet" if say.record.resting(say.answer.on) else "a song or a known piece"
    return f"Opening: in one glance {names}; then {then}."


def _music(block: LessonBlock, say: Phrases) -> str:
    piece = f"{say.name(block.skills[0])}, or " if block.skills else ""
    resting = {hold.part for hold in say.record.resting(say.answer.on)}
    if resting:
        return f"Make music: {piece}something of their own choice, without the {listed(sorted(resting))}."
    if not piece:
        return "Make music together: a song they know, or you play and they join in."
    return f"Make music: {piece}a piece or song of their own choice."


def _home(block: LessonBlock, say: Phrases) -> str:
    beside = str(say.numbers.get("adult_beside", ""))
    adult = " with the adult who sits beside" if beside.startswith("always") else ""
    if not block.skills and closed_lately(say.record, say.answer.on):
        return f"Home task: something that does not work what rested, or a minute of it with a pause{adult}."
    if not block.skills:
        return f"Home task: something that is sure already; write it down{adult}."
    return f"Home task for {say.name(block.skills[0])}: show it, do it once, write it down{adult}."


_UNPLAYED: Final[Mapping[str, str]] = MappingProxyType({
    "listening": "Listening: two short pieces; what is different, which is liked better?",
    "page": "Looking at the page of a piece: find things, follow while it sounds.",
    "words": "Words and signs: a few, on cards or by pointing.",
    "planning": "Planning: what to choose when playing comes back.",
})
_WHY: Final[Mapping[str, str]] = MappingProxyType({
    "one-thing": "The one thing, {name}",
    "look-first": "{verb} {name}",
    "beneath": "{verb} {name}, which others of today build on",
    "blocker": "{verb} {name}, which decides",
    "group": "{verb} {name}, which decides with others",
    "waited-for": "{verb} {name}, which other things wait for",
    "rest": "{verb} {name}, open in this unit",
    "in-the-making": "Go on with {name}",
    "begin": "New: {name}",
    "fading": "Keep warm {name}",
    "keep-warm": "Keep warm {name}",
    "in-passing": "{verb} {name} in passing",
    "placing": "See {name}",
    "if-comfortable": "If comfortable, {name}",
})
