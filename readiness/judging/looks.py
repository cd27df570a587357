"""What a look would settle: the effect of showing open skills alone at the next lesson.

Answers two questions (rules, "One thing" and "Look first"): which single showing settles
most, and which smallest set of showings settles all that showings can (``judging.cover``).

A showing acts on its own skill, which may become secure by it, and on the skills under it
that are secure but stale, which its use keeps warm (R5). It cannot do more, so each skill
has a fixed set of skills it settles, and the question is one of covering.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass

from readiness.course.model import Course
from readiness.course.plan import Plan, bits
from readiness.judging.cover import Cover, Want, smallest_cover
from readiness.judging.deciding import Deciding, decide
from readiness.judging.folds import fold
from readiness.judging.known import ALONE, Known
from readiness.judging.states import States, judge_states

__all__ = ["Looks", "Want", "look_effects", "open_skills", "smallest_cover"]


@dataclass(frozen=True, slots=True)
class Looks:
    """What each open skill would settle if shown alone on ``day``.

    ``settles`` maps an open skill to the set of skills its showing makes secure; ``wants``
    are the deciding skills and entry groups that are not there without a showing, each
    with what is still missing; ``left_out`` are the skills that nobody asks for that day.
    """

    day: int
    settles: dict[int, int]
    wants: tuple[Want, ...]
    left_out: int

    def gained(self, skill: int) -> int:
        """Return how many deciding skills and groups a single showing settles."""
        return sum(want.is_met(self.settles[skill]) for want in self.wants)

    def smallest(self, plan: Plan) -> Cover:
        """Return the minimal look set; of equals the one with fewest minutes, then by id."""
        everything = 0
        for reached in self.settles.values():
            everything |= reached
        reachable = tuple(want for want in self.wants if want.is_met(everything))
        return smallest_cover(self.settles, reachable, plan)


def look_effects(course: Course, known: Known, day: int) -> Looks:
    """Work out what showings on ``day`` would settle; nothing is noted between.

    Age, deciding skills, groups, candidates and states are those of that day. The student is placed.
    """
    assert known.unit is not None
    plan, band = course.plan, known.band_on(course, day)
    deciding, then = decide(plan, known.unit, band, known.set_aside), judge_states(plan, known, band, day)
    spread, days = band.whole("spread_days"), plan.days
    stale = sum(1 << i for i, name in enumerate(then.state) if name == "stale") & ~plan.must_be_seen
    settles: dict[int, int] = {}
    for i in bits(open_skills(plan, deciding, then)):
        kind, settled = plan.kind[i], known.settled[plan.unit[i]]
        notes = (*then.evidence.get(i, ()), (day, ALONE, 0))
        shown = fold(notes, band.accepts[kind], days[i] or band.days_needed[kind], spread, settled)
        settles[i] = plan.ancestors[i] & stale | (1 << i if shown.secure_since is not None else 0)
    return Looks(day, settles, tuple(_wants(deciding, then)), deciding.left_out)


def open_skills(plan: Plan, deciding: Deciding, states: States) -> int:
    """Return the open skills that are no gap, of the units so far (rules, "Look first").

    Skills left out in this band are not asked for, except members of an unmet entry group,
    which keeps all its members (rule R7).
    """
    asked = plan.up_to[deciding.unit] & ~deciding.left_out | deciding.unmet_members(states)
    return asked & ~states.met & ~states.gaps


def _wants(deciding: Deciding, then: States) -> Iterable[Want]:
    for i in bits(deciding.skills & ~then.secure):
        yield Want(1 << i)
    for group in deciding.unmet(then):
        there = (group.members & then.met).bit_count()
        yield Want(group.members & ~then.met, group.at_least - there)
