"""From notes to states, and from states to the verdict: rules R4 to R7, for all skills of a course at once.

What is secure stays so while it is seen, by itself or by the use of what stands on it. Nothing
here knows of units, verdicts or words.

The deciding set, the entry groups and the rest depend on the unit, the band and what was set aside; the
verdict depends on them and the states. Breaks and holds are laid over it in ``judging.engine``.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from functools import cached_property
from typing import Final, NamedTuple

from readiness.course.model import Band, Course, Plan, bits, union
from readiness.judging.answer import (
    GAP_STATES,
    Blocker,
    BroughtAlong,
    DecisionNow,
    GroupStanding,
    PlacingResult,
)
from readiness.judging.history import Known, Note
from readiness.lazy import dataclass
from readiness.record.model import Decision, Record
from readiness.terms import State, Verdict

__all__ = [
    "NEVER", "Deciding", "EntryGroup", "Fold", "States", "blockers", "brought_along", "decide",
    "decided_on", "decision_on", "entry_list", "fold", "folds_of", "group_standing", "implied_by",
    "judge_states", "latest_showings", "place", "verdict",
]  # fmt: skip

# What the days of each skill come to: rules R2 and R3, one walk through the notes of each.
#
# Nothing here knows how skills hang together, what fades, or which day it is.


class Fold(NamedTuple):
    """What the days of one skill come to (rule R3).

    Attributes:
        secure_since: None when not secure.
        have: length of the list of counting days.
        misses: days in a row, at the end, that did not count.
        slipped: whether it was ever secure and lost.
        last_count: the latest counting day in scope.
        last: the latest note in scope.
    """

    secure_since: int | None
    have: int
    misses: int
    slipped: bool
    last_count: int | None
    last: Note | None


NEVER: Final = Fold(None, 0, 0, False, None, None)
"""Neither noted nor settled."""


def fold(notes: tuple[Note, ...], accepts: int, needed: int, spread: int, settled: int | None) -> Fold:
    """Go through the notes of one skill in order (rules R2 and R3).

    Args:
        notes: one a day, oldest first; at least one.
        accepts: the most help that still counts; needed: days needed; spread: days from
            the first to the last of them.
        settled: the day from which the skill is taken as secure; earlier notes are left out.
    """
    if settled is not None and notes[0][0] < settled:
        notes = tuple(note for note in notes if note[0] >= settled)
    secure_since = settled
    first = last_count = None
    have = misses = 0
    slipped = False
    for day, help_given, _ in notes:
        if help_given <= accepts:
            misses = 0
            have += 1
            last_count = day
            if first is None:
                first = day
            if secure_since is None and have >= needed and (needed == 1 or day - first >= spread):
                secure_since = day
        else:
            misses += 1
            if misses == 2 and secure_since is not None:
                secure_since, slipped = None, True
                have, first = 0, None
    return Fold(secure_since, have, misses, slipped, last_count, notes[-1] if notes else None)


def folds_of(
    plan: Plan, evidence: Mapping[int, tuple[Note, ...]], settled: tuple[int | None, ...], band: Band
) -> tuple[Fold, ...]:
    """Return what the days of every skill come to, by skill number."""
    spread, kind, unit, days = band.whole("spread_days"), plan.kind, plan.unit, plan.days
    accepts, needed = band.accepts, band.days_needed
    folds = [NEVER] * len(kind)
    for number, day in enumerate(settled):
        if day is not None:
            without_notes = Fold(day, 0, 0, False, None, None)
            for i in bits(plan.in_unit[number]):
                folds[i] = without_notes
    for i, notes in evidence.items():
        folds[i] = fold(notes, accepts[kind[i]], days[i] or needed[kind[i]], spread, settled[unit[i]])
    return tuple(folds)


NOT_SHOWN: Final = 4
_UNTRIED: Final = State.UNTRIED


@dataclass(frozen=True)
class States:
    """The states of all skills on a day.

    ``evidence`` are the notes that count or miss (rule R1a), by skill number, and ``free`` the latest
    counting day under no hold where it is another than the latest (R5). ``folds`` and ``state`` go by skill
    number; ``secure``, ``met`` (secure or set aside), ``gaps`` and ``wobbling`` are sets of skills.
    """

    plan: Plan
    known: Known
    day: int
    band: Band
    evidence: Mapping[int, tuple[Note, ...]]
    folds: tuple[Fold, ...]
    free: Mapping[int, int | None]
    state: tuple[State, ...]
    secure: int
    met: int
    gaps: int
    wobbling: int

    def among(self, *names: State) -> int:
        """Return the skills in one of these states, as a set."""
        return sum(1 << i for i, name in enumerate(self.state) if name in names)

    @cached_property
    def warmed_by(self) -> Mapping[int, tuple[int, int]]:
        """By skill, the day on which it was seen last by use, and the skill that used it (rule R5)."""
        used = _used(self.plan, self.folds, self.free, ~self.plan.must_be_seen)
        return {i: used_on for i, used_on in used.items() if used_on[0] > (self._own_last(i) or 0)}

    @cached_property
    def last_seen(self) -> tuple[int | None, ...]:
        """By skill number, the day on which it, or what stands on it, was seen last (rules R4 and R5)."""
        warmed = self.warmed_by
        return tuple(warmed[i][0] if i in warmed else self._own_last(i) for i in range(len(self.folds)))

    def fresh_until(self, i: int) -> int | None:
        """Return the last day on which a skill is not stale: what "by" and "until" a day mean everywhere."""
        seen = self.last_seen[i]
        return None if seen is None else seen + self.band.fresh_days[self.plan.fade[i]]

    def _own_last(self, i: int) -> int | None:
        one, other = self.folds[i].last_count, self.known.settled[self.plan.unit[i]]
        return other if one is None else one if other is None else max(one, other)


def judge_states(plan: Plan, known: Known, band: Band, day: int) -> States:
    """Return every skill's state on ``day`` in ``band`` (rules R2 to R6)."""
    evidence, aside = known.evidence(plan, band), known.set_aside
    folds = folds_of(plan, evidence, known.settled, band)
    free = _free_days(known, folds, evidence, band.accepts, plan)
    state = [_UNTRIED if one is NEVER else _state(one) for one in folds]
    found = _by_name(state)
    stale = _stale(plan, known, band, folds, free, found[State.SECURE], day)
    for skills, name in ((stale, State.STALE), (aside, State.SET_ASIDE)):
        for i in bits(skills):
            state[i] = name
    secure = found[State.SECURE] & ~stale & ~aside
    return States(
        plan, known, day, band, evidence, folds, free, tuple(state),
        secure=secure,
        met=secure | aside,
        gaps=(found[State.WITH_HELP] | found[State.NOT_SHOWN] | found[State.SLIPPED]) & ~aside,
        wobbling=found[State.WOBBLING] & ~aside,
    )  # fmt: skip


