"""From notes to states: rules R4 to R6, for all skills of a course at once.

What is secure stays so while it is seen, by itself or by the use of what stands on it. Nothing
here knows of units, verdicts or words.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from functools import cached_property
from typing import Final, NamedTuple

from readiness.course.model import Band, Plan, bits
from readiness.judging.answer import GAP_STATES
from readiness.judging.history import Known, Note
from readiness.lazy import dataclass
from readiness.terms import State

__all__ = ["NEVER", "Fold", "States", "fold", "folds_of", "judge_states"]

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
    counting day under no hold where it is another than the latest (R5). ``folds`` and ``state`` go by
    skill number; ``secure``, ``met`` (secure or set aside), ``gaps``
    and ``wobbling`` are sets of skills.
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
