"""From notes to states: rules R2 to R6, for all skills of a course at once.

One walk through the days of each skill, then one pass that keeps skills warm by the use
of what stands on them. Nothing here knows of units, verdicts or words.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass

from readiness.course.model import Band
from readiness.course.plan import Plan, bits
from readiness.judging.answer import GAP_STATES, Evidence, Standing
from readiness.judging.known import Known, Note

__all__ = ["Fold", "Standings", "States", "fold", "judge_states"]

NOT_SHOWN = 4


@dataclass(frozen=True, slots=True)
class Fold:
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


def fold(
    notes: tuple[Note, ...], accepts: int, needed: int, spread: int, settled: int | None
) -> Fold:
    """Go through the notes of one skill in order (rules R2 and R3).

    Args:
        notes: one a day, oldest first.
        accepts: the most help that still counts; needed: days needed; spread: days from
            the first to the last of them.
        settled: the day from which the skill is taken as secure; earlier notes are left out.
    """
    secure_since = settled
    first = last_count = None
    last = None
    have = misses = 0
    slipped = False
    for note in notes:
        day = note[0]
        if settled is not None and day < settled:
            continue
        last = note
        if note[1] <= accepts:
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
    return Fold(secure_since, have, misses, slipped, last_count, last)


@dataclass(frozen=True, slots=True)
class States:
    """The states of all skills on a day.

    ``state`` and ``last_seen`` go by skill number; the rest are sets of skills. ``met`` is
    secure or set aside; ``warmed_by`` has a skill whose use gave ``last_seen`` (rule R5).
    """

    day: int
    band: Band
    folds: tuple[Fold, ...]
    state: tuple[str, ...]
    last_seen: tuple[int | None, ...]
    warmed_by: dict[int, int]
    secure: int
    met: int
    gaps: int
    wobbling: int


def judge_states(plan: Plan, known: Known, band: Band, day: int) -> States:
    """Return every skill's state on ``day`` in ``band`` (rules R2 to R6)."""
    folds = _folds(plan, known, band)
    warmed = _warmed(plan, folds)
    fresh_days, settled, aside = band.fresh_days, known.settled, known.set_aside
    state: list[str] = []
    seen: list[int | None] = []
    secure = gaps = wobbling = 0
    warmed_by: dict[int, int] = {}
    for i, (one, unit, fade) in enumerate(zip(folds, plan.unit, plan.fade, strict=True)):
        last = _latest_of(one.last_count, settled[unit])
        if i in warmed and (last is None or warmed[i][0] > last):
            last, warmed_by[i] = warmed[i]
        stale = last is not None and day - last > fresh_days[fade]
        name = "set-aside" if aside >> i & 1 else _state(one, stale)
        state.append(name)
        seen.append(last)
        if name == "secure":
            secure |= 1 << i
        elif name == "wobbling":
            wobbling |= 1 << i
        elif name in GAP_STATES:
            gaps |= 1 << i
    return States(
        day, band, folds, tuple(state), tuple(seen), warmed_by, secure, secure | aside, gaps, wobbling
    )


def _folds(plan: Plan, known: Known, band: Band) -> tuple[Fold, ...]:
    spread = band.whole("spread_days")
    accepts, needed, notes = band.accepts, band.days_needed, known.notes
    without_notes = [Fold(settled, 0, 0, False, None, None) for settled in known.settled]
    return tuple(
        fold(notes[i], accepts[kind], needed[kind], spread, known.settled[unit])
        if i in notes
        else without_notes[unit]
        for i, (kind, unit) in enumerate(zip(plan.kind, plan.unit, strict=True))
    )


def _latest_of(one: int | None, other: int | None) -> int | None:
    return other if one is None else one if other is None else max(one, other)


def _warmed(plan: Plan, folds: tuple[Fold, ...]) -> dict[int, tuple[int, int]]:
    """Return, by skill, the latest day of use by a skill that stands on it (rule R5).

    The users are taken latest first, so the first that reaches a skill is the one that
    counts; a day before the skill was secure says nothing, and all later users are older.
    """
    users = sorted((-one.last_count, i) for i, one in enumerate(folds) if one.last_count is not None)
    waiting = ~plan.must_be_seen
    warmed: dict[int, tuple[int, int]] = {}
    for day, user in users:
        reached = plan.ancestors[user] & waiting
        waiting &= ~reached
        for i in bits(reached):
            since = folds[i].secure_since
            if since is not None and since <= -day:
                warmed[i] = (-day, user)
    return warmed


def _state(one: Fold, stale: bool) -> str:
    """Return the first state that fits (rule R6); ``set-aside`` is decided before."""
    if one.secure_since is not None:
        return "wobbling" if one.misses == 1 else "stale" if stale else "secure"
    if one.last is None:
        return "untried"
    if one.misses and one.slipped:
        return "slipped"
    if not one.misses:
        return "building"
    return "not-shown" if one.last[1] == NOT_SHOWN else "with-help"


@dataclass(frozen=True, slots=True)
class Standings(Mapping[str, Standing]):
    """The standing of every skill by id, in graph order; each is made when it is asked for."""

    plan: Plan
    known: Known
    states: States

    def __getitem__(self, skill: str) -> Standing:
        return _standing(self.plan, self.known, self.states, self.plan.index[skill])

    def __iter__(self) -> Iterator[str]:
        return iter(self.plan.ids)

    def __len__(self) -> int:
        return len(self.plan.ids)


def _standing(plan: Plan, known: Known, states: States, i: int) -> Standing:
    """Return one skill's state with all it rests on."""
    one, band = states.folds[i], states.band
    settled = known.settled[plan.unit[i]]
    accepts = band.accepts[plan.kind[i]]
    seen = states.last_seen[i]
    return Standing(
        skill=plan.ids[i],
        state=states.state[i],
        have=one.have,
        need=band.days_needed[plan.kind[i]],
        last_note=one.last[0] if one.last else None,
        last_help=one.last[1] if one.last else None,
        last_seen=seen,
        fresh_until=None if seen is None else seen + band.fresh_days[plan.fade[i]],
        misses=one.misses,
        secure_since=one.secure_since,
        slipped=one.slipped,
        settled_on=settled,
        warmed_by=plan.ids[states.warmed_by[i]] if i in states.warmed_by else None,
        evidence=tuple(
            Evidence(day, help_given, help_given <= accepts, line)
            for day, help_given, line in known.notes.get(i, ())
            if settled is None or day >= settled
        ),
    )
