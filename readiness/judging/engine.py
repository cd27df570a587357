"""The one entry point: judge a student on a day, as it is or with one number changed.

Puts the steps together in their order - what is known, the states, what decides, the
verdict, the reasons, the advice - and holds no rule of its own but the order of the
verdicts (rule R7). Pure: no file, no clock, no printing.

Recomputed from the start, compared elsewhere, and never saved. A change is refused with a
:class:`ChangeError` that holds what was typed and what could have been meant.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import replace
from functools import cached_property
from itertools import chain

from readiness.course.model import Course, Plan
from readiness.days import age_on
from readiness.judging.answer import (
    Answer,
    Blocker,
    BroughtAlong,
    DecisionNow,
    Evidence,
    Gap,
    GroupStanding,
    KeptBack,
    PlacingResult,
    RecentHold,
    Remark,
    Standing,
)
from readiness.judging.cover import Cover
from readiness.judging.findings import Finding
from readiness.judging.history import Known, known_on
from readiness.judging.lookahead import (
    Earliest,
    Holds,
    Looks,
    after_hold,
    break_now,
    chain_up,
    earliest_date,
    frees,
    holds_until,
    look_effects,
    one_thing,
    targets,
)
from readiness.judging.reasons import Reasons, cautions_for, lesson_days_in_unit, remarks, young
from readiness.judging.states import (
    Deciding,
    States,
    blockers,
    brought_along,
    decide,
    decision_on,
    group_standing,
    judge_states,
    place,
    verdict,
)
from readiness.lazy import dataclass, methods_of
from readiness.record.model import HELPS, Record
from readiness.record.rhythm import NO_CALENDAR, Calendar, Season
from readiness.terms import READY, State, Verdict
from readiness.toml.texts import nearest

__all__ = [
    "SHOW", "ChangeError", "PlacedParts", "Standings", "UnplacedParts", "judge",
    "judge_known", "what_if", "with_numbers",
]  # fmt: skip

# Where each skill stands, as a value with all it rests on.
#
# Most of a course is never looked at in an answer, so a standing is made when it is asked for.


@dataclass(frozen=True)
class Standings(Mapping[str, Standing]):
    """The standing of every skill by id, in graph order; each is made when it is asked for."""

    plan: Plan
    known: Known
    states: States

    @cached_property
    def _made(self) -> dict[str, Standing]:
        return {}

    def __getitem__(self, skill: str) -> Standing:
        if skill not in self._made:
            self._made[skill] = _standing(self.plan, self.known, self.states, self.plan.index[skill])
        return self._made[skill]

    def __iter__(self) -> Iterator[str]:
        return iter(self.plan.ids)

    def __len__(self) -> int:
        return len(self.plan.ids)


def _standing(plan: Plan, known: Known, states: States, i: int) -> Standing:
    """Return one skill's state with all it rests on."""
    one, band = states.folds[i], states.band
    block = known.settled_by[plan.unit[i]]
    settled = None if block is None else block.on
    accepts = band.accepts[plan.kind[i]]
    return Standing(
        skill=plan.ids[i],
        state=states.state[i],
        have=one.have,
        need=plan.days[i] or band.days_needed[plan.kind[i]],
        last_note=one.last[0] if one.last else None,
        last_help=one.last[1] if one.last else None,
        last_seen=states.last_seen[i],
        fresh_until=states.fresh_until(i),
        misses=one.misses,
        secure_since=one.secure_since,
        slipped=one.slipped,
        settled_on=settled,
        settled_line=0 if block is None else block.line,
        warmed_by=plan.ids[states.warmed_by[i][1]] if i in states.warmed_by else None,
        evidence=tuple(
            Evidence(day, help_given, help_given <= accepts, line)
            for day, help_given, line in states.evidence.get(i, ())
            if settled is None or day >= settled
        ),
    )


# What else an answer says, each thing worked out when it is asked for.
#
# The verdict is known; here are the reasons, the advice and the dates. Every public method has the
# name of the field of :class:`Answer` that it gives, so nothing is worked out that nobody reads.
# No rule is here that is not in the module whose name it calls.


@dataclass(frozen=True)
class _AnswerParts:
    """What both have in common; ``ahead`` is the lesson to look ahead to, None where none is to come."""

    course: Course
    record: Record
    known: Known
    states: States
    ahead: int | None

    @property
    def plan(self) -> Plan:
        return self.course.plan

    def _answer(self, told: dict[str, object]) -> Answer:
        """Return the answer with what is told; what is not known yet is asked of this."""
        days = self.known.lesson_days
        now = {
            "student": self.record.id,
            "name": self.record.name,
            "on": self.known.day,
            "age": age_on(self.known.born, self.known.day),
            "band": self.states.band.name,
            "standings": Standings(self.plan, self.known, self.states),
            "last_lesson": days[-1] if days else None,
            "next_lesson": self.ahead,
            "calendar": self.known.calendar,
        }
        return Answer.later(now | told, methods_of(self))

    def _cautions(
        self, shown: Iterable[str], findings: tuple[Finding, ...], *, seat_open: bool
    ) -> tuple[str, ...]:
        return cautions_for(
            self.course, self.record, self.known.day, shown, findings,
            paused=bool(self.known.holds), seat_open=seat_open,
        )  # fmt: skip


