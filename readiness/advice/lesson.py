"""The next lesson in whole minutes.

The minutes of each part follow from the pacing (``advice.lesson_work``). What fills them is the
best there is, not a guess (``advice.lesson_work``, exact). Maximised is, in this sequence:

*New* minutes: working on the one thing; then how many urgent things, which are what the earliest day of a
move supposes to be shown in this very lesson and what lies lowest under it; then how many things that decide;
then how much waits for what is worked on (skills of this and the next unit, not there yet, that are it or
stand on it); then the minutes used; then the fewest different things. What is urgent and only looked at is
looked at in these where the review has no minutes for it, so that nothing that can wait comes before it.
*Review* minutes, with what is left: what lies lowest under what is looked at; the one thing, if it found no
new minutes; then how many of the look-first set; then how many urgent things; then how many of the looks
beside it that are listed after a break (``advice.after_break``); then how many things that decide; then how
many that are unfinished from earlier units (rule R12); then how much waits for them; then how many are about
to fade; then the minutes used; then the fewest different things. What is due soonest wins a tie. What the use
of these keeps warm anyway (rule R5) is not reviewed by itself. Where the earliest day gets later all the
same, the plan says so.

Never given up for any of that: the blocks add up to the lesson; none is longer than ``activity_minutes``; at
most ``new_skills_per_lesson`` are begun, up to ``new_skills_per_lesson_max`` where minutes would be left
over, and only with all their footing there, or probably there (``advice.ground``); nothing is practised above
something shaky, because that strengthens nothing. What was never asked for is begun; it is looked at in the
review minutes, and not taught, where that settles something: the one thing, the look-first set, what is
probably there, and in the first two lessons what decides or is open. Minutes for which there is too little
known to review, or nothing to work on, go to making music. In the first lesson of all and in the first after
a break nothing is begun, and the minutes for that go to more looks; after a break all counts as review.
Before a big day or a long break nothing is begun; under a hold nothing is played. The blocks stand in the
best order (``advice.skill_traits``, exact), the same as on a check sheet. Values only, no sentence.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator, Sequence
from dataclasses import replace
from itertools import cycle, pairwise, zip_longest
from typing import Final

from readiness.advice.after_break import UNPLAYED, closed_lately
from readiness.advice.ground import comfortable, favourites, glance_skills
from readiness.advice.lesson_work import LOOK, Filled, LessonWork, best_filling, pieces
from readiness.advice.plan import Later, LessonPlan, NotBegun, PlanBlock, season_ahead
from readiness.advice.sheet import KEEP_WARM, placing_items
from readiness.advice.skill_traits import ANYWHERE, CAN_WAIT, DECIDES, Thing, activities, best_order
from readiness.course.model import Band, Course
from readiness.judging.answer import Answer
from readiness.judging.history import known_on
from readiness.judging.lookahead import break_of, earliest_date
from readiness.judging.reasons import cautions_for
from readiness.record.entries import practice_on
from readiness.record.model import Record
from readiness.record.rhythm import Season
from readiness.terms import State, Verdict

__all__ = [
    "MINUTES", "SHOWN", "Blocks", "LessonPlan", "NotBegun", "PlanBlock", "held_blocks", "left_for_later",
    "lesson_blocks", "placing_blocks", "plan_lesson", "planned", "too_much",
]  # fmt: skip

MINUTES: Final = 10, 90
"""The least and the most a lesson may be said to take."""

_RANK: Final = {
    "one-thing": DECIDES, "look-first": DECIDES, "blocker": DECIDES, "group": DECIDES, "placing": DECIDES,
    "beneath": DECIDES,
    "keep-warm": ANYWHERE, "fading": ANYWHERE, "music": ANYWHERE, "if-comfortable": ANYWHERE,
    **dict.fromkeys(UNPLAYED, ANYWHERE),
}  # fmt: skip


SHOWN: Final = ("opening", "review", "new")
"""The parts of a lesson in which skills are seen."""

Blocks = tuple[tuple[PlanBlock, ...], bool]
"""The blocks of a lesson, and whether they are proved to be the best there are."""


def lesson_blocks(work: LessonWork) -> Blocks:
    """Return the blocks of a lesson in a unit."""
    shares, answer = work.shares, work.answer
    middle, is_best = _worked_on(work)
    spare = shares.new + shares.review - sum(block.minutes for block in middle)
    liked = favourites(work.course, answer, work.resting | work.disliked)
    new = (block.skills[0] for block in middle if block.part == "new")
    taught = [skill for skill in new if work.may_be_taught(skill)]
    middle += _music(work, liked, spare)
    first = (answer.one_thing, *taught, *answer.look_first, *liked[:1])
    task = next((skill for skill in first if skill and work.may_be_practised(skill, taught)), None)
    blocks, in_best = _laid_out(work, glance_skills(work.course, answer), middle, (task,) if task else ())
    return blocks, is_best and in_best


def _worked_on(work: LessonWork) -> tuple[list[PlanBlock], bool]:
    """Return the blocks of the new and the review minutes, and whether they are proved to be the best."""
    crowded: list[str] = []
    while True:
        learn = work.to_learn(crowded)
        learned, is_best = _learned(work, learn)
        look = work.to_review(skill for skill, length in zip(learn, learned, strict=True) if length)
        looked, looks_best = best_filling([work.looking(skill) for skill in look], work.shares.review)
        left = [skill for skill, length in zip(look, looked, strict=True) if not length]
        if not (more := [skill for skill in left if skill in work.urgent and skill not in learn]):
            blocks = [*_filled(work, learn, learned, "new"), *_filled(work, look, looked, "review")]
            return blocks, is_best and looks_best
        crowded += more


def _learned(work: LessonWork, learn: Sequence[str]) -> Filled:
    """Return the minutes for what is taught; one more thing is begun only where minutes would be left."""
    choices = [work.learning(skill) for skill in learn]
    usual, most = (work.band.whole(f"new_skills_per_lesson{end}") for end in ("", "_max"))
    found = best_filling(choices, work.shares.new, usual)
    for begun in range(usual + 1, most + 1):
        if sum(found.minutes) < work.shares.new:
            found = best_filling(choices, work.shares.new, begun)
    return found


def _music(work: LessonWork, liked: Sequence[str], spare: int) -> Iterator[PlanBlock]:
    """Yield blocks for making music: another piece in each, then a free choice, and so round again.

    After a rest the minutes without playing stand between them, and what is to ``spare`` goes to these.
    """
    minutes = work.shares.music + (0 if work.tender else spare)
    turns: Iterator[tuple[str, ...]] = cycle([*((piece,) for piece in liked), ()])
    played = [replace(block, skills=next(turns)) for block in _plain(work, "music", minutes, quiet=False)]
    unplayed = work.shares.unplayed + (spare if work.tender else 0)
    return _in_turn(played, [*_unplayed(work, unplayed, UNPLAYED[:-1], is_review=work.is_all_review)])


def _unplayed(
    work: LessonWork, minutes: int, parts: Sequence[str], *, is_review: bool
) -> Iterator[PlanBlock]:
    for part, length in zip(cycle(parts), pieces(minutes, work.longest), strict=False):
        yield PlanBlock(part, length, (), part, is_review=is_review)


def _filled(
    work: LessonWork, skills: Sequence[str], lengths: Sequence[int], part: str, why: str = ""
) -> Iterator[PlanBlock]:
    for skill, length in zip(skills, lengths, strict=True):
        yield from _blocks_for(work, skill, length, part, why or work.why(skill))


def placing_blocks(work: LessonWork) -> Blocks:
    """Return the blocks of a placing lesson: the items of the placing look, from easy to hard."""
    items, _ = placing_items(work, work.course.band[work.answer.band].whole("check_items_max"))
    probes = [item.skills[0] for item in items if item.why not in ("always-look", "favourite")]
    even = min(work.longest, max(LOOK, -(-work.shares.review // max(1, len(probes)))))
    choices = [replace(work.looking(skill), most=even, worth=(1,)) for skill in probes]
    room = min(work.shares.review + work.shares.unplayed, max(work.shares.review, LOOK * len(probes)))
    lengths, proved = best_filling(choices, room)
    looks = [*_filled(work, probes, lengths, "review", "placing")]
    music = _music(work, (), work.shares.review - sum(lengths))
    glance = glance_skills(work.course, work.answer)
    opening = _plain(work, "opening", work.shares.opening, glance, quiet=True)
    home = _plain(work, "home", work.shares.home, quiet=True)
    return _with_pauses(work, [*opening, *_parted(looks, [*music]), *home]), proved


def _parted(looks: Sequence[PlanBlock], music: Sequence[PlanBlock]) -> Iterator[PlanBlock]:
    """Yield looks in their order with music between hard ones, evenly; what is left of it comes last."""
    between = [at for at, (one, two) in enumerate(pairwise(looks), 1) if one.hard and two.hard]
    few = min(len(music), len(between))
    places = {between[(2 * n + 1) * len(between) // (2 * few)]: music[n] for n in range(few)}
    for at, look in enumerate(looks):
        yield from [places[at]] if at in places else []
        yield look
    yield from music[few:]


def held_blocks(work: LessonWork) -> Blocks:
    """Return the blocks of a lesson under a hold: nothing is played, and no task is given."""
    may = comfortable(work)[:KEEP_WARM]
    rest = work.minutes - work.shares.opening
    lengths, proved = best_filling([replace(work.looking(skill), worth=(1,)) for skill in may], rest)
    middle = [*_filled(work, may, lengths, "review", "if-comfortable")]
    opening = _plain(work, "opening", work.shares.opening, quiet=True)
    quiet = _unplayed(work, rest - sum(lengths), UNPLAYED, is_review=True)
    return (*opening, *_in_turn(middle, [*quiet])), proved


def _in_turn(blocks: Sequence[PlanBlock], others: Sequence[PlanBlock]) -> Iterator[PlanBlock]:
    """Yield blocks of two kinds in turn, then what is left of the longer."""
    for pair in zip_longest(blocks, others):
        yield from filter(None, pair)


def _laid_out(
    work: LessonWork, glance: tuple[str, ...], middle: Sequence[PlanBlock], task: tuple[str, ...]
) -> Blocks:
    """Return the whole lesson in its order, with the pauses the hands need."""
    opening = tuple(_plain(work, "opening", work.shares.opening, glance, quiet=True))
    home = tuple(_plain(work, "home", work.shares.home, task, quiet=True))
    parts = Counter((block.part, block.skills) for block in middle)
    things = [_thing(block, parts[block.part, block.skills] > 1) for block in middle]
    edge = Thing(ANYWHERE, hard=False, quiet=True)
    order = best_order(things, edge if opening else None, edge if home else None)
    return _with_pauses(work, [*opening, *(middle[i] for i in order.places), *home]), order.proved


def _thing(block: PlanBlock, is_part: bool) -> Thing:
    """Return a block as a thing to put in order; blocks of one skill are parts of a whole."""
    key = block.skills[0] if block.skills and block.part != "music" else block.part
    return Thing(_RANK.get(block.why, CAN_WAIT), block.hard, block.quiet, key if is_part else "")


def _with_pauses(work: LessonWork, blocks: Sequence[PlanBlock]) -> tuple[PlanBlock, ...]:
    """Mark where the hands rest first, so that playing never goes on for too long."""
    limit = work.without_pause
    played = 0
    marked = []
    for block in blocks:
        needs_pause = not block.quiet and played > 0 and played + block.minutes > limit
        played = 0 if block.quiet else block.minutes if needs_pause else played + block.minutes
        marked.append(replace(block, pause_before=needs_pause))
    return tuple(marked)


def _blocks_for(work: LessonWork, skill: str, minutes: int, part: str, why: str) -> Iterator[PlanBlock]:
    """Yield the blocks for a skill, each short enough; activities change from block to block."""
    one = work.course.skill[skill]
    is_new = part == "new" and work.may_be_taught(skill)
    is_tried = work.state(skill) != State.UNTRIED
    is_worked_on = is_new or is_tried if why == "one-thing" else is_new and is_tried
    is_look = work.is_first_back and skill in work.answer.look_first
    fit = activities(one, work.record, work.answer) if is_worked_on and not is_look else ()
    for number, length in enumerate(pieces(minutes, work.longest)):
        yield PlanBlock(
            part, length, (skill,), why,
            is_review=part == "review",
            begins=is_new and not is_tried,
            remedy=fit[number % len(fit)] - 1 if fit else None,
            quiet=one.quiet,
            hard=work.state(skill) != State.SECURE and work.is_hard(skill),
        )  # fmt: skip


def _plain(
    work: LessonWork, part: str, minutes: int, skills: tuple[str, ...] = (), *, quiet: bool
) -> Iterator[PlanBlock]:
    """Yield the blocks of a part that is not for one open skill."""
    is_review = part == "opening" or work.is_all_review
    for length in pieces(minutes, work.longest):
        yield PlanBlock(part, length, skills, part, is_review=is_review, quiet=quiet)


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


def plan_lesson(course: Course, record: Record, answer: Answer, minutes: int | None = None) -> LessonPlan:
    """Return the plan of the next lesson after an answer, of some minutes or as many as the band has."""
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
        later=work.later(skill for block in blocks if block.part in SHOWN for skill in block.skills),
        lately=closed_lately(course, record, answer.on),
        cautions=_cautions(course, record, answer, blocks, exceeds),
    )


def left_for_later(course: Course, record: Record, answer: Answer) -> Later | None:
    """Return ``later`` of the plan of the next lesson; none is made where the move does not hang on it."""
    course, move = course.on(answer.on), answer.earliest_told
    if move is None or answer.is_ready or answer.stays:
        return None
    known = known_on(course, record, answer.on, answer.calendar)
    anyway = earliest_date(course, known, 0).move  # whatever is shown, it is never later
    return None if anyway is not None and anyway <= move else plan_lesson(course, record, answer).later


def planned(
    course: Course, record: Record, answer: Answer, minutes: int | None, season: Season | None
) -> tuple[LessonWork, Blocks]:
    """Return what the blocks of the next lesson are filled from, and the blocks.

    Args:
        course: that of the day; record, answer, minutes: as for :func:`plan_lesson`.
        season: the big day or break that is near, if any.
    """
    length = course.band[answer.band].whole("lesson_minutes") if minutes is None else minutes
    lessons = () if answer.last_lesson is None else (answer.last_lesson,)
    is_back = bool(break_of(course, answer, lessons, answer.next_lesson or 0))
    work = LessonWork(course, record, answer, length, is_first_back=is_back, may_begin=season is None)
    if answer.verdict == Verdict.PAUSED:
        return work, held_blocks(work)
    return work, lesson_blocks(work) if answer.placing is None else placing_blocks(work)


def _cautions(
    course: Course, record: Record, answer: Answer, blocks: Sequence[PlanBlock], exceeds: Sequence[str]
) -> tuple[str, ...]:
    found = cautions_for(
        course, record, answer.on, [skill for block in blocks for skill in block.skills], answer.findings,
        paused=answer.verdict == Verdict.PAUSED, seat_open="C5" in answer.cautions,
    )  # fmt: skip
    return tuple(sorted({*found, *(["C4"] if exceeds else [])}, key=lambda one: int(one[1:])))


def _not_begun(work: LessonWork, blocks: Sequence[PlanBlock], season: Season | None) -> tuple[NotBegun, ...]:
    """Return what was never asked for, of this unit or with its footing there, and is not in the lesson."""
    there = {skill for block in blocks if block.part in ("new", "review") for skill in block.skills}
    begun = {skill for block in blocks if block.begins for skill in block.skills}
    is_full = len(begun) >= work.band.whole("new_skills_per_lesson")
    left = (
        NotBegun(skill, *_why_not(work, skill, season, is_full=is_full))
        for skill in work.never_asked()
        if skill not in there
    )
    return tuple(one for one in left if one.why != "season" or not work.course.skill[one.skill].never_waits)


def _from_before(work: LessonWork, blocks: Sequence[PlanBlock]) -> Iterator[NotBegun]:
    """Yield what is unfinished from earlier units (rule R12) and has no minutes in the lesson."""
    there = {skill for block in blocks for skill in block.skills}
    for skill in (one.skill for one in work.answer.brought_along if one.skill not in there):
        lacking = work.lacking(skill)
        why = "on-hold" if skill in work.resting else "footing" if lacking else "no-room"
        yield NotBegun(skill, why, lacking if why == "footing" else "")


def _why_not(work: LessonWork, skill: str, season: Season | None, *, is_full: bool) -> tuple[str, str]:
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
