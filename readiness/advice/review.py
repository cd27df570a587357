"""What to look at again in the coming days, and what a big day or a long break ahead asks for.

A skill is kept fresh by showing it, or by using it in something that stands on it (rule R5). So
beside each skill stand the pieces and tasks that use it, and for all of them together the
smallest set of things to play, found exactly. Nobody is asked to play under a hold; there only what
is done without playing keeps fresh, and only what is like it (rule R1a).

The season rules of the trade (common practice, no source): nothing new in the last two lessons
before it; pieces come from what is settled, about one unit below the live one, chosen five to
eight lesson weeks ahead; what is always looked at is looked at all the same; a skill of
performing never decides for somebody who is frightened. Under a hold nothing is prepared.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import replace
from itertools import islice, pairwise, takewhile
from typing import Final

from readiness.advice.after_break import AfterBreak, after_break, kept_from_home
from readiness.advice.ground import going_on, teaching_order
from readiness.advice.lesson import plan_lesson
from readiness.advice.plan import LessonPlan, lessons_for_new, lessons_to_come
from readiness.advice.skill_traits import left_out, resting_skills
from readiness.course.model import Course, Plan, Skill, bits, union
from readiness.judging.answer import GAP_STATES, Answer, Gap
from readiness.judging.cover import Want, smallest_cover
from readiness.judging.history import Known, known_on
from readiness.judging.lookahead import break_of
from readiness.judging.states import Deciding, States, decide, judge_states
from readiness.lazy import dataclass
from readiness.record.model import Record
from readiness.record.rhythm import LAST_LESSONS, LONG_BREAK, Event
from readiness.terms import State, Verdict

__all__ = [
    "DAYS", "Ahead", "BigDay", "KeepWarm", "Piece", "Review", "ReviewSkill", "break_ahead",
    "break_between", "breaks", "keep_warm", "near_break", "prepare", "review",
]  # fmt: skip

DAYS: Final = 14
"""So far ahead as rule R8 looks."""
USES_AT_MOST: Final = 3


@dataclass(frozen=True)
class ReviewSkill:
    """A skill that turns stale soon.

    Attributes:
        decides: whether it decides about the next unit.
        kept_by: what uses it and is known, pieces first; empty: it must be looked at itself.
        task: whether a home task now open is for it or for something that uses it.
    """

    skill: str
    last_seen: int
    fresh_until: int
    decides: bool
    kept_by: tuple[str, ...]
    task: bool


@dataclass(frozen=True)
class Review:
    """What turns stale from a day on: the soonest first.

    Attributes:
        until: the last day that is looked at.
        skills: what turns stale, the soonest first.
        play: the smallest set of things to show that keeps all of it fresh; none while paused.
    """

    on: int
    until: int
    skills: tuple[ReviewSkill, ...]
    play: tuple[str, ...]
    paused: bool


def review(course: Course, record: Record, on: int, days: int = DAYS) -> Review:
    """Return what of a student's skills turns stale within some ``days``, the day itself among them."""
    course = course.on(on)
    plan, known = course.plan, known_on(course, record, on)
    states = judge_states(plan, known, known.band_on(course, on), on)
    left_out = known.set_aside | plan.optional[states.band.name]
    asked, until = bits((states.secure | states.wobbling) & ~left_out), on + days - 1
    soon = {i: last for i in asked if (last := states.fresh_until(i)) is not None and on <= last <= until}
    known_things = _known_things(course, record, known, states, left_out)
    settles = _settles(plan, known_things, soon, plan.quiet if known.holds else -1)
    reached = bits(union(settles.values()))
    tasks = {t.for_skill for t in record.tasks if t.given <= on and t.days_reported is None}
    deciding = 0 if known.unit is None else decide(plan, known.unit, states.band, known.set_aside).skills
    return Review(
        on,
        until,
        tuple(
            ReviewSkill(
                plan.ids[i],
                states.last_seen[i] or 0,
                soon[i],
                bool(deciding >> i & 1),
                (uses := _uses(course, i, settles))[:USES_AT_MOST],
                bool(tasks & {plan.ids[i], *uses}),
            )
            for i in sorted(soon, key=lambda i: (soon[i], i))
        ),
        () if known.holds else smallest_cover(settles, tuple(Want(1 << i) for i in reached), plan).ids,
        bool(known.holds),
    )


def _known_things(course: Course, record: Record, known: Known, states: States, left_out: int) -> int:
    """Return what can simply be played or shown: nothing untried, in no gap, nothing that rests."""
    plan = course.plan
    resting = plan.set_of(resting_skills(course, record, known.day))
    return (1 << len(plan.ids)) - 1 & ~(states.among(*GAP_STATES, State.UNTRIED) | left_out | resting)


