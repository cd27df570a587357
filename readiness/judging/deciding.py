"""What decides a move, and the verdict: rule R7 on sets of skills.

The deciding set, the entry groups and the rest depend on the unit, the band and what was
set aside; the verdict depends on them and the states. Breaks and holds are laid over it
elsewhere (``breaks``, ``engine``).
"""

from __future__ import annotations

from typing import Final

from readiness.course.model import Band, Course, Plan, bits, union
from readiness.judging.answer import Blocker, BroughtAlong, DecisionNow, GroupStanding, PlacingResult
from readiness.judging.history import Known
from readiness.judging.states import NEVER, States, judge_states
from readiness.lazy import dataclass
from readiness.record.model import Decision, Record
from readiness.terms import State, Verdict

__all__ = [
    "Deciding", "EntryGroup", "blockers", "brought_along", "decide", "decided_on", "decision_on",
    "entry_list", "group_standing", "implied_by", "latest_showings", "place", "verdict",
]  # fmt: skip

UNFINISHED: Final = frozenset({State.BUILDING, State.WITH_HELP, State.NOT_SHOWN, State.SLIPPED})
"""States of a skill of an earlier unit that is brought along (rule R12)."""


LESSONS_OF_A_STAY: Final = 4
"""A stay without ``until`` lapses when so many different lesson days came after it."""


@dataclass(frozen=True)
class EntryGroup:
    """An entry group of the next unit; groups that ask for the same thing are one.

    ``members`` and ``owners`` are sets of skills; ``owners`` are those of the next unit
    that have the group.
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
    found = plan.kept.get(asked)
    if found is None:
        found = plan.kept[asked] = _decide(plan, unit, band, set_aside)
    return found


def decided_on(course: Course, known: Known, day: int, band: Band | None = None) -> tuple[Deciding, States]:
    """Return what decides on a day, by the band of the day or another, and the states of that day.

    The student is placed.
    """
    assert known.unit is not None
    band = band or known.band_on(course, day)
    return decide(course.plan, known.unit, band, known.set_aside), judge_states(course.plan, known, band, day)


def _decide(plan: Plan, unit: int, band: Band, set_aside: int) -> Deciding:
    left_out = plan.optional[band.name] | set_aside
    next_unit = unit + 1 if unit + 1 < len(plan.unit_ids) else None
    entry = 0 if next_unit is None else entry_list(plan, next_unit, left_out)
    groups = () if next_unit is None else _entry_groups(plan, next_unit, left_out)
    looked_at = plan.always_look & plan.up_to[unit] | plan.safety & plan.in_unit[unit]
    skills = (entry | looked_at) & ~left_out
    return Deciding(
        unit=unit,
        next_unit=next_unit,
        entry=entry,
        skills=skills,
        rest=plan.in_unit[unit] & ~left_out & ~skills,
        left_out=left_out,
        groups=groups,
    )


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
