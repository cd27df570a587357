"""Why the verdict is what it is: the tree of findings, and the notes beside it.

Walks from what blocks down to what is written: notes, numbers, links, each with the line
it stands on. Decides nothing and words nothing.

Notes beside the verdict (rule R8) never change it. They are what a careful colleague would mention.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from decimal import Decimal
from functools import cache
from math import ceil
from pathlib import Path
from typing import Final

from readiness.course.model import FADES, KINDS, Band, Course, Skill, bits
from readiness.days import age_on
from readiness.judging import answer
from readiness.judging.answer import Gap, Remark
from readiness.judging.findings import (
    AfterHold,
    Away,
    Finding,
    GroupOpen,
    HoldOpen,
    NeededBy,
    NoteSeen,
    NotPlaced,
    NumbersUsed,
    Rule,
    SettledOn,
    SkillOpen,
    TakenAlong,
    TooManyOpen,
    UnderHold,
    WarmedBy,
)
from readiness.judging.history import Known, Note
from readiness.judging.states import Deciding, EntryGroup, States
from readiness.lazy import dataclass
from readiness.record.model import HELPS, Record
from readiness.terms import Help, Kind, State, Verdict
from readiness.toml.problems import Place

__all__ = [
    "FOLDING_JOINTS", "Reasons", "cautions_for", "is_stuck", "lesson_days_in_unit", "pacing_rule",
    "remarks", "rules_in", "skill_cautions", "unit_limit", "young",
]  # fmt: skip


@dataclass(frozen=True)
class Reasons:
    """Makes findings about one student on one day."""

    course: Course
    record: Record
    known: Known
    deciding: Deciding
    states: States

    def all(
        self, verdict: Verdict, gap: Gap | None, after_hold: answer.RecentHold | None
    ) -> tuple[Finding, ...]:
        """Return the findings of a placed student, what weighs most first."""
        found: list[Finding] = [*self.holds()]
        if gap is not None:
            found.append(Away(None, (self._rule("break_weeks"),), gap.kind, gap.days, gap.last_lesson))
        if after_hold is not None:
            place, days = self._line(after_hold.line), len(after_hold.lesson_days)
            found.append(AfterHold(place, (), after_hold.closed, days, after_hold.needed))
        found += [*self._blockers(), *self._rest(verdict), *self.under_hold()]
        return (*found, self._numbers(found))

    def holds(self) -> tuple[Finding, ...]:
        """Return one finding for each open hold."""
        return tuple(HoldOpen(self._line(hold.line), (), hold.opened, hold.part) for hold in self.known.holds)

    def not_placed(self) -> tuple[Finding, ...]:
        """Return the findings of a student who has not begun a unit."""
        rules = [self._rule("carry_limit"), *(self._rule(f"accepts.{kind}") for kind in KINDS)]
        return (*self.holds(), NotPlaced(None, ()), *self.under_hold(), NumbersUsed(None, tuple(rules)))

    def under_hold(self) -> tuple[Finding, ...]:
        """Return what was noted under a hold, or tried on the day it was opened, and is no evidence."""
        known, ids, evidence = self.known, self.course.plan.ids, self.states.evidence
        found = {
            i: (*known.under_hold.get(i, ()), *_without(known.notes.get(i, ()), evidence.get(i, ())))
            for i in sorted({*known.notes, *known.under_hold})
        }
        notes = tuple(
            NoteSeen(self._line(line), (), ids[i], day, given, False)
            for i, of_skill in found.items()
            for day, given, line in sorted(of_skill)
        )
        skills = tuple(ids[i] for i, of_skill in found.items() if of_skill)
        return (UnderHold(None, notes, skills),) if skills else ()

    def _blockers(self) -> Iterable[Finding]:
        for i in bits(self.deciding.skills & ~self.states.secure):
            yield self._skill(i, deciding=True)
        for group in self.deciding.unmet(self.states):
            yield self._group(group)

    def _rest(self, verdict: Verdict) -> Iterable[Finding]:
        """Yield what too much of the rest, or the rest that comes along, comes to."""
        open_rest = self.deciding.rest & ~self.states.secure
        limit = self.states.band.whole("carry_limit")
        rule = self._rule("carry_limit")
        each = tuple(self._skill(i, deciding=False) for i in bits(open_rest))
        names = self.course.plan.names
        if open_rest.bit_count() > limit:
            gaps_only = (open_rest & self.states.gaps).bit_count() > limit
            yield TooManyOpen(None, (rule, *each), names(open_rest), gaps_only)
        elif verdict == Verdict.READY_TAKING_ALONG:
            yield TakenAlong(None, (rule, *each), names(open_rest))

    def _group(self, group: EntryGroup) -> GroupOpen:
        names = self.course.plan.names(group.members)
        members = (self._skill(i, deciding=False) for i in bits(group.members & ~self.states.met))
        links = (self._link(owner, names[0]) for owner in self.course.plan.names(group.owners))
        return GroupOpen(None, (*members, *links), group.at_least, names, group.is_gap(self.states))

    def _link(self, owner: str, skill: str) -> NeededBy:
        return NeededBy(self.course.link_places.get((owner, skill)), (), skill, owner)

    def _skill(self, i: int, *, deciding: bool) -> SkillOpen:
        skill = self.course.skills[i]
        because = (*self._seen(i), *self._rules_for(i), *(self._links(i) if deciding else ()))
        return SkillOpen(skill.place, because, skill.id, self.states.state[i], deciding)

    def _seen(self, i: int) -> Iterable[Finding]:
        """Yield the notes in scope, what they start from, and what kept the skill warm."""
        plan, known, unit = self.course.plan, self.known, self.course.plan.unit[i]
        settled, block = known.settled[unit], known.settled_by[unit]
        if block is not None:
            yield SettledOn(self._line(block.line), (), block.through, block.on)
        accepts = self.states.band.accepts[plan.kind[i]]
        for day, given, line in self.states.evidence.get(i, ()):
            if settled is None or day >= settled:
                yield NoteSeen(self._line(line), (), plan.ids[i], day, given, given <= accepts)
        if i in self.states.warmed_by:
            used, user = self.states.warmed_by[i]
            lines = (line for on, _, line in known.notes.get(user, ()) if on == used)
            yield WarmedBy(self._line(next(lines, 0)), (), plan.ids[i], plan.ids[user], used)

    def _rules_for(self, i: int) -> Iterable[Rule]:
        """Yield the numbers that made the state."""
        plan, state = self.course.plan, self.states.state[i]
        kind, fade = KINDS[plan.kind[i]], FADES[plan.fade[i]]
        if state == State.STALE:
            yield self._rule(f"fresh_weeks.{fade}")
            return
        if not plan.days[i]:
            yield self._rule(f"days_needed.{kind}")
        if state == State.BUILDING:
            yield self._rule("spread_days")
        if state != State.UNTRIED:
            yield self._rule(f"accepts.{kind}")

    def _links(self, i: int) -> Iterable[NeededBy]:
        plan, deciding = self.course.plan, self.deciding
        if deciding.next_unit is None:
            return
        for owner in bits(plan.in_unit[deciding.next_unit] & ~deciding.left_out):
            if plan.needs[owner] >> i & 1:
                yield self._link(plan.ids[owner], plan.ids[i])

    def _numbers(self, found: Iterable[Finding]) -> NumbersUsed:
        """Return every number used: those of the findings, or, with none, of all that decides."""
        used = {rule.rule: rule for rule in rules_in(found)}
        for name in self._names_used() if not used else ("carry_limit",):
            used.setdefault(name, self._rule(name))
        return NumbersUsed(None, tuple(used.values()))

    def _names_used(self) -> tuple[str, ...]:
        plan = self.course.plan
        asked = tuple(bits(self.deciding.skills | self.deciding.rest))
        kinds = sorted({plan.kind[i] for i in asked})
        fades = sorted({plan.fade[i] for i in asked})
        return (
            "carry_limit",
            *(f"days_needed.{KINDS[kind]}" for kind in kinds),
            "spread_days",
            *(f"accepts.{KINDS[kind]}" for kind in kinds),
            *(f"fresh_weeks.{FADES[fade]}" for fade in fades),
        )

    def _rule(self, name: str) -> Rule:
        return pacing_rule(self.course, self.states.band, name)

    def _line(self, line: int) -> Place | None:
        """Return a line of the student's file; supposed notes stand on none."""
        return Place(self.record.path or Path(f"{self.record.id}.toml"), line, 1) if line else None


