"""The words of a planned lesson: what is special, its minutes, and what is not begun and why.

A plan is a suggestion to a teacher. It promises nothing and names nobody else; under a hold
it begins with the hold and holds no playing and no home task.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from types import MappingProxyType
from typing import Final

from readiness.advice.after_hold import closed_lately, tender_skills
from readiness.advice.lesson_values import LessonBlock, LessonPlan
from readiness.course.model import Course
from readiness.judging.answer import Answer
from readiness.record.model import Record
from readiness.terms import State
from readiness.words.both import resting_section
from readiness.words.cautions import caution
from readiness.words.grammar import counted, date_words, listed, number_words, quoted, tidy
from readiness.words.layout import Paragraph, Section, item, lay_out
from readiness.words.paused import after_hold, hold_section
from readiness.words.phrases import Phrases
from readiness.words.remarked import remark_lines
from readiness.words.why import brought_along_section

__all__ = ["block_rows", "plan_sections", "tell_plan"]

# The blocks of a planned lesson in words: what to do in each, minute by minute.


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
    is_asked = block.is_review and say.standing(skill).state == State.UNTRIED
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
    return "not asked yet" if say.standing(skill).state == State.UNTRIED else say.state(skill)


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


def tell_plan(plan: LessonPlan, answer: Answer, course: Course, record: Record, width: int = 80) -> str:
    """Return a planned lesson as a text for the teacher.

    Args:
        plan: the plan.
        answer: what it was made from.
        course: the course.
        record: the student's record.
        width: the widest line.
    """
    return lay_out(plan_sections(plan, Phrases(answer, course, record)), width)


def plan_sections(plan: LessonPlan, say: Phrases) -> tuple[Section, ...]:
    """Return a planned lesson as titled sections."""
    return (
        Section("", (Paragraph(_title(plan, say)), Paragraph(_sums(plan)))),
        hold_section(say.record, say.answer.on),
        resting_section(say),
        Section("This lesson is special", tuple(map(item, _special(plan, say)))),
        Section(_blocks_title(plan), tuple(block_rows(plan, say))),
        Section("Has all its footing too, to carry on with", tuple(map(item, _edge(plan, say)))),
        brought_along_section(say),
        Section("Not begun this time", tuple(map(item, _not_begun(plan, say)))),
        Section("More than the usual numbers", tuple(item(_TOO_MUCH[one]) for one in plan.too_much)),
        Section("Cautions", tuple(item(caution(one)) for one in plan.cautions if one != "C1")),
    )


def _title(plan: LessonPlan, say: Phrases) -> str:
    answer = say.answer
    what = "Lesson" if plan.on == answer.on else "Next lesson"
    what = "First lesson" if plan.is_first else what
    what = "Placing lesson" if answer.placing is not None and not plan.is_paused else what
    where = f" - {say.unit(answer.unit)}" if answer.unit else ""
    return f"{what} - {tidy(answer.name)}{where} - {date_words(plan.on)}"


def _sums(plan: LessonPlan) -> str:
    if plan.is_paused:
        return f"Paused for care: {counted(plan.minutes, 'minute')}, or fewer, and nothing is played or sung."
    by_part: dict[str, int] = {}
    for block in plan.blocks:
        by_part[block.part] = by_part.get(block.part, 0) + block.minutes
    names = {**_PART, "review": "first looks"} if plan.is_first else _PART
    parts = [f"{names[part]} {by_part[part]}" for part in _PART if part in by_part]
    if quiet := sum(minutes for part, minutes in by_part.items() if part not in _PART):
        parts.append(f"without playing {quiet}")
    longest = max((block.minutes for block in plan.blocks), default=0)
    return (
        f"{counted(plan.minutes, 'minute')}: {listed(parts)}. The opening counts as review. "
        f"No block is longer than {longest}."
    )


def _special(plan: LessonPlan, say: Phrases) -> Iterator[str]:
    if plan.is_paused:
        return
    if not plan.proved:
        yield "So long a lesson leaves too much to compare: a better filling than this one may exist."
    yield from after_hold(say.record, say.answer.on)
    if plan.is_first:
        yield "The first lesson: ask what is there already, as a game, before anything is taught."
    if plan.is_first_back:
        yield "The first lesson after a break: all of it goes to what is known, and nothing is new."
    if plan.season is not None:
        yield _season(plan, say)
    yield from _look_first(plan, say)
    yield from _in_passing(plan, say)
    moved = [skill for skill in plan.begun if say.course.skill[skill].unit == say.answer.next_unit]
    if moved and say.answer.next_unit is not None:
        yield f"What is new is of {say.unit(say.answer.next_unit)}: this takes the move as made."
    if plan.review < plan.review_wanted and not plan.is_first:
        yield (
            f"{plan.review} of {plan.review_wanted} minutes of review: too little is known yet to review "
            "more. The rest goes to making music, not to more new things."
        )


def _look_first(plan: LessonPlan, say: Phrases) -> Iterator[str]:
    """Yield what is looked at first, the always-look items in a word, and what is left for later."""
    looked_at = {skill for block in plan.blocks for skill in block.skills}
    seat = [skill for skill in plan.looks if say.course.skill[skill].always_look]
    others = [skill for skill in plan.looks if skill not in seat]
    now = [say.name(skill) for skill in others if skill in looked_at]
    later = [skill for skill in others if skill not in looked_at]
    if seat:
        now.insert(0, "the seat and what else is in the opening glance")
    if now:
        yield f"Look first at {listed(now)}: shown without help, that settles most."
    if later:
        yield f"To look at in the lesson after: {say.names(later, len(later))}."


def _in_passing(plan: LessonPlan, say: Phrases) -> Iterator[str]:
    """Yield what was taken over from the placing and not seen here yet."""
    if plan.presumed:
        yield (
            "Not seen here yet, but probably there, because something that stands on it was shown: "
            f"{say.names(plan.presumed)}. Look at it in passing; what is missing is taught."
        )


def _season(plan: LessonPlan, say: Phrases) -> str:
    season = plan.season
    assert season is not None
    name = quoted(season.name) if season.name else "a long break"
    before = f"before {name} from {say.day(season.first)}" if season.first != plan.on else f"with {name}"
    if season.kind == "event":
        before = before.replace(" from ", " on ")
    which = {0: "This is the day", 1: "This is the last lesson"}.get(season.lessons, "Two lessons are left")
    return f"{which} {before}: nothing new is begun, and pieces stay well inside what is settled."


def _blocks_title(plan: LessonPlan) -> str:
    return "Only if it is comfortable, without playing" if plan.is_paused else "Minute by minute"


def _edge(plan: LessonPlan, say: Phrases) -> Iterator[str]:
    """Yield what could be worked on and stands neither in the lesson nor among what waits."""
    told = {skill for block in plan.blocks for skill in block.skills} | {one.skill for one in plan.not_begun}
    left = [skill for skill in plan.outer_edge if skill not in told]
    for skill in left:
        if say.standing(skill).state != State.UNTRIED:
            yield f"{say.titled(skill)}, unit {_unit(say, skill)}: {say.state(skill)}."
    for unit in sorted({_unit(say, skill) for skill in left}):
        new = [s for s in left if _unit(say, s) == unit and say.standing(s).state == State.UNTRIED]
        if new:
            yield f"Not begun yet, of unit {unit}: {say.names(new, len(new))}."


def _unit(say: Phrases, skill: str) -> int:
    return say.course.unit[say.course.skill[skill].unit].number


def _not_begun(plan: LessonPlan, say: Phrases) -> Iterator[str]:
    for one in plan.not_begun:
        if one.why == "footing":
            yield f"{say.titled(one.skill)}: it stands on {say.name(one.by)}, which {_lacks(say, one.by)}."
    for why, words in _NOT_BEGUN.items():
        skills = [one.skill for one in plan.not_begun if one.why == why]
        if skills:
            yield f"{words} ({number_words(len(skills))}): {say.names(skills)}."


def _lacks(say: Phrases, skill: str) -> str:
    """Return why a footing does not carry yet."""
    state = say.standing(skill).state
    return {State.UNTRIED: "was not asked for yet", State.STALE: "is due for a look first"}.get(
        state, "is not settled yet"
    )


_PART: Final[Mapping[str, str]] = MappingProxyType({
    "opening": "opening",
    "review": "review",
    "new": "new and in the making",
    "music": "making music",
    "home": "home task",
})
_NOT_BEGUN: Final[Mapping[str, str]] = MappingProxyType({
    "probably-there": "Not seen here yet, but probably there; to look at in passing another time",
    "ask-later": "To ask for in the lessons after",
    "limit": "Enough new things for one lesson at this age",
    "no-room": "No minutes left for it",
    "gentle": "Nothing new for the part that rested, in the first weeks after a hold",
    "season": "Waits until after the day or the break",
    "away": "Waits for the lessons after the first one back",
    "on-hold": "Waits until the hold in the other course is closed",
    "stay": "Of the next unit, its footing is there; it waits for the move",
})
_TOO_MUCH: Final[Mapping[str, str]] = MappingProxyType({
    "lesson": "This lesson is longer than is usual at this age.",
    "block": "One block may be longer than playing without a pause usually is at this age.",
    "above-usual": "The home tasks of this week add up to more minutes a day than is usual at this age.",
    "without-pause": "One home task is longer than playing without a pause usually is at this age.",
    "sudden-rise": "The home tasks of this week ask for much more than those of the week before.",
})
