"""What a letter about a student is made of: something good, and one thing to do at home.

Picked from the answer and the notes, the same for every reader; the sentences are in
``words``. Under a hold there is nothing to do at home, and nothing good is looked for in
the playing either. Common practice, no source.
"""

from __future__ import annotations

from typing import Final

from readiness.advice.after_break import (
    closed_lately,
    gently,
    kept_back,
    pain_noted,
    tasks_now,
    tender_skills,
)
from readiness.advice.ground import favourites
from readiness.advice.skill_traits import MET_STATES, activities, left_out, resting_skills, uses_part
from readiness.course.model import Course
from readiness.judging.answer import Answer, KeptBack
from readiness.lazy import dataclass
from readiness.record.model import Record, latest
from readiness.terms import READY, Kind, State, Verdict

__all__ = ["HomeThing", "Moved", "good_things", "home_thing", "is_lately", "moved"]

RECENT_DAYS: Final = 28
"""How far back "what was seen" may lie."""

GOOD_AT_MOST: Final = 2


@dataclass(frozen=True)
class HomeThing:
    """One thing to do at home.

    Attributes:
        skill: what it is for, or a piece that goes well; None for playing what one likes.
        text: the words of the task or the activity; empty where there are none fit for home.
        minutes: a day; days: a week. Both are 0 for what belongs to every time of playing.
        is_given: whether the teacher has given it as a task already.
        is_too_much: whether the task is longer than the practice range of the band.
    """

    skill: str | None
    text: str
    minutes: int
    days: int
    is_given: bool = False
    is_too_much: bool = False


@dataclass(frozen=True)
class Moved:
    """A move that was decided and since which there was no lesson.

    Attributes:
        unit: the unit that begins; None where the last unit of the course was closed.
        is_start: whether a place to begin was found, and no unit was left behind.
        along: what the unit before leaves open and nobody set aside, in graph order.
        is_early: whether the verdict of that day said otherwise.
        over: what kept a move back that day, whatever was shown (rule R7).
    """

    on: int
    unit: str | None
    is_start: bool
    along: tuple[str, ...]
    is_early: bool = False
    over: tuple[KeptBack, ...] = ()


def moved(course: Course, record: Record, answer: Answer) -> Moved | None:
    """Return the move that nobody has been told of yet: the latest decision, with no lesson after it."""
    last = latest(one for one in record.decisions if one.on <= answer.on)
    if last is None or last.decided != "move" or (answer.last_lesson or 0) > last.on:
        return None
    is_start = last.is_start
    closes = last.unit == answer.unit and not is_start
    begun = latest(one for one in record.unit_starts if one.on <= answer.on)
    is_so = answer.next_unit is None if closes else begun is not None and begun.on >= last.on
    if answer.unit is None or answer.away is not None or not is_so:
        return None
    unit = None if closes else answer.unit
    if is_start:
        return Moved(last.on, unit, is_start, ())
    along, is_early = _left_open(course, answer, last.unit), last.computed not in READY
    return Moved(last.on, unit, is_start, along, is_early, kept_back(course, record, last.on))


def _left_open(course: Course, answer: Answer, unit: str) -> tuple[str, ...]:
    """Return what of a unit is not there yet; after an early move also what was never asked for."""
    left = (skill for skill in course.skills if skill.unit == unit and not left_out(skill, answer))
    return tuple(skill.id for skill in left if answer.standings[skill.id].state not in MET_STATES)


