"""Which skills placing asks about, and what it believes of them before the first look.

Where a student starts depends on the entry lists alone (rule R10). Under a skill lies what the
links say, except that nothing implies a ``must_be_seen`` skill, as in R10. Always-look skills are
looked at by themselves and not among these.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import lru_cache
from itertools import pairwise
from typing import Final

from readiness.course.model import Course
from readiness.course.plan import bits
from readiness.judging.deciding import entry_list
from readiness.planning.placing.crowd import Crowd, Placed, at_most_missing, crowd_of

__all__ = ["Footings", "footings"]

_CROWD: Final = 32_768
"""How many students are imagined."""

_STEPS: Final = 20_000_000
"""How many skills of imagined students are worked out at most: in a wide course the crowd is smaller."""


@dataclass(frozen=True)
class Footings:
    """What the units of a course stand on, for placing.

    Attributes:
        asked_by: by unit number, all that units up to it ask for on entering (sets of skills).
        crowd: the imagined students.
        starts: by unit number, which of them would start there.
    """

    asked_by: tuple[int, ...]
    crowd: Crowd
    starts: tuple[int, ...]

    @property
    def is_whole(self) -> bool:
        """Whether the crowd is as large as usual; it is smaller where a course has very many skills."""
        return self.crowd.size == _CROWD

    def start_of(self, there: int, limit: int) -> int:
        """Return the number of the unit in which somebody with exactly ``there`` starts (R10)."""
        unit = 0
        while unit + 1 < len(self.asked_by) and (self.asked_by[unit + 1] & ~there).bit_count() <= limit:
            unit += 1
        return unit


def footings(course: Course, left_out: int, limit: int) -> Footings:
    """Return what placing asks about in a course.

    Args:
        course: what is taught.
        left_out: skills that are not asked for.
        limit: how much may come along unfinished.
    """
    plan = course.plan
    asked, lists = 0, []
    for unit in range(len(plan.unit_ids)):
        asked |= entry_list(plan, unit, left_out) & ~plan.always_look
        lists.append(asked)
    every = plan.set_of(skill.id for skill in course.skills if skill.id not in course.gone)
    every &= ~left_out & ~plan.always_look
    skills = tuple(
        (i, Placed(course.skills[i].strand, plan.unit[i], plan.ancestors[i] & every & ~plan.must_be_seen))
        for i in bits(every)
    )
    return _imagined(skills, tuple(lists), limit)


@lru_cache(maxsize=8)
def _imagined(skills: tuple[tuple[int, Placed], ...], lists: tuple[int, ...], limit: int) -> Footings:
    size = min(_CROWD, max(64, _STEPS // max(1, len(skills))))
    crowd = crowd_of(dict(skills), len(lists), size)
    reached = (*at_most_missing(crowd, lists, limit), 0)
    starts = tuple(here & ~beyond for here, beyond in pairwise(reached))
    return Footings(lists, crowd, starts)
