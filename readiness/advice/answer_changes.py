"""What is different between two answers about one student, named one by one, the most important first."""

from __future__ import annotations

from collections.abc import Iterator

from readiness.advice.placing_round import PlacingRound
from readiness.advice.presumed import start_of
from readiness.course.model import Course
from readiness.judging.answer import Answer, Blocker, Standing
from readiness.judging.findings import TooManyOpen
from readiness.judging.reasons import rules_in
from readiness.lazy import dataclass
from readiness.record.model import Record
from readiness.terms import Verdict

__all__ = ["Reason", "StudentChange", "decided", "student_change"]

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
    yield from _frame(before, after, starts)
    if decided(before, starts[0]) != decided(after, starts[1]) or before.earliest_told != after.earliest_told:
        used = dict.fromkeys(rule.rule for answer in (after, before) for rule in rules_in(answer.findings))
        was, now = old.band[before.band].numbers, new.band[after.band].numbers
        for rule in used:
            if was.get(rule) != now.get(rule):
                yield Reason("number-changed", rule=rule, old=was.get(rule), new=now.get(rule))
    if before.one_thing != after.one_thing:
        yield Reason("other-one-thing", old=before.one_thing, new=after.one_thing)
    if before.look_first != after.look_first:
        yield Reason("other-looks", old=before.look_first, new=after.look_first)
    if before.earliest_told != after.earliest_told:
        yield Reason("other-earliest", old=before.earliest_told, new=after.earliest_told)
    if before.holds_until != after.holds_until:
        yield Reason("other-holds-until", old=before.holds_until, new=after.holds_until)


def _blockers(before: Answer, after: Answer) -> Iterator[Reason]:
    there, now = ({one.key: one for one in answer.blockers} for answer in (before, after))
    for key in now:
        if key not in there:
            yield _blocker("new-blocker", now[key], before, after)
    for key in there:
        if key not in now:
            yield _blocker("dropped-blocker", there[key], before, after)


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


def _frame(before: Answer, after: Answer, starts: Starts) -> Iterator[Reason]:
    if before.band != after.band:
        yield Reason("other-band", old=before.band, new=after.band)
    if before.next_unit != after.next_unit:
        yield Reason("other-next-unit", old=before.next_unit, new=after.next_unit)
    was, now = (_start(*one) for one in zip((before, after), starts, strict=True))
    if was != now:
        yield Reason("other-start", old=was, new=now)
