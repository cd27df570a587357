"""Which students it is about: ready and waiting, one more look, stuck, may not play, check due, promised.

Each question gives its students in the order they come in, which is that of their names; only
where somebody waits for a grown-up to act (to move on, to have a hold closed) who has waited longest
comes first. How it goes for a child never makes an order. While a student is paused for care, that
is all that is said: no other list has the student in it, and nothing about the cause is.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator, Sequence

from readiness.advice.after_break import closed_lately, pain_noted
from readiness.advice.plan import season_ahead
from readiness.advice.skill_traits import without_resting
from readiness.advice.timeline import birthday_ahead
from readiness.course.model import Course, bits
from readiness.days import birthday
from readiness.judging.answer import GAP_STATES, Answer
from readiness.judging.engine import judge
from readiness.lazy import dataclass
from readiness.record.entries import open_promises, open_tasks
from readiness.record.model import Record
from readiness.record.rhythm import Calendar
from readiness.terms import State, Verdict

__all__ = [
    "CheckDue", "Judged", "OneLook", "Paused", "Promised", "Ready", "Stuck", "due", "judge_all", "look",
    "paused", "promised", "ready", "ready_since", "stuck",
]  # fmt: skip

# One student with the answer of the day: what every question of this room is asked of.


@dataclass(frozen=True)
class Judged:
    """A student and the answer of the day."""

    record: Record
    answer: Answer


def judge_all(
    course: Course, records: Iterable[Record], on: int, calendar: Callable[[str], Calendar]
) -> tuple[Judged, ...]:
    """Return every student with the answer of a day, in the order given."""
    return tuple(Judged(one, judge(course, one, on, calendar(one.id))) for one in records)


# Since which day a student has been ready without a break.
#
# Between two days on which something happens a ready verdict can only be lost (things fade),
# never won. So it is enough to ask on the days on which something happened and on those before.


def ready_since(course: Course, judged: Judged) -> int:
    """Return the first day of the unit from which on the verdict was ready, up to that of the answer."""
    record, on = judged.record, judged.answer.on
    begun = max((start.on for start in record.seen.unit_starts if start.on <= on), default=on)
    days = {begun, *(day for day in _happenings(course, record) if begun <= day <= on)}
    return next(
        day for day in sorted(days, reverse=True)
        if day == begun or not judge(course, record, day - 1, judged.answer.calendar).is_ready
    )  # fmt: skip


def _happenings(course: Course, record: Record) -> Iterator[int]:
    """Yield the days on which a verdict can become a better one."""
    seen = record.seen
    yield from seen.lesson_days
    yield from (settled.on for settled in seen.settled)
    yield from (aside.on for aside in seen.set_aside)
    yield from (choice.on for choice in seen.band_choices)
    yield from (start.on for start in seen.unit_starts)
    yield from (hold.closed for hold in seen.holds if hold.closed is not None)
    yield from (birthday(record.born, band.from_age) for band in course.bands)
    yield from (course.entire or course).turning_days


_SHAKY = GAP_STATES | {State.WOBBLING}
_SHOWN = frozenset({State.SECURE, State.WOBBLING, State.STALE})


@dataclass(frozen=True)
class Ready:
    """Ready and waiting (Q38): since which day the verdict has stood, and the next lesson.

    Attributes:
        unit, next_unit: where the student is, and what comes next; None after the last unit.
        stay_decided: the day on which the teacher, knowing all this, decided to stay.
        closed: the day on which the teacher closed the last unit: nobody waits for anything.
    """

    student: str
    name: str
    verdict: str
    taking_along: tuple[str, ...]
    since: int
    next_lesson: int | None
    unit: str | None
    next_unit: str | None
    stay_decided: int | None
    closed: int | None


@dataclass(frozen=True)
class OneLook:
    """Needs a look (Q41): what to look at in the next lesson, and the earliest possible day.

    ``move_on`` is the day of a move where that is later, after a big day or a break, ``after``.
    ``away`` is on-a-break or first-lesson-back where that alone stands in the way; ``ask_first``: the last
    lesson's notes may speak of pain; ``stay_decided``: the day on which the teacher decided to stay.
    ``by_birthday`` is the verdict of the next lesson, with nothing new noted, by the rules of another age.
    """

    student: str
    name: str
    items: tuple[str, ...]
    next_lesson: int | None
    earliest: int | None
    move_on: int | None
    after: str
    away: str | None
    ask_first: bool
    stay_decided: int | None
    by_birthday: Verdict | None


@dataclass(frozen=True)
class Stuck:
    """No change for a while (Q37, rule R8).

    ``days`` tried in a row, the first of them ``since``; ``best_help`` is the least help among
    them, an index into HELPS; ``lowest`` is the lowest weak skill it stands on, itself if none.
    ``one_thing`` is that of the answer: where to begin, None where nothing is asked for.
    """

    student: str
    name: str
    skill: str
    days: int
    best_help: int
    since: int
    lowest: str
    one_thing: str | None


@dataclass(frozen=True)
class Paused:
    """May not play (Q40): since when, and who was told anything since.

    ``rests`` are the parts of the body on hold for another course, since the first of those days where
    this course goes on.
    """

    student: str
    name: str
    since: int
    goes_on: bool = False
    rests: tuple[str, ...] = ()
    told: tuple[str, ...] = ()


@dataclass(frozen=True)
class CheckDue:
    """A check is due (Q39), by the usual lessons, by what was shown already, or both.

    Attributes:
        lesson_days, usual: lesson days in the unit, and how many it usually takes.
        shown, asked: how many skills of the unit were shown on a day that counts, of those asked for.
        secure: how many of those are secure.
        last_check: the day of the last decision in this unit.
    """

    student: str
    name: str
    unit: str
    lesson_days: int
    usual: int
    shown: int
    asked: int
    secure: int
    by_lessons: bool
    by_shown: bool
    last_check: int | None
    next_lesson: int | None


@dataclass(frozen=True)
class Promised:
    """A promise that is open, or the latest home task where its report is (Q11).

    Attributes:
        kind: promise or task; ``number``: from 1, as the file has them.
        to: to whom; empty for a task.
        days_over: the days since it was due, None where it is not overdue.
    """

    student: str
    name: str
    kind: str
    number: int
    given: int
    to: str
    text: str
    due: int | None
    days_over: int | None


def promised(judged: Sequence[Judged]) -> tuple[Promised, ...]:
    """Return what is open over all students: overdue first, then what is due, then the oldest.

    A promise is never left out; while a hold is open no task is shown.
    """
    rows = (row for one in judged for row in _promised(one))
    return tuple(sorted(rows, key=lambda row: (-(row.days_over or 0), row.due is None, row.due or row.given)))


def _promised(judged: Judged) -> Iterator[Promised]:
    a, record = judged.answer, judged.record
    for number, promise in open_promises(record, a.on):
        due = promise.due
        over = a.on - due if due is not None and due < a.on else None
        yield Promised(
            a.student, a.name, "promise", number, promise.given, promise.to, promise.text, due, over
        )
    for number, task in open_tasks(record, a.on)[-1:]:
        yield Promised(a.student, a.name, "task", number, task.given, "", task.text, None, None)


def ready(course: Course, judged: Sequence[Judged]) -> tuple[Ready, ...]:
    """Return who is ready and waiting, the longest first."""
    rows = (_ready(one, ready_since(course, one)) for one in judged if one.answer.is_ready)
    return tuple(sorted(rows, key=lambda row: row.since))


def _ready(judged: Judged, since: int) -> Ready:
    a = judged.answer
    return Ready(
        a.student, a.name, a.verdict, a.taken_along, since, a.lesson_told, a.unit, a.next_unit,
        _stay_decided(a), a.closed,
    )  # fmt: skip


def _stay_decided(answer: Answer) -> int | None:
    return answer.decision.on if answer.decision is not None and answer.stays else None


def look(course: Course, judged: Sequence[Judged]) -> tuple[OneLook, ...]:
    """Return who needs a look: nothing noted says no, the notes are too few or too old."""
    told = ((one.record, without_resting(course, one.record, one.answer)) for one in judged)
    return tuple(
        OneLook(
            a.student, a.name, a.look_first or tuple(filter(None, [a.one_thing])), a.lesson_told,
            None if a.earliest_told is None else a.earliest, None if a.stays else a.earliest_told,
            "" if a.move_after is None else a.move_after.name, a.away, bool(pain_noted(record, a.on)),
            _stay_decided(a), None if (then := birthday_ahead(course, record, a)) is None else then.verdict,
        )
        for record, a in told
        if a.verdict == Verdict.LOOK_AGAIN
    )  # fmt: skip


def stuck(course: Course, judged: Sequence[Judged]) -> tuple[Stuck, ...]:
    """Return who is stuck, a row for each skill."""
    return tuple(row for one in judged for row in _stuck(course, one.answer))


def _stuck(course: Course, answer: Answer) -> Iterator[Stuck]:
    if answer.verdict == Verdict.PAUSED:
        return
    for remark in answer.remarks:
        if remark.id == "stuck" and remark.skill is not None:
            standing = answer.standings[remark.skill]
            tries = standing.evidence[-standing.misses :]
            best = min(note.help for note in tries)
            lowest = lowest_weak(course, answer, remark.skill)
            yield Stuck(
                answer.student, answer.name, remark.skill, len(tries), best, tries[0].day, lowest,
                answer.one_thing,
            )  # fmt: skip


def lowest_weak(course: Course, answer: Answer, skill: str) -> str:
    """Return the lowest weak skill under a skill, itself if none: there practice begins.

    The one thing of the answer where it is among them; else fewest minutes, then the id.
    """
    plan = course.on(answer.on).plan
    band = answer.band
    weak = {
        i
        for i in bits(plan.ancestors[plan.index[skill]] | 1 << plan.index[skill])
        if answer.standings[plan.ids[i]].state in _SHAKY and band not in course.skill[plan.ids[i]].optional_in
    } | {plan.index[skill]}
    lowest = [i for i in weak if not any(plan.ancestors[i] >> j & 1 for j in weak)]
    first = min(lowest, key=lambda i: (plan.ids[i] != answer.one_thing, plan.minutes[i], plan.ids[i]))
    return plan.ids[first]


def paused(course: Course, judged: Sequence[Judged]) -> tuple[Paused, ...]:
    """Return who may not play, and since when, the longest first; nothing about the cause."""
    del course
    rows = (_paused(one) for one in judged)
    return tuple(sorted((row for row in rows if row is not None), key=lambda row: row.since))


def _paused(judged: Judged) -> Paused | None:
    answer, record = judged.answer, judged.record
    resting = record.resting(answer.on)
    holds = [hold for hold in record.seen.holds if hold.is_open(answer.on)] or resting
    if not holds:
        return None
    since = min(hold.opened for hold in holds)
    told = [block.to for block in record.told if since <= block.on <= answer.on]
    rests = tuple(dict.fromkeys(hold.part for hold in resting))
    goes_on = answer.verdict != Verdict.PAUSED
    return Paused(answer.student, answer.name, since, goes_on, rests, tuple(dict.fromkeys(told)))


def due(course: Course, judged: Sequence[Judged]) -> tuple[CheckDue, ...]:
    """Return who has a check due.

    Due when the usual lessons of the unit are over, or when all its skills but as many as may
    come along were shown already; not within ``check_gap_days`` of the last decision, nor soon after a hold,
    nor right before a big day or a long break, after which a check waits as a new unit does.
    """
    able = (one for one in judged if one.answer.verdict != Verdict.PAUSED)
    free = (one for one in able if not closed_lately(course, one.record, one.answer.on))
    rows = (_due(course, one) for one in free if season_ahead(one.record, one.answer) is None)
    return tuple(row for row in rows if row is not None)


def _due(course: Course, judged: Judged) -> CheckDue | None:
    answer = judged.answer
    if answer.unit is None or answer.lesson_days is None:
        return None
    band, usual = course.band[answer.band], course.unit[answer.unit].lesson_weeks
    made = [d.on for d in judged.record.seen.decisions if d.unit == answer.unit and d.on <= answer.on]
    last = max(made, default=None)
    if last is not None and answer.on - last < band.whole("check_gap_days"):
        return None
    here = {skill.id for skill in course.skills if skill.unit == answer.unit}
    asked = [s for s in dict.fromkeys((*answer.deciding, *answer.rest)) if s in here]
    standings = [answer.standings[skill] for skill in asked]
    shown = sum(one.have > 0 or one.state in _SHOWN for one in standings)
    by_lessons = answer.lesson_days >= usual
    by_shown = len(asked) - shown <= band.whole("carry_limit")
    if not (by_lessons or by_shown):
        return None
    return CheckDue(
        answer.student, answer.name, answer.unit, answer.lesson_days, usual, shown, len(asked),
        sum(one.state == State.SECURE for one in standings), by_lessons, by_shown, last, answer.lesson_told,
    )  # fmt: skip
