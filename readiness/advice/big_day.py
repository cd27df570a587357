"""A big day or a long break ahead: what is played, what is kept warm, what waits until after.

The season rules of the trade (common practice, no source): nothing new in the last two lessons
before it; pieces come from what is settled, about one unit below the live one, chosen five to
eight lesson weeks ahead; what is always looked at is looked at all the same; a skill of
performing never decides for somebody who is frightened. Under a hold nothing is prepared.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from itertools import takewhile
from typing import Final

from readiness.advice.ground import teaching_order
from readiness.advice.review import KeepWarm, break_between, keep_warm
from readiness.advice.season import LAST_LESSONS, LONG_BREAK, lessons_to_come
from readiness.advice.skill_traits import left_out, resting_skills
from readiness.course.model import Course, Skill, bits
from readiness.judging.answer import GAP_STATES, Answer
from readiness.judging.cover import Want, smallest_cover
from readiness.judging.history import known_on
from readiness.judging.states import judge_states
from readiness.lazy import dataclass
from readiness.record.model import Record
from readiness.record.rhythm import Event
from readiness.terms import Kind, State, Verdict

__all__ = ["BigDay", "Piece", "prepare"]

PIECES: Final = 5
CHOOSE_WEEKS: Final = (8, 5)


@dataclass(frozen=True)
class Piece:
    """Something settled to play: ``due_by_then`` says that its window ends before the day."""

    skill: str
    unit: str
    fresh_until: int | None
    due_by_then: bool


@dataclass(frozen=True)
class BigDay:
    """What comes before a day or a break, and what waits.

    Attributes:
        kind: event, break, or holidays (too short to change anything).
        lessons: the lessons before it, after the day asked about.
        last_new: the last lesson in which something new may be begun; None: none is left.
        choose: the first and the last day of choosing the pieces.
        pieces: best first.
        review: the fewest showings that keep what decides, and what is under the pieces, fresh
            until that day; empty where nothing is due by then.
        due: what of it would be due by then.
        going_on: what is open and may be gone on with, for it is not new.
        waits: what is not begun until after, once the last two lessons have come.
        glance: what is looked at in every lesson.
        performing: the skills of playing for people that are asked for now.
        warm: for a break, the keep-warm list.
    """

    kind: str
    event: Event
    lessons: tuple[int, ...]
    last_new: int | None
    choose: tuple[int, int]
    pieces: tuple[Piece, ...]
    review: tuple[str, ...]
    due: tuple[str, ...]
    going_on: tuple[str, ...]
    waits: tuple[str, ...]
    glance: tuple[str, ...]
    performing: tuple[str, ...]
    warm: KeepWarm | None


def prepare(course: Course, record: Record, answer: Answer, event: Event) -> BigDay:
    """Return what to do before an event; it lies after the day of the answer."""
    course = course.on(answer.on)
    lessons = tuple(takewhile(lambda day: day < event.first, lessons_to_come(record, answer)))
    free = lessons[:-LAST_LESSONS]
    kind = _kind(event)
    is_paused = answer.verdict == Verdict.PAUSED or answer.unit is None
    pieces = () if is_paused or kind != "event" else tuple(_pieces(course, record, answer, event))
    due, review = ((), ()) if is_paused else _review(course, record, answer, event, pieces)
    is_break = kind == "break" and not is_paused
    return BigDay(
        kind=kind,
        event=event,
        lessons=lessons,
        last_new=free[-1] if free else None,
        choose=(event.first - 7 * CHOOSE_WEEKS[0], event.first - 7 * CHOOSE_WEEKS[1]),
        pieces=pieces,
        review=review,
        due=due,
        going_on=() if is_paused else tuple(_going_on(course, record, answer)),
        waits=() if is_paused else tuple(_waits(course, answer)),
        glance=tuple(s.id for s in course.skills if s.always_look and s.id in answer.deciding),
        performing=tuple(_performing(course, answer)),
        warm=_warm(course, record, answer, event) if is_break else None,
    )


def _kind(event: Event) -> str:
    if event.first == event.last:
        return "event"
    return "break" if event.last - event.first + 1 >= LONG_BREAK else "holidays"


def _warm(course: Course, record: Record, answer: Answer, event: Event) -> KeepWarm | None:
    ahead = break_between(record, answer, event.first, event.last, event.name)
    return None if ahead is None else keep_warm(course, record, answer, ahead)


def _pieces(course: Course, record: Record, answer: Answer, event: Event) -> Iterator[Piece]:
    """Yield settled pieces with settled ground, those about one unit below the live one first."""
    assert answer.unit is not None
    below = course.unit[answer.unit].number - 1
    resting = resting_skills(course, record, answer.on)
    able = [s for s in course.skills if s.id not in resting and s.piece and _is_safe(course, answer, s)]

    def nearness(skill: Skill) -> tuple[int, int]:
        return abs(course.unit[skill.unit].number - below), -teaching_order(course, skill.id)[1]

    for skill in sorted(able, key=nearness)[:PIECES]:
        until = answer.standings[skill.id].fresh_until
        yield Piece(skill.id, skill.unit, until, until is not None and until < event.first)


def _is_safe(course: Course, answer: Answer, skill: Skill) -> bool:
    """Return whether a skill is settled and nothing under it is a gap."""
    plan = course.plan
    under = plan.names(plan.ancestors[plan.index[skill.id]])
    return (
        answer.standings[skill.id].state == State.SECURE
        and not left_out(skill, answer)
        and not any(answer.standings[other].state in GAP_STATES for other in under)
    )


def _review(
    course: Course, record: Record, answer: Answer, event: Event, pieces: Sequence[Piece]
) -> tuple[tuple[str, ...], tuple[str, ...]]:
    """Return what would be due by the day, and the fewest showings that keep it fresh, exactly.

    Due means that a window ends. What a birthday before the day unsettles, because less help
    counts then, no showing keeps.
    """
    plan, known = course.plan, known_on(course, record, answer.on)
    resting = plan.set_of(resting_skills(course, record, answer.on))
    now = judge_states(plan, known, known.band_on(course, answer.on), answer.on)
    settled = now.among(State.SECURE, State.STALE)
    then = judge_states(plan, known, known.band_on(course, event.first), event.first)
    asked = plan.set_of((*answer.deciding, *answer.rest)) & ~plan.always_look
    for piece in pieces:
        asked |= plan.ancestors[plan.index[piece.skill]] & ~plan.must_be_seen | 1 << plan.index[piece.skill]
    due = settled & then.among(State.STALE) & asked & ~resting
    able = settled & ~resting & ~plan.always_look & plan.up_to[known.unit or 0]
    keeps = {i: plan.ancestors[i] & ~plan.must_be_seen & due | 1 << i for i in bits(able)}
    chosen = smallest_cover(keeps, tuple(Want(1 << i) for i in bits(due)), plan)
    return plan.names(due), chosen.ids


def _going_on(course: Course, record: Record, answer: Answer) -> Iterator[str]:
    """Yield what was begun and is open; it is no new thing."""
    resting = resting_skills(course, record, answer.on)
    for skill in (*answer.deciding, *answer.rest):
        state = answer.standings[skill].state
        if state in (*GAP_STATES, State.BUILDING, State.WOBBLING) and skill not in resting:
            yield skill


def _waits(course: Course, answer: Answer) -> Iterator[str]:
    """Yield what has not been begun, of this unit and the next."""
    for skill in course.skills:
        is_near = skill.unit in (answer.unit, answer.next_unit)
        if is_near and answer.standings[skill.id].state == State.UNTRIED and not left_out(skill, answer):
            yield skill.id


def _performing(course: Course, answer: Answer) -> Iterator[str]:
    for skill in course.skills:
        if (
            skill.strand == "performing"
            and skill.kind == Kind.HABIT
            and skill.id in (*answer.deciding, *answer.rest)
        ):
            yield skill.id