def _by_name(state: list[State]) -> dict[State, int]:
    """Return the set of skills in each state but untried."""
    found = dict.fromkeys((State.SECURE, State.WOBBLING, State.BUILDING, *GAP_STATES), 0)
    for i, name in enumerate(state):
        if name is not _UNTRIED:
            found[name] |= 1 << i
    return found


def _free_days(
    known: Known,
    folds: tuple[Fold, ...],
    evidence: Mapping[int, tuple[Note, ...]],
    accepts: tuple[int, ...],
    plan: Plan,
) -> dict[int, int | None]:
    """Return the latest counting day under no hold, where the latest of all is under one (rule R1a)."""
    if not known.paused:
        return {}
    under = [i for i, one in enumerate(folds) if one.last_count and known.is_under_hold(one.last_count)]
    return {
        i: max(
            (
                day
                for day, given, _ in evidence[i]
                if given <= accepts[plan.kind[i]]
                and day >= (known.settled[plan.unit[i]] or 0)
                and not known.is_under_hold(day)
            ),
            default=None,
        )
        for i in under
    }


def _stale(
    plan: Plan,
    known: Known,
    band: Band,
    folds: tuple[Fold, ...],
    free: Mapping[int, int | None],
    secure: int,
    day: int,
) -> int:
    """Return the secure skills that were seen too long ago, by use too (rules R4 and R5)."""
    oldest = [day - days for days in band.fresh_days]
    fade, unit, settled = plan.fade, plan.unit, known.settled
    faded = 0
    for i in bits(secure):
        if (folds[i].last_count or 0) < oldest[fade[i]] and (settled[unit[i]] or 0) < oldest[fade[i]]:
            faded |= 1 << i
    for i, (used, _) in _used(plan, folds, free, faded & ~plan.must_be_seen).items():
        if used >= oldest[fade[i]]:
            faded ^= 1 << i
    return faded


