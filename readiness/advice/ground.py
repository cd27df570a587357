"""What a student stands on, seen or probably there, so what may be asked for; what holds others up.

Rule R10 lets a showing stand for what lies under it, for placing, and all looks together tell what
else of the units before the start is probably there. Nothing is secure by that (rule R5), and a
plan would teach such things as new. So they are named here, to be looked at in passing, and they
carry what stands on them until then. It ends by itself: what was looked at and did not come is out
of it, and what is settled needs it no more.

The check sheet, the round over it, the plan and what is left under a hold ask here, so that nothing is
asked of a student who was placed before what it builds on is there. Two things are looked at all
the same, because the rules name them: the one thing and the look set; what lies lowest under them is
looked at with them. Holds no minutes and chooses nothing; see ``advice.lesson_work``.

What holds other things up, and whether it is stuck or only takes its time: what gets better is no trouble,
and what was tried often and does not change asks for another way (rule R8). Nothing here measures a student.

What a decision to move or to stay is about, the same for every way of deciding; whether is the teacher's.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from collections.abc import Set as AbstractSet
from functools import cached_property
from typing import TYPE_CHECKING, Final

from readiness.advice.skill_traits import MET_STATES, is_hard, left_out, may_be_done, resting_skills
from readiness.course.graph import asked_from
from readiness.course.model import Course, Skill, bits, union
from readiness.judging.answer import GAP_STATES, Answer, Blocker
from readiness.judging.history import Known, known_on
from readiness.judging.lookahead import frees
from readiness.judging.reasons import is_stuck, unit_limit
from readiness.judging.states import (
    Deciding,
    States,
    decided_on,
    entry_list,
    implied_by,
    judge_states,
    latest_showings,
    place,
)
from readiness.lazy import dataclass
from readiness.record.load import care_elsewhere, shared_skills
from readiness.record.model import Decision, Record, Said
from readiness.terms import Kind, State

if TYPE_CHECKING:
    from readiness.advice.placing_round import PlacingRound
    from readiness.advice.plan import LessonPlan

__all__ = [
    "AroundHere", "Claim", "Ground", "Pace", "Standstill", "Weak", "around_here", "care_first", "claim",
    "comfortable", "decision_on", "favourites", "glance_skills", "going_on", "likely_before",
    "may_be_placed", "needed_first", "outer_fringe", "presumed", "presumed_in", "said_of_all", "soonest",
    "standstill", "start_of", "sure", "teaching_order", "unit_begun", "was_placed",
]  # fmt: skip


def was_placed(course: Course, record: Record, on: int) -> bool:
    """Return whether a student came by a placing, or began further on than in the first unit."""
    begun = min((one for one in record.unit_starts if one.on <= on), key=lambda one: one.on, default=None)
    if begun is None:
        return False
    return begun.unit != course.plan.unit_ids[0] or any(one.on <= on for one in record.placings)


def presumed(course: Course, record: Record, answer: Answer) -> frozenset[str]:
    """Return what something shown stands on, or all looks make likely, and what is not settled.

    What was asked for and did not come is not among it. Empty for a student who began in the first unit
    without a placing: there everything was taught here.
    """
    known = known_on(course, record, answer.on)
    states = judge_states(course.plan, known, course.band[answer.band], answer.on)
    return frozenset(course.plan.names(presumed_in(course, record, states)))


def presumed_in(course: Course, record: Record, states: States) -> int:
    """Return the same as a set of skills, from states that are known already."""
    plan, known = course.plan, states.known
    if known.unit is not None and not was_placed(course, record, known.day):
        return 0
    shown, did_not_come = latest_showings(states)
    begun = min((plan.unit_index[one.unit] for one in record.unit_starts if one.on <= known.day), default=0)
    likely = likely_before(course, record, states, begun)
    there = implied_by(plan, shown, did_not_come) | likely & ~plan.must_be_seen & ~did_not_come
    return there & states.among(State.UNTRIED, State.BUILDING)


def likely_before(course: Course, record: Record, states: States, unit: int) -> int:
    """Return what was not asked for of the units before this one and all looks make likely (a set)."""
    plan, (shown, did_not_come) = course.plan, latest_showings(states)
    asked = shown | did_not_come | states.known.set_aside | plan.optional[states.band.name]
    earlier = union(1 << i for i, at in enumerate(plan.unit) if at < unit)
    unasked = earlier & ~(asked | plan.safety | plan.always_look)
    if not unasked:
        return 0
    from readiness.advice.placing_round import likely_of  # here, since a crowd takes time to imagine

    return likely_of(unasked, course, record, states.known.day)


def start_of(course: Course, record: Record, answer: Answer) -> PlacingRound | None:
    """Return where a student who is not placed starts, as every answer says it; None for any other."""
    if answer.placing is None:
        return None
    from readiness.advice.placing_round import placing_round  # here, since few are being placed

    return placing_round(course, record, answer.on)


# Whether somebody stands where they say: the entry list of a unit, held against what was seen.


@dataclass(frozen=True)
class Claim:
    """What the units up to one ask for on entering it, each skill in one list, in graph order.

    Attributes:
        lists: shown, implied (something shown builds on it, rule R10), missing (it was asked for and
            did not come) and not_asked (nothing is known of it).
        limit: how much may be missing to start there.
        strands: by strand that asks for something, these four lists.
    """

    unit: str
    lists: Mapping[str, tuple[str, ...]]
    limit: int
    strands: Mapping[str, Mapping[str, tuple[str, ...]]]

    @property
    def holds(self) -> bool | None:
        """Whether somebody can start there; None where too few were asked for to say."""
        missing, not_asked = len(self.lists["missing"]), len(self.lists["not_asked"])
        return False if missing > self.limit else True if missing + not_asked <= self.limit else None


def claim(course: Course, record: Record, on: int, unit: str) -> Claim:
    """Hold the claim that somebody can start in a unit against what was seen up to a day."""
    course = course.on(on)
    plan, known = course.plan, known_on(course, record, on)
    band = known.band_on(course, on)
    states, left_out = judge_states(plan, known, band, on), plan.optional[band.name] | known.set_aside
    asked = union(entry_list(plan, number, left_out) for number in range(plan.unit_index[unit] + 1))
    shown, did_not_come = latest_showings(states)
    implied = plan.set_of(place(course, record, states).implied) & ~shown
    sets = {
        "shown": asked & shown,
        "implied": asked & implied,
        "missing": asked & did_not_come,
        "not_asked": asked & ~shown & ~implied & ~did_not_come,
    }
    strands = {
        strand.id: plan.set_of(skill.id for skill in course.skills if skill.strand == strand.id) & asked
        for strand in course.strands
    }

    def lists(within: int) -> dict[str, tuple[str, ...]]:
        return {name: plan.names(one & within) for name, one in sets.items()}

    by_strand = {strand: lists(mine) for strand, mine in strands.items() if mine}
    return Claim(unit, lists(asked), band.whole("carry_limit"), by_strand)


# What can be begun next: the upper edge of what is there.
#
# Knowledge space theory calls it the outer fringe of a state (Doignon and Falmagne 1985,
# International Journal of Man-Machine Studies 23:175-196). Only footings are asked about here: no
# unit, no day and no band. Whether a skill should be begun in a lesson is decided elsewhere.


@dataclass(frozen=True)
class AroundHere:
    """What lies around a student: not asked for at this age, never tried, startable.

    Attributes:
        optional: skills not asked for at this age, nearest unit first, each with the older band in
            which it comes back.
        untried: of this unit and what the next one asks for, what nothing is noted on; not_shown: what
            was asked and not shown.
        going_on: what was begun and is not there yet; startable: what was not, and has all it builds on,
            nearest unit first, as the plan has it; after_the_move: what waits for the move alone.
        at_most: so many new skills in one lesson.
        shared: what another course of the student has too, with its state.
        rests: the parts of the body on hold there, with the day; care: what is looked after there alone.
    """

    optional: tuple[tuple[str, str | None], ...]
    untried: tuple[str, ...]
    not_shown: tuple[str, ...]
    going_on: tuple[str, ...]
    startable: tuple[str, ...]
    after_the_move: tuple[str, ...]
    at_most: int
    shared: tuple[tuple[str, str], ...]
    rests: tuple[tuple[str, int], ...]
    care: tuple[str, ...]


def around_here(course: Course, record: Record, answer: Answer, plan: LessonPlan) -> AroundHere:
    """Return what lies around a student in a unit; ``plan`` is the next lesson."""
    course = course.on(answer.on)
    state = {skill.id: answer.standings[skill.id].state for skill in course.skills}
    asked = {*answer.deciding, *answer.rest, *(one for group in answer.groups for one in group.of)}
    here = [skill.id for skill in course.skills if skill.id in asked]
    here_number = course.unit[answer.unit].number if answer.unit else 1
    near = sorted(course.skills, key=lambda skill: abs(course.unit[skill.unit].number - here_number))
    begun = (skill for skill in plan.outer_edge if state[skill] != State.UNTRIED)
    return AroundHere(
        optional=tuple(
            (skill.id, asked_from(course, skill.id, answer.band))
            for skill in near
            if answer.band in skill.optional_in and skill.id not in course.gone
        ),
        untried=tuple(skill for skill in here if state[skill] == State.UNTRIED),
        not_shown=tuple(skill for skill in here if state[skill] == State.NOT_SHOWN),
        going_on=tuple(dict.fromkeys((*begun, *going_on(course, record, answer)))),
        startable=tuple(skill for skill in plan.outer_edge if state[skill] == State.UNTRIED),
        after_the_move=tuple(one.skill for one in plan.not_begun if one.why == "stay"),
        at_most=course.band[answer.band].whole("new_skills_per_lesson"),
        shared=tuple((skill, state[skill]) for skill in shared_skills(course)),
        rests=tuple((hold.part, hold.opened) for hold in record.resting(answer.on)),
        care=tuple(skill.id for skill in care_elsewhere(course)),
    )


def going_on(course: Course, record: Record, answer: Answer) -> Iterator[str]:
    """Yield what was begun and is open; it is no new thing."""
    resting = resting_skills(course, record, answer.on)
    for skill in (*answer.deciding, *answer.rest):
        state = answer.standings[skill].state
        if state in (*GAP_STATES, State.BUILDING, State.WOBBLING) and skill not in resting:
            yield skill


def outer_fringe(course: Course, met: AbstractSet[str]) -> tuple[str, ...]:
    """Return the skills not ``met`` (secure or set aside) that have all their footings, in graph order."""
    return tuple(skill.id for skill in course.skills if skill.id not in met and not any(_not_met(skill, met)))


def _not_met(skill: Skill, met: AbstractSet[str]) -> Iterator[str]:
    """Yield what a skill stands on that is not met; of a group everything, where too few of it are."""
    yield from (one for one in skill.stands_on if one not in met)
    for group in skill.stands_on_some:
        if len(met & set(group.of)) < group.at_least:
            yield from (one for one in group.of if one not in met)


class Ground:
    """Where one student's skills stand, and which are asked of nobody now.

    ``presumed`` is what is probably there, ``disliked`` what the student was noted not to like. What is
    ``resting`` waits, because a part of the body is on hold elsewhere.
    """

    def __init__(self, course: Course, record: Record, answer: Answer) -> None:
        self.course, self.record, self.answer = course, record, answer
        self.presumed = presumed(course, record, answer)
        self.disliked = record.disliked(answer.on)
        self.resting = resting_skills(course, record, answer.on)

    def state(self, skill: str) -> str:
        """Return the state of a skill."""
        return self.answer.standings[skill].state

    def is_hard(self, skill: str) -> bool:
        """Return whether asking for a skill now is asking for something hard."""
        return is_hard(self.course.skill[skill], self.answer.standings[skill], is_likely=skill in self.unseen)

    @cached_property
    def met(self) -> frozenset[str]:
        """What is secure, set aside or not asked for at this age."""
        return frozenset(
            skill.id
            for skill in self.course.skills
            if self.state(skill.id) in MET_STATES or left_out(skill, self.answer)
        )

    @cached_property
    def footing(self) -> frozenset[str]:
        """What may be built on: what is met, and what is probably there."""
        return self.met | self.presumed

    @cached_property
    def unseen(self) -> frozenset[str]:
        """What is probably there and was never asked for: to be looked at, not taught."""
        return frozenset(skill for skill in self.presumed if self.state(skill) == State.UNTRIED)

    @cached_property
    def fringe(self) -> frozenset[str]:
        """What has all its footing and is not there yet."""
        return frozenset(outer_fringe(self.course, self.footing)) | (self.presumed - self.unseen - self.met)

    @cached_property
    def is_untouched(self) -> bool:
        """Whether nothing was ever noted: the first lesson is yet to come."""
        return self.answer.last_lesson is None and all(
            self.state(skill.id) in (State.UNTRIED, State.SET_ASIDE) for skill in self.course.skills
        )

    def may_begin_now(self, skill: str) -> bool:
        """Return whether a skill is not there yet, and all that has to come before it is."""
        return skill in self.fringe and not self.lacking(skill)

    def lacking(self, skill: str) -> str:
        """Return the first thing that has to come before a skill and is not there, empty where all is."""
        return next(self._lacks(skill), "")

    def _lacks(self, skill: str) -> Iterator[str]:
        """Yield what a skill builds on and is not there, then what is shaky anywhere under it."""
        if skill not in self.fringe:
            yield from _not_met(self.course.skill[skill], self.footing)
        yield from self._shaky_under(skill)

    def _shaky_under(self, skill: str) -> tuple[str, ...]:
        """Return what is a gap or wobbles under a skill, over any number of links."""
        plan = self.course.plan
        return plan.names(plan.ancestors[plan.index[skill]] & self._shaky)

    @cached_property
    def _shaky(self) -> int:
        weak = {*GAP_STATES, State.WOBBLING}
        every = (skill.id for skill in self.course.skills if self.state(skill.id) in weak)
        return self.course.plan.set_of(skill for skill in every if skill not in self.met)

    def has_shaky_ground(self, skill: str) -> bool:
        """Return whether something under a skill is a gap or wobbles."""
        return bool(self._shaky_under(skill))

    @cached_property
    def named(self) -> tuple[str, ...]:
        """The look set and the one thing: looked at whatever lies under them."""
        return tuple(dict.fromkeys((*self.answer.look_first, *filter(None, [self.answer.one_thing]))))

    @cached_property
    def beneath(self) -> tuple[str, ...]:
        """What lies lowest under the look set and the one thing: looked at with them."""
        every = (one for skill in self.named for one in self.lowest_under(skill))
        return tuple(one for one in dict.fromkeys(every) if one not in self.named)

    def lowest_under(self, skill: str) -> tuple[str, ...]:
        """Return what lies lowest of all that is not there under a skill that was never asked for."""
        if self.state(skill) != State.UNTRIED:
            return ()
        found: dict[str, None] = {}
        waiting = [*self._lacks(skill)]
        while waiting:
            one = waiting.pop(0)
            if one not in found:
                found[one] = None
                waiting.extend(self._lacks(one))
        return tuple(one for one in found if not self.lacking(one))

    def may_be_asked(self, skill: str) -> bool:
        """Return whether a skill may be asked for: it was before, or what it builds on is there."""
        return self.state(skill) != State.UNTRIED or skill in self.named or not self.lacking(skill)


# What of a student's skills is sure, liked, due or always looked at: for sheets and lessons alike.
#
# Each function picks skills from an answer by one plain idea and puts them in an order.
# Nothing here decides how many of them are used.


def teaching_order(course: Course, skill: str) -> tuple[int, int]:
    """Return a key for the order of teaching: by unit, then as in the file."""
    index = course.plan.index[skill]
    return course.plan.unit[index], index


def soonest(course: Course, answer: Answer, skill: str) -> tuple[int, int, int]:
    """Return a key that puts first what is due soonest, and of equals the latest taught."""
    until = answer.standings[skill].fresh_until
    unit, index = teaching_order(course, skill)
    return answer.on if until is None else until, -unit, -index


def needed_first(course: Course, answer: Answer) -> list[Blocker]:
    """Return what keeps the student in the unit: the one thing, then what is noted as no, safety, groups."""

    def key(blocker: Blocker) -> tuple[bool, ...]:
        is_safety = blocker.skill is not None and course.skill[blocker.skill].safety
        return blocker.skill is None, blocker.skill != answer.one_thing, not blocker.is_gap, not is_safety

    return sorted(answer.blockers, key=key)


def glance_skills(course: Course, answer: Answer) -> tuple[str, ...]:
    """Return the skills looked at in every check: those of the units so far, of all for a placing."""
    number = course.unit[answer.unit].number if answer.unit else len(course.units)
    return tuple(
        skill.id
        for skill in course.skills
        if skill.always_look and course.unit[skill.unit].number <= number and not left_out(skill, answer)
    )


def sure(course: Course, answer: Answer, resting: AbstractSet[str] = frozenset()) -> tuple[Skill, ...]:
    """Return what is secure, easy, shown in a moment and not ``resting``: no habit, nothing always seen."""
    return tuple(
        skill
        for skill in course.skills
        if answer.standings[skill.id].state == State.SECURE
        and skill.id not in resting
        and skill.kind != Kind.HABIT
        and not skill.always_look
        and not left_out(skill, answer)
        and not is_hard(skill, answer.standings[skill.id])
    )


def favourites(course: Course, answer: Answer, without: AbstractSet[str] = frozenset()) -> tuple[str, ...]:
    """Return the pieces that are sure, the latest taught first; ``without`` rest, or are not liked."""
    pieces = [skill.id for skill in sure(course, answer, without) if skill.piece]
    return tuple(sorted(pieces, key=lambda skill: teaching_order(course, skill), reverse=True))


def care_first(course: Course, answer: Answer) -> tuple[str, ...]:
    """Return the skills of telling that something hurts: asked after whatever part rests."""
    return tuple(skill.id for skill in course.skills if skill.asks_pain and not left_out(skill, answer))


def said_of_all(course: Course, record: Record, day: int, asked: Iterable[str]) -> tuple[Said, ...]:
    """Return the latest remark on each skill asked for; where pain is asked after, what the last lesson says.

    No words are read, so all of that lesson is repeated there: its note, and its remarks on other skills.
    """
    skills = tuple(dict.fromkeys(asked))
    latest = max((one.on for one in record.lessons if one.on <= day), default=None)
    texts = [
        text
        for lesson in record.lessons
        if lesson.on == latest
        for text in (lesson.note, *(words for skill, words in lesson.remarks.items() if skill not in skills))
    ]
    care = next((skill for skill in skills if course.skill[skill].asks_pain), None)
    beside = () if care is None or latest is None else (Said(care, latest, text) for text in texts if text)
    return (*record.said(day, skills), *beside)


def comfortable(ground: Ground) -> tuple[str, ...]:
    """Return the skills that may be shown under the open holds: open ones, then what is due soonest.

    What is not liked comes last. A habit belongs to playing and waits with it, at home too.
    """
    course, answer = ground.course, ground.answer
    parts = {hold.part for hold in ground.record.holds if hold.is_open(answer.on)}
    number = course.unit[answer.unit].number if answer.unit else 1
    may = [
        skill.id
        for skill in course.skills
        if course.unit[skill.unit].number <= number
        and not skill.asks_pain
        and skill.kind != Kind.HABIT
        and not left_out(skill, answer)
        and ground.may_be_asked(skill.id)
        and all(may_be_done(skill, part) for part in parts)
    ]
    is_met = {skill: ground.state(skill) == State.SECURE for skill in may}

    def key(skill: str) -> tuple[int, ...]:
        return skill in ground.disliked, is_met[skill], *soonest(course, answer, skill)

    return tuple(sorted(may, key=key))


LATEST: Final = 3
"""The tries that count as the latest ones (rule R8)."""


@dataclass(frozen=True)
class Weak:
    """A skill that is a gap or has had an off day.

    Attributes:
        waiting: what of this and the next unit is not settled and is it or stands on it.
        tries: days in a row, at the end, that did not count; first, last: of those days.
        early, late: the least help in the earlier ones and in the latest three (an index into
            HELPS); None without any.
        stuck: tried often enough with no change (rule R8).
        decides: whether it alone keeps the student in the unit.
    """

    skill: str
    state: State
    waiting: tuple[str, ...]
    tries: int
    first: int | None
    last: int | None
    early: int | None
    late: int | None
    stuck: bool
    decides: bool

    @property
    def improves(self) -> bool | None:
        """Whether the latest tries needed less help; None where there is nothing to compare with."""
        return None if self.early is None or self.late is None else self.late < self.early


@dataclass(frozen=True)
class Pace:
    """How long the unit has lasted, in lessons that took place.

    ``without`` counts the weeks since the unit began that had no lesson; ``least`` and ``most`` are the
    numbers below and above which a note is made. ``short`` are skills of which more days are asked for.
    """

    lessons: int
    without: int
    usual: int
    least: int
    most: int
    short: tuple[str, ...]


@dataclass(frozen=True)
class Standstill:
    """The weak skills, those most things wait for first, and the pace; None without a unit."""

    weak: tuple[Weak, ...]
    pace: Pace | None


def standstill(course: Course, record: Record, answer: Answer) -> Standstill:
    """Return what holds other things up on the day of an answer."""
    course = course.on(answer.on)
    known = known_on(course, record, answer.on)
    if known.unit is None or known.unit_start is None:
        return Standstill((), None)
    deciding, states = decided_on(course, known, answer.on)
    weak = sorted(_weak(course, deciding, states), key=lambda one: -len(one.waiting))
    return Standstill(tuple(weak), _pace(course, known, answer, states))


def _weak(course: Course, deciding: Deciding, states: States) -> Iterator[Weak]:
    plan = course.plan
    for i in bits((states.gaps | states.wobbling) & plan.up_to[deciding.unit] & ~deciding.left_out):
        tries = states.folds[i].misses
        row = states.evidence[i][-tries:] if tries else ()
        helps = tuple(note[1] for note in row)
        yield Weak(
            skill=plan.ids[i],
            state=states.state[i],
            waiting=plan.names(frees(plan, deciding, states, i)),
            tries=tries,
            first=row[0][0] if row else None,
            last=row[-1][0] if row else None,
            early=min(helps[:-LATEST], default=None),
            late=min(helps[-LATEST:], default=None),
            stuck=is_stuck(helps, states.band.whole("stuck_tries")),
            decides=bool((deciding.skills | deciding.unmet_members(states)) >> i & 1),
        )


def _pace(course: Course, known: Known, answer: Answer, states: States) -> Pace:
    assert known.unit is not None
    assert known.unit_start is not None
    band, weeks = states.band, course.units[known.unit].lesson_weeks
    days = [day for day in known.lesson_days if day >= known.unit_start]
    with_lesson = {(day - known.unit_start) // 7 for day in days}
    asked = (*answer.deciding, *answer.rest)
    return Pace(
        lessons=answer.lesson_days or 0,
        without=(answer.on - known.unit_start) // 7 + 1 - len(with_lesson),
        usual=weeks,
        least=unit_limit(band.number("min_unit_factor"), weeks),
        most=unit_limit(band.number("max_unit_factor"), weeks),
        short=tuple(skill for skill in asked if answer.standings[skill].state == State.BUILDING),
    )


def may_be_placed(record: Record, answer: Answer) -> bool:
    """Return whether a start may still be chosen: no unit has begun, or it was said and not decided.

    Until a second lesson beside those for placing it is provisional (rule R10).
    """
    days = {day for day in record.seen.lesson_days if day <= answer.on}
    is_decided = any(one.on <= answer.on for one in record.decisions)
    return answer.unit is None or (len(days - {one.on for one in record.placings}) < 2 and not is_decided)


def unit_begun(course: Course, record: Record, answer: Answer, begins: str | None = None) -> str | None:
    """Return the unit that a move begins; None in the last one, where it begins nothing.

    Args:
        course, record: what is taught, and what was seen; answer: the answer of the day.
        begins: the unit somebody chose; else, for a student who is not placed, the one that placing finds.
    """
    start = start_of(course, record, answer) if begins is None and answer.unit is None else None
    return begins or (start.start if start else answer.next_unit)


def decision_on(
    course: Course,
    record: Record,
    answer: Answer,
    decided: str,
    reason: str,
    begins: str | None = None,
    until: int | None = None,
) -> Decision:
    """Return the decision of a day, beside the verdict that was computed for it.

    Args:
        course, record, answer, begins: as for :func:`unit_begun`.
        decided: move or stay; reason: the teacher's words, may be empty.
        until: the last day of a stay; without it four lessons are meant (rule R11).
    """
    unit = begins or answer.unit or unit_begun(course, record, answer, begins)
    assert unit is not None
    return Decision(answer.on, unit, answer.verdict, decided, reason.strip(), until=until)