def _settles(plan: Plan, things: int, soon: Iterable[int], free: int) -> dict[int, int]:
    """Return, by thing, the skills that showing it keeps fresh (rule R5), of those under no hold."""
    wanted = sum(1 << i for i in soon) & free
    reach = {i: (plan.ancestors[i] & ~plan.must_be_seen | 1 << i) & wanted for i in bits(things & free)}
    return {i: reached for i, reached in reach.items() if reached}


def _uses(course: Course, i: int, settles: dict[int, int]) -> tuple[str, ...]:
    """Return what uses a skill: pieces first, then what keeps most, then what was taught last."""
    plan = course.plan
    uses = sorted(
        (other for other, kept in settles.items() if other != i and kept >> i & 1),
        key=lambda o: (not course.skills[o].piece, -settles[o].bit_count(), -plan.unit[o], plan.ids[o]),
    )
    return tuple(plan.ids[other] for other in uses)


# The three showings before a break that keep most fresh until the day back.
#
# What is maximised, in this order: (1) deciding skills and members of entry groups that are
# settled on the day back, (2) skills of the units so far that are, (3) those of (1) that are
# used at all, (4) those of (2) that are. Of equals the fewest showings, then the fewest teaching
# minutes, then the ids in alphabetical order. Found exactly, by branch and bound: what a showing
# does (rule R5, its own skill and what it keeps warm) does not depend on the others, so several
# do what each does.
#
# Only what is settled already is asked for; a list before a holiday begins nothing new. The
# items looked at in every check are left out, because they are looked at in any case.

MOST: Final = 3
"""How many things a keep-warm list has. Common practice, no source."""
SOON: Final = 42
"""Days within which a break in the calendar is told of without being asked. Common practice, no source."""


@dataclass(frozen=True)
class Ahead:
    """A break to come: the last lesson before it (None: none is left) and the first one after."""

    name: str
    first: int
    lesson: int | None
    back: int


@dataclass(frozen=True)
class KeepWarm:
    """What to show in the last lesson before a break.

    Attributes:
        skills: at most three, in graph order.
        kept: of the deciding skills, those that are fresh on the day back thanks to the list;
            kept_more: other skills of the units so far of which that holds.
        used: the skills that are shown or used by it at all.
        due: deciding skills that are due on the day back all the same.
    """

    ahead: Ahead
    skills: tuple[str, ...]
    kept: tuple[str, ...]
    kept_more: tuple[str, ...]
    used: tuple[str, ...]
    due: tuple[str, ...]


def break_ahead(record: Record, answer: Answer, break_weeks: int) -> Ahead | None:
    """Return the nearest break of the calendar that is soon and long enough to be one (rule R7)."""
    events = answer.calendar.events
    stretches = [(one.name, one.first, one.last) for one in events if one.last > one.first > answer.on]
    gaps = [day for day in answer.calendar.planned if day > answer.on]
    stretches += [("", day + 1, after - 1) for day, after in pairwise(gaps)]
    for name, first, last in sorted(stretches, key=lambda one: one[1:]):
        ahead = break_between(record, answer, first, last, name)
        if ahead is None:
            continue
        away = ahead.back - (ahead.lesson or first)
        if first - answer.on <= SOON and away >= answer.calendar.break_days(break_weeks):
            return ahead
    return None


def break_between(record: Record, answer: Answer, first: int, last: int, name: str = "") -> Ahead | None:
    """Return the break between the lessons of the calendar around two days; None with no lesson after it."""
    back = next((day for day in lessons_to_come(record, answer) if day > last), None)
    if back is None:
        return None
    before = [
        *([answer.on] if answer.last_lesson == answer.on < first else []),
        *takewhile(lambda day: day < first, lessons_to_come(record, answer)),
    ]
    return Ahead(name, first, before[-1] if before else None, back)


def near_break(course: Course, record: Record, answer: Answer) -> KeepWarm | None:
    """Return the list for the next break of the calendar, None where none is near."""
    weeks = course.on(answer.on).band[answer.band].whole("break_weeks")
    return keep_warm(course, record, answer, break_ahead(record, answer, weeks))


def breaks(course: Course, record: Record, answer: Answer) -> tuple[AfterBreak, KeepWarm | None]:
    """Return what a break cost, and the list for the next one, if one is near."""
    return after_break(course, record, answer), near_break(course, record, answer)