def _used(
    plan: Plan, folds: tuple[Fold, ...], free: Mapping[int, int | None], among: int
) -> dict[int, tuple[int, int]]:
    """Return, by skill of a set, the latest day of use by a skill that stands on it, and which (rule R5).

    What was shown under a hold was quiet, and refreshes only what is quiet (rule R1a).
    """
    last = [one.last_count for one in folds]
    if not free:
        return _used_on(plan, folds, last, among)
    played = [free.get(i, day) for i, day in enumerate(last)]
    quiet = _used_on(plan, folds, last, among & plan.quiet)
    return quiet | _used_on(plan, folds, played, among & ~plan.quiet)


def _used_on(
    plan: Plan, folds: tuple[Fold, ...], last: Sequence[int | None], among: int
) -> dict[int, tuple[int, int]]:
    """Do so for the latest counting day of every skill.

    The users are taken latest first, so the first that reaches a skill is the one that
    counts; a day before the skill was secure says nothing, and all later users are older.
    """
    used: dict[int, tuple[int, int]] = {}
    if not among:
        return used
    ancestors, waiting = plan.ancestors, among
    for day, user in sorted([(-on, i) for i, on in enumerate(last) if on]):
        reached = ancestors[user] & waiting
        if reached:
            waiting ^= reached
            for i in bits(reached):
                since = folds[i].secure_since
                if since is not None and since <= -day:
                    used[i] = (-day, user)
            if not waiting:
                break
    return used


def _state(fold: Fold) -> State:
    """Return the first state that fits (rule R6); ``stale`` and ``set-aside`` are decided elsewhere."""
    if fold.secure_since is not None:
        return State.WOBBLING if fold.misses == 1 else State.SECURE
    if fold.last is None:
        return _UNTRIED
    if not fold.misses:
        return State.BUILDING
    if fold.slipped:
        return State.SLIPPED
    return State.NOT_SHOWN if fold.last[1] == NOT_SHOWN else State.WITH_HELP


UNFINISHED: Final = frozenset({State.BUILDING, State.WITH_HELP, State.NOT_SHOWN, State.SLIPPED})
"""States of a skill of an earlier unit that is brought along (rule R12)."""


LESSONS_OF_A_STAY: Final = 4
"""A stay without ``until`` lapses when so many different lesson days came after it."""


@dataclass(frozen=True)
class EntryGroup:
    """An entry group of the next unit; groups that ask for the same thing are one.

    ``members`` and ``owners`` are sets of skills; ``owners`` are those of the next unit that have the group.
    """

    at_least: int
    members: int
    owners: int

    def is_met(self, states: States) -> bool:
        """Return whether enough members are secure or set aside."""
        return (self.members & states.met).bit_count() >= self.at_least

    def is_gap(self, states: States) -> bool:
        """Return whether the group is unmet and cannot be met without closing a gap."""
        return (self.members & ~states.gaps).bit_count() < self.at_least


@dataclass(frozen=True)
class Deciding:
    """What decides about leaving a unit. All but ``groups`` are sets of skills.

    ``left_out`` holds the skills optional in the band and those set aside.
    """

    unit: int
    next_unit: int | None
    entry: int
    skills: int
    rest: int
    left_out: int
    groups: tuple[EntryGroup, ...]

    @property
    def group_members(self) -> int:
        """Return the members of all entry groups."""
        return union(group.members for group in self.groups)

    def unmet(self, states: States) -> tuple[EntryGroup, ...]:
        """Return the entry groups that are not met."""
        return tuple(group for group in self.groups if not group.is_met(states))

    def unmet_members(self, states: States) -> int:
        """Return the members of unmet entry groups."""
        return union(group.members for group in self.unmet(states))


