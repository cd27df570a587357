"""The next lesson in whole minutes.

The minutes of each part follow from the pacing (``advice.lesson_work``). What fills them is the
best there is, not a guess (``advice.lesson_work``, exact). Maximised is, in this sequence:

*New* minutes: working on the one thing; then how many things that decide are worked on; then
how much waits for what is worked on (skills of this and the next unit, not there yet, that are
it or stand on it); then the minutes used; then the fewest different things.
*Review* minutes, with what is left: what lies lowest under what is looked at; the one thing, if
it found no new minutes; then how many of the look-first set; then how many of the looks
beside it that are listed after a break (``advice.after_break``); then how many things that
decide; then how many that are unfinished from earlier units (rule R12); then how much waits for
them; then how many are about to fade; then the minutes used; then the fewest different things.
What is due soonest wins a tie. What the use of these keeps warm anyway (rule R5) is not reviewed by itself.

Never given up for any of that: the blocks add up to the lesson; none is longer than
``activity_minutes``; at most ``new_skills_per_lesson`` are begun, up to
``new_skills_per_lesson_max`` where minutes would be left over, and only with all their
footing there, or probably there (``advice.placing.presumed``); nothing is practised above something
shaky, because that strengthens nothing. What was never asked for is begun; it is looked at in the
review minutes, and not taught, where that settles something: the one thing, the look-first set,
what is probably there, and in the first two lessons what decides or is open. Minutes for which
there is too little known to review, or nothing to work on, go to making music. In the first
lesson of all and in the first after a break nothing is begun, and the minutes for that go to more
looks; after a break all counts as review. Before a big day or a
long break nothing is begun; under a hold nothing is played. The blocks stand in the best order
(``advice.order``, exact), the same as on a check sheet. Values only; the sentences are in ``words.plan``.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from readiness.advice.after_hold import closed_lately
from readiness.advice.lesson_blocks import Blocks, held_blocks, lesson_blocks, placing_blocks
from readiness.advice.lesson_values import LessonBlock, LessonPlan, NotBegun
from readiness.advice.lesson_work import Work
from readiness.advice.season import Season, season_ahead
from readiness.course.model import Band, Course
from readiness.judging.answer import Answer
from readiness.judging.dates import break_of
from readiness.judging.remarks import cautions_for
from readiness.record.model import Record
from readiness.record.practice import practice_on
from readiness.terms import Verdict

__all__ = ["LessonBlock", "LessonPlan", "NotBegun", "plan_lesson", "planned", "too_much"]

# Where a lesson or the home practice goes beyond the numbers of the pacing (caution C4).
#
# The numbers are common practice only; comfort decides. So nothing is refused here: it is
# named, and the caution stands beside it.


def too_much(record: Record, answer: Answer, band: Band, minutes: int) -> tuple[str, ...]:
    """Return what exceeds: lesson or block, and of the home tasks above-usual, without-pause, sudden-rise."""
    tests = {
        "lesson": minutes > band.pair("lesson_minutes_range")[1],
        "block": band.whole("activity_minutes") > band.whole("play_without_pause_minutes"),
    }
    given = [task for task in record.tasks if task.given <= answer.on]
    found = tuple(name for name, applies in tests.items() if applies)
    return (*found, *practice_on(given, band, answer.on).too_much)


def plan_lesson(
    course: Course, record: Record, answer: Answer, minutes: int | None = None
) -> LessonPlan:
    """Return the plan of the next lesson after the day of an answer.

    Args:
        minutes: the length of the lesson; that of the band without.
    """
    course, is_paused = course.on(answer.on), answer.verdict == Verdict.PAUSED
    season = season_ahead(record, answer)
    work, (blocks, proved) = planned(course, record, answer, minutes, season)
    length, is_placed = work.minutes, not is_paused and answer.placing is None
    exceeds = () if is_paused else too_much(record, answer, course.band[answer.band], length)
    return LessonPlan(
        on=answer.next_lesson,
        minutes=length,
        blocks=blocks,
        proved=proved,
        review_wanted=length if is_paused or work.is_all_review else work.shares.opening + work.shares.review,
        look_first=answer.look_first,
        looks=work.looks,
        outer_edge=work.outer_edge() if is_placed else (),
        not_begun=_not_begun(work, blocks, season) if is_placed else (),
        from_before=tuple(_from_before(work, blocks)) if is_placed else (),
        presumed=course.plan.names(course.plan.set_of(work.unseen)) if is_placed else (),
        is_first=work.is_first and is_placed,
        is_first_back=work.is_first_back,
        is_paused=is_paused,
        season=None if is_paused else season,
        said=record.said(answer.on, (skill for block in blocks for skill in block.skills)),
        too_much=exceeds,
        lately=closed_lately(course, record, answer.on),
        cautions=_cautions(course, record, answer, blocks, exceeds),
    )


def planned(
    course: Course, record: Record, answer: Answer, minutes: int | None, season: Season | None
) -> tuple[Work, Blocks]:
    """Return what the blocks of the next lesson are filled from, and the blocks.

    Args:
        course: that of the day; record, answer, minutes: as for :func:`plan_lesson`.
        season: the big day or break that is near, if any.
    """
    length = course.band[answer.band].whole("lesson_minutes") if minutes is None else minutes
    lessons = () if answer.last_lesson is None else (answer.last_lesson,)
    is_back = bool(break_of(course, answer, lessons, answer.next_lesson or 0))
    work = Work(course, record, answer, length, is_first_back=is_back, may_begin=season is None)
    if answer.verdict == Verdict.PAUSED:
        return work, held_blocks(work, record)
    return work, lesson_blocks(work) if answer.placing is None else placing_blocks(work, record)


def _cautions(
    course: Course, record: Record, answer: Answer, blocks: Sequence[LessonBlock], exceeds: Sequence[str]
) -> tuple[str, ...]:
    found = cautions_for(
        course, record, answer.on, [skill for block in blocks for skill in block.skills], answer.findings,
        paused=answer.verdict == Verdict.PAUSED, seat_open="C5" in answer.cautions,
    )  # fmt: skip
    return tuple(sorted({*found, *(["C4"] if exceeds else [])}, key=lambda one: int(one[1:])))


def _not_begun(work: Work, blocks: Sequence[LessonBlock], season: Season | None) -> tuple[NotBegun, ...]:
    """Return what was never asked for, of this unit or with its footing there, and is not in the lesson."""
    there = {skill for block in blocks if block.part in ("new", "review") for skill in block.skills}
    begun = {skill for block in blocks if block.begins for skill in block.skills}
    is_full = len(begun) >= work.band.whole("new_skills_per_lesson")
    return tuple(
        NotBegun(skill, *_why_not(work, skill, season, is_full=is_full))
        for skill in work.never_asked()
        if skill not in there
    )


def _from_before(work: Work, blocks: Sequence[LessonBlock]) -> Iterator[NotBegun]:
    """Yield what is unfinished from earlier units (rule R12) and has no minutes in the lesson."""
    there = {skill for block in blocks for skill in block.skills}
    for skill in (one.skill for one in work.answer.brought_along if one.skill not in there):
        lacking = work.lacking(skill)
        why = "on-hold" if skill in work.resting else "footing" if lacking else "no-room"
        yield NotBegun(skill, why, lacking if why == "footing" else "")


def _why_not(work: Work, skill: str, season: Season | None, *, is_full: bool) -> tuple[str, str]:
    """Return why a skill waits, and by what it is held back where its footing lacks."""
    lacking = work.lacking(skill)
    reasons = (
        ("on-hold", skill in work.resting),
        ("gentle", skill in work.tender),
        ("probably-there", skill in work.unseen),
        ("ask-later", work.is_first and work.is_open(skill)),
        ("footing", bool(lacking)),
        ("away", work.is_first_back),
        ("season", season is not None),
        ("stay", not work.is_open(skill)),
        ("limit", is_full),
    )
    why = next((why for why, holds in reasons if holds), "no-room")
    return why, lacking if why == "footing" else ""
