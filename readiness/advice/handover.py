"""A lesson that somebody takes over, and one that two students share: what is on the page, as values.

Safety first, then where the student is, what to do in this lesson and what not to begin. A
substitute begins nothing new: the minutes the plan has for new things go to making music.
Under a hold nothing is played, so no skill, task or activity with the instrument is on it.
What is not noted of the student's particulars is left to fill in.

What two students can do together: things of rhythm, ear and singing for which both have the footing.

Never a comparison. What comes out names skills both can take part in and nothing of where
either of them stands: no state, no date, no order of the two. Hand shape, seat and reading
are left to each one's own lesson. Where a part of the body rests for one, it rests for both; where a pause of
this course is open for one, nobody plays; where one comes back from a rest, both begin gently.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from typing import Final

from readiness.advice.after_break import gently, pain_noted, tasks_now, tender_skills
from readiness.advice.ground import outer_fringe, teaching_order
from readiness.advice.lesson import plan_lesson
from readiness.advice.placing_round import placing_round
from readiness.advice.plan import LessonPlan, PlanBlock
from readiness.advice.skill_traits import (
    MET_STATES,
    activities,
    left_out,
    may_be_done,
    resting_skills,
    without_resting,
)
from readiness.course.model import Course, Skill
from readiness.judging.answer import Answer
from readiness.lazy import dataclass
from readiness.record.consents import consent, is_of_age
from readiness.record.entries import open_promises
from readiness.record.model import Alternative, Hold, Particulars, Promise, Record, Said, Task
from readiness.terms import State, Verdict

__all__ = ["Activity", "Handover", "Pair", "TakeOverBlock", "hand_over", "pair_up", "suits_two"]

LIVE_AT_MOST: Final = 3
TRIES_AT_MOST: Final = 2
RECENT_DAYS: Final = 28


@dataclass(frozen=True)
class TakeOverBlock:
    """One of the three blocks of the lesson.

    Attributes:
        part: opening, work, music; without playing quiet-opening, if-comfortable, quiet.
        minutes: of the block; longest: of a single activity in it, at this age.
        skills: what it is for, the one thing first.
    """

    part: str
    minutes: int
    longest: int
    skills: tuple[str, ...]


@dataclass(frozen=True)
class Handover:
    """Everything on the page.

    Attributes:
        holds: those open on the day; resting: those that pause another course of the student.
        lately: those that the student still comes back from.
        consents: touch, video and photo; absence is no.
        brought_along: what is unfinished from earlier units; live: the skills being worked on.
        blocks: up to three, soon after a hold four, adding up to ``minutes``.
        tries: skill and activity, what helps when stuck.
        task: the latest home task; promises: open ones, each with whether it is overdue.
        said: the latest remark on each skill of the lesson, or of the last one, for those who may know.
        set_aside: skills set aside by agreement; alternatives: ways of showing that were agreed on,
            one a skill. Both are for those who may know.
        particulars: stop sign, seat, own words and the like.
    """

    on: int | None
    minutes: int
    holds: tuple[Hold, ...]
    resting: tuple[Hold, ...]
    lately: tuple[Hold, ...]
    consents: tuple[tuple[str, bool], ...]
    brought_along: tuple[str, ...]
    live: tuple[str, ...]
    blocks: tuple[TakeOverBlock, ...]
    tries: tuple[tuple[str, str], ...]
    task: Task | None
    promises: tuple[tuple[Promise, bool], ...]
    said: tuple[Said, ...]
    set_aside: tuple[str, ...]
    alternatives: tuple[Alternative, ...]
    particulars: Particulars


def hand_over(course: Course, record: Record, answer: Answer) -> Handover:
    """Return what is on the page for the lesson after the day of an answer."""
    plan = plan_lesson(course, record, answer)
    rests, told = resting_skills(course, record, answer.on), without_resting(course, record, answer)
    live = tuple(skill for skill in _live(course, record, answer) if skill not in rests)
    is_paused = answer.verdict == Verdict.PAUSED
    agreed = dict.fromkeys(one.skill for one in record.alternatives)
    return Handover(
        on=plan.on,
        minutes=plan.minutes,
        holds=tuple(hold for hold in record.holds if hold.is_open(answer.on)),
        resting=record.resting(answer.on),
        lately=plan.lately,
        consents=tuple((key, consent(record, key)) for key in ("touch", "video", "photo")),
        brought_along=tuple(one.skill for one in answer.brought_along),
        live=() if is_paused else live,
        blocks=_blocks(answer, plan),
        tries=() if is_paused else _tries(course, record, told, live),
        task=None if is_paused else _task(course, record, answer),
        promises=tuple(
            (one, one.due is not None and one.due < answer.on) for _, one in open_promises(record, answer.on)
        ),
        said=() if is_paused else _said(record, answer, live, plan),
        set_aside=tuple(dict.fromkeys(one.skill for one in record.set_aside if one.on <= answer.on)),
        alternatives=tuple(filter(None, (record.alternative(skill, answer.on) for skill in agreed))),
        particulars=record.particulars,
    )


def _said(record: Record, answer: Answer, live: Sequence[str], plan: LessonPlan) -> tuple[Said, ...]:
    """Return what was last remarked about what is being worked on, in the lesson, or of the last one."""
    skills = (*live, *_skills([block for block in plan.blocks if not block.begins]))
    latest = (one.remarks for one in record.lessons if one.on == answer.last_lesson)
    return record.said(answer.on, (*skills, *(skill for remarks in latest for skill in remarks)))


def _blocks(answer: Answer, plan: LessonPlan) -> tuple[TakeOverBlock, ...]:
    found = []
    for part, blocks, skills in _quiet(plan) if answer.verdict == Verdict.PAUSED else _played(plan):
        if blocks:
            minutes = [block.minutes for block in blocks]
            first = sorted(skills, key=lambda skill: skill != answer.one_thing)
            found.append(TakeOverBlock(part, sum(minutes), max(minutes), tuple(first)))
    return tuple(found)


def _live(course: Course, record: Record, answer: Answer) -> tuple[str, ...]:
    """Return what is being worked on: the one thing, then what was tried and did not come the last time."""
    decides = [one.skill for one in answer.blockers if one.skill is not None]
    patches = placing_round(course, record, answer.on).patches if answer.placing else ()
    every = dict.fromkeys((answer.one_thing, *decides, *patches, *answer.open_rest))
    tried = [one for skill in every if skill and (one := answer.standings[skill]).evidence]
    return tuple(one.skill for one in tried if one.misses or one.skill == answer.one_thing)[:LIVE_AT_MOST]


_Parts = Iterator[tuple[str, Sequence[PlanBlock], Sequence[str]]]
"""The name of each part, the blocks of the plan that are in it, and the skills to name."""


def _played(plan: LessonPlan) -> _Parts:
    """Yield opening, work and music; what would be begun, and home, becomes music, or after a hold quiet."""
    opening = [block for block in plan.blocks if block.part == "opening"]
    work = [block for block in plan.blocks if block.part in ("review", "new") and not block.begins]
    liked = [block for block in plan.blocks if block.part == "music"]
    others = [block for block in plan.blocks if block not in (*opening, *work, *liked)]
    yield "opening", opening, _skills(opening)
    yield "work", work, _skills(work)
    yield "music", liked if plan.lately else [*liked, *others], _skills(liked)
    yield "quiet", others if plan.lately else [], ()


def _skills(blocks: Sequence[PlanBlock]) -> tuple[str, ...]:
    return tuple(dict.fromkeys(skill for block in blocks for skill in block.skills))


def _quiet(plan: LessonPlan) -> _Parts:
    """Yield opening, what may be shown if comfortable, and the rest, all without playing."""
    opening = [block for block in plan.blocks if block.part == "opening"]
    shown = [block for block in plan.blocks if block.part != "opening" and block.skills]
    yield "quiet-opening", opening, ()
    yield "if-comfortable", shown, _skills(shown)
    yield "quiet", [block for block in plan.blocks if block not in (*opening, *shown)], ()


def _tries(
    course: Course, record: Record, answer: Answer, live: Sequence[str]
) -> tuple[tuple[str, str], ...]:
    """Return two activities, without touch where the family has not agreed to it."""
    may_touch = consent(record, "touch")
    found = [
        (skill, course.skill[skill].remedies[number - 1])
        for skill in dict.fromkeys((answer.one_thing, *live))
        if skill is not None
        for number in activities(course.skill[skill], record, answer)
        if may_touch or number not in course.skill[skill].touches
    ]
    return tuple(found[:TRIES_AT_MOST])


def _task(course: Course, record: Record, answer: Answer) -> Task | None:
    """Return the latest home task of the last weeks."""
    given = [task for task in tasks_now(course, record, answer.on) if task.given > answer.on - RECENT_DAYS]
    return max(given, key=lambda task: (task.given, task.line), default=None)


GROW: Final = 4
KNOWN: Final = 3
"""How many things are named; enough for a shared quarter of an hour. Common practice, no source."""
_SETTLED: Final = MET_STATES | {State.STALE, State.WOBBLING}


@dataclass(frozen=True)
class Activity:
    """A skill both can take part in; ``remedy`` is the one to do in two, None where none is."""

    skill: str
    remedy: int | None


@dataclass(frozen=True)
class Pair:
    """What two can do.

    Attributes:
        students: both ids, in alphabetical order.
        grow: what there is something to gain from; known: what both know, for the joy of it.
        minutes: the longest block without a change.
        rests: the parts of the body that rest, for both; paused: whether nobody plays.
        gentle: the skills that work a part which rested until lately, for either.
        ask_first: whether a note of the last lesson of either may speak of pain.
        of_age: whether both are adults, so that no family is spoken of.
    """

    students: tuple[str, str]
    grow: tuple[Activity, ...]
    known: tuple[Activity, ...]
    minutes: int
    rests: tuple[str, ...]
    paused: bool
    gentle: frozenset[str] = frozenset()
    ask_first: bool = False
    of_age: bool = False


def suits_two(course: Course, skill: Skill) -> bool:
    """Return whether two can do a skill together, by its strand; what is looked at every time is no such."""
    return not skill.always_look and any(one.shared for one in course.strands if one.id == skill.strand)


def pair_up(course: Course, both: Sequence[tuple[Record, Answer]]) -> Pair:
    """Return what two students can do together; the order of the two makes no difference."""
    day = both[0][1].on
    course = course.on(day)
    rests = tuple(sorted({hold.part for record, _ in both for hold in record.open_holds(day)}))
    paused = any(hold.is_open(day) for record, _ in both for hold in record.holds)
    still = rests if paused else ()
    disliked = frozenset[str]().union(*(record.disliked(day) for record, _ in both))
    tender = frozenset[str]().union(*(tender_skills(course, record, day) for record, _ in both))
    able = frozenset.intersection(*(_able(course, record, answer) for record, answer in both))
    open_to_all = [
        skill
        for skill in sorted(course.skills, key=lambda one: teaching_order(course, one.id))
        if skill.id in able and suits_two(course, skill) and all(may_be_done(skill, part) for part in still)
    ]
    known = [one for one in open_to_all if all(_state(answer, one) == State.SECURE for _, answer in both)]
    new = {one.id for one in open_to_all if any(_state(a, one) == State.UNTRIED for _, a in both)}
    grow = [one for one in open_to_all if one not in known and one.id not in tender & new]
    shared = sorted(grow, key=lambda one: sum(_state(answer, one) in _SETTLED for _, answer in both))
    shared.sort(key=lambda one: one.id in disliked)
    known.sort(key=lambda one: one.id not in disliked)

    def activity(skill: Skill) -> Activity:
        """Return a skill with its activity in two; none under a pause, for most use the body."""
        fit = {*skill.for_two}.intersection(*(activities(skill, record, answer) for record, answer in both))
        return Activity(skill.id, None if paused or not fit else min(fit) - 1)

    first, second = sorted(record.id for record, _ in both)
    return Pair(
        students=(first, second),
        grow=tuple(map(activity, shared[:GROW])),
        known=tuple(map(activity, reversed(known[-KNOWN:]))),
        minutes=gently(min(course.band[one.band].whole("activity_minutes") for _, one in both), tender),
        rests=rests,
        paused=paused,
        gentle=tender,
        ask_first=any(pain_noted(record, day) for record, _ in both),
        of_age=all(is_of_age(record, day) for record, _ in both),
    )


def _state(answer: Answer, skill: Skill) -> str:
    return answer.standings[skill.id].state


def _able(course: Course, record: Record, answer: Answer) -> frozenset[str]:
    """Return what one of the two can take part in: what was settled, or is open with all its footing."""
    asked = [one for one in course.skills if not left_out(one, answer)]
    settled = {one.id for one in asked if _state(answer, one) in _SETTLED}
    footing = settled | {one.id for one in course.skills if left_out(one, answer)}
    unit = answer.unit or placing_round(course, record, answer.on).start
    reach = course.unit[unit].number + answer.may_move
    edge = {
        one for one in outer_fringe(course, footing) if course.unit[course.skill[one].unit].number <= reach
    }
    resting = resting_skills(course, record, answer.on)
    return frozenset(one.id for one in asked if one.id in settled | edge and one.id not in resting)