@dataclass(frozen=True)
class PlacedParts(_AnswerParts):
    """About a student in a unit."""

    decided: Deciding
    underlying: Verdict
    gap: Gap | None
    after: RecentHold | None
    verdict: Verdict

    def answer(self) -> Answer:
        """Return the answer."""
        unit_ids, gap, ahead = self.plan.unit_ids, self.gap, self.decided.next_unit
        return self._answer({
            "unit": unit_ids[self.decided.unit],
            "next_unit": None if ahead is None else unit_ids[ahead],
            "verdict": self.verdict,
            "underlying": self.underlying,
            "away": gap.kind if gap else None,
            "away_days": gap.days if gap else None,
            "after_hold": self.after,
            "placing": None,
        })  # fmt: skip

    @cached_property
    def _looks(self) -> Looks | None:
        return None if self.ahead is None else look_effects(self.course, self.known, self.ahead)

    @cached_property
    def _work_on(self) -> int | None:
        """The one thing by its number; nothing to do is suggested under a hold."""
        if self.verdict == Verdict.PAUSED or self.verdict in READY:
            return None
        return one_thing(self.plan, self.decided, self.states, self._looks, self._limit)

    @property
    def _limit(self) -> int:
        return self.states.band.whole("carry_limit")

    @property
    def _open_rest(self) -> int:
        return self.decided.rest & ~self.states.secure

    def deciding(self) -> tuple[str, ...]:
        return self.plan.names(self.decided.skills)

    def rest(self) -> tuple[str, ...]:
        return self.plan.names(self.decided.rest)

    def open_rest(self) -> tuple[str, ...]:
        return self.plan.names(self._open_rest)

    def taken_along(self) -> tuple[str, ...]:
        return self.plan.names(self._open_rest) if self.verdict == Verdict.READY_TAKING_ALONG else ()

    def groups(self) -> tuple[GroupStanding, ...]:
        return tuple(group_standing(self.plan, group, self.states) for group in self.decided.groups)

    def blockers(self) -> tuple[Blocker, ...]:
        return blockers(self.plan, self.decided, self.states)

    def remarks(self) -> tuple[Remark, ...]:
        return remarks(self.course, self.known, self.decided, self.states)

    def one_thing(self) -> str | None:
        return None if self._work_on is None else self.plan.ids[self._work_on]

    def frees(self) -> tuple[str, ...]:
        if self._work_on is None:
            return ()
        return self.plan.names(frees(self.plan, self.decided, self.states, self._work_on))

    def chain(self) -> tuple[str, ...]:
        if self._work_on is None:
            return ()
        goals = targets(self.decided, self.states, self._limit) or self.decided.skills & ~self.states.secure
        return tuple(self.plan.ids[i] for i in chain_up(self.plan, self._work_on, goals))

    @cached_property
    def _cover(self) -> Cover | None:
        if self.verdict == Verdict.PAUSED or self._looks is None:
            return None
        return self._looks.smallest(self.plan)

    def look_first(self) -> tuple[str, ...]:
        return () if self._cover is None else self._cover.ids

    def look_proved(self) -> bool:
        return self._cover is None or self._cover.proved

    def proof(self) -> Mapping[str, object] | None:
        return None if self._cover is None or not self._cover.proved else self._cover.proof

    @cached_property
    def _earliest(self) -> Earliest:
        if self.verdict in READY:
            return Earliest(self.known.day, self.known.day)
        return Earliest() if self.verdict == Verdict.PAUSED else earliest_date(self.course, self.known)

    def earliest(self) -> int | None:
        return self._earliest.day

    def move_on(self) -> int | None:
        return self._earliest.move

    def move_after(self) -> Season | None:
        return self._earliest.after

    def kept_back(self) -> tuple[KeptBack, ...]:
        return self._earliest.kept_back

    def is_unseen(self) -> bool:
        decided = self.decided
        asked = (decided.skills | decided.rest | decided.group_members) & ~self.plan.always_look
        return bool(asked) and not asked & ~self.states.among(State.UNTRIED)

    @cached_property
    def _holds(self) -> Holds:
        return holds_until(self.course, self.known) if self.verdict in READY else Holds()

    def holds_until(self) -> int | None:
        return self._holds.until

    def holds_because(self) -> str | None:
        return self._holds.because

    def fades_first(self) -> str | None:
        return None if self._holds.skill is None else self.plan.ids[self._holds.skill]

    def decision(self) -> DecisionNow | None:
        decided = self.known.decision
        return None if decided is None else decision_on(decided, self.known)

    def brought_along(self) -> tuple[BroughtAlong, ...]:
        return brought_along(self.plan, self.decided, self.states)

    def lesson_days(self) -> int:
        return lesson_days_in_unit(self.known)

    @cached_property
    def _findings(self) -> tuple[Finding, ...]:
        reasons = Reasons(self.course, self.record, self.known, self.decided, self.states)
        return reasons.all(self.verdict, self.gap, self.after)

    def findings(self) -> tuple[Finding, ...]:
        return self._findings

    def cautions(self) -> tuple[str, ...]:
        one = self.one_thing()
        shown = chain(
            () if one is None else (one,),
            self.look_first(),
            (blocker.skill for blocker in self.blockers() if blocker.skill is not None),
            self.open_rest(),
        )
        seat_open = bool(self.decided.skills & self.plan.always_look & ~self.states.secure)
        return self._cautions(shown, self._findings, seat_open=seat_open)


