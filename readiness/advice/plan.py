"""A planned lesson as a value, and what it is planned for: the lessons, events and holidays to come."""

from __future__ import annotations

from bisect import bisect_right
from collections.abc import Iterator, Sequence
from dataclasses import replace
from itertools import chain, count, dropwhile, islice

from readiness.course.model import Course
from readiness.judging.answer import Answer
from readiness.judging.lookahead import MOST_LESSONS, break_of
from readiness.lazy import dataclass
from readiness.record.model import Hold, Record, Said
from readiness.record.rhythm import Event, Season, lessons_from, next_lesson, season_from

__all__ = [
    "Later", "LessonPlan", "NotBegun", "PlanBlock", "event_on", "events_ahead", "holidays_before",
    "lesson_for_new", "lessons_for_new", "lessons_to_come", "move_waits", "season_ahead",
]  # fmt: skip

# The lesson days to come of a student, as every plan, list and date has them.


def lessons_to_come(record: Record, answer: Answer) -> Iterator[int]:
    """Yield the next lesson of an answer and those after it; none where no next one is known."""
    first = answer.next_lesson
    if first is None:
        return iter(())
    days = record.seen.lesson_days
    following = lessons_from(answer.calendar, days[: bisect_right(days, answer.on)], answer.on)
    return chain((first,), dropwhile(lambda day: day <= first, following))


def events_ahead(events: Sequence[Event], on: int) -> tuple[Event, ...]:
    """Return the events that have not begun on a day, in their order."""
    return tuple(one for one in events if one.first > on)


def event_on(day: int, ahead: Sequence[Event]) -> Event:
    """Return the event that a day is meant by; a day without one is an event of its own."""
    return next((one for one in ahead if one.first <= day <= one.last), Event("", day, day))


def holidays_before(record: Record, answer: Answer) -> Event | None:
    """Return the holidays in which the next lesson would be without them, None where they move none."""
    known = [day for day in record.seen.lesson_days if day <= answer.on]
    without = next_lesson(replace(answer.calendar, events=()), known, answer.on)
    return None if without in (None, answer.next_lesson) else answer.calendar.holidays(without)


def lessons_for_new(course: Course, answer: Answer, days: Sequence[int]) -> Iterator[int]:
    """Yield those of the lessons to come in which something new may begin.

    None of the last before a big day or a long break, and none that is the first one after a break.
    """
    for last, at, day in zip((answer.last_lesson, *days), count(), days):
        is_back = last is not None and break_of(course, answer, (last,), day)
        if not is_back and season_from(days[at:], answer.calendar) is None:
            yield day


def lesson_for_new(course: Course, record: Record, answer: Answer) -> int | None:
    """Return the first lesson to come in which something new may begin, None where none is known."""
    days = tuple(islice(lessons_to_come(record, answer), MOST_LESSONS))
    return next(lessons_for_new(course, answer, days), None)


def season_ahead(record: Record, answer: Answer) -> Season | None:
    """Return the nearest big day or long break that the next lesson is among the last two before."""
    return season_from(lessons_to_come(record, answer), answer.calendar)


def move_waits(record: Record, answer: Answer) -> bool:
    """Return whether a ready student does not move on in the next lesson, whatever makes the move wait."""
    is_season = answer.next_unit is not None and season_ahead(record, answer) is not None
    return answer.stays or answer.lapses or is_season


@dataclass(frozen=True)
class PlanBlock:
    """One activity.

    Attributes:
        part: opening, review, new, music or home; without playing also listening, page, words and planning.
        minutes: whole minutes, never more than the longest activity of the band.
        skills: what it is for; none where the student chooses or no skill is meant.
        why: one-thing, look-first, beneath, blocker, group, from-before, waited-for, rest,
            in-the-making, begin, fading, keep-warm, in-passing, placing, if-comfortable, or the part again.
        is_review: whether its minutes count as review.
        begins: whether something is begun that was never asked for.
        remedy: which of the skill's activities to try, counted from 0; None for none.
        quiet, hard: see ``advice.skill_traits``; only what is looked at or worked on is hard.
        pause_before: whether the hands rest first, because playing would go on too long.
    """

    part: str
    minutes: int
    skills: tuple[str, ...]
    why: str
    is_review: bool
    begins: bool = False
    remedy: int | None = None
    quiet: bool = True
    hard: bool = False
    pause_before: bool = False


@dataclass(frozen=True)
class NotBegun:
    """Why something is not in this lesson: what was never asked for, or is unfinished from before.

    ``why`` is footing (``by`` is what it lacks first), limit (as many as may be begun are), no-room, season,
    away, on-hold, gentle (it works what rested lately), stay (it is of the next unit, and the move has not
    come), probably-there (to be looked at in passing another time) or ask-later (this is the first lesson).
    """

    skill: str
    why: str
    by: str = ""


@dataclass(frozen=True)
class Later:
    """That the earliest day of a move gets later even where all of a lesson is shown without help.

    ``skills`` are what would have to be shown in it too, ``move`` is the day then, None where it is far off.
    """

    skills: tuple[str, ...]
    move: int | None


@dataclass(frozen=True)
class LessonPlan:
    """The next lesson.

    Attributes:
        on: the day of the lesson, as the rhythm has it (a day number); minutes: its length.
        blocks: what is done in it, one after the other; their minutes add up to its length.
        proved: whether there is nothing better; not where a lesson of days leaves too much to compare.
        review_wanted: the review share in whole minutes; ``review`` is what there is to
            review. It is less only where too little is known yet.
        look_first: the smallest look set, in the plan as review; looks: with what else is due in the
            unit, the same as after a break (``advice.after_break``).
        outer_edge: what is not there yet and has all its footing, of the units open to the student.
        not_begun: of these units, what is not begun, and why.
        from_before: what is unfinished from earlier units (rule R12) and has no minutes, and why: on-hold,
            footing or no-room.
        presumed: what was not seen here yet and is probably there, because something shown stands on it.
        is_first: whether nothing was ever noted; is_first_back: whether it is the first lesson after a break.
        season: the big day or break that is near, if any.
        later: what makes the earliest day of a move later, None where nothing does.
        said: the latest remark on each skill of the blocks.
        is_paused: whether a pause is open, so that nothing is played.
        too_much: what exceeds a number of the pacing: lesson or block, and of the home tasks above-usual,
            without-pause or sudden-rise.
        cautions: the ids of those that are due, as in ``words.cautions``.
        lately: the holds that the student still comes back from.
    """

    on: int | None
    minutes: int
    blocks: tuple[PlanBlock, ...]
    proved: bool
    review_wanted: int
    look_first: tuple[str, ...]
    looks: tuple[str, ...]
    outer_edge: tuple[str, ...]
    not_begun: tuple[NotBegun, ...]
    from_before: tuple[NotBegun, ...]
    presumed: tuple[str, ...]
    is_first: bool
    is_first_back: bool
    is_paused: bool
    season: Season | None
    too_much: tuple[str, ...]
    cautions: tuple[str, ...]
    later: Later | None = None
    said: tuple[Said, ...] = ()
    lately: tuple[Hold, ...] = ()

    @property
    def review(self) -> int:
        """The minutes of review, the opening included."""
        return sum(block.minutes for block in self.blocks if block.is_review)

    @property
    def begun(self) -> tuple[str, ...]:
        """What is begun in this lesson."""
        return tuple(dict.fromkeys(skill for block in self.blocks if block.begins for skill in block.skills))