def _without(notes: tuple[Note, ...], evidence: tuple[Note, ...]) -> tuple[Note, ...]:
    return () if len(notes) == len(evidence) else tuple(note for note in notes if note not in evidence)


def pacing_rule(course: Course, band: Band, name: str) -> Rule:
    """Return a number of the pacing with the line it stands on and whose it is."""
    value = band.numbers[name]
    origin = course.provenance.get((band.name, name))
    if origin is None:
        return Rule(None, (), name, band.name, value, None, False, "", "")
    return Rule(
        origin.place, (), name, band.name, value,
        origin.default, value != origin.default, origin.changed_by, origin.basis,
    )  # fmt: skip


def rules_in(findings: Iterable[Finding]) -> tuple[Rule, ...]:
    """Return the pacing numbers anywhere below these findings, each once, in order met."""
    met: dict[str, Rule] = {}
    waiting = list(findings)[::-1]
    while waiting:
        finding = waiting.pop()
        if isinstance(finding, Rule):
            met.setdefault(finding.rule, finding)
        waiting += finding.because[::-1]
    return tuple(met.values())


SOON_DAYS = 14
LATEST_TRIES = 3


def lesson_days_in_unit(known: Known) -> int:
    """Return how many lesson days under no hold there were since the unit began, that day included."""
    if known.unit_start is None:
        return 0
    days = (day for day in known.lesson_days if day >= known.unit_start)
    return sum(not known.is_under_hold(day) for day in days)


