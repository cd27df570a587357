"""The page of a planned lesson: a line a block, then what the hands, the calendar and the pacing ask for.

A plan is a suggestion to a teacher. Under a hold it begins with the hold and holds no playing and no
home task.
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
from readiness.words.blocking import brought_along
from readiness.words.cautions import closing
from readiness.words.grammar import capital, counted, date_words, listed, quoted, tidy
from readiness.words.layout import Paragraph, Section, cells, lay_out, noted
from readiness.words.paused import after_hold, hold_section, resting_section
from readiness.words.phrases import Phrases

__all__ = ["plan_sections", "tell_plan"]

ROOM: Final = 71
"""So many columns an activity may take with the name of its skill: a block has a line."""


def tell_plan(
    plan: LessonPlan, answer: Answer, course: Course, record: Record, width: int = 80, *, full: bool = False
) -> str:
    """Return a planned lesson as a text for the teacher.

    Args:
        plan: the plan.
        answer: what it was made from.
        course: the course.
        record: the student's record.
        width: the widest line.
        full: whether all is told.
    """
    return lay_out(plan_sections(plan, Phrases(answer, course, record), full=full), width, full=full)


def plan_sections(plan: LessonPlan, say: Phrases, *, full: bool) -> Iterator[Section]:
    """Yield a planned lesson as titled sections."""
    head = (Paragraph(_title(plan, say)), *noted(_where(say)))
    blocks = (*map(Paragraph, _special(plan, say)), *_blocks(plan, say))
    if plan.is_paused:
        yield Section("", head)
        yield hold_section(say.record, say.answer.on)
        yield Section("Only if it is comfortable, without playing", blocks)
    else:
        yield resting_section(say)
        yield Section("", (*head, *blocks))
    yield Section("", noted(*_counts(plan)))
    yield Section("More that could be worked on", noted(*_edge(plan, say)))
    yield Section("Not begun this time", noted(*_not_begun(plan, say)))
    last = " ".join(filter(None, (*_after(plan, say), brought_along(say))))
    yield from closing([last], plan.cautions, full=full, of_age=say.of_age)


def _title(plan: LessonPlan, say: Phrases) -> str:
    what = "Lesson" if plan.on == say.answer.on else "Next lesson"
    what = "First lesson" if plan.is_first else what
    what = "Placing lesson" if say.answer.placing is not None and not plan.is_paused else what
    longest = max((block.minutes for block in plan.blocks), default=0)
    size = "nothing is played or sung" if plan.is_paused else f"no block over {longest}"
    return (
        f"{what} · {tidy(say.answer.name)} · {date_words(plan.on, say.answer.on)} · "
        f"{counted(plan.minutes, 'minute')}, {size}"
    )


def _where(say: Phrases) -> str:
    """Return the unit and the day asked about."""
    unit = f"{capital(say.unit(say.answer.unit))}. " if say.answer.unit else ""
    return f"{unit}Worked out for {date_words(say.answer.on)}."


def _special(plan: LessonPlan, say: Phrases) -> Iterator[str]:
    """Yield what makes this lesson unlike others."""
    if plan.is_paused:
        return
    yield from after_hold(say.record, say.answer.on)
    if plan.is_first:
        yield "The first lesson: ask what is there already, as a game, before anything is taught."
    if plan.is_first_back:
        yield "The first lesson after a break: only what is known, nothing new."
    if plan.season is not None:
        yield _season(plan, say)
    yield from (_TOO_MUCH[one] for one in plan.too_much)


def _season(plan: LessonPlan, say: Phrases) -> str:
    season = plan.season
    assert season is not None
    name = quoted(season.name) if season.name else "a long break"
    when = f"{'on' if season.kind == 'event' else 'from'} {say.day(season.first)}"
    if season.lessons == 0:
        which = f"This is the day of {name}"
    else:
        which = f"{'The last lesson' if season.lessons == 1 else 'Two lessons left'} before {name}, {when}"
    return f"{which}: nothing new, and only pieces that are secure."


# The blocks, minute by minute. What is looked for and what was last said of it is shown on request.


def _blocks(plan: LessonPlan, say: Phrases) -> Iterator[Paragraph]:
    start = 0
    told: set[str] = set()
    for block in plan.blocks:
        end = start + block.minutes
        yield Paragraph(_block(block, plan, say), lead=f"{f'{start}-{end}':>7}  ")
        more = (*_about(block, plan, say), *say.remarks(plan.said, set(block.skills) - told))
        yield from noted(*more, indent=9)
        told.update(block.skills)
        start = end


def _block(block: LessonBlock, plan: LessonPlan, say: Phrases) -> str:
    """Return what to do in a block."""
    if block.part == "opening":
        return _opening(plan, say)
    if block.part == "music":
        return _music(block, say)
    if block.part == "home":
        return _home(block, say)
    if block.part in _UNPLAYED:
        return _UNPLAYED[block.part]
    return f"{tidy(say.course.skill[block.skills[0]].name)}: {_to_do(block, plan, say)}"


def _to_do(block: LessonBlock, plan: LessonPlan, say: Phrases) -> str:
    """Return what to do with a skill: the activity to try, else why it is there."""
    skill = block.skills[0]
    softly = ""
    if skill in tender_skills(say.course, say.record, say.answer.on):
        softly = "A turn or two, softly, then rest; leave it at the first sign of soreness. "
    if block.remedy is not None and _has_room(block, say):
        return f"{softly}{say.activity(say.course.skill[skill].remedies[block.remedy])}"
    if skill in plan.presumed:
        return f"{softly}look in passing, probably there"
    return f"{softly}{_WHY[block.why]}"


def _has_room(block: LessonBlock, say: Phrases) -> bool:
    """Return whether the activity of a block stands in its line; that of the one thing always does."""
    skill = say.course.skill[block.skills[0]]
    activity = skill.remedies[block.remedy or 0]
    return block.why == "one-thing" or cells(f"{skill.name}: {activity}") <= ROOM


def _about(block: LessonBlock, plan: LessonPlan, say: Phrases) -> Iterator[str]:
    """Yield what is known of the skills of a block, and what to look for."""
    if block.part == "opening" and block.skills and not plan.is_paused:
        yield f"At a glance: {say.inventory(block.skills)}."
    if block.part == "home":
        yield "Show it, do it once, write it down."
    if block.part not in ("review", "new") or not block.skills:
        return
    skill = say.course.skill[block.skills[0]]
    if block.remedy is not None and not _has_room(block, say):
        yield f"To try: {say.activity(skill.remedies[block.remedy])}"
    yield f"{capital(_state(block, plan, say))}; {_WHY[block.why]}. Shown when: {tidy(skill.shown_when)}"


def _state(block: LessonBlock, plan: LessonPlan, say: Phrases) -> str:
    skill = block.skills[0]
    if skill in plan.presumed:
        return "not seen here yet, but probably there, because something that builds on it was shown"
    if block.begins:
        return f"about {counted(say.course.skill[skill].minutes, 'minute')} of teaching in all"
    until = say.standing(skill).fresh_until
    seen = f", look again by {say.day(until)}" if block.why == "fading" and until is not None else ""
    return f"{say.state(skill)}{seen}"


def _opening(plan: LessonPlan, say: Phrases) -> str:
    if plan.is_paused:
        return "Ask how it is today, and stop at any time. Listen to something together."
    then = "something quiet" if say.record.resting(say.answer.on) else "a song or a known piece"
    return f"The looks of every lesson at a glance; {then}"


def _music(block: LessonBlock, say: Phrases) -> str:
    piece = f"{say.name(block.skills[0])}, or " if block.skills else ""
    resting = {hold.part for hold in say.record.resting(say.answer.on)}
    if resting:
        return f"Music: {piece}their own choice, without the {listed(sorted(resting))}"
    own = f"{piece}their own choice" if piece else "a song they know, or you play and they join in"
    return f"Music: {own}"


def _home(block: LessonBlock, say: Phrases) -> str:
    beside = str(say.numbers.get("adult_beside", ""))
    adult = " with the adult" if beside.startswith("always") else ""
    if block.skills:
        return f"Home task: {say.name(block.skills[0])}; write it down{adult}"
    if closed_lately(say.record, say.answer.on):
        return f"Home task: not what rested, or a minute of it with a pause{adult}"
    return f"Home task: something that is sure already; write it down{adult}"


_UNPLAYED: Final[Mapping[str, str]] = MappingProxyType({
    "listening": "Listening: two short pieces; what is different, which is liked better?",
    "page": "Looking at the page of a piece: find things, follow while it sounds.",
    "words": "Words and signs: a few, on cards or by pointing.",
    "planning": "Planning: what to choose when playing comes back.",
})
_WHY: Final[Mapping[str, str]] = MappingProxyType({
    "one-thing": "the one thing to work on",
    "look-first": "look first, once without help",
    "beneath": "look, because others of today build on it",
    "blocker": "look, needed to move on",
    "group": "look, needed with others to move on",
    "waited-for": "look, other things wait for it",
    "rest": "look, unfinished in this unit",
    "in-the-making": "go on with it",
    "begin": "new",
    "fading": "review",
    "keep-warm": "review",
    "in-passing": "look in passing",
    "placing": "see it once",
    "if-comfortable": "if comfortable",
})


# After the blocks: pauses, sums and what waits.


def _after(plan: LessonPlan, say: Phrases) -> Iterator[str]:
    if any(block.pause_before for block in plan.blocks):
        yield "Rest the hands for a breath between blocks."
    waits = [one for one in plan.not_begun if one.why == "stay"]
    nothing = ""
    if waits and say.answer.next_unit is not None:
        nothing = f" Nothing of unit {say.course.unit[say.answer.next_unit].number} yet."
    if not plan.is_paused:
        yield f"{_sums(plan)}{nothing}"
    moved = [skill for skill in plan.begun if say.course.skill[skill].unit == say.answer.next_unit]
    if moved and say.answer.next_unit is not None:
        unit = say.course.unit[say.answer.next_unit].number
        yield f"The new things are of unit {unit}, after the move."


def _sums(plan: LessonPlan) -> str:
    by_part: dict[str, int] = {}
    for block in plan.blocks:
        part = block.part if block.part in _PART else "quiet"
        by_part[part] = by_part.get(part, 0) + block.minutes
    names = {**_PART, "review": "first looks"} if plan.is_first else _PART
    return f"{', '.join(f'{by_part[part]} {names[part]}' for part in _PART if part in by_part)}."


def _counts(plan: LessonPlan) -> Iterator[str]:
    if not plan.proved:
        yield "So long a lesson leaves too much to compare: a better filling than this one may exist."
    if not plan.is_paused:
        yield f"{plan.review} of {plan.review_wanted} minutes of review, with the opening."
    if plan.review < plan.review_wanted and not plan.is_first and not plan.is_paused:
        yield "Too little is known yet to review more. The rest goes to making music."


def _edge(plan: LessonPlan, say: Phrases) -> Iterator[str]:
    """Yield what could be worked on and stands neither in the lesson nor among what waits."""
    looked_at = {skill for block in plan.blocks for skill in block.skills}
    waits = {one.skill for one in plan.not_begun}
    if later := [skill for skill in plan.looks if skill not in looked_at]:
        yield f"To look at in the lesson after: {say.inventory(later)}."
    for skill in plan.outer_edge:
        if skill not in looked_at | waits:
            unit = say.course.unit[say.course.skill[skill].unit].number
            yield f"{say.titled(skill)}, unit {unit}: {say.state(skill)}."


def _not_begun(plan: LessonPlan, say: Phrases) -> Iterator[str]:
    for one in plan.not_begun:
        if one.why == "footing":
            yield f"{say.titled(one.skill)}: first {say.name(one.by)} ({say.state(one.by)})."
    for why, words in _NOT_BEGUN.items():
        skills = [one.skill for one in plan.not_begun if one.why == why]
        if skills:
            yield f"{words}: {say.inventory(skills)}."


_PART: Final[Mapping[str, str]] = MappingProxyType({
    "opening": "opening",
    "review": "review",
    "new": "new or unfinished",
    "music": "music",
    "home": "homework",
    "quiet": "without playing",
})
_NOT_BEGUN: Final[Mapping[str, str]] = MappingProxyType({
    "probably-there": "Probably there; to look at in passing another time",
    "ask-later": "To ask for in the lessons after",
    "limit": "Enough new things for one lesson at this age",
    "no-room": "No minutes left",
    "gentle": "Nothing new for the part that rested, in the first weeks after a pause",
    "season": "Waits until after the day or the break",
    "away": "Waits for the lessons after the first one back",
    "on-hold": "Waits until the pause in the other course is over",
    "stay": "Ready to start, but part of the next unit",
})
_TOO_MUCH: Final[Mapping[str, str]] = MappingProxyType({
    "lesson": "This lesson is longer than is usual at this age.",
    "block": "One block may be longer than playing without a pause usually is at this age.",
    "above-usual": "The home tasks of this week add up to more minutes a day than is usual at this age.",
    "without-pause": "One home task is longer than playing without a pause usually is at this age.",
    "sudden-rise": "The home tasks of this week ask for much more than those of the week before.",
})
