"""What placing supposes about looks and about students, in one table.

All of it is common practice, no source: how often a look misleads, and how far what somebody
can do usually spreads around the unit they come from. Nothing here is a rule of readiness, and
nothing here is ever shown as a number about a child.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final

__all__ = ["ASSUMED", "Assumed"]


@dataclass(frozen=True, slots=True)
class Assumed:
    """The numbers of placing. Common practice, no source, every one.

    Attributes:
        slips: how often somebody who has a skill does not show it in one look: the two numbers of a
            beta distribution, here 1 in 9 on average and seldom more than 1 in 3.
        lucky: how often somebody who has it not shows it all the same, in the same way.
        nearly: units at least so likely as this part of the likeliest one are nearly as likely; the
            earliest of them is the start, because too easy for a while is kinder than too hard.
        settled: how sure the start unit must be, one unit to either side, to stop asking.
        likely: how much of the belief the named range of start units holds.
        first_at_least, after_miss_at_least, at_least: how likely a look must be to come out well:
            the first one, one after something did not come, any.
        negligible: start units less likely than this are left out when the next look is chosen.
        least_gain: looks that tell less than so much (in bits) about the start unit are not asked.
        most_looks: the most things asked for in one lesson, the seat not counted; never more than twice
            as many as a check has, which is only a part of a lesson.
        most_compared: how many looks are compared when the next one is chosen.
    """

    slips: tuple[int, int] = (1, 8)
    lucky: tuple[int, int] = (1, 12)
    nearly: float = 0.5
    settled: float = 0.9
    likely: float = 0.9
    first_at_least: float = 0.6
    after_miss_at_least: float = 0.45
    at_least: float = 0.3
    least_gain: float = 0.01
    most_looks: int = 15
    most_compared: int = 200
    negligible: float = 1e-3


ASSUMED: Final = Assumed()