@cache
def unit_limit(factor: float | int, lesson_weeks: int) -> int:
    """Return a unit's limit in lesson days, rounded up, without floating-point surprises.

    >>> unit_limit(1.1, 10), unit_limit(0.75, 5)
    (11, 4)
    """
    return ceil(Decimal(str(factor)) * lesson_weeks)


def remarks(course: Course, known: Known, deciding: Deciding, states: States) -> tuple[Remark, ...]:
    """Return all notes, in the order of the rules and then of the graph."""
    return (
        *_pace(course, known, deciding.unit, states.band),
        *_stuck(course, deciding, states),
        *_footing(course, deciding, states),
        *_fading(course, deciding, states),
        *young(course, known),
    )


def _pace(course: Course, known: Known, unit: int, band: Band) -> tuple[Remark, ...]:
    days = lesson_days_in_unit(known)
    weeks = course.units[unit].lesson_weeks
    least = unit_limit(band.number("min_unit_factor"), weeks)
    most = unit_limit(band.number("max_unit_factor"), weeks)
    fast = (Remark("fast", days=days, limit=least),) if 0 < days < least else ()
    return (*fast, *((Remark("long", days=days, limit=most),) if days > most else ()))


def is_stuck(helps: tuple[int, ...], tries: int) -> bool:
    """Return whether a row of misses shows no change for a while (rule R8).

    Args:
        helps: the help in each miss in a row at the end, oldest first.
        tries: the band's ``stuck_tries``. Without earlier tries there is nothing to compare with.
    """
    if len(helps) < tries:
        return False
    earlier, latest = helps[:-LATEST_TRIES], helps[-LATEST_TRIES:]
    return bool(earlier) and min(latest) >= min(earlier)


