"""What differs between two answers, on which days a verdict became another one, and what a birthday changes.

Between two days on which something can happen - a block of the student's file, the end of a
window, a birthday, a lesson missed for too long, an edit of the course - no verdict changes,
so only those days are looked at.

What changes when a birthday changes the age band: numbers, skills asked for, the verdict.

Time passes until a birthday, and that alone changes states. So the day itself is judged twice,
by the band of the day before and by the new one, with nothing new noted: what differs, the
birthday does. Bands have edges, so on some days one day of age decides; that is said.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import replace
from typing import Final

from readiness.advice.ground import start_of
from readiness.advice.placing_round import PlacingRound
from readiness.course.model import Course
from readiness.days import age_on, birthday
from readiness.judging.answer import Answer, Blocker, Standing
from readiness.judging.engine import judge
from readiness.judging.findings import TooManyOpen
from readiness.judging.history import known_on
from readiness.judging.reasons import rules_in
from readiness.judging.states import judge_states
from readiness.lazy import dataclass
from readiness.record.consents import ADULT_AGE
from readiness.record.model import BandChoice, Record
from readiness.record.rhythm import NO_CALENDAR, Calendar
from readiness.terms import Verdict

__all__ = [
    "Birthday", "Edit", "OneDay", "Reason", "StudentChange", "Turn", "birthday_ahead", "birthday_changes",
    "course_on", "decided", "fitting", "followed_from", "of_age_from", "one_day_of_age", "student_change",
    "turns",
]  # fmt: skip

_Field = Callable[[Answer], object]
Starts = tuple[PlacingRound | None, PlacingRound | None]


@dataclass(frozen=True)
class Reason:
    """One thing that is different between two answers.

    Attributes:
        id: new-blocker, dropped-blocker, other-state, too-many-open, few-enough-open,
            comes-along, comes-along-no-more, number-changed, other-band, other-next-unit,
            other-start, other-one-thing, other-looks, other-earliest or other-holds-until.
        skill: what it is about; members: of a group that blocks.
        old, new: states, numbers, days or ids; standing: how the skill stands where it now blocks.
    """

    id: str
    skill: str | None = None
    members: tuple[str, ...] = ()
    at_least: int = 0
    rule: str = ""
    old: object = None
    new: object = None
    standing: Standing | None = None


@dataclass(frozen=True)
class StudentChange:
    """What is different for one student, the most important first.

    ``starts`` is where a student who is not placed starts by each course, None for any other.
    """

    before: Answer
    after: Answer
    reasons: tuple[Reason, ...]
    starts: Starts

    @property
    def is_decided(self) -> bool:
        """Return whether what a teacher acts on is another: the answer itself, or where to start."""
        return decided(self.before, self.starts[0]) != decided(self.after, self.starts[1])


def student_change(
    old: Course, new: Course, before: Answer, after: Answer, records: tuple[Record, Record]
) -> StudentChange:
    """Return what is different between two answers about one student, made from these records."""
    starts = start_of(old, records[0], before), start_of(new, records[1], after)
    return StudentChange(before, after, tuple(_reasons(old, new, before, after, starts)), starts)


def decided(answer: Answer, start: PlacingRound | None) -> tuple[object, ...]:
    """Return what of an answer a teacher acts on: verdict, blockers, what comes along, where to start."""
    return (
        answer.verdict,
        answer.band,
        answer.next_unit,
        frozenset((one.key, one.state) for one in answer.blockers),
        answer.taken_along,
        _too_many(answer) is not None,
        _start(answer, start),
    )


def _too_many(answer: Answer) -> TooManyOpen | None:
    return next((one for one in answer.findings if isinstance(one, TooManyOpen)), None)


def _start(answer: Answer, now: PlacingRound | None) -> tuple[object, ...]:
    """Return where to start, how early and how late it may be, and what that rests on by rule R10."""
    place = answer.placing
    if place is None or now is None:
        return ()
    by_rule = place.start_unit, place.patches, place.stopped_by, place.always_look_open
    return now.start, now.fits[0], now.fits[-1], now.patches, *by_rule


def _reasons(old: Course, new: Course, before: Answer, after: Answer, starts: Starts) -> Iterator[Reason]:
    yield from _blockers(before, after)
    yield from _states(before, after)
    yield from _rest(before, after)
    yield from _others(before, after, {
        "other-band": lambda one: one.band, "other-next-unit": lambda one: one.next_unit,
    })  # fmt: skip
    first, then = (_start(*one) for one in zip((before, after), starts, strict=True))
    if first != then:
        yield Reason("other-start", old=first, new=then)
    if decided(before, starts[0]) != decided(after, starts[1]) or before.earliest_told != after.earliest_told:
        used = dict.fromkeys(rule.rule for answer in (after, before) for rule in rules_in(answer.findings))
        was, now = old.band[before.band].numbers, new.band[after.band].numbers
        for rule in used:
            if was.get(rule) != now.get(rule):
                yield Reason("number-changed", rule=rule, old=was.get(rule), new=now.get(rule))
    both = all(one.earliest_told == one.on for one in (before, after))  # can go on at once, each on its day
    yield from _others(before, after, {
        "other-one-thing": lambda one: one.one_thing, "other-looks": lambda one: one.look_first,
        "other-earliest": lambda a: both or a.earliest_told, "other-holds-until": lambda one: one.holds_until,
    })  # fmt: skip


def _others(before: Answer, after: Answer, fields: Mapping[str, _Field]) -> Iterator[Reason]:
    """Yield, by the id of its reason, each field that differs."""
    for id_, of in fields.items():
        old, new = of(before), of(after)
        if old != new:
            yield Reason(id_, old=old, new=new)


def _blockers(before: Answer, after: Answer) -> Iterator[Reason]:
    there, now = ({one.key: one for one in answer.blockers} for answer in (before, after))
    for id_, some, others in (("new-blocker", now, there), ("dropped-blocker", there, now)):
        for key in some:
            if key not in others:
                yield _blocker(id_, some[key], before, after)


def _blocker(id_: str, blocker: Blocker, before: Answer, after: Answer) -> Reason:
    if blocker.group is not None:
        return Reason(id_, members=blocker.group.of, at_least=blocker.group.at_least)
    assert blocker.skill is not None
    then = before.standings[blocker.skill].state if blocker.skill in before.standings else None
    now = after.standings.get(blocker.skill)
    asked = now is not None and blocker.skill in {*after.deciding, *after.rest}
    return Reason(id_, blocker.skill, old=then, new=now.state if now and asked else None, standing=now)


def _states(before: Answer, after: Answer) -> Iterator[Reason]:
    """Yield the states that differ of skills asked for in both answers and told by no blocker."""
    asked = {*before.deciding, *before.rest} & {*after.deciding, *after.rest}
    blocking = [{one.skill for one in answer.blockers} for answer in (before, after)]
    told = blocking[0] ^ blocking[1]
    for skill in (*after.deciding, *after.rest):
        if skill in asked and skill not in told:
            was, now = before.standings[skill], after.standings[skill]
            if was.state != now.state:
                yield Reason("other-state", skill, old=was.state, new=now.state, standing=now)


def _rest(before: Answer, after: Answer) -> Iterator[Reason]:
    was, now = _too_many(before), _too_many(after)
    if now is not None and was is None:
        yield Reason("too-many-open", members=now.skills, old=_limit(before), new=_limit(after))
    if was is not None and now is None:
        yield Reason("few-enough-open", members=after.open_rest, old=_limit(before), new=_limit(after))
    for skill in after.taken_along:
        if skill not in before.taken_along:
            yield Reason("comes-along", skill, new=after.standings[skill].state)
    for skill in before.taken_along:
        if skill not in after.taken_along and after.verdict == Verdict.READY:
            yield Reason("comes-along-no-more", skill, old=before.standings[skill].state)


def _limit(answer: Answer) -> object:
    return next((rule.value for rule in rules_in(answer.findings) if rule.rule == "carry_limit"), None)


_MOST: Final = 100
"""How many days on which something was noted are followed; each asks for a verdict."""
_MOST_DAYS: Final = 500
"""How many days are asked about in all: what was noted turns stale on days of its own."""


@dataclass(frozen=True)
class Edit:
    """The course after an edit. ``day`` is None where it is not known: then it counts as the last one."""

    day: int | None
    by: str
    about: str
    course: Course


@dataclass(frozen=True)
class Turn:
    """The first day of another verdict."""

    day: int
    verdict: Verdict


def course_on(before: Course, edits: Sequence[Edit], day: int, last: int | None = None) -> Course:
    """Return the course as it was on a day.

    Args:
        edits: oldest first.
        last: from when on edits without a day count; that day without.
    """
    course = before
    for edit in edits:
        if (edit.day if edit.day is not None else last or day) <= day:
            course = edit.course
    return course


def fitting(record: Record, course: Course) -> Record:
    """Return a record without what another course of the same name does not have."""
    names = {"skill": course.skill, "unit": course.unit, "band": course.band}
    if all(name in names[kind] for kind, name in record.seen.named):
        return record
    skills, units = course.skill.keys(), course.unit.keys()
    lessons = tuple(
        replace(one, showings=tuple(showing for showing in one.showings if showing.skill in skills))
        for one in record.lessons
    )
    return replace(
        record,
        lessons=lessons,
        unit_starts=tuple(one for one in record.unit_starts if one.unit in units),
        settled=tuple(one for one in record.settled if one.through in units),
        set_aside=tuple(one for one in record.set_aside if one.skill in skills),
        band_choices=tuple(one for one in record.band_choices if one.band in course.band),
    )


def turns(
    record: Record,
    before: Course,
    edits: Sequence[Edit],
    since: int,
    on: int,
    calendar: Calendar = NO_CALENDAR,
) -> tuple[tuple[Turn, ...], int]:
    """Return the first day of every other verdict after ``since``, and the day to which they were looked for.

    That is ``on``, but where there were too many days to ask about.
    """
    day, found, asked = since, list[Turn](), 0
    verdict = judge(before, fitting(record, before), since, calendar).verdict
    while day < on and (asked := asked + 1) <= _MOST_DAYS:
        course = course_on(before, edits, day, on)
        day = min([on, *(one for one in _turning(record, course, edits, day, calendar) if one > day)])
        course = course_on(before, edits, day, on)
        now = judge(course, fitting(record, course), day, calendar).verdict
        if now != verdict:
            found.append(Turn(day, now))
            verdict = now
    return tuple(found), day


def followed_from(record: Record, since: int, on: int) -> int:
    """Return the day from which turns are looked for: ``since``, or later where very much was noted."""
    days = sorted({day for day in _blocks(record) if since < day <= on})
    return days[-_MOST] if len(days) > _MOST else since


def _turning(
    record: Record, course: Course, edits: Sequence[Edit], day: int, calendar: Calendar
) -> Iterator[int]:
    """Yield the days on which something can happen, as far as it can be told on ``day``."""
    yield from _blocks(record)
    yield from (edit.day for edit in edits if edit.day is not None)
    yield from (course.entire or course).turning_days
    yield from (birthday(record.born, band.from_age) for band in course.bands)
    course = course.on(day)
    known = known_on(course, fitting(record, course), day, calendar)
    band = known.band_on(course, day)
    if known.lesson_days:
        yield known.lesson_days[-1] + known.calendar.break_days(band.whole("break_weeks"))
    states = judge_states(course.plan, known, band, day)
    for seen, fade in zip(states.last_seen, course.plan.fade, strict=True):
        if seen is not None:
            yield seen + band.fresh_days[fade] + 1


def _blocks(record: Record) -> Iterator[int]:
    yield from (one.on for one in record.lessons)
    yield from (one.on for one in record.unit_starts)
    yield from (one.on for one in record.settled)
    yield from (one.on for one in record.set_aside)
    yield from (one.on for one in record.band_choices)
    for hold in record.holds:
        yield hold.opened
        if hold.closed is not None:
            yield hold.closed


@dataclass(frozen=True)
class Birthday:
    """A birthday that changes the band.

    Attributes:
        day: the day; age: the age on it; old, new: the bands before and from it on.
        numbers: (rule, old, new) of every number that differs, in the order of the file.
        due: skills asked for from that day on that were not before; skipped: the other way.
        change: the day judged by the old band and by the new one.
    """

    day: int
    age: int
    old: str
    new: str
    numbers: tuple[tuple[str, object, object], ...]
    due: tuple[str, ...]
    skipped: tuple[str, ...]
    change: StudentChange

    @property
    def one_day_decides(self) -> bool:
        """Return whether on that day the verdict of somebody born a day later is another."""
        return self.change.before.verdict != self.change.after.verdict


@dataclass(frozen=True)
class OneDay:
    """Somebody with the same notes, born one day later, or else earlier, and the answer for them."""

    later: bool
    answer: Answer

    @property
    def born(self) -> str:
        """Return when: earlier or later."""
        return "later" if self.later else "earlier"


def birthday_changes(
    course: Course, record: Record, on: int, calendar: Calendar = NO_CALENDAR
) -> Birthday | None:
    """Return what the next birthday that changes the band changes; None where none does.

    None too where the teacher has set the band, because it then goes by the teacher.
    """
    known = known_on(course, record, on)
    record = replace(record, lessons=tuple(lesson for lesson in record.lessons if lesson.on <= on))
    day = known.next_band_day(course, on)
    if day is None:
        return None
    now, then = known.band_on(course, on), known.band_on(course, day)
    kept = replace(record, band_choices=(*record.band_choices, BandChoice(now.name, day)))
    taught = course.on(day)
    asked = [[s.id for s in taught.skills if band.name not in s.optional_in] for band in (now, then)]
    before, after = judge(course, kept, day, calendar), judge(course, record, day, calendar)
    return Birthday(
        day=day,
        age=age_on(record.born, day),
        old=now.name,
        new=then.name,
        numbers=tuple(
            (rule, now.numbers.get(rule), value)
            for rule, value in then.numbers.items()
            if rule != "from_age" and now.numbers.get(rule) != value
        ),
        due=tuple(skill for skill in asked[1] if skill not in asked[0]),
        skipped=tuple(skill for skill in asked[0] if skill not in asked[1]),
        change=student_change(course, course, before, after, (kept, record)),
    )


def birthday_ahead(course: Course, record: Record, answer: Answer) -> Answer | None:
    """Return the answer of the next lesson with nothing new noted, where it goes by the rules of another age.

    None under a hold and before a start: there no rule of an age decides.
    """
    lesson, day = answer.next_lesson, known_on(course, record, answer.on).next_band_day(course, answer.on)
    is_asked = answer.unit is not None and answer.verdict != Verdict.PAUSED
    if not is_asked or day is None or lesson is None or day > lesson:
        return None
    return judge(course, record, lesson, answer.calendar)


def of_age_from(record: Record, on: int, found: Birthday | None) -> int | None:
    """Return the day to come on which a student is an adult; None where the birthday found comes first.

    The rules may stay as they are: what it changes is who is told (``record.consents``).
    """
    day = birthday(record.born, ADULT_AGE) if record.born > 0 else on
    return day if on < day and (found is None or day <= found.day) else None


def one_day_of_age(course: Course, record: Record, answer: Answer) -> OneDay | None:
    """Return the answer for the same notes of somebody born one day earlier or later.

    None where the verdict is that of the answer, or goes by the same band: then no day of age decides.
    """
    for later in (False, True):
        born = record.born + (1 if later else -1)
        other = judge(course, replace(record, born=born), answer.on, answer.calendar)
        if other.band != answer.band and other.verdict != answer.verdict:
            return OneDay(later, other)
    return None