def entry_list(plan: Plan, unit: int, left_out: int) -> int:
    """Return what the skills of a unit name in ``stands_on`` from earlier units (rule R7)."""
    if unit == 0:
        return 0
    named = union(plan.needs[i] for i in bits(plan.in_unit[unit] & ~left_out))
    return named & plan.up_to[unit - 1] & ~left_out


def decide(plan: Plan, unit: int, band: Band, set_aside: int) -> Deciding:
    """Return the deciding skills, the entry groups and the rest for leaving ``unit``.

    It is the same for all in a unit and band who had the same set aside, so it is worked out once.
    """
    asked = (unit, band.name, set_aside)
    found: Deciding | None = plan.decided.get(asked)
    if found is not None:
        return found
    left_out = plan.optional[band.name] | set_aside
    next_unit = unit + 1 if unit + 1 < len(plan.unit_ids) else None
    entry = 0 if next_unit is None else entry_list(plan, next_unit, left_out)
    looked_at = plan.always_look & plan.up_to[unit] | plan.safety & plan.in_unit[unit]
    skills = (entry | looked_at) & ~left_out
    found = plan.decided[asked] = Deciding(
        unit=unit,
        next_unit=next_unit,
        entry=entry,
        skills=skills,
        rest=plan.in_unit[unit] & ~left_out & ~skills,
        left_out=left_out,
        groups=() if next_unit is None else _entry_groups(plan, next_unit, left_out),
    )
    return found


def decided_on(course: Course, known: Known, day: int, band: Band | None = None) -> tuple[Deciding, States]:
    """Return what decides on a day, by the band of the day or another, and the states of that day.

    The student is placed.
    """
    assert known.unit is not None
    band = band or known.band_on(course, day)
    return decide(course.plan, known.unit, band, known.set_aside), judge_states(course.plan, known, band, day)


def _entry_groups(plan: Plan, next_unit: int, left_out: int) -> tuple[EntryGroup, ...]:
    """Return the groups whose members all sit before the next unit, each once."""
    owners: dict[tuple[int, int], int] = {}
    for group in plan.groups[next_unit]:
        if left_out >> group.owner & 1 or group.members & ~plan.up_to[next_unit - 1]:
            continue
        key = (group.at_least, group.members)
        owners[key] = owners.get(key, 0) | 1 << group.owner
    return tuple(EntryGroup(at_least, members, own) for (at_least, members), own in owners.items())


def brought_along(plan: Plan, deciding: Deciding, states: States) -> tuple[BroughtAlong, ...]:
    """Return what is unfinished from units before this one, in graph order (rule R12)."""
    before = plan.up_to[deciding.unit - 1] if deciding.unit else 0
    found = (i for i in bits(before & ~deciding.left_out) if states.state[i] in UNFINISHED)
    return tuple(BroughtAlong(plan.ids[i], states.state[i], _first_needed(plan, deciding, i)) for i in found)


def _first_needed(plan: Plan, deciding: Deciding, skill: int) -> str | None:
    """Return the first unit, this one or later, in which something that is asked for stands on a skill."""
    users = plan.descendants[skill] & ~deciding.left_out & ~plan.up_to[deciding.unit - 1]
    taught = zip(plan.unit_ids, plan.in_unit, strict=True)
    return next((unit for unit, skills in taught if users & skills), None)


def decision_on(decided: Decision, known: Known) -> DecisionNow:
    """Return a decision about the unit as it stands on the day."""
    on, until = decided.on, decided.until
    lessons = sum(day > on for day in known.lesson_days)
    lasts = lessons < LESSONS_OF_A_STAY if until is None else known.day <= until
    in_force = decided.decided == "stay" and lasts
    return DecisionNow(on, decided.decided, until, in_force, decided.line, decided.is_move)