@dataclass(frozen=True)
class UnplacedParts(_AnswerParts):
    """About a student who has not begun a unit: the answer is where to start."""

    def answer(self) -> Answer:
        """Return the answer."""
        nothing = ("deciding", "rest", "open_rest", "groups", "blockers", "taken_along", "frees",
                   "chain", "look_first", "brought_along", "kept_back")  # fmt: skip
        unknown = ("unit", "next_unit", "proof", "earliest", "move_on", "move_after", "holds_until",
                   "holds_because", "fades_first", "decision", "lesson_days", "away", "away_days",
                   "after_hold")  # fmt: skip
        return self._answer({
            **dict.fromkeys(nothing, ()),
            **dict.fromkeys(unknown),
            "verdict": Verdict.PAUSED if self.known.holds else Verdict.NOT_PLACED,
            "underlying": Verdict.NOT_PLACED,
            "look_proved": True,
            "is_unseen": False,
            "placing": self._placing,
        })  # fmt: skip

    def remarks(self) -> tuple[Remark, ...]:
        return young(self.course, self.known)

    @cached_property
    def _placing(self) -> PlacingResult:
        return place(self.course, self.record, self.states)

    def one_thing(self) -> str | None:
        return None if self.known.holds else next(iter(self._placing.always_look_open), None)

    @cached_property
    def _findings(self) -> tuple[Finding, ...]:
        decided = decide(self.plan, 0, self.states.band, self.known.set_aside)
        return Reasons(self.course, self.record, self.known, decided, self.states).not_placed()

    def findings(self) -> tuple[Finding, ...]:
        return self._findings

    def cautions(self) -> tuple[str, ...]:
        found = self._placing
        shown = (*found.always_look_open, *found.patches, *found.stopped_by)
        return self._cautions(shown, self._findings, seat_open=bool(found.always_look_open))


def judge(
    course: Course, record: Record, on: int, calendar: Calendar = NO_CALENDAR, lesson: int | None = None
) -> Answer:
    """Return whether the student is ready for the next unit on a day, and why.

    Args:
        course: what is taught.
        record: what was seen; everything dated after ``on`` is ignored.
        on: the day asked about, a day number.
        calendar: planned lesson days, rhythm and holidays; weekly lessons are assumed without.
        lesson: the lesson to look ahead to, ``on`` itself or later; the next to come without.
    """
    course = course.on(on)
    return judge_known(course, record, known_on(course, record, on, calendar), lesson)


def judge_known(course: Course, record: Record, known: Known, lesson: int | None = None) -> Answer:
    """Return the answer for what is known, or supposed, on ``known.day``."""
    band = known.band_on(course, known.day)
    states = judge_states(course.plan, known, band, known.day)
    ahead = known.next_lesson if lesson is None else lesson
    if known.unit is None:
        return UnplacedParts(course, record, known, states, ahead).answer()
    deciding = decide(course.plan, known.unit, band, known.set_aside)
    underlying = final = verdict(deciding, states, band.whole("carry_limit"))
    gap = after = None
    if known.holds:  # over the verdict lie a hold, a break and what comes after a hold (rule R7)
        final = Verdict.PAUSED
    else:
        gap, after = break_now(known, band, known.day), after_hold(course.plan, known, states)
        final = Verdict.LOOK_AGAIN if (gap or after) and underlying in READY else underlying
    return PlacedParts(course, record, known, states, ahead, deciding, underlying, gap, after, final).answer()


