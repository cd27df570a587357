"""After a break or a pause: what it cost, the fewest looks that bring it back, and how what rested begins.

No verdict and no one thing is changed here. A plan takes shorter turns and more pauses, what works the part
that rested is no home task by itself, and no check is proposed. Common practice, no source: the clinician who
was asked knows better, so what the adult said who closed the hold stands above all of it.

Windows say "look again", never "gone": nothing here claims that anything was lost. The looks are the
look set of the answer, the same one that every other answer names, and then the fewest more that settle
all that looks can settle of what else is due in the unit (``judging.lookahead``). They are put
in the order of a first lesson back: the seat in one glance, then what settles most of what
decides, then the rest; what is more than one check holds waits for the lesson after. The plan of
the next lesson looks at the same things. Nothing here begins anything new.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from collections.abc import Set as AbstractSet
from dataclasses import replace
from typing import Final

from readiness.advice.skill_traits import resting_skills, works
from readiness.course.model import Course, Plan, bits, union
from readiness.judging.answer import Answer, Gap, KeptBack
from readiness.judging.cover import Want
from readiness.judging.history import known_on
from readiness.judging.lookahead import Looks, break_of, keeps_back, look_effects, review_lessons
from readiness.judging.states import Deciding, States, decided_on, judge_states
from readiness.lazy import dataclass
from readiness.record.model import Hold, Record, Task
from readiness.terms import State, Verdict

__all__ = [
    "GENTLE_DAYS", "NO_BREAK", "UNPLAYED", "AfterBreak", "Due", "ReviewLook", "after_break",
    "closed_lately", "gently", "is_unhurt", "kept_back", "kept_from_home", "looks_ahead", "pain_day",
    "pain_noted", "tasks_now", "tender_skills",
]  # fmt: skip

GENTLE_DAYS: Final = 28
"""How long after a hold everything begins gently, at the least; common practice, no source."""

UNPLAYED: Final = ("listening", "page", "words", "planning")
"""What is done in place of playing; planning is for who does not play at all."""


def pain_day(record: Record, day: int) -> int | None:
    """Return the day of the latest lesson, here or in any course, if it or a report speaks of what hurts.

    None where it speaks of none, and once a pause was opened.
    """
    whole = record.entire.seen
    last = {max((on for on in seen.lesson_days if on <= day), default=day) for seen in (record.seen, whole)}
    paused = max((hold.opened for hold in whole.holds if hold.opened <= day), default=0)
    return max((on for on in last.intersection(whole.pain_days) if on > paused), default=None)


def pain_noted(record: Record, day: int) -> tuple[str, ...]:
    """Return what in the lesson of ``pain_day``, else beside the lessons, speaks of something that hurts."""
    noted = pain_day(record, day)
    if noted is None:
        return ()
    here = [text for one in record.entire.lessons if one.on == noted for text in one.pain]
    return tuple(here or [text for _, text in record.entire.pain_beside])


def is_unhurt(course: Course, record: Record, day: int) -> bool:
    """Return whether nothing rests, rested until lately or may hurt: only then may all be called well."""
    return not (record.open_holds(day) or closed_lately(course, record, day) or pain_noted(record, day))


def gently(count: int, tender: AbstractSet[str]) -> int:
    """Return so many minutes or things, half of them where something rested until lately.

    >>> gently(5, {"wrist-lift"}), gently(5, set())
    (3, 5)
    """
    return -(-count // 2) if tender else count


def closed_lately(course: Course, record: Record, day: int) -> tuple[Hold, ...]:
    """Return the holds that a student still comes back from on a day; of one part the latest.

    For ``GENTLE_DAYS`` after the closing, and longer while a move waits for lessons with playing (rule R7).
    A part that rested for another course begins gently here too. None while another hold of this one is open:
    then nothing is played.
    """
    if not record.entire.seen.holds or any(hold.is_open(day) for hold in record.seen.holds):
        return ()
    resting = {hold.part for hold in record.resting(day)}
    ended = (hold for hold in record.entire.holds if hold.part not in resting)
    closed = {hold: hold.closed for hold in ended if hold.closed is not None and hold.closed <= day}
    last = max((hold.closed for hold in record.holds if hold in closed and hold.closed), default=day)
    since = day - GENTLE_DAYS + 1
    kept = last < since and any(one.because == "after-a-hold" for one in kept_back(course, record, day))
    since = last if kept else since
    found = sorted((one for one in closed if closed[one] >= since), key=closed.__getitem__)
    return tuple({hold.part: hold for hold in found}.values())


def kept_back(course: Course, record: Record, day: int) -> tuple[KeptBack, ...]:
    """Return what keeps a move back on a day, whatever was shown (rule R7)."""
    course, known = course.on(day), known_on(course, record, day)
    states = judge_states(course.plan, known, known.band_on(course, day), day)
    return tuple(keeps_back(course.plan, known, states))


def tender_skills(course: Course, record: Record, day: int) -> frozenset[str]:
    """Return the skills that work a part of the body which rested until lately."""
    parts = {hold.part for hold in closed_lately(course, record, day)}
    skills = course.skills if parts else ()
    return frozenset(skill.id for skill in skills if any(works(skill, part) for part in parts))


def kept_from_home(course: Course, record: Record, day: int, *, was_given: bool = False) -> frozenset[str]:
    """Return the skills that are no home task: what rests, may hurt as it is played, or rested until lately.

    ``was_given``: since a pause ended, by a teacher who knew that; then what rested lately may be one.
    """
    tender = frozenset[str]() if was_given else tender_skills(course, record, day)
    played = {skill.id for skill in course.skills if not skill.quiet} if pain_noted(record, day) else set()
    return resting_skills(course, record, day) | tender | played


def tasks_now(course: Course, record: Record, day: int) -> tuple[Task, ...]:
    """Return the home tasks given up to a day, without those for what waits, or rested after that."""
    kept = [kept_from_home(course, record, day, was_given=was_given) for was_given in (False, True)]
    closed = max((hold.closed or 0 for hold in closed_lately(course, record, day)), default=0)
    given = (task for task in record.tasks if task.given <= day)
    return tuple(task for task in given if task.for_skill not in kept[task.given >= closed])


NO_BREAK = "no-break"


@dataclass(frozen=True)
class Due:
    """A settled skill whose window has ended.

    Attributes:
        role: decides (the next unit asks for it, or a group of which too few are there), rest
            (of this unit) or older (nothing asks for it directly now).
        last_seen: the day; window: days it stays fresh.
        before: it was due at the last lesson before the break already.
        again: it has been seen since the break and is settled again.
    """

    skill: str
    role: str
    last_seen: int
    window: int
    before: bool
    again: bool


@dataclass(frozen=True)
class ReviewLook:
    """One item of the list: ``why`` is always-look, decides or rest; ``clears`` is what it settles."""

    skills: tuple[str, ...]
    why: str
    clears: tuple[str, ...]


@dataclass(frozen=True)
class AfterBreak:
    """What a break cost, and what to do in the lessons after it.

    Attributes:
        kind: on-a-break, first-lesson-back or no-break.
        days: length of the break; without one, days since the latest lesson.
        last_lesson: the lesson before it; None without any lesson.
        look_on: the lesson the looks are for.
        due, kept: the settled skills of the units so far, and whether their window has ended.
        looks: fits one check; later: what does not.
        proved: whether no smaller set of skills settles as much as looks and later do, with the look set
            of the answer among them.
        resting: due skills that wait for a hold in another course.
        lessons: lessons of review, 0 without a break.
        lately: the holds that the student still comes back from.
    """

    kind: str
    days: int
    last_lesson: int | None
    look_on: int | None
    due: tuple[Due, ...]
    kept: tuple[str, ...]
    looks: tuple[ReviewLook, ...]
    later: tuple[ReviewLook, ...]
    proved: bool
    resting: tuple[str, ...]
    lessons: int
    lately: tuple[Hold, ...]


def after_break(course: Course, record: Record, answer: Answer) -> AfterBreak:
    """Return what the break on or before the day of an answer cost; without one, what is due anyway."""
    course = course.on(answer.on)
    past = [day for day in record.seen.lesson_days if day <= answer.on]
    gap = break_of(course, answer, past, answer.on)
    last_lesson = gap.last_lesson if gap else answer.last_lesson
    days = gap.days if gap else answer.on - (past[-1] if past else answer.on)
    due, kept = _due_and_kept(course, record, answer, gap)
    resting = resting_skills(course, record, answer.on)
    looks, proved = looks_ahead(course, record, answer)
    most = course.band[answer.band].whole("check_items_max")
    return AfterBreak(
        kind=gap.kind if gap else NO_BREAK,
        days=days,
        last_lesson=last_lesson,
        look_on=answer.next_lesson,
        due=due,
        kept=kept,
        looks=looks[:most],
        later=looks[most:],
        proved=proved,
        resting=tuple(one.skill for one in due if one.skill in resting),
        lessons=review_lessons(days) if gap else 0,
        lately=closed_lately(course, record, answer.on),
    )


def _due_and_kept(
    course: Course, record: Record, answer: Answer, gap: Gap | None
) -> tuple[tuple[Due, ...], tuple[str, ...]]:
    """Return what is due and what is not, as before the first lesson back."""
    is_back = gap is not None and gap.kind == "first-lesson-back"
    counted_on = (answer.last_lesson if is_back else None) or answer.on
    known = known_on(course, record, counted_on - is_back)
    if known.unit is None:
        return (), ()
    plan, (deciding, states) = course.plan, decided_on(course, known, counted_on)
    scope, band = plan.up_to[known.unit] & ~deciding.left_out, states.band
    due_before = _stale_at(course, record, gap.last_lesson if gap else answer.last_lesson)
    due = tuple(
        Due(
            plan.ids[i],
            _role(deciding, states, i),
            states.last_seen[i] or 0,
            band.fresh_days[plan.fade[i]],
            before=bool(due_before >> i & 1),
            again=answer.standings[plan.ids[i]].state == State.SECURE,
        )
        for i in bits(scope & states.among(State.STALE))
    )
    return due, plan.names(scope & states.secure)


def _stale_at(course: Course, record: Record, day: int | None) -> int:
    """Return what was due at the end of a lesson day."""
    if day is None:
        return 0
    known = known_on(course, record, day)
    return judge_states(course.plan, known, known.band_on(course, day), day).among(State.STALE)


def _role(deciding: Deciding, states: States, i: int) -> str:
    if (deciding.skills | deciding.unmet_members(states)) >> i & 1:
        return "decides"
    return "rest" if deciding.rest >> i & 1 else "older"


def looks_ahead(course: Course, record: Record, answer: Answer) -> tuple[tuple[ReviewLook, ...], bool]:
    """Return the looks of the next lesson, those for what decides first, and whether they surely are fewest.

    None under a hold, before a placing and where no lesson is to come.
    """
    plan, known = course.plan, known_on(course, record, answer.on)
    if answer.verdict == Verdict.PAUSED or known.unit is None or answer.next_lesson is None:
        return (), True
    resting = resting_skills(course, record, answer.on)
    deciding, states = decided_on(course, known, known.day)
    every = look_effects(course, known, answer.next_lesson)
    able = {i: reached for i, reached in every.settles.items() if plan.ids[i] not in resting}
    looks = replace(every, settles=able)
    first = [i for i in map(plan.index.__getitem__, answer.look_first) if i in able]
    due = deciding.rest & states.among(State.STALE) & ~union(able[i] for i in first)
    more = replace(looks, wants=tuple(Want(1 << i) for i in bits(due))).smallest(plan)
    glance = tuple(i for i in (*first, *more.skills) if plan.always_look >> i & 1)
    names = tuple(plan.ids[i] for i in sorted(glance))
    decides = (deciding.skills | deciding.unmet_members(states)) & ~states.secure
    found = (
        *([ReviewLook(names, "always-look", names)] if names else []),
        *_in_order(plan, looks, [i for i in first if i not in glance], decides, "decides"),
        *_in_order(plan, looks, [i for i in more.skills if i not in glance], due, "rest"),
    )
    return found, answer.look_proved and more.proved


def _in_order(plan: Plan, looks: Looks, chosen: Sequence[int], wanted: int, why: str) -> Iterator[ReviewLook]:
    """Yield single looks, those that settle most first, then in the order of the graph."""
    for i in sorted(chosen, key=lambda i: (-looks.gained(i), -(looks.settles[i] & wanted).bit_count(), i)):
        yield ReviewLook((plan.ids[i],), why, plan.names(looks.settles[i] & wanted))
