"""Where each skill stands, as a value with all it rests on.

Most of a course is never looked at in an answer, so a standing is made when it is asked for.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass

from readiness.course.plan import Plan
from readiness.judging.answer import Evidence, Standing
from readiness.judging.known import Known
from readiness.judging.states import States

__all__ = ["Standings"]


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
    block = known.settled_by[plan.unit[i]]
    settled = None if block is None else block.on
    accepts = band.accepts[plan.kind[i]]
    seen = states.last_seen[i]
    return Standing(
        skill=plan.ids[i],
        state=states.state[i],
        have=one.have,
        need=plan.days[i] or band.days_needed[plan.kind[i]],
        last_note=one.last[0] if one.last else None,
        last_help=one.last[1] if one.last else None,
        last_seen=seen,
        fresh_until=None if seen is None else seen + band.fresh_days[plan.fade[i]],
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