def _stuck(course: Course, deciding: Deciding, states: States) -> Iterator[Remark]:
    tries = states.band.whole("stuck_tries")
    for i in bits((deciding.skills | deciding.rest) & ~states.secure):
        misses = states.folds[i].misses
        helps = tuple(note[1] for note in states.evidence[i][-misses:]) if misses else ()
        if misses and is_stuck(helps, tries):
            yield Remark("stuck", course.plan.ids[i], misses, tries)


def _footing(course: Course, deciding: Deciding, states: States) -> tuple[Remark, ...]:
    plan = course.plan
    gaps = states.gaps & ~deciding.left_out
    return tuple(
        Remark("footing", plan.ids[i], other=plan.names(plan.ancestors[i] & gaps))
        for i in bits(deciding.entry & states.secure)
        if plan.ancestors[i] & gaps
    )


def _fading(course: Course, deciding: Deciding, states: States) -> tuple[Remark, ...]:
    return tuple(
        Remark("fade-soon", course.plan.ids[i], last_fresh, SOON_DAYS)
        for i in bits(deciding.skills & states.secure)
        if (last_fresh := states.fresh_until(i)) is not None and last_fresh < states.day + SOON_DAYS
    )


def young(course: Course, known: Known) -> tuple[Remark, ...]:
    """Say that the student is younger than every band was made for."""
    youngest = course.bands[0].from_age
    is_young = known.chosen_band is None and age_on(known.born, known.day) < youngest
    return (Remark("young", limit=youngest),) if is_young else ()


# Which of the trade's cautions C1 to C14 apply to an answer. Their texts are in ``words``.
#
# Only those that an answer about readiness can call for are decided here; the ones about
# plans, exports, enrolment and counts (C4, C8, C9, C10, C12) belong to those outputs.
# Common practice, no source, except where the words texts name one.

FOLDING_JOINTS: Final = frozenset({"firm-fingertip", "rounded-hand-keys", "joins-two-tones"})
"""Skills at which small joints often fold in (C3)."""

_HANDS_ON: Final = HELPS.index(Help.HANDS_ON)


def skill_cautions(course: Course, shown: Iterable[str]) -> tuple[str, ...]:
    """Return the ids of the cautions that some skills call for whoever they are shown to, by their fields."""
    skills = [course.skill[skill] for skill in shown]
    tests = {
        "C2": any(skill.kind == Kind.MOTOR or skill.always_look for skill in skills),
        "C3": any(course.names_of(skill.id) & FOLDING_JOINTS for skill in skills),
        "C6": any(skill.touches for skill in skills),
    }
    return tuple(caution for caution, applies in tests.items() if applies)


def cautions_for(
    course: Course,
    record: Record,
    day: int,
    shown: Iterable[str],
    findings: tuple[Finding, ...] = (),
    *,
    paused: bool = False,
    seat_open: bool = False,
) -> tuple[str, ...]:
    """Return the ids of the cautions to show, in order.

    Args:
        shown: ids of the skills that the answer puts before the teacher.
        paused: whether a hold is open.
        seat_open: whether a skill that is always looked at is not secure.
    """
    ids, open_ = tuple(dict.fromkeys(shown)), (hold for hold in record.seen.holds if hold.is_open(day))
    skills, about = [course.skill[skill] for skill in ids], skill_cautions(course, ids)
    tests = {
        "C1": paused,
        "C2": "C2" in about,
        "C3": "C3" in about,
        "C5": seat_open and course.uses == "hand",
        "C6": "C6" in about or _hands_on(course, record, day, skills),
        "C7": any(skill.recorded for skill in skills) and not record.consents.get("video"),
        "C11": any(rule.changed for rule in rules_in(findings)),
        "C13": any(hold.part == "voice" for hold in (*open_, *record.resting(day))),
        "C14": True,
    }
    return tuple(caution for caution, applies in tests.items() if applies)


def _hands_on(course: Course, record: Record, day: int, skills: list[Skill]) -> bool:
    ids = {name for skill in skills for name in course.names_of(skill.id)}
    return any(
        showing.help == _HANDS_ON and showing.skill in ids
        for on, _, showings in record.seen.lessons()
        if on <= day
        for showing in showings
    )