def verdict(deciding: Deciding, states: States, carry_limit: int) -> Verdict:
    """Return not-yet, look-again, ready-taking-along or ready (rule R7, 2 to 5)."""
    unmet = deciding.unmet(states)
    open_rest = deciding.rest & ~states.secure
    if (
        deciding.skills & states.gaps
        or any(group.is_gap(states) for group in unmet)
        or (open_rest & states.gaps).bit_count() > carry_limit
    ):
        return Verdict.NOT_YET
    if deciding.skills & ~states.secure or unmet or open_rest.bit_count() > carry_limit:
        return Verdict.LOOK_AGAIN
    return Verdict.READY_TAKING_ALONG if open_rest else Verdict.READY


def group_standing(plan: Plan, group: EntryGroup, states: States) -> GroupStanding:
    """Return an entry group as a value with ids."""
    met = group.is_met(states)
    return GroupStanding(
        group.at_least,
        plan.names(group.members),
        met,
        not met and group.is_gap(states),
        plan.names(group.owners),
    )


def blockers(plan: Plan, deciding: Deciding, states: States) -> tuple[Blocker, ...]:
    """Return the deciding skills that are not secure, in graph order, then unmet groups."""
    named_by = _named_by(plan, deciding)
    single = (
        Blocker(named_by.get(i, ()), skill=plan.ids[i], state=states.state[i])
        for i in bits(deciding.skills & ~states.secure)
    )
    grouped = (group_standing(plan, group, states) for group in deciding.unmet(states))
    return (*single, *(Blocker(group.needed_by, group=group) for group in grouped))


def _named_by(plan: Plan, deciding: Deciding) -> dict[int, tuple[str, ...]]:
    """Return, by skill, the skills of the next unit that name it in ``stands_on``."""
    if deciding.next_unit is None:
        return {}
    named: dict[int, tuple[str, ...]] = {}
    for i in bits(plan.in_unit[deciding.next_unit] & ~deciding.left_out):
        for other in bits(plan.needs[i]):
            named[other] = (*named.get(other, ()), plan.ids[i])
    return named


# Where a transfer student starts (rule R10): a fair guess, never used to call anything secure.


def place(course: Course, record: Record, states: States) -> PlacingResult:
    """Climb from the first unit until more than may come along is missing (rule R10)."""
    plan, known, band = course.plan, states.known, states.band
    left_out = plan.optional[band.name] | known.set_aside
    shown, not_counting = latest_showings(states)
    implied = implied_by(plan, shown, not_counting)
    there = shown | implied | plan.always_look
    limit = band.whole("carry_limit")
    unit, patches, stopped_by = 0, 0, 0
    while unit + 1 < len(plan.unit_ids):
        missing = entry_list(plan, unit + 1, left_out) & ~there & ~patches
        if (patches | missing).bit_count() > limit:
            stopped_by = missing
            break
        patches |= missing
        unit += 1
    return PlacingResult(
        start_unit=plan.unit_ids[unit],
        patches=plan.names(patches),
        stopped_by=plan.names(stopped_by),
        always_look_open=plan.names(plan.always_look & ~shown & ~left_out),
        provisional=len(known.lesson_days) < 2 and not any(
            one.confirmed is not None and one.confirmed <= known.day for one in record.seen.placings
        ),
        implied=plan.names(implied & ~shown & ~left_out),
    )


def latest_showings(states: States) -> tuple[int, int]:
    """Return the skills whose latest note counts, and those whose latest note does not.

    A skill settled elsewhere, with no note since, counts as shown: its day was noted whole.
    """
    noted = [(1 << i, bool(one.misses)) for i, one in enumerate(states.folds) if one is not NEVER]
    return union(one for one, missed in noted if not missed), union(one for one, missed in noted if missed)


def implied_by(plan: Plan, shown: int, not_counting: int) -> int:
    """Return all that what was shown stands on, but what only shows by itself and what did not come."""
    return union(plan.ancestors[i] for i in bits(shown)) & ~not_counting & ~plan.must_be_seen