SHOW = "show."


class ChangeError(ValueError):
    """A change that cannot be made: ``name`` or ``value`` is not one of ``choices``.

    Attributes:
        part: "name" or "value".
        typed: what was typed; meant: the nearest choice, if any; wanted: what fits; why: what is wrong with
            a number, in place of that.
    """

    def __init__(
        self, part: str, typed: str, wanted: str = "", meant: str | None = None, why: str = ""
    ) -> None:
        super().__init__(part, typed, wanted, meant, why)
        self.part, self.typed, self.wanted, self.meant, self.why = self.args

    def __str__(self) -> str:
        meant = f"; did you mean {self.meant}?" if self.meant else ""
        return self.why or f'"{self.typed}" is not known; it takes {self.wanted}{meant}'


def what_if(
    course: Course, record: Record, on: int, changes: Mapping[str, str], calendar: Calendar = NO_CALENDAR
) -> tuple[Answer, dict[str, object]]:
    """Return the answer with these changes, and the changes as values.

    With a showing it is the answer of the next lesson to come, with that lesson supposed; with
    numbers alone that of the day asked about.

    Args:
        changes: pacing rules by dotted name (``days_needed.motor``), for every band, and
            ``show.SKILL``: shown in the next lesson to come with that help.

    Raises:
        ChangeError: a name or a value that does not exist, or no lesson is to come.
    """
    course = course.on(on)
    values = {name: changed_value(course, name, text) for name, text in changes.items()}
    numbers = {name: value for name, value in values.items() if not name.startswith(SHOW)}
    known = known_on(course, record, on, calendar)
    shown = {
        course.plan.index[name.removeprefix(SHOW)]: HELPS.index(str(value))
        for name, value in values.items()
        if name.startswith(SHOW)
    }
    supposed = _at_next_lesson(course, known, shown) if shown else known
    changed = with_numbers(course, numbers) if numbers else course
    return judge_known(changed, record, supposed), values


def _at_next_lesson(course: Course, known: Known, shown: Mapping[int, int]) -> Known:
    """Return what would be known on the next lesson day if these skills were shown in it, with these helps.

    Under a hold only what is quiet would be evidence (rule R1a).
    """
    lesson = known.next_lesson
    if lesson is None:
        raise ChangeError("name", SHOW + course.plan.ids[min(shown)], "a lesson to come, and none is")
    paused = known.is_under_hold(lesson)
    supposed = replace(known.with_showings((), lesson), day=lesson)
    for skill, help_given in shown.items():
        if not paused or course.plan.quiet >> skill & 1:
            supposed = supposed.with_showings((skill,), lesson, help_given)
    return supposed


def with_numbers(course: Course, numbers: Mapping[str, object]) -> Course:
    """Return the course with these pacing numbers in every band; links stay as they are."""
    bands = tuple(replace(band, numbers={**band.numbers, **numbers}) for band in course.bands)
    return replace(course, bands=bands, entire=None)


def changed_value(course: Course, name: str, text: str) -> object:
    """Return the value of one change, checked.

    Raises:
        ChangeError: no such rule, skill, number or help.
    """
    if name.startswith(SHOW):
        skill = name.removeprefix(SHOW)
        if skill not in course.skill:
            meant = nearest(skill, course.skill)
            raise ChangeError("name", name, "show.SKILL with a skill's id", meant and SHOW + meant)
        return _one_of(text, HELPS)
    band = course.bands[0]
    if name not in band.numbers:
        last = [rule for rule in band.numbers if rule.rpartition(".")[2] == name]  # that was typed alone
        last = last or [rule for rule in band.numbers if name and rule.startswith(name)]
        meant = " or ".join(last) or nearest(name, band.numbers)
        raise ChangeError("name", name, "a number of the pacing file, as in carry_limit=1", meant)
    return _like(course, name, text)


def _like(course: Course, name: str, text: str) -> object:
    """Return the text as a value of the same kind as the rule has now, and one that the file may have."""
    if name.startswith("accepts."):
        return _one_of(text, HELPS[:2])
    now = course.bands[0].numbers[name]
    if not isinstance(now, (int, float)):
        raise ChangeError("name", name, "a rule that is one number")
    from readiness.course.checks.units import why_refused  # here: an answer has no need of models

    try:
        value = float(text) if isinstance(now, float) else int(text)
    except ValueError:
        wanted = "a number" if isinstance(now, float) else "a whole number"
        raise ChangeError("value", text, wanted) from None
    if why := why_refused(course, name, value):
        raise ChangeError("value", text, why=why)
    return value


def _one_of(text: str, choices: Sequence[str]) -> str:
    if text not in choices:
        raise ChangeError("value", text, " or ".join(choices), nearest(text, choices))
    return text