def keep_warm(course: Course, record: Record, answer: Answer, ahead: Ahead | None) -> KeepWarm | None:
    """Return the best list for a break, None for none; empty under a hold, or where no unit has begun."""
    if ahead is None:
        return None
    course = course.on(answer.on)
    known = known_on(course, record, answer.on)
    if known.unit is None or answer.verdict == Verdict.PAUSED:
        return KeepWarm(ahead, (), (), (), (), ())
    plan = course.plan
    band = known.band_on(course, ahead.back)
    deciding = decide(plan, known.unit, band, known.set_aside)
    without = judge_states(plan, known, band, ahead.back).secure & plan.up_to[known.unit] & ~deciding.left_out
    offered = _offered(course, known, deciding, ahead, kept_from_home(course, record, answer.on))
    asked = deciding.skills | deciding.group_members
    search = _KeepSearch(offered, asked, plan)
    search.run(list(offered), (), without, 0)
    chosen = search.best
    fresh, used = union(offered[i].fresh for i in chosen), union(offered[i].used for i in chosen)
    gained = fresh & ~without
    return KeepWarm(
        ahead,
        plan.names(sum(1 << i for i in chosen)),
        plan.names(gained & asked),
        plan.names(gained & ~asked),
        plan.names(used),
        plan.names(deciding.skills & ~(fresh | without) & _settled(plan, known, course, ahead)),
    )


@dataclass(frozen=True)
class _Effect:
    """What one showing does: ``fresh`` is settled on the day back, ``used`` is shown or used."""

    fresh: int
    used: int


def _settled(plan: Plan, known: Known, course: Course, ahead: Ahead) -> int:
    """Return what is settled in the last lesson, fresh or due."""
    day = ahead.lesson or known.day
    folds = judge_states(plan, known, known.band_on(course, day), day).folds
    return sum(1 << i for i, one in enumerate(folds) if one.secure_since is not None)


def _offered(
    course: Course, known: Known, deciding: Deciding, ahead: Ahead, kept: frozenset[str]
) -> dict[int, _Effect]:
    """Return every showing that could be on the list, with what it does."""
    plan, day = course.plan, ahead.lesson or known.day
    band, scope = known.band_on(course, ahead.back), plan.up_to[deciding.unit] & ~deciding.left_out
    settled = _settled(plan, known, course, ahead)
    effects = {}
    for i in bits(settled & scope & ~plan.always_look & ~plan.set_of(kept)):
        then = judge_states(plan, known.with_showings([i], day), band, ahead.back)
        used = plan.ancestors[i] & ~plan.must_be_seen & settled | 1 << i
        effects[i] = _Effect(then.secure & scope, used & scope)
    return effects


