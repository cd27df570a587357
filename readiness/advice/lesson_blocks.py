"""The blocks of a lesson: the minutes filled, cut into activities and put in order.

One function for each kind of lesson: in a unit, for placing, and under a hold. What is
maximised is said in ``advice.lesson``.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator, Sequence
from dataclasses import replace
from itertools import cycle, pairwise
from typing import Final

from readiness.advice.after_hold import UNPLAYED
from readiness.advice.ground import comfortable, favourites, glance_skills
from readiness.advice.lesson_values import LessonBlock
from readiness.advice.lesson_work import LOOK, Filled, Work, best_filling, pieces
from readiness.advice.order import ANYWHERE, CAN_WAIT, DECIDES, Thing, best_order
from readiness.advice.sheet import KEEP_WARM, placing_items
from readiness.advice.skill_traits import activities, is_hard
from readiness.record.model import Record
from readiness.terms import State

__all__ = ["Blocks", "held_blocks", "lesson_blocks", "placing_blocks"]

_RANK: Final = {
    "one-thing": DECIDES, "look-first": DECIDES, "blocker": DECIDES, "group": DECIDES, "placing": DECIDES,
    "beneath": DECIDES,
    "keep-warm": ANYWHERE, "fading": ANYWHERE, "music": ANYWHERE, "if-comfortable": ANYWHERE,
    **dict.fromkeys(UNPLAYED, ANYWHERE),
}  # fmt: skip


Blocks = tuple[tuple[LessonBlock, ...], bool]
"""The blocks of a lesson, and whether they are proved to be the best there are."""


def lesson_blocks(work: Work) -> Blocks:
    """Return the blocks of a lesson in a unit."""
    shares, answer = work.shares, work.answer
    learn = work.to_learn()
    learned, is_best = _learned(work, learn)
    taught = [skill for skill, length in zip(learn, learned, strict=True) if length]
    look = work.to_review(taught)
    looked, looks_best = best_filling([work.looking(skill) for skill in look], shares.review)
    middle = [*_filled(work, learn, learned, "new"), *_filled(work, look, looked, "review")]
    spare = shares.new + shares.review - sum(learned) - sum(looked)
    liked = favourites(work.course, answer, work.resting | work.disliked)
    middle += _music(work, liked, spare)
    first = (answer.one_thing, *taught, *answer.look_first, *liked[:1])
    task = next(filter(work.may_be_practised, filter(None, first)), None)
    blocks, in_best = _laid_out(work, glance_skills(work.course, answer), middle, (task,) if task else ())
    return blocks, is_best and looks_best and in_best


def _learned(work: Work, learn: Sequence[str]) -> Filled:
    """Return the minutes for what is taught; one more thing is begun only where minutes would be left."""
    choices = [work.learning(skill) for skill in learn]
    usual, most = (work.band.whole(f"new_skills_per_lesson{end}") for end in ("", "_max"))
    found = best_filling(choices, work.shares.new, usual)
    for begun in range(usual + 1, most + 1):
        if sum(found.minutes) < work.shares.new:
            found = best_filling(choices, work.shares.new, begun)
    return found


def _music(work: Work, liked: Sequence[str], spare: int) -> Iterator[LessonBlock]:
    """Yield blocks for making music: another piece in each, then a free choice, and so round again.

    After a rest the minutes without playing stand between them, and what is to ``spare`` goes to these.
    """
    minutes = work.shares.music + (0 if work.tender else spare)
    turns: Iterator[tuple[str, ...]] = cycle([*((piece,) for piece in liked), ()])
    played = [replace(block, skills=next(turns)) for block in _plain(work, "music", minutes, quiet=False)]
    unplayed = work.shares.unplayed + (spare if work.tender else 0)
    return _in_turn(played, [*_unplayed(work, unplayed, UNPLAYED[:-1], is_review=work.is_all_review)])


def _unplayed(work: Work, minutes: int, parts: Sequence[str], *, is_review: bool) -> Iterator[LessonBlock]:
    for part, length in zip(cycle(parts), pieces(minutes, work.longest), strict=False):
        yield LessonBlock(part, length, (), part, is_review=is_review)


def _filled(work: Work, skills: Sequence[str], lengths: Sequence[int], part: str) -> Iterator[LessonBlock]:
    for skill, length in zip(skills, lengths, strict=True):
        yield from _blocks_for(work, skill, length, part, work.why(skill))


def placing_blocks(work: Work, record: Record) -> Blocks:
    """Return the blocks of a placing lesson: the items of the placing look, from easy to hard."""
    most = work.course.band[work.answer.band].whole("check_items_max")
    items, _ = placing_items(work.course, record, work.answer, work.resting, most)
    probes = [item.skills[0] for item in items if item.why not in ("always-look", "favourite")]
    even = min(work.longest, max(LOOK, -(-work.shares.review // max(1, len(probes)))))
    choices = [replace(work.looking(skill), most=even, worth=(1,)) for skill in probes]
    room = min(work.shares.review + work.shares.unplayed, max(work.shares.review, LOOK * len(probes)))
    lengths, proved = best_filling(choices, room)
    looks = [
        block
        for skill, length in zip(probes, lengths, strict=True)
        for block in _blocks_for(work, skill, length, "review", "placing")
    ]
    music = _music(work, (), work.shares.review - sum(lengths))
    glance = glance_skills(work.course, work.answer)
    opening = _plain(work, "opening", work.shares.opening, glance, quiet=True)
    home = _plain(work, "home", work.shares.home, quiet=True)
    return _with_pauses(work, [*opening, *_parted(looks, [*music]), *home]), proved


def _parted(looks: Sequence[LessonBlock], music: Sequence[LessonBlock]) -> Iterator[LessonBlock]:
    """Yield looks in their order with music between hard ones, evenly; what is left of it comes last."""
    between = [at for at, (one, two) in enumerate(pairwise(looks), 1) if one.hard and two.hard]
    few = min(len(music), len(between))
    places = {between[(2 * n + 1) * len(between) // (2 * few)]: music[n] for n in range(few)}
    for at, look in enumerate(looks):
        yield from [places[at]] if at in places else []
        yield look
    yield from music[few:]


def held_blocks(work: Work, record: Record) -> Blocks:
    """Return the blocks of a lesson under a hold: nothing is played, and no task is given."""
    may = comfortable(work, record)[:KEEP_WARM]
    rest = work.minutes - work.shares.opening
    choices = [replace(work.looking(skill), worth=(1,)) for skill in may]
    lengths, proved = best_filling(choices, rest)
    middle = [
        block
        for skill, length in zip(may, lengths, strict=True)
        for block in _blocks_for(work, skill, length, "review", "if-comfortable")
    ]
    opening = _plain(work, "opening", work.shares.opening, quiet=True)
    quiet = _unplayed(work, rest - sum(lengths), UNPLAYED, is_review=True)
    return (*opening, *_in_turn(middle, [*quiet])), proved


def _in_turn(one: Sequence[LessonBlock], other: Sequence[LessonBlock]) -> Iterator[LessonBlock]:
    """Yield blocks of two kinds in turn, then what is left of the longer."""
    for first, second in zip(one, other, strict=False):
        yield from (first, second)
    shorter = min(len(one), len(other))
    yield from (*one[shorter:], *other[shorter:])


def _laid_out(
    work: Work, glance: tuple[str, ...], middle: Sequence[LessonBlock], task: tuple[str, ...]
) -> Blocks:
    """Return the whole lesson in its order, with the pauses the hands need."""
    opening = tuple(_plain(work, "opening", work.shares.opening, glance, quiet=True))
    home = tuple(_plain(work, "home", work.shares.home, task, quiet=True))
    parts = Counter((block.part, block.skills) for block in middle)
    things = [_thing(block, parts[block.part, block.skills] > 1) for block in middle]
    edge = Thing(ANYWHERE, hard=False, quiet=True)
    order = best_order(things, edge if opening else None, edge if home else None)
    return _with_pauses(work, [*opening, *(middle[i] for i in order.places), *home]), order.proved


def _thing(block: LessonBlock, is_part: bool) -> Thing:
    """Return a block as a thing to put in order; blocks of one skill are parts of a whole."""
    key = block.skills[0] if block.skills and block.part != "music" else block.part
    return Thing(_RANK.get(block.why, CAN_WAIT), block.hard, block.quiet, key if is_part else "")


def _with_pauses(work: Work, blocks: Sequence[LessonBlock]) -> tuple[LessonBlock, ...]:
    """Mark where the hands rest first, so that playing never goes on for too long."""
    limit = work.without_pause
    played = 0
    marked = []
    for block in blocks:
        needs_pause = not block.quiet and played > 0 and played + block.minutes > limit
        played = 0 if block.quiet else block.minutes if needs_pause else played + block.minutes
        marked.append(replace(block, pause_before=needs_pause))
    return tuple(marked)


def _blocks_for(work: Work, skill: str, minutes: int, part: str, why: str) -> Iterator[LessonBlock]:
    """Yield the blocks for a skill, each short enough; activities change from block to block."""
    one = work.course.skill[skill]
    is_tried = part == "new" and work.state(skill) != State.UNTRIED
    fit = activities(one, work.answer.age) if is_tried or why == "one-thing" else ()
    for number, length in enumerate(pieces(minutes, work.longest)):
        yield LessonBlock(
            part, length, (skill,), why,
            is_review=part == "review",
            begins=part == "new" and work.state(skill) == State.UNTRIED,
            remedy=fit[number % len(fit)] - 1 if fit else None,
            quiet=one.quiet,
            hard=work.state(skill) != State.SECURE and is_hard(one, work.answer.standings[skill]),
        )  # fmt: skip


def _plain(
    work: Work, part: str, minutes: int, skills: tuple[str, ...] = (), *, quiet: bool
) -> Iterator[LessonBlock]:
    """Yield the blocks of a part that is not for one open skill."""
    is_review = part == "opening" or work.is_all_review
    for length in pieces(minutes, work.longest):
        yield LessonBlock(part, length, skills, part, is_review=is_review, quiet=quiet)