def good_things(course: Course, answer: Answer, beside: str | None = None) -> tuple[str, ...]:
    """Return up to two skills to speak well of, in graph order.

    Of what was shown lately first what decides and is shown with no more help than is accepted but on too few
    days, else the best, of the unit before older things; where nothing was, the same of what is older.
    What is always looked at is spoken of only where nothing else is known; ``beside`` is left out, and that
    somebody says when it hurts is nothing to be praised by letter.
    """
    gathering = [
        one.skill
        for one in answer.blockers
        if one.skill not in (None, beside)
        and one.state == State.BUILDING
        and not (course.skill[one.skill].always_look or course.skill[one.skill].asks_pain)
    ]
    known = [
        skill.id
        for skill in course.skills
        if answer.standings[skill.id].state in (State.SECURE, State.BUILDING)
        and not (skill.id == answer.one_thing or skill.asks_pain)
    ]
    known.sort(key=lambda skill: _how_good(course, answer, skill), reverse=True)
    settled = [skill for skill in known if answer.unit in (None, course.skill[skill].unit)]
    first, best = ([one for one in some if is_lately(answer, one)] for some in (gathering, known))
    found = (first or best or gathering or settled)[:GOOD_AT_MOST]
    return tuple(sorted(found, key=course.plan.index.__getitem__))


def is_lately(answer: Answer, skill: str) -> bool:
    """Return whether a skill was shown well in the last weeks, after a break since then; on one none was."""
    since = {None: answer.on - RECENT_DAYS + 1, "first-lesson-back": answer.last_lesson}.get(answer.away)
    return since is not None and _last_counting(answer, skill) >= since


def _last_counting(answer: Answer, skill: str) -> int:
    """Return the latest day the skill itself was shown well on, or was taken as known; 0 for none."""
    one = answer.standings[skill]
    return max((note.day for note in one.evidence if note.counts), default=one.settled_on or 0)


def _how_good(course: Course, answer: Answer, skill: str) -> tuple[bool, bool, int, int, int]:
    one = course.skill[skill]
    is_piano = not one.always_look and one.kind != Kind.HABIT
    counting = sum(note.counts for note in answer.standings[skill].evidence)
    here = one.unit == answer.unit
    return is_piano, here, _last_counting(answer, skill), counting, course.plan.index[skill]


def home_thing(course: Course, record: Record, answer: Answer) -> HomeThing | None:
    """Return the one thing to do at home; None under a hold, or where it would work what rested or may hurt.

    The task that was given in or after the latest lesson comes first. Without one it is an activity for the
    one thing, for what comes along, or a piece that goes well, since what nobody has been taught yet is no
    homework; its minutes are half of the least practice
    day of the band, so that it always fits inside the range.
    """
    if answer.verdict == Verdict.PAUSED or pain_noted(record, answer.on):
        return None
    band = course.band[answer.band]
    least, most = band.pair("practice_minutes_day")
    usual = -(-least // 2)
    days = band.whole("practice_days_week")
    since = answer.on if answer.last_lesson is None else answer.last_lesson
    given = [task for task in tasks_now(course, record, answer.on) if task.given >= since]
    if task := max(given, key=lambda task: (task.given, task.line), default=None):
        minutes = task.minutes_day or usual
        return HomeThing(task.for_skill, task.text, minutes, task.days_planned, True, minutes > most)
    skill = answer.one_thing or next(iter(answer.taken_along), None)
    if skill is not None and course.skill[skill].always_look:
        return HomeThing(skill, _activity(course, skill, record, answer), 0, 0)
    tender = tender_skills(course, record, answer.on)
    text, rests = "", tender | resting_skills(course, record, answer.on)
    no_hands = any(hold.part == "hand" for hold in record.resting(answer.on))
    if skill is not None and answer.standings[skill].state != State.UNTRIED:
        text = _activity(course, skill, record, answer)
    else:
        skill = next(iter(favourites(course, answer, record.disliked(answer.on) | rests)), None)
    is_left = skill in rests or ((tender or no_hands) and skill is None)
    return None if is_left else HomeThing(skill, text, gently(usual, tender), days)


def _activity(course: Course, skill: str, record: Record, answer: Answer) -> str:
    """Return the first activity that the course says is fit for home, of those fit for the student."""
    one = course.skill[skill]
    fit = (number for number in activities(one, record, answer) if number in {*one.at_home} - {*one.touches})
    tender = [hold.part for hold in closed_lately(course, record, answer.on)]
    texts = (one.remedies[number - 1] for number in fit)
    return next((text for text in texts if not any(uses_part(text, part) for part in tender)), "")