class _KeepSearch:
    """Depth first; what is left out of account adds at most what each adds alone."""

    def __init__(self, offered: dict[int, _Effect], asked: int, plan: Plan) -> None:
        self.offered, self.asked, self.plan = offered, asked, plan
        self.best: tuple[int, ...] = ()
        self.best_key: tuple[object, ...] | None = None

    def worth(self, fresh: int, used: int) -> tuple[int, int, int, int]:
        """Return the four numbers that are maximised."""
        asked = self.asked
        return ((fresh & asked).bit_count(), fresh.bit_count(), (used & asked).bit_count(), used.bit_count())

    def run(self, able: list[int], chosen: tuple[int, ...], fresh: int, used: int) -> None:
        """Try all ways to go on from ``chosen`` with some of ``able``."""
        here = self.worth(fresh, used)
        self._offer(chosen, here)
        places = MOST - len(chosen)
        if not places:
            return
        adds = {i: self._adds(i, fresh, used, here) for i in able}
        able = sorted((i for i in able if any(adds[i])), key=lambda i: adds[i], reverse=True)
        for at, i in enumerate(able):
            if not self._may_win(here, [adds[other] for other in able[at:]], places):
                return
            effect = self.offered[i]
            self.run(able[at + 1 :], (*chosen, i), fresh | effect.fresh, used | effect.used)

    def _adds(self, i: int, fresh: int, used: int, here: tuple[int, ...]) -> tuple[int, ...]:
        effect = self.offered[i]
        after = self.worth(fresh | effect.fresh, used | effect.used)
        return tuple(new - old for new, old in zip(after, here, strict=True))

    def _may_win(self, here: tuple[int, ...], adds: list[tuple[int, ...]], places: int) -> bool:
        """Return whether the best of each number alone could still reach the best list."""
        most = [
            now + sum(sorted(column, reverse=True)[:places])
            for now, column in zip(here, zip(*adds, strict=True), strict=True)
        ]
        return self.best_key is None or tuple(-number for number in most) <= self.best_key[:4]

    def _offer(self, chosen: tuple[int, ...], here: tuple[int, ...]) -> None:
        ids = tuple(sorted(self.plan.ids[i] for i in chosen))
        key = (*(-number for number in here), len(chosen), sum(self.plan.minutes[i] for i in chosen), ids)
        if self.best_key is None or key < self.best_key:
            self.best, self.best_key = tuple(sorted(chosen)), key


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
        for_new: those of the lessons in which something new may be begun.
        choose: the first and the last day of choosing the pieces.
        pieces: best first.
        review: the fewest showings that keep what decides, and what is under the pieces, fresh
            until that day; empty where nothing is due by then.
        due: what of it would be due by then.
        going_on: what is open and may be gone on with, for it is not new.
        waits: what is not begun until after, once the last two lessons have come.
        glance: what is looked at in every lesson.
        plan: the next lesson; None where none is before it, or nothing is prepared.
        back: the break up to the first lesson after a stretch, where that is one (rule R7).
        warm: for a break, the keep-warm list.
    """

    kind: str
    event: Event
    lessons: tuple[int, ...]
    for_new: tuple[int, ...]
    choose: tuple[int, int]
    pieces: tuple[Piece, ...]
    review: tuple[str, ...]
    due: tuple[str, ...]
    going_on: tuple[str, ...]
    waits: tuple[str, ...]
    glance: tuple[str, ...]
    plan: LessonPlan | None
    back: Gap | None
    warm: KeepWarm | None

    @property
    def last_new(self) -> int | None:
        """The last lesson in which something new may be begun; None: none is left."""
        return max(self.for_new, default=None)


def prepare(course: Course, record: Record, answer: Answer, event: Event) -> BigDay:
    """Return what to do before an event; it lies after the day of the answer."""
    course = course.on(answer.on)
    lessons = tuple(takewhile(lambda day: day < event.first, lessons_to_come(record, answer)))
    kind = _kind(event)
    is_paused = answer.verdict == Verdict.PAUSED or answer.unit is None
    pieces = () if is_paused or kind != "event" else tuple(_pieces(course, record, answer, event))
    due, review = ((), ()) if is_paused else _review(course, record, answer, event, pieces)
    plan = None if is_paused or not lessons else plan_lesson(course, record, answer)
    ahead = tuple(islice(lessons_to_come(record, answer), len(lessons) + LAST_LESSONS))
    known = replace(answer, calendar=replace(answer.calendar, events=(*answer.calendar.events, event)))
    for_new = (day for day in lessons_for_new(course, known, ahead) if day in lessons)
    away = break_between(record, answer, event.first, event.last, event.name)
    last = None if kind == "event" or away is None else away.lesson or answer.last_lesson
    return BigDay(
        kind=kind,
        event=event,
        lessons=lessons,
        for_new=tuple(day for day in for_new if plan is None or not plan.is_first or day != plan.on),
        choose=(event.first - 7 * CHOOSE_WEEKS[0], event.first - 7 * CHOOSE_WEEKS[1]),
        pieces=pieces,
        review=review,
        due=due,
        going_on=() if is_paused else tuple(going_on(course, record, answer)),
        waits=() if is_paused else tuple(_waits(course, answer)),
        glance=tuple(s.id for s in course.skills if s.always_look and s.id in answer.deciding),
        plan=plan,
        back=break_of(course, answer, (last,), away.back) if away is not None and last else None,
        warm=keep_warm(course, record, answer, away) if kind == "break" and not is_paused else None,
    )


def _kind(event: Event) -> str:
    if event.first == event.last:
        return "event"
    return "break" if event.last - event.first + 1 >= LONG_BREAK else "holidays"


def _pieces(course: Course, record: Record, answer: Answer, event: Event) -> Iterator[Piece]:
    """Yield settled pieces with settled ground, those about one unit below first; liked ones, if any are."""
    assert answer.unit is not None
    below = course.unit[answer.unit].number - 1
    resting = resting_skills(course, record, answer.on)
    able = [s for s in course.skills if s.id not in resting and s.piece and _is_safe(course, answer, s)]
    able = [s for s in able if s.id not in record.disliked(answer.on)] or able

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
    return plan.names(due), smallest_cover(keeps, tuple(Want(1 << i) for i in bits(due)), plan).ids


def _waits(course: Course, answer: Answer) -> Iterator[str]:
    """Yield what has not been begun, of this unit and the next, but what never waits."""
    for skill in course.skills:
        is_near = skill.unit in (answer.unit, answer.next_unit) and not skill.never_waits
        if is_near and answer.standings[skill.id].state == State.UNTRIED and not left_out(skill, answer):
            yield skill.id
